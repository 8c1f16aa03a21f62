"""How far from its balance mark a wing may be: where it flies as promised, and where it still flies at all."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.optimize import brentq

from tradestudy.aircraft.model.speed_sweep import NeverFlies, SpeedSweep
from tradestudy.quantities import from_edge

LEAST_MARGIN = 0.03  # of the mean chord: below it these wings hunt in pitch; common practice, no source
_MOST_MARGIN = 0.60  # of the mean chord: no front end is searched further forward
_MARGIN_STEP = 0.01  # of the mean chord, between margins that are evaluated
_ELEVON_MOVES = from_edge("deg", 1.0)  # trim that differs by more is noticed in cruise; common practice, no source

LAUNCH, BEFORE_STALL, STALL, NONE = (
    "full up-elevon at launch speed",
    "full up-elevon before the stall",
    "a stall at launch speed",
    "no end found",
)


class BalanceRange(NamedTuple):
    """Ends of the range behind the nose [m], and what sets the front one."""

    front: float
    back: float
    front_reason: str


def trim_range(sweep: SpeedSweep) -> tuple[float, float]:
    """Return front and back end, behind the nose, of the range where the wing flies as promised. [m]

    At either end the elevon in cruise differs by one degree from that on the balance mark. At the back the static
    margin also stays above ``LEAST_MARGIN``, unless the mark itself lies behind that.
    """
    chord, margin = float(sweep.solution.areas.mean_aerodynamic_chord), float(sweep.static_margin)

    def trim(static_margin: float) -> tuple[float, float]:
        flight = sweep.level(sweep.cruise_speed, static_margin)
        return float(flight.centre_of_gravity), float(flight.elevon[0])

    (mark, elevon), (_, elevon_ahead) = trim(margin), trim(margin + _MARGIN_STEP)
    reach = _MARGIN_STEP * chord * _ELEVON_MOVES / abs(elevon_ahead - elevon)
    return mark - reach, mark + min(reach, max(0.0, (margin - LEAST_MARGIN) * chord))


def balance_range(sweep: SpeedSweep, launch_speed: float, up_travel: float) -> BalanceRange:
    """Return where the wing still flies, with ``up_travel`` [rad] of elevon at full stick and ``launch_speed`` [m/s].

    The front end has one of three reasons. Full up-elevon no longer trims at launch speed; something stalls there; or
    the elevons end before the stall, so that the wing cannot be flared. At the back the static margin falls to
    ``LEAST_MARGIN``.
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
    """The margin at which a ``reserve`` (n,) first falls to zero, linear between its neighbours."""
    out = np.flatnonzero(reserve <= 0)
    if not len(out):
        return _MOST_MARGIN
    index = int(out[0])
    if index == 0:
        return float(margins[0])
    share = reserve[index - 1] / (reserve[index - 1] - reserve[index])
    return float(margins[index - 1] + share * (margins[index] - margins[index - 1]))


def _flare_margin(sweep: SpeedSweep, up_travel: float, most: float) -> float:
    """The margin, up to ``most``, at which full up-elevon just reaches the stall."""

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
