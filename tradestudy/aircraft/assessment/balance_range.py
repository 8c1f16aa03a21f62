"""How far forward and back a wing may balance at all: by what its elevons can hold, and by steadiness in pitch.

The window (`balance_window`) is where it flies as promised; this is where it still flies.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.optimize import brentq

from tradestudy.aircraft.model.speed_sweep import NeverFlies, SpeedSweep

from .balance_window import LEAST_MARGIN

MOST_MARGIN = 0.60  # of the mean chord: as far forward as anybody could look for it
STEP = 0.01  # of the mean chord

LAUNCH, STALL, FLOWN, NONE = (
    "full up-elevon at launch speed",
    "full up-elevon before the stall",
    "a stall at launch speed",
    "no end found",
)


class BalanceRange(NamedTuple):
    """Ends of the range behind the nose [m] and what sets the front one."""

    front: float
    back: float
    front_reason: str


def balance_range(flown: SpeedSweep, launch_speed: float, up_travel: float) -> BalanceRange:
    """Return where the wing may balance, with ``up_travel`` [rad] of elevon at full stick and ``launch_speed`` [m/s].

    In front: full up-elevon no longer trims it at launch speed, something stalls there, or the elevons end before the
    stall, so that it cannot be flared. At the back: the static margin falls to ``LEAST_MARGIN``.
    """
    chord = float(flown.solution.areas.mean_aerodynamic_chord)
    neutral = float(-flown.solution.unit.moment_volume[1] / flown.solution.unit.lift_area[1])
    margins = np.arange(LEAST_MARGIN, MOST_MARGIN + STEP, STEP)
    at_launch = flown.level(np.full_like(margins, launch_speed), margins)
    ends = [
        (_first(margins, up_travel + at_launch.elevon), LAUNCH),
        (_first(margins, at_launch.stall_margin.min(axis=-1)), FLOWN),
    ]
    nearest = min(end for end, _ in ends)
    ends.append((_before_stall(flown, up_travel, nearest), STALL))
    margin, reason = min(ends)
    return BalanceRange(
        neutral - margin * chord, neutral - LEAST_MARGIN * chord, NONE if margin >= MOST_MARGIN else reason
    )


def _first(margins: np.ndarray, left: np.ndarray) -> float:
    """The margin at which what is ``left`` first runs out, linear between its neighbours."""
    out = np.flatnonzero(left <= 0)
    if not len(out):
        return MOST_MARGIN
    index = int(out[0])
    if index == 0:
        return float(margins[0])
    share = left[index - 1] / (left[index - 1] - left[index])
    return float(margins[index - 1] + share * (margins[index] - margins[index - 1]))


def _before_stall(flown: SpeedSweep, up_travel: float, most: float) -> float:
    """The margin, up to ``most``, at which full up-elevon just reaches the stall."""

    def left(margin: float) -> float:
        try:
            return up_travel + flown.stall(margin).elevon
        except NeverFlies:
            return -up_travel

    if left(most) > 0:
        return MOST_MARGIN
    if left(LEAST_MARGIN) <= 0:
        return LEAST_MARGIN
    return brentq(left, LEAST_MARGIN, most, xtol=1e-3)
