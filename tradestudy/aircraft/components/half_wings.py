"""Half wings for the components that need them, each computed once."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import numpy as np

from tradestudy.physics.flight import strength
from tradestudy.physics.structure.wing_beam import WingBeam


class HalfWings:
    """The half wings of one StrengthData. Flow and structure ask for the same one in turn, so the last one is kept."""

    def __init__(self, data: strength.StrengthData):
        self.data = data
        self._key: Any = None
        self._half: Any = None

    def of(self, choice: strength.WingChoice) -> strength.HalfWing:
        """Return the HalfWing of a WingChoice of single numbers, or of one batch axis.

        Directions of a complex step that do not change the WingChoice share one half wing.
        """
        columns = np.broadcast_arrays(*choice)
        if not columns[0].ndim:
            return self._last(choice, [float(value) for value in choice])
        rows = list(zip(*(column.tolist() for column in columns), strict=True))
        # in a fixed order, so that components with other inputs ask for the same
        distinct = sorted(set(rows), key=lambda row: [(value.real, value.imag) for value in row])
        place = {row: index for index, row in enumerate(distinct)}
        half = self._last(strength.WingChoice._make(np.array(distinct).T), distinct)
        return _expanded(half, np.array([place[row] for row in rows]))

    def _last(self, choice: strength.WingChoice, key: list[Any]) -> strength.HalfWing:
        if self._key != key:
            self._key, self._half = key, strength.half_wing(self.data, choice)
        return self._half


def _expanded(part: Any, group: np.ndarray) -> Any:
    """Return arrays, or records of arrays, with one row for each entry of ``group``. Floats are unchanged."""
    if isinstance(part, tuple):
        return type(part)(*(_expanded(value, group) for value in part))
    if isinstance(part, WingBeam):
        return WingBeam(*(_expanded(getattr(part, field.name), group) for field in fields(part)))
    return part.take(group, axis=0) if np.ndim(part) else part
