"""The band of one wing on one day: that of its draws, narrowed by flights and widened by the pack and the cold.

The draws of a wing are at the conditions of the study, without its logbook. Flights narrow what the fit has factors
for. What it has none for, such as the power of the equipment, stays as wide as drawn.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.aircraft.day.day_numbers import TENTH
from tradestudy.results.inputs import SpreadResult
from tradestudy.uncertainty.fit.next_measurement import RangeBand


class FlownRange(NamedTuple):
    """What flights say of the range: standard deviations of its logarithm by the factors of the fit alone. [-]"""

    before: float  # without the flights of the logbook
    after: float  # with them

    @property
    def shift(self) -> float:
        """How much still counts of what the study tells without the logbook: 1 without flights, then less. [-]"""
        return (min(self.before, self.after) / self.before) ** 2 if self.before > 0 else 1.0


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
        shift, falls = flown.shift, _narrowed(flown, falls)
    wide = float(np.hypot(falls[0], doubt))
    shifted = {name: float(share**shift) for name, share in over.items()}
    return DayBand(
        shifted,
        shifted["radius_by_charge_km"] * float(np.exp(-TENTH * wide)),
        shifted["cruise_current_a"] * float(np.exp(-TENTH * falls[1])),
    )


def flown_range(drawn: SpreadResult, unflown: float, prior: RangeBand, flown: RangeBand) -> RangeBand:
    """Return the range to expect of a wing after flights, and its band: the numbers that the draws tell, not the fit.

    ``unflown`` is the range that the study tells without its logbook. [m]
    ``prior`` and ``flown`` are the wing's bands by the factors of the fit alone, without and with the flights of the
    logbook. Where they are equal, range and band are those without the logbook: a fit shares a known flight among more
    factors than the calibration does, and so expects some per cent more or less. [m]
    """
    low, middle, high = drawn.percentiles.range_km
    if not 0 < low <= middle <= high:
        return flown
    deviations = FlownRange(*(float(np.log(one.middle / one.low)) / TENTH for one in (prior, flown)))
    fall, rise = _narrowed(deviations, [float(np.log(one)) / TENTH for one in (middle / low, high / middle)])
    expected = flown.middle * (unflown / prior.middle) ** deviations.shift
    return RangeBand(expected * float(np.exp(-TENTH * fall)), expected, expected * float(np.exp(TENTH * rise)))


def _narrowed(flown: FlownRange, deviations: list[float]) -> list[float]:
    """Return the deviations that flights leave. [-]"""
    before, after = flown.before**2, min(flown.before, flown.after) ** 2
    return [float(np.sqrt(max(one**2 - before, 0.0) + after)) for one in deviations]
