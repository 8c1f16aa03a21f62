"""Flight logs: track, steady stretches, wind.

In the docstrings of this package ``...`` in a shape means any batch axes. The unit of a value is in square brackets.
Words such as "algebra", "geometry" or "definition" say why a function needs no published source.
"""
