"""Missions on one charge: radius of a flight out and home in wind, and duration of a usual flight.

All missions assume steady cruise as in `cruise_range`. Launch, landing and the energy that a descent recovers from a
climb are left out. In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.propulsion import pack as packs
from tradestudy.physics.propulsion.drive_train import Powertrain, ShaftPoint, full_throttle, operating_point

from . import cruise_range as ranges


def radius_out_and_home(airspeed: Any, endurance: Any, wind: Any) -> Any:
    """Return the distance (...) to the turn of a flight with one leg against the wind and one with it. [m]

    Algebra: over the ground the legs of length R have the speeds V - w and V + w, at the same power. Their time is
    T = R / (V - w) + R / (V + w) = 2 R V / (V^2 - w^2), so R = T (V^2 - w^2) / (2 V).

    R is smooth and the same for either order of the legs. Without wind it is half the range. In a wind as fast as the
    wing or faster the flight does not come home. R is then zero or less, and its slope leads back to feasible flights.

    Parameters
    ----------
    airspeed, endurance, wind : (...) arrays
        True airspeed V on both legs, time T in the air, wind w along the track. [m/s, s, m/s]

    Examples
    --------
    >>> radius_out_and_home(airspeed=10.0, endurance=3600.0, wind=5.0)
    13500.0
    """
    return endurance * (airspeed * airspeed - wind * wind) / (2 * airspeed)


class TurnBack(NamedTuple):
    """Turning point from which the way home ends at the reserve; every field has the batch shape (...)."""

    radius: Any  # distance over the ground; zero where one of the legs makes no progress [m]
    state_of_charge: Any  # state of charge at the turn [-]
    voltage: Any  # voltage of the pack at the turn, still under the load of the way out [V]
    time: Any  # total time of both legs [s]


def turn_back(
    powertrain: Powertrain,
    outward: ShaftPoint,
    homeward: ShaftPoint,
    ground_speeds: Sequence[Any],
    reserve: Any,
    other_power: Any = 0.0,
    start: Any = 1.0,
) -> TurnBack:
    """Return the TurnBack (...) of a flight whose legs may have different airspeeds.

    Parameters
    ----------
    powertrain : Powertrain
    outward, homeward : ShaftPoint
        Steady cruise (...) on the way out and on the way home.
    ground_speeds : pair of (...) arrays
        Speed over the ground on each leg. Zero or less means no progress. [m/s]
    reserve, other_power, start : (...) arrays
        State of charge at the end [-], power to everything but the motor [W], state of charge at the beginning [-].

    Notes
    -----
    Numerics: Newton's method solves G1 T1(start to S) = G2 T2(S to reserve) for the charge S at the turn. G are ground
    speeds and T times of the two legs. Slopes of the times come from the currents at S. With the same airspeed on both
    legs and a full pack, the radius equals ``radius_out_and_home``.
    """
    capacity = packs.pack_capacity(powertrain.pack)
    out, home = (np.asarray(each) for each in ground_speeds)
    progresses = (out.real > 0) & (home.real > 0)
    out, home = np.where(progresses, out, 1.0), np.where(progresses, home, 1.0)

    def current_at(shaft: ShaftPoint, charge: Any) -> Any:
        return operating_point(powertrain, shaft, charge, other_power).pack_current

    costs = [current_at(shaft, start) / speed for shaft, speed in ((outward, out), (homeward, home))]
    charge = start - (start - reserve) * costs[0] / (costs[0] + costs[1])
    for _ in range(ranges.MOST_STEPS):
        away = ranges.cruise_time(powertrain, outward, charge, other_power, start)
        back = ranges.cruise_time(powertrain, homeward, reserve, other_power, charge)
        slope = capacity * (out / current_at(outward, charge) + home / current_at(homeward, charge))
        step = (out * away - home * back) / slope
        charge = charge + step
        if np.all(abs(step) < ranges.CONVERGED):
            break
    charge = np.where(progresses, charge, start)
    return TurnBack(
        radius=np.where(progresses, out * away, 0.0),
        state_of_charge=charge,
        voltage=operating_point(powertrain, outward, charge, other_power).pack_voltage,
        time=np.where(progresses, away + back, 0.0),
    )


def full_throttle_charges(reserve: Any) -> np.ndarray:
    """Return the states of charge (3, ...) at which `usual_flight_time` needs full-throttle currents. [-]

    They are those of a full pack, of the ``reserve`` (...) [-], and half way between them. Numerics, no source needed.
    """
    return np.array([1 + 0 * reserve, 0.5 * (1 + reserve), reserve])


def usual_flight_time(
    powertrain: Powertrain,
    shaft: ShaftPoint,
    full_currents: np.ndarray,
    reserve: Any,
    share: Any,
    other_power: Any = 0.0,
) -> Any:
    """Return the time (...) of a flight with a share of its time at full throttle and the rest in cruise. [s]

    At each state of charge the mean current is (1 - share) x cruise current + share x full-throttle current. It is
    integrated as for ``cruise_at_thrust``. At a given airspeed the full-throttle current is nearly a parabola in a
    first estimate of it, with a current linear in voltage. So three solutions replace those at all nodes. The error in
    time is at most 6e-5 for a reserve of 5 % or more, and 4e-4 without a reserve (see tests).

    Parameters
    ----------
    powertrain : Powertrain
    shaft : ShaftPoint
        Steady cruise (...).
    full_currents : (3, ...) array
        Current of the pack at full throttle and cruise airspeed, at ``full_throttle_charges(reserve)``. [A]
    reserve, share, other_power : (...) arrays
        State of charge at the end, share of time at full throttle, power to everything but the motor. [-, -, W]

    Notes
    -----
    At full throttle the wing is assumed to climb at its cruise airspeed. In level flight it would accelerate, which
    unloads the propeller. So the climb has the higher current.
    """
    pack = powertrain.pack
    ndim = np.broadcast(
        shaft.motor_current,
        reserve,
        share,
        other_power,
        full_currents[0],
        packs.pack_resistance(pack),
        packs.pack_capacity(pack),
    ).ndim
    charge = ranges.quadrature_charges(reserve, ndim)
    cruising = operating_point(powertrain, shaft, charge, other_power).pack_current
    at = full_throttle_charges(reserve)
    volts = [
        packs.open_circuit_voltage(pack, each) - packs.pack_resistance(pack, each) * current
        for each, current in zip(at, full_currents, strict=True)
    ]
    per_volt = (full_currents[-1] - full_currents[0]) / (volts[-1] - volts[0])

    def linear_current(charge: Any) -> Any:  # a good estimate: current of a drive that is linear in its voltage
        above = packs.open_circuit_voltage(pack, charge) - volts[0]
        return (full_currents[0] + per_volt * above) / (1 + per_volt * packs.pack_resistance(pack, charge))

    full = _parabola([linear_current(each) for each in at], full_currents, linear_current(charge))
    return ranges.time_between(pack, reserve, (1 - share) * cruising + share * full)


def usual_flight_from_cruise(
    powertrain: Powertrain, shaft: ShaftPoint, density: Any, reserve: Any, share: Any, other_power: Any = 0.0
) -> Any:
    """Return `usual_flight_time` (...) of a ShaftPoint in cruise, including the solution at full throttle. [s]

    ``density`` (...) is that of the air [kg/m3]. The other arguments are as for ``usual_flight_time``.
    """
    airspeed = shaft.airspeed
    ndim = np.broadcast(shaft.motor_current, reserve, other_power, packs.pack_resistance(powertrain.pack)).ndim
    charges = full_throttle_charges(reserve)
    charges = charges.reshape(3, *(1,) * (ndim - charges.ndim + 1), *charges.shape[1:])
    full = full_throttle(powertrain, airspeed, density, charges, other_power).pack_current
    return usual_flight_time(powertrain, shaft, full, reserve=reserve, share=share, other_power=other_power)


def _parabola(at: Sequence[Any], values: Any, place: Any) -> Any:
    """Return the value at ``place`` of the parabola through three points (...), by Newton's divided differences."""
    first = (values[1] - values[0]) / (at[1] - at[0])
    second = ((values[2] - values[1]) / (at[2] - at[1]) - first) / (at[2] - at[0])
    return values[0] + (place - at[0]) * (first + (place - at[1]) * second)
