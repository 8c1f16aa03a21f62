"""Calibration of the drag by one known flight of the stock wing.

The flight gives one number: charge per distance at one speed. Before the flight, the factor on section and parts drag
is log-normal about 1. The measured charge is log-normal about the modelled one. The result is the most probable factor.
Speeds are true airspeeds in still air. For a flight there and back in wind, the mean speed is slightly wrong. The
standard deviation of the measurement covers this error.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq

from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.errors import RunFailed
from tradestudy.physics.endurance import cruise_range
from tradestudy.physics.propulsion import pack
from tradestudy.quantities import format_in_unit, with_unit
from tradestudy.study.schema.search import KnownFlightTable
from tradestudy.study.schema.study import Study

# Standard deviation of ln(drag factor) before any flight. A clean model and a logged flight differ by up to a factor of
# two (gaps, dents, tape, parts not listed), taken as two standard deviations: ln 2 / 2. Common practice, no source.
PRIOR_SPREAD = 0.35
# Standard deviation of ln(measured charge per metre): charger, distance by map, wind, turns and climbs.
# Common practice, no source.
FLIGHT_SPREAD = 0.10
_FAR_OFF = 2.0  # prior standard deviations; a flight whose own factor lies farther off gets a flag
_MISSED = 0.10  # share by which the calibrated model may differ from the flight without a flag
SPEED_SLACK = 0.10  # share by which a mean speed may lie outside stall and top speed before it is refused
CHARGE_SLACK = 0.08  # share above the label that is accepted: cells hold slightly more, and chargers read slightly high
_SEARCHED = 8.0  # widest drag factor in the search; the smallest is its reciprocal
_STEP = 1e-20  # size of a complex step


@dataclass(frozen=True)
class DragCalibration:
    """The drag factor from a known flight. ``measured``, ``before`` and ``after`` are charge per distance [C/m]."""

    factor: float  # most probable factor on section and parts drag [-]
    spread: float  # standard deviation of its logarithm after the flight [-]
    measured: float
    before: float  # modelled at factor 1
    after: float
    flags: tuple[str, ...]


def known_flight_speed(known: KnownFlightTable) -> float:
    """Return the mean speed of a known flight. [m/s]"""
    return known.distance / known.time


def check_known_flight(study: Study, known: KnownFlightTable, stock: SpeedSweep, slack: float = SPEED_SLACK) -> None:
    """Raise RunFailed if the modelled stock wing cannot have flown the known flight."""
    capacity = float(pack.pack_capacity(stock.powertrain.pack))
    if known.charge_used > (1 + CHARGE_SLACK) * capacity:
        raise RunFailed(
            f"{study.path}: known_flight.charge_used is {with_unit(known.charge_used, 'mAh')}, but the pack holds "
            f"{with_unit(capacity, 'mAh')}. Read the charger again, or put right pack.cell and pack.parallel."
        )
    speed = known_flight_speed(known)
    given = f"{study.path}: known_flight.distance over known_flight.time is {with_unit(speed, 'km/h')}"
    # first check only whether it stalls or lacks thrust; stall and top speed are computed for the message alone
    above_stall = stock.level(speed / (1 - slack)).stall_margin.min() >= 0
    if above_stall and stock.surplus_thrust(speed / (1 + slack))[0] >= 0:
        return
    stall = stock.stall().speed
    if speed < (1 - slack) * stall:
        raise RunFailed(
            f"{given}, but by its weight and shape the stock wing stalls at {with_unit(stall, 'km/h')}. Check distance "
            "and time, stock.flying_weight and the chords."
        )
    top = stock.top_speed(1.02 * stall)
    if speed > (1 + slack) * top:
        raise RunFailed(
            f"{given}, but at full throttle the stock wing reaches {with_unit(top, 'km/h')}. Check distance and time, "
            "motor.speed_constant, propeller.size and pack.series."
        )


def drag_calibration(known: KnownFlightTable, stock: SpeedSweep) -> DragCalibration:
    """Return the most probable drag factor. The drag factor in the data of ``stock`` is 1."""
    log_charge = charge_by_factor(known, stock)
    measured = known.charge_used / known.distance
    log_factor, spread = most_probable_factor(log_charge, np.log(measured))
    flags = []
    low, high = (float(log_charge(side * _FAR_OFF * PRIOR_SPREAD)) for side in (-1, 1))
    if not low < np.log(measured) < high:
        flags.append(
            f"the known flight alone asks for {_alone(log_charge, np.log(measured))} the section and parts drag of the "
            f"model, which is hard to believe: check known_flight, motor and propeller; {np.exp(log_factor):.2f} times "
            "is taken"
        )
    after = float(np.exp(log_charge(log_factor)))
    if abs(measured / after - 1) > _MISSED:
        flags.append(
            f"the known flight used {with_unit(measured, 'mAh/km')}; the calibrated model gives "
            f"{format_in_unit(after, 'mAh/km')}: expect {'less' if measured > after else 'more'} range "
            "than reported here"
        )
    return DragCalibration(
        float(np.exp(log_factor)), spread, measured, float(np.exp(log_charge(0.0))), after, tuple(flags)
    )


def _alone(log_charge: Callable, measured: float) -> str:
    """Return in words the drag factor with which the model matches the flight exactly."""
    low, high = -np.log(_SEARCHED), np.log(_SEARCHED)
    if not float(log_charge(low)) < measured < float(log_charge(high)):
        more = measured > float(log_charge(0.0))
        return f"more than {_SEARCHED:.0f} times" if more else f"less than 1/{_SEARCHED:.0f} of"
    return f"{np.exp(brentq(lambda x: float(log_charge(x)) - measured, low, high, xtol=1e-6)):.2f} times"


def charge_by_factor(known: KnownFlightTable, stock: SpeedSweep) -> Callable:
    """Return ln(charge per metre [C/m]) as a function of ln(drag factor), for the discharge of a known flight."""
    speed = np.atleast_1d(known_flight_speed(known))
    state = stock.level(speed)
    scaled = state.dynamic_pressure * (state.profile + state.other) / stock.data.level.drag_factor
    by_lift = state.dynamic_pressure * state.induced
    used = min(known.charge_used / float(pack.pack_capacity(stock.powertrain.pack)), 1.0)  # at most a full pack
    power = stock.data.power

    def log_charge(log_factor):
        cruise = cruise_range.cruise_at_thrust(
            stock.powertrain,
            speed,
            np.exp(log_factor) * scaled + by_lift,
            power.air_density,
            1 - used,
            power.avionics_power,
        )
        return np.log(cruise.charge_per_metre[0])

    return log_charge


def most_probable_factor(
    log_charge: Callable, measured: float, prior: float = PRIOR_SPREAD, flight: float = FLIGHT_SPREAD
) -> tuple[float, float]:
    """Return the logarithm of the most probable factor, and its standard deviation from the curvature at that point.

    Minimises x^2 / (2 prior^2) + (measured - log_charge(x))^2 / (2 flight^2) over x = ln(factor), by finding the root
    of its derivative. ``log_charge`` accepts complex numbers and rises with x. ``measured`` is the logarithm of the
    measured charge per metre [C/m]. ``prior`` and ``flight`` are standard deviations. [-]
    """

    def slope(x):
        stepped = log_charge(x + 1j * _STEP)
        return x / prior**2 - (measured - stepped.real) * stepped.imag / _STEP / flight**2

    end = 0.05 * np.sign(-slope(0.0))
    if end == 0:
        best = 0.0
    else:
        while slope(end) * end < 0:  # the prior's part grows without bound, so the derivative changes sign somewhere
            end *= 2
        best = brentq(slope, 0.0, end, xtol=1e-13)
    step = 1e-5
    curvature = (slope(best + step) - slope(best - step)) / (2 * step)
    return float(best), float(curvature**-0.5)
