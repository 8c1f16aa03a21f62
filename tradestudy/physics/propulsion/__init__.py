"""Propeller, motor, controller and pack.

In the docstrings of this package ``...`` in a shape means any batch axes, so (...) is an array of any batch shape. The
unit of a value is in square brackets. Words such as "statics", "algebra" or "definition" say why a function needs no
published source.
"""
