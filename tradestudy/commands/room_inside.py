"""The command ``check``, second part: does everything lie inside the skin of the stock wing?"""

from __future__ import annotations

from typing import NamedTuple

from tradestudy.aircraft.shape.stock_fit import refuse_what_does_not_fit, stock_fits
from tradestudy.quantities import in_unit
from tradestudy.study.schema.study import Study


class SpareRoom(NamedTuple):
    """What is left above and below one thing inside the wing."""

    name: str
    spare_mm: float


def room_inside(study: Study) -> list[SpareRoom]:
    """Return the spare room of every bay, and of the joiner. Raises StudyFileError if one of them does not fit."""
    refuse_what_does_not_fit(study)
    return [SpareRoom(fit.name, round(in_unit(fit.room, "mm"), 2)) for fit in stock_fits(study)]
