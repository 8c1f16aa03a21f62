"""Range and time on one charge, missions, and ground speed in wind.

In the docstrings of this package ``...`` in a shape means any batch axes, so (...) is an array of any batch shape. The
unit of a value is in square brackets. Words such as "algebra", "geometry" or "integration" say why a function needs no
published source.
"""
