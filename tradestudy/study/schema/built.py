"""The tables [built] and [build_tolerance]: what a built wing loses, and how far it may differ from its design.

The defaults of [built] are the medians of measured aircraft (``physics/flight/what_built_wings_lose.md``). Those of
[build_tolerance] are what a careful hobbyist reaches with a hot wire, a steel rule and a kitchen scale.
"""

from __future__ import annotations

import math
from statistics import NormalDist
from typing import Annotated, Any

from tradestudy.physics.flight.built_wing import MEDIAN, SPREAD, BuiltFactors

from .key_types import COMMON_PRACTICE, JUDGEMENT, TableModel, default, number, quantity

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


def _within(kind: str, most: str, meaning: str, value: str, origin: str) -> tuple[Any, Any]:
    """Return type and default of one tolerance: nine of ten wings lie within it, each way."""
    return quantity(kind, f"0 {most.split()[1]}", most, f"nine of ten wings lie within, each way: {meaning}"), default(
        value, origin
    )


_WASHOUT = _within("angle", "5 deg", "washout of both halves", "0.5 deg", f"{COMMON_PRACTICE}: 1 to 2 mm at most tips")
_HALVES = _within(
    "angle", "5 deg", "washout of one half over that of the other", "0.4 deg", f"{JUDGEMENT}: 1 mm on a rule, each half"
)
_SWEEP = _within("angle", "5 deg", "sweep of the leading edge", "0.3 deg", f"{JUDGEMENT}: 3 to 4 mm at most tips")
_BALANCE = _within("length", "30 mm", "balance mark", "2 mm", COMMON_PRACTICE)
_WEIGHT = _within("fraction", "20 %", "flying weight", "3 %", COMMON_PRACTICE)
_RODS = _within("length", "5 mm", "depth of the slots of the rods", "0.5 mm", f"{JUDGEMENT}: calipers in soft foam")
_CORES = _within("length", "20 mm", "foam chord at root and tip", "1 mm", f"{JUDGEMENT}: half a kerf at each end")


class BuildToleranceTable(TableModel):
    """How far a new wing may differ from its design when it comes out of the shop. 0 means that it does not."""

    washout: Annotated[float, _WASHOUT[0]] = _WASHOUT[1]
    twist_difference: Annotated[float, _HALVES[0]] = _HALVES[1]
    sweep: Annotated[float, _SWEEP[0]] = _SWEEP[1]
    core_chord: Annotated[float, _CORES[0]] = _CORES[1]
    rod_depth: Annotated[float, _RODS[0]] = _RODS[1]
    balance: Annotated[float, _BALANCE[0]] = _BALANCE[1]
    weight: Annotated[float, _WEIGHT[0]] = _WEIGHT[1]
