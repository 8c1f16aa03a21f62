"""The table [built]: what a built wing loses against the clean model.

Its defaults are the medians of measured aircraft (``physics/flight/what_built_wings_lose.md``).
"""

from __future__ import annotations

import math
from statistics import NormalDist
from typing import Annotated, Any

from tradestudy.physics.flight.built_wing import MEDIAN, SPREAD, BuiltFactors

from .key_types import TableModel, default, number, quantity

BAND_END = NormalDist().inv_cdf(0.95)  # standard deviations from middle to end of a band: nine of ten lie inside
_ORIGIN = "judgement from a small sample of measured aircraft"
_HELD = "standard deviation of its logarithm; 0 % holds it against flights"


def _factor(name: str, moves: str) -> Any:
    """Return the default of a factor with its band."""
    median, spread = getattr(MEDIAN, name), getattr(SPREAD, name)
    low, high = (round(median * math.exp(side * BAND_END * spread), 2) for side in (-1, 1))
    return default(median, _ORIGIN, low=low, high=high, moves=moves)


def _spread(name: str) -> Any:
    return default(f"{100 * getattr(SPREAD, name):g} %", _ORIGIN)


class BuiltTable(TableModel):
    """What this wing loses as built, over the clean model. Factors of 1 are the clean model."""

    section_drag_factor: Annotated[
        float, number(0.5, 4.0, "drag of section and fins as built over that of smooth ones, besides listed parts")
    ] = _factor("section_drag", "range, cruise speed, top speed")
    wake_drag_factor: Annotated[
        float, number(0.5, 4.0, "drag due to lift as built over that of the lattice's wake")
    ] = _factor("wake_drag", "range, cruise speed, what span is worth")
    drive_power_factor: Annotated[
        float, number(0.5, 2.0, "electric power of the drive as built over that of propeller, motor and controller")
    ] = _factor("drive_power", "range, current")
    section_drag_spread: Annotated[float, quantity("fraction", "0 %", "100 %", _HELD)] = _spread("section_drag")
    wake_drag_spread: Annotated[float, quantity("fraction", "0 %", "100 %", _HELD)] = _spread("wake_drag")
    drive_power_spread: Annotated[float, quantity("fraction", "0 %", "100 %", _HELD)] = _spread("drive_power")

    @property
    def factors(self) -> BuiltFactors:
        """Return the factors of the table. [-]"""
        return BuiltFactors(self.section_drag_factor, self.wake_drag_factor, self.drive_power_factor)

    @property
    def spreads(self) -> BuiltFactors:
        """Return the standard deviations of their logarithms. [-]"""
        return BuiltFactors(self.section_drag_spread, self.wake_drag_spread, self.drive_power_spread)
