"""Calibration of what the stock wing loses as built, by one known flight.

The flight gives one number: charge per distance at one speed. Before the flight, each of the three factors of
``physics.flight.built_wing`` is log-normal about its median. The measured charge is log-normal about the modelled one.
The result are the most probable factors: the flight is shared among them by how far each is in doubt. Speeds are true
airspeeds in still air. For a flight there and back in wind, the mean speed is slightly wrong. The standard deviation of
the measurement covers this error.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.power_data import propeller_band
from tradestudy.aircraft.model.speed_sweep import SpeedSweep, best_speed
from tradestudy.physics.endurance import cruise_range
from tradestudy.physics.flight.built_wing import BuiltFactors
from tradestudy.physics.propulsion import pack
from tradestudy.quantities import with_unit
from tradestudy.study.fault_lines import contradiction
from tradestudy.study.schema.search import KnownFlightTable
from tradestudy.study.schema.study import Study

from . import mixed_flight

# Standard deviation of ln(measured charge per metre): charger, distance by map, wind, turns and climbs.
# Common practice, no source.
FLIGHT_SPREAD = 0.10
_FAR_OFF = 2.0  # standard deviations of the expected charge; a flight farther off gets a flag
_MISSED = 0.10  # share by which the calibrated model may differ from the flight without a flag
SPEED_SLACK = 0.10  # share by which a mean speed may lie outside stall and top speed before it is refused
CHARGE_SLACK = 0.08  # share above the label that is accepted: cells hold slightly more, and chargers read slightly high
_STEP = 1e-20  # size of a complex step
_ROUNDS, _CONVERGED = 60, 1e-13  # most steps of Gauss and Newton, and the largest last one


@dataclass(frozen=True)
class DragCalibration:
    """The factors from a known flight, over those of the study.

    Charges are per distance [C/m] for a steady flight, and of the flight [C] for a mixed one. ``unit`` says which.
    """

    factors: BuiltFactors  # most probable factors [-]
    spreads: BuiltFactors  # standard deviations of their logarithms after the flight [-]
    measured: float
    before: float  # modelled before the flight
    after: float
    flags: tuple[str, ...]
    unit: str = "mAh/km"
    spread: float = FLIGHT_SPREAD  # standard deviation of ln(measured charge) [-]


def known_flight_speed(known: KnownFlightTable) -> float | None:
    """Return the mean speed of a known flight, or None if its distance was not noted. [m/s]"""
    return None if known.distance is None else known.distance / known.time


def check_known_flight(study: Study, known: KnownFlightTable, stock: SpeedSweep, slack: float = SPEED_SLACK) -> None:
    """Raise StudyContradicted if the modelled stock wing cannot have flown the known flight."""
    capacity = float(pack.pack_capacity(stock.powertrain.pack))
    if known.charge_used > (1 + CHARGE_SLACK) * capacity:
        raise contradiction(
            study,
            ("known_flight", "charge_used"),
            f"is {with_unit(known.charge_used, 'mAh')}, but the pack holds "
            f"{with_unit(capacity, 'mAh')}. Read the charger again, or put right pack.cell and pack.parallel.",
        )
    speed = known_flight_speed(known)
    if speed is None:
        return
    given = f"over known_flight.time is {with_unit(speed, 'km/h')}"
    # first check only whether it stalls or lacks thrust; stall and top speed are computed for the message alone
    above_stall = stock.level(speed / (1 - slack)).stall_margin.min() >= 0
    if above_stall and stock.surplus_thrust(speed / (1 + slack))[0] >= 0:
        return
    stall = stock.stall().speed
    if speed < (1 - slack) * stall:
        raise contradiction(
            study,
            ("known_flight", "distance"),
            f"{given}, but by its weight and shape the stock wing stalls at {with_unit(stall, 'km/h')}. Check distance "
            "and time, stock.flying_weight and the chords.",
        )
    top = stock.top_speed(1.02 * stall)
    if speed > (1 + slack) * top:
        raise contradiction(
            study,
            ("known_flight", "distance"),
            f"{given}, but at full throttle the stock wing reaches {with_unit(top, 'km/h')}. Check distance and time, "
            "motor.speed_constant, propeller.size and pack.series.",
        )


def factor_spreads(study: Study) -> BuiltFactors:
    """Return the standard deviations of the logarithms of the three factors before any flight. [-]

    A flight cannot tell the scatter of the propeller from other losses of the drive, so both are in the same factor.
    """
    spreads, blade = study.built.spreads, propeller_band(study)
    if not spreads.drive_power or blade is None:
        return spreads
    return spreads._replace(drive_power=float(np.hypot(spreads.drive_power, blade.power)))


def drag_calibration(study: Study, known: KnownFlightTable, stock: SpeedSweep) -> DragCalibration:
    """Return the most probable factors. The model of ``stock`` has those of the study."""
    log_charge, measured, unit, flight = _reading(study, known, stock)
    prior = np.array(factor_spreads(study))
    logs, covariance = factors_by_charge(log_charge, np.log(measured), prior, flight)
    expected, slopes = _with_slopes(log_charge, np.zeros(3))
    before, after = float(np.exp(expected)), float(np.exp(log_charge(logs)))
    flags = []
    if abs(np.log(measured) - expected) > _FAR_OFF * np.hypot(np.linalg.norm(prior * slopes), flight):
        flags.append(
            f"the known flight used {measured / before:.2f} times the charge that the model expects, which is hard to "
            f"believe. Check known_flight, motor and propeller. Until then {after / before:.2f} times is taken"
        )
    if abs(measured / after - 1) > max(_MISSED, flight):
        flags.append(
            f"the known flight used {with_unit(measured, unit)}; the calibrated model gives "
            f"{with_unit(after, unit)}: expect {'less' if measured > after else 'more'} range "
            "than reported here"
        )
    spreads = BuiltFactors(*np.sqrt(np.diag(covariance)).tolist())
    return DragCalibration(
        BuiltFactors(*np.exp(logs).tolist()), spreads, measured, before, after, tuple(flags), unit, flight
    )


def _reading(study: Study, known: KnownFlightTable, stock: SpeedSweep) -> tuple[Callable, float, str, float]:
    """Return what a known flight measured: its ln(charge) by ln(factors) (3,), charge, unit, and standard deviation."""
    if known.is_mixed or known.distance is None:
        log_charge, spread = _mixed_charge_by_factors(study, known, stock)
        return log_charge, known.charge_used, "mAh", spread
    return charge_by_factors(known, stock), known.charge_used / known.distance, "mAh/km", FLIGHT_SPREAD


def with_flown_parts(study: Study, factors: BuiltFactors, choice: Choice) -> BuiltFactors:
    """Return the factors of a known flight for a wing with the parts of ``choice``.

    With another propeller, what the flight says of the drive holds as far as the doubt is not about the propeller that
    flew. With another motor it does not hold, since the flight cannot tell which part of the drive it measured.
    """
    if choice.motor:
        return factors._replace(drive_power=1.0)
    if choice.propeller == study.propeller.size:
        return factors
    own, both = study.built.drive_power_spread, factor_spreads(study).drive_power
    share = (own / both) ** 2 if both else 1.0
    return factors._replace(drive_power=factors.drive_power**share)


def _mixed_charge_by_factors(study: Study, known: KnownFlightTable, stock: SpeedSweep) -> tuple[Callable, float]:
    """Return ln(charge [C]) of a mixed flight as a function of ln(factors) (3,), and its standard deviation. [-]"""
    best = best_speed(stock)
    train, power, listed = stock.powertrain, stock.data.power, stock.data.level.parts_drag_area
    notes = mixed_flight.FlightNotes(
        time=np.array([known.time]),
        charge=np.array([known.charge_used]),
        ground_speed=np.array([known_flight_speed(known) or np.nan]),
        share=np.array([known.full_throttle]),
        wind=np.array([np.nan]),
    )
    top = stock.top_speed(best)

    def with_factors(logs: Any) -> mixed_flight.WingInFlight:
        section_drag, wake_drag, drive_power = np.exp(logs)

        def drag(speed: Any) -> Any:
            state = stock.level(speed)
            smooth = state.profile + state.other - listed
            wake = mixed_flight.TURNING * wake_drag * state.induced
            return state.dynamic_pressure * (listed + section_drag * smooth + wake)

        return mixed_flight.WingInFlight(
            train=train._replace(drive_power_factor=drive_power * train.drive_power_factor),
            drag=drag,
            density=power.air_density,
            avionics=power.avionics_power,
            best_speed=best,
            top_speed=top,
            label_capacity=float(pack.pack_capacity(train.pack)),
            usual_share=study.fly.full_throttle_share,
        )

    def log_charge(logs: Any) -> Any:
        return np.log(mixed_flight.charges(with_factors(logs), notes, mixed_flight.Habits())[0])

    return log_charge, mixed_flight.one_flight_spread(with_factors(np.zeros(3)), notes)


def charge_by_factors(known: KnownFlightTable, stock: SpeedSweep) -> Callable:
    """Return ln(charge per metre [C/m]) as a function of ln(factors) (3,), for the discharge of a known flight.

    The factors multiply those of the model of ``stock``.
    """
    mean = known_flight_speed(known)
    assert mean is not None, "a steady flight has a distance"
    speed = np.atleast_1d(mean)
    state = stock.level(speed)
    listed = state.dynamic_pressure * stock.data.level.parts_drag_area
    smooth = state.dynamic_pressure * (state.profile + state.other) - listed
    wake = state.dynamic_pressure * state.induced
    used = min(known.charge_used / float(pack.pack_capacity(stock.powertrain.pack)), 1.0)  # at most a full pack
    power, train = stock.data.power, stock.powertrain

    def log_charge(logs):
        section_drag, wake_drag, drive_power = np.exp(logs)
        cruise = cruise_range.cruise_at_thrust(
            train._replace(drive_power_factor=drive_power * train.drive_power_factor),
            speed,
            listed + section_drag * smooth + wake_drag * wake,
            power.air_density,
            1 - used,
            power.avionics_power,
        )
        return np.log(cruise.charge_per_metre[0])

    return log_charge


def factors_by_charge(
    log_charge: Callable, measured: float, prior: np.ndarray, flight: float = FLIGHT_SPREAD
) -> tuple[np.ndarray, np.ndarray]:
    """Return the logarithms of the most probable factors (n,), and their covariance (n, n).

    Minimises sum(x^2 / prior^2) + (measured - log_charge(x))^2 / flight^2 over x = ln(factors), by Gauss and Newton's
    method. ``log_charge`` accepts complex numbers. ``measured`` is the logarithm of the measured charge per metre
    [C/m]. ``prior`` (n,) and ``flight`` are standard deviations; a factor with none keeps its value. [-]
    """
    variance = prior**2
    logs = np.zeros(len(prior))
    for _ in range(_ROUNDS):
        modelled, slopes = _with_slopes(log_charge, logs)
        gain = variance * slopes / (slopes @ (variance * slopes) + flight**2)
        step = gain * (measured - modelled + slopes @ logs) - logs
        logs = logs + step
        if np.abs(step).max() < _CONVERGED:
            break
    return logs, np.diag(variance) - np.outer(gain, variance * slopes)


def _with_slopes(log_charge: Callable, logs: np.ndarray) -> tuple[float, np.ndarray]:
    """Return a function of ln(factors) (n,) and its slopes (n,), by complex steps."""
    stepped = [log_charge(logs + 1j * _STEP * way) for way in np.eye(len(logs))]
    return float(stepped[0].real), np.array([each.imag for each in stepped]) / _STEP
