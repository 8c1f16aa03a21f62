"""Nested records of the stages' results as one mapping from names to values, and the step of complex slopes.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any

STEP = 1e-30  # so small that its square is lost in rounding: the slope by a complex step is exact to rounding


def fields_by_name(record: Any) -> dict[str, Any]:
    """Return the fields of a NamedTuple ``record``, and of those inside it, as a mapping from names to values.

    This is bookkeeping. Values (...) are unchanged, in SI units.

    >>> from tradestudy.physics.weights.mass import Lump
    >>> fields_by_name(Lump(mass=0.2, moment=0.05))
    {'mass': 0.2, 'moment': 0.05}
    """
    fields: dict[str, Any] = {}
    for name, value in zip(record._fields, record, strict=True):
        if isinstance(value, tuple):
            fields |= fields_by_name(value)
        else:
            fields[name] = value
    return fields
