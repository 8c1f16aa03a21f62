"""Two ranges about the balance mark: where trim hardly differs, and where the wing still flies at all."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.optimize import brentq

from tradestudy.aircraft.model.speed_sweep import NeverFlies, SpeedSweep
from tradestudy.quantities import from_edge

LEAST_MARGIN = 0.03  # share of the mean chord, below which these wings hunt in pitch; common practice, no source
_MOST_MARGIN = 0.60  # share of the mean chord; no front end is searched further forward
_MARGIN_STEP = 0.01  # share of the mean chord between evaluated margins
_ELEVON_MOVES = from_edge("deg", 1.0)  # trim change that a pilot notices in cruise; common practice, no source

LAUNCH, BEFORE_STALL, STALL, NONE = (
    "full up-elevon at launch speed",
    "full up-elevon before the stall",
    "a stall at launch speed",
    "no end found",
)


class BalanceRange(NamedTuple):
    """Ends of the range behind the nose [m], and the reason for the front end."""

    front: float
    back: float
    front_reason: str


def trim_range(sweep: SpeedSweep) -> tuple[float, float]:
    """Return front and back end of the range in which the elevon in cruise changes by at most one degree. [m]

    Places are behind the nose, and the change is relative to the balance mark. At the back end, the static margin also
    stays above ``LEAST_MARGIN``, unless the mark itself lies behind that.
    """
    chord, margin = float(sweep.solution.areas.mean_aerodynamic_chord), float(sweep.static_margin)

    def trim(static_margin: float) -> tuple[float, float]:
        flight = sweep.level(sweep.cruise_speed, static_margin)
        return float(flight.centre_of_gravity), float(flight.elevon[0])

    (mark, elevon), (_, elevon_ahead) = trim(margin), trim(margin + _MARGIN_STEP)
    reach = _MARGIN_STEP * chord * _ELEVON_MOVES / abs(elevon_ahead - elevon)
    return mark - reach, mark + min(reach, max(0.0, (margin - LEAST_MARGIN) * chord))


def balance_range(sweep: SpeedSweep, launch_speed: float, up_travel: float) -> BalanceRange:
    """Return the range in which the wing still flies.

    ``up_travel`` [rad] is the elevon at full stick; ``launch_speed`` is in [m/s].

    The front end has one of three reasons. Full up-elevon no longer trims at launch speed, or a strip stalls at launch
    speed. Or full up-elevon does not reach the stall, so the wing cannot be flared. At the back end, the static margin
    falls to ``LEAST_MARGIN``.
    """
    chord = float(sweep.solution.areas.mean_aerodynamic_chord)
    neutral = float(-sweep.solution.unit.moment_volume[1] / sweep.solution.unit.lift_area[1])
    margins = np.arange(LEAST_MARGIN, _MOST_MARGIN + _MARGIN_STEP, _MARGIN_STEP)
    at_launch = sweep.level(np.full_like(margins, launch_speed), margins)
    ends = [
        (_first_crossing(margins, up_travel + at_launch.elevon), LAUNCH),
        (_first_crossing(margins, at_launch.stall_margin.min(axis=-1)), STALL),
    ]
    nearest = min(end for end, _ in ends)
    ends.append((_flare_margin(sweep, up_travel, nearest), BEFORE_STALL))
    margin, reason = min(ends)
    return BalanceRange(
        neutral - margin * chord, neutral - LEAST_MARGIN * chord, NONE if margin >= _MOST_MARGIN else reason
    )


def _first_crossing(margins: np.ndarray, reserve: np.ndarray) -> float:
    """Return the static margin at which ``reserve`` (n,) first falls to zero, by linear interpolation."""
    out = np.flatnonzero(reserve <= 0)
    if not len(out):
        return _MOST_MARGIN
    index = int(out[0])
    if index == 0:
        return float(margins[0])
    share = reserve[index - 1] / (reserve[index - 1] - reserve[index])
    return float(margins[index - 1] + share * (margins[index] - margins[index - 1]))


def _flare_margin(sweep: SpeedSweep, up_travel: float, most: float) -> float:
    """Return the static margin, searched up to ``most``, at which full up-elevon just reaches the stall."""

    def elevon_left(margin: float) -> float:
        try:
            return up_travel + sweep.stall(margin).elevon
        except NeverFlies:
            return -up_travel

    if elevon_left(most) > 0:
        return _MOST_MARGIN
    if elevon_left(LEAST_MARGIN) <= 0:
        return LEAST_MARGIN
    return brentq(elevon_left, LEAST_MARGIN, most, xtol=1e-3)
