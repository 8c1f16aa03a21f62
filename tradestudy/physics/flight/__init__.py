"""One design computed in stages: layout, trimmed flight, level drag, strength, control, power.

In the docstrings of this package ``...`` in a shape means any batch axes, so (...) is an array of any batch shape. The
unit of a value is in square brackets. "As in" another function means that the definition or source is given there.
Words such as "statics", "geometry" or "bookkeeping" say why a function needs no published source.
"""
