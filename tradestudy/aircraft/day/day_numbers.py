"""What a pilot needs on one day: hold, turn back, land, and the alarms to set, all at the medians of the inputs.

Speeds, currents and turning points are those of the speed card, with the wind of today as its only wind.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from tradestudy.aircraft.assessment.pilot_card import pilot_card
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.errors import RunFailed
from tradestudy.physics.propulsion import cold_and_age, pack
from tradestudy.results.flight import PilotCard
from tradestudy.study.schema.built import BAND_END

from .today import (
    Today,
    charge_at_least_voltage,
    charge_out_of_reach,
    least_voltage,
    resistance_today,
    wing_today,
)

TENTH = 1.2816  # standard deviations from the middle to the 10 % percentile
_CLEAR = 1.03  # alarm over the least voltage of the cells, at least; common practice, no source [-]


class DayNumbers(NamedTuple):
    """The numbers of one wing on one day, SI but for the card."""

    card: PilotCard  # the speed card with the wind of today alone
    capacity: float  # charge of the pack [C]
    reserve: float  # state of charge on landing; cold may raise it above that of the study [-]
    out_of_reach: float  # state of charge below which the cells fall under their least voltage in cruise [-]
    end_resistance: float  # resistance of the pack at the reserve [ohm]
    least_voltage: float  # of the pack under load, by the cell's maker or the study's cut-off [V]
    full_throttle_current: float  # in cruise on a full pack [A]
    full_throttle_ends: float  # state of charge below which full throttle takes the cells under that voltage [-]


def day_numbers(
    design: EvaluatedDesign, today: Today, factors: Mapping[str, float] | None = None, cautious: float | None = None
) -> DayNumbers:
    """Return the numbers of one wing on one day.

    ``design`` is in the air and with the pack of the study, and ``factors`` are as for `wing_today`. ``cautious`` [m/s]
    is as for `pilot_card`. Raises RunFailed if the wing cannot cruise to the end of its charge at any speed.
    """
    wing = wing_today(design, today, factors)
    card = pilot_card(wing, cautious)
    if card is None:
        raise RunFailed(
            "This wing cannot cruise to the end of its charge today, at any speed that is no slower than "
            "fly.cruise_at_least. A warmer or a newer pack helps."
        )
    cells, reserve = wing.powertrain.pack, float(wing.data.power.reserve)
    full = wing.full_throttle(wing.cruise_speed)
    return DayNumbers(
        card,
        float(pack.pack_capacity(cells)),
        reserve,
        charge_out_of_reach(wing),
        float(pack.pack_resistance(cells, reserve)),
        least_voltage(wing),
        float(np.ravel(full.pack_current)[0]),
        charge_at_least_voltage(wing, None),
    )


def pack_doubt(
    design: EvaluatedDesign, today: Today, card: PilotCard, factors: Mapping[str, float] | None = None
) -> float:
    """Return the standard deviation of ln(distance to the turn) by the pack and the cold of today. [-]

    It comes on top of the doubts of the study. For the study's own pack at its own temperature it is zero. ``card`` is
    that of the day. The scatter of cells in the cold is `cold_and_age.ACTIVATIONS`, nine of ten cells between them.
    """
    doubts = [charge_doubt(design, today)]
    if today.pack.resistance_spread:
        worse = pilot_card(wing_today(design, today, factors, resistance=math.exp(today.pack.resistance_spread)))
        doubts.append(_fall(card, worse))
    if today.temperature is not None and today.temperature != design.study.pack.temperature:
        ends = [pilot_card(wing_today(design, today, factors, activation=one)) for one in cold_and_age.ACTIVATIONS]
        doubts.append(max(_fall(card, end) for end in ends) / BAND_END)
    return float(np.linalg.norm(doubts))


def charge_doubt(design: EvaluatedDesign, today: Today) -> float:
    """Return the standard deviation of ln(charge of the pack) by its age and the cold, over that of the study. [-]

    Source of the cold: `cold_and_age.COLD_CHARGE`.
    """
    each = (cold_and_age.COLD_CHARGE - cold_and_age.COLD_CHARGE_USUAL) / TENTH
    return math.hypot(today.pack.charge_spread, each * _colder(design, today))


def resistance_doubt(design: EvaluatedDesign, today: Today) -> float:
    """Return the standard deviation of ln(resistance of the cells) by their age and the cold, over the study's. [-]

    Source of the cold: `cold_and_age.ACTIVATIONS`, nine of ten cells between them.
    """
    if today.temperature is None:
        return today.pack.resistance_spread
    low, high = (math.log(resistance_today(design, today, end)) for end in cold_and_age.ACTIVATIONS)
    return math.hypot(today.pack.resistance_spread, 0.5 * (high - low) / BAND_END)


def charge_in_the_cold(design: EvaluatedDesign, today: Today) -> float:
    """Return the charge of a usual cell in the cold of today over that in the study, besides its resistance. [-]

    Source: `cold_and_age.COLD_CHARGE_USUAL`. It counts at the cautious end alone, since half of the measured cells lose
    next to nothing.
    """
    return math.exp(-cold_and_age.COLD_CHARGE_USUAL * _colder(design, today))


def _colder(design: EvaluatedDesign, today: Today) -> float:
    """Return how much colder the pack is than in the study, below 20 C. [K]"""
    if today.temperature is None:
        return 0.0
    return max(0.0, min(design.study.pack.temperature, cold_and_age.ROOM_TEMPERATURE) - today.temperature)


def _fall(card: PilotCard, other: PilotCard | None) -> float:
    """Return how far the logarithm of the distance to the turn of another card differs, as a positive number. [-]"""
    before, after = (one.turns[0].full_km if one else None for one in (card, other))
    if not before or not after:
        return 1.0  # one of them makes no headway, or cannot cruise at all
    return abs(math.log(after / before))


def alarm_voltage(numbers: DayNumbers, resting: float, current: float, doubt: float) -> float:
    """Return the voltage at which to land, under the load of cruise: that of the reserve, on the early side. [V]

    Algebra. ``resting`` [V] is that of the pack at the reserve, and ``current`` [A] is that to expect there. ``doubt``
    is the standard deviation of ln(current times resistance) [-]. A pack that sags little keeps a high voltage until
    late, so one in ten is taken there. The result keeps `_CLEAR` above the least voltage of each cell.
    """
    ohms = numbers.end_resistance * math.exp(-TENTH * doubt)
    return max(resting - ohms * current, numbers.least_voltage * _CLEAR)
