"""What the stock wing is known to do bounds unknown film and foam: no assumption may ground a wing that flies.

It bounds them at the speed, weight and load that were flown. Cells, motor, balance and load test are untouched.
"""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

from tradestudy.aircraft.model.limit_bounds import PULL_UP
from tradestudy.aircraft.model.model_data import ModelData
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.aircraft.model.structure_data import weak_strength_data
from tradestudy.physics.aeroelastic import divergence_reversal, elastic_wing, flown
from tradestudy.physics.flight.control import LOOSE_BOND
from tradestudy.study.schema.study import Study

from .drag_calibration import known_flight_speed
from .strength_calibration import surely_carried

# Stiffness in torsion of the next wing by the same hands over that of the wing whose twist was measured, at least:
# judgement, no source [-]
_SAME_HANDS = 0.8


class FlownLimits(NamedTuple):
    """Bounds on weak materials from what the stock wing is known to do."""

    least_covering: float = 0.0  # least share of the covering's nominal stiffness [-]
    weak_strength_factor: float = 1.0  # factor on the strength of weak materials [-]


def flown_limits(study: Study, stock: SpeedSweep) -> FlownLimits:
    """Return the bounds that flights of the stock wing set. ``stock`` is at its cruise speed."""
    share = _least_covering(stock, fastest_known(study, stock.cruise_speed))
    if study.load_test and (study.load_test.twist_angle or study.load_test.edge_rise):
        share = max(share, _SAME_HANDS)
    strong = stock.data.strength._replace(least_covering=share)
    weakest = min(
        float(stock.structure_of(each).failure_load_factor[PULL_UP]) for each in weak_strength_data(study, strong)
    )
    return FlownLimits(share, max(1.0, surely_carried(study) / weakest))


def with_flown_limits(data: ModelData, limits: FlownLimits) -> ModelData:
    """Return a model's data with bounds on weak materials."""
    return replace(data, strength=data.strength._replace(**limits._asdict()))


def fastest_known(study: Study, cruise: float) -> float:
    """Return the fastest speed that the stock wing is known to fly; ``cruise`` is its computed cruise. [m/s]"""
    flight = study.known_flight
    return max(study.fly.fastest_flown or 0.0, (known_flight_speed(flight) if flight else None) or 0.0, cruise)


def _least_covering(stock: SpeedSweep, speed: float) -> float:
    """Return the least share of the covering's stiffness with which the stock wing rolls and holds at a speed. [-]"""
    half, density = stock.wings.half, stock.data.flight.air_density

    def critical(share: float) -> float:
        (soft,) = elastic_wing.compliances((share,), *half)
        ends = divergence_reversal.critical_speeds(stock.air, soft, density)
        return min(float(ends.roll_reversal), float(ends.twist_off))

    return flown.least_share(critical, speed, LOOSE_BOND)
