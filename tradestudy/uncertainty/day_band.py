"""The band of one wing on one day: that of its draws, narrowed by flights and widened by the pack and the cold.

The draws of a wing are at the conditions of the study, without its logbook. Flights narrow what the fit has factors
for. What it has none for, such as the power of the equipment, stays as wide as drawn.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.aircraft.day.day_numbers import TENTH
from tradestudy.results.inputs import SpreadResult


class FlownRange(NamedTuple):
    """What flights say of the range: standard deviations of its logarithm by the factors of the fit alone. [-]"""

    before: float  # without the flights of the logbook
    after: float  # with them


class DayBand(NamedTuple):
    """The values to expect over those at the medians, and two cautious ends. [-]"""

    over: dict[str, float]  # by quantity of the draws: the middle over the value at the medians
    turns: float  # distance to the turn at its low end over that at the medians
    current: float  # current at its low end over that at the medians


def day_band(drawn: SpreadResult, flown: FlownRange | None = None, doubt: float = 0.0) -> DayBand:
    """Return the band of the day. ``doubt`` is the standard deviation of ln(distance) by pack and cold. [-]

    Without flights and without doubt, the low end of the turn is that of the draws exactly. Flights take the part of
    the variance that the prior of the factors has, and leave that of their fit. The shift of the middle goes with it.
    """
    over, turn, amps = drawn.over_medians, drawn.percentiles.radius_by_charge_km, drawn.percentiles.cruise_current_a
    falls = [np.log(middle / low) / TENTH if low > 0 else 1.0 for low, middle, _ in (turn, amps)]
    shift = 1.0
    if flown is not None:
        before, after = flown.before**2, min(flown.before, flown.after) ** 2
        shift = after / before if before > 0 else 1.0
        falls = [np.sqrt(max(fall**2 - before, 0.0) + after) for fall in falls]
    wide = float(np.hypot(falls[0], doubt))
    shifted = {name: float(share**shift) for name, share in over.items()}
    return DayBand(
        shifted,
        shifted["radius_by_charge_km"] * float(np.exp(-TENTH * wide)),
        shifted["cruise_current_a"] * float(np.exp(-TENTH * falls[1])),
    )
