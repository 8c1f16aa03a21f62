"""What the charge is worth to a pilot: how far out with the way home in the wind, and how long a usual flight lasts.

All take steady cruise at one airspeed as `cruise_range` finds it. Launch, landing and what a climb gives
back on the way down are not counted.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.physics.propulsion import pack as packs
from tradestudy.physics.propulsion.drive_train import full_throttle, operating_point

from . import cruise_range as ranges


def radius_out_and_home(airspeed, endurance, wind):
    """Return how far out (...) a flight may turn that goes one way against the wind and the other with it. [m]

    Over the ground the legs of length R go at V - w and V + w, at the same power, so they share the time
    T = R / (V - w) + R / (V + w) = 2 R V / (V^2 - w^2), whence R = T (V^2 - w^2) / (2 V): smooth, the same
    whichever leg comes first, and half the still-air range without wind. A wind as fast as the wing or
    faster gives zero or less: it does not come home, and how far from it still has a slope.

    Parameters
    ----------
    airspeed, endurance, wind : (...) arrays
        True airspeed on both legs, time in the air, wind along the track. [m/s, s, m/s]
    """
    return endurance * (airspeed * airspeed - wind * wind) / (2 * airspeed)


class TurnBack(NamedTuple):
    """Where to turn so that the way home ends at the reserve; every field has the batch shape (...)."""

    radius: np.ndarray  # over the ground; zero where one of the legs makes no way [m]
    state_of_charge: np.ndarray  # at the turn [-]
    voltage: np.ndarray  # of the pack at the turn, still under the load of the way out [V]
    time: np.ndarray  # of both legs [s]


def turn_back(powertrain, outward, homeward, ground_speeds, reserve, other_power=0.0, start=1.0):
    """Return the TurnBack (...) of a flight whose two legs are flown each at its own airspeed.

    Parameters
    ----------
    powertrain : Powertrain
    outward, homeward : ShaftPoint
        Steady cruise (...) on either leg.
    ground_speeds : pair of (...) arrays
        Over the ground on either leg; zero or less makes no way. [m/s]
    reserve, other_power, start : (...) arrays
        State of charge at the end [-], what else is drawn [W], state of charge at the beginning [-].

    Notes
    -----
    Newton on the charge S at the turn: G1 T1(start to S) = G2 T2(S to reserve), with slopes of the times
    from the currents at S. With one airspeed both ways and a start at full it is `radius_out_and_home`.
    """
    capacity = packs.pack_capacity(powertrain.pack)
    out, home = (np.asarray(each) for each in ground_speeds)
    makes_way = (out.real > 0) & (home.real > 0)
    out, home = np.where(makes_way, out, 1.0), np.where(makes_way, home, 1.0)

    def at(shaft, charge):
        return operating_point(powertrain, shaft, charge, other_power)

    costs = [at(shaft, start).pack_current / speed for shaft, speed in ((outward, out), (homeward, home))]
    charge = start - (start - reserve) * costs[0] / (costs[0] + costs[1])
    for _ in range(ranges.MOST_STEPS):
        away = ranges.cruise_time(powertrain, outward, charge, other_power, start)
        back = ranges.cruise_time(powertrain, homeward, reserve, other_power, charge)
        slope = capacity * (out / at(outward, charge).pack_current + home / at(homeward, charge).pack_current)
        step = (out * away - home * back) / slope
        charge = charge + step
        if np.all(abs(step) < ranges.CONVERGED):
            break
    charge = np.where(makes_way, charge, start)
    return TurnBack(
        np.where(makes_way, out * away, 0.0),
        charge,
        at(outward, charge).pack_voltage,
        np.where(makes_way, away + back, 0.0),
    )


def full_throttle_charges(reserve):
    """Return the states of charge (3, ...) at which `usual_flight_time` asks for full-throttle currents. [-]"""
    reserve = np.asarray(reserve)
    return np.stack([1 + 0 * reserve, 0.5 * (1 + reserve), reserve])


def usual_flight_time(powertrain, shaft, full_currents, reserve, share, other_power=0.0):
    """Return how long (...) a flight lasts that spends a share of its time at full throttle, the rest in cruise. [s]

    At each state of charge the mean current is (1 - share) x cruise + share x full throttle, integrated as
    a cruise is. Full-throttle current at one airspeed hangs on the pack's resting voltage alone and is close
    to a parabola in it: three solutions stand for all nodes (6e-5 of the time at most against a solution at
    every node from a reserve of 5 % up, 4e-4 with none; see tests).

    Parameters
    ----------
    powertrain : Powertrain
    shaft : ShaftPoint
        Steady cruise (...).
    full_currents : (3, ...) array
        Of the pack at full throttle and cruise airspeed, at ``full_throttle_charges(reserve)``. [A]
    reserve, share, other_power : (...) arrays
        [-, -, W]

    Notes
    -----
    At full throttle the wing is taken to climb at its cruise airspeed. Let run level it would speed up, which
    unloads the propeller: of the two cases this one draws the higher current.
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

    def likely(charge):  # were the drive's current a straight line over its voltage: nearly what is drawn
        above = packs.open_circuit_voltage(pack, charge) - volts[0]
        return (full_currents[0] + per_volt * above) / (1 + per_volt * packs.pack_resistance(pack, charge))

    full = _parabola([likely(each) for each in at], full_currents, likely(charge))
    return ranges.time_between(pack, reserve, (1 - share) * cruising + share * full)


def usual_flight_from_cruise(powertrain, shaft, density, reserve, share, other_power=0.0):
    """Return `usual_flight_time` (...) [s] of a ShaftPoint in cruise; [kg/m3, -, -, W], all (...)."""
    airspeed = shaft.airspeed
    ndim = np.broadcast(shaft.motor_current, reserve, other_power, packs.pack_resistance(powertrain.pack)).ndim
    charges = full_throttle_charges(reserve)
    charges = charges.reshape(3, *(1,) * (ndim - charges.ndim + 1), *charges.shape[1:])
    full = full_throttle(powertrain, airspeed, density, charges, other_power).pack_current
    return usual_flight_time(powertrain, shaft, full, reserve, share, other_power)


def _parabola(at, values, wanted):
    """Return the parabola through three points (...), by Newton's divided differences."""
    first = (values[1] - values[0]) / (at[1] - at[0])
    second = ((values[2] - values[1]) / (at[2] - at[1]) - first) / (at[2] - at[0])
    return values[0] + (wanted - at[0]) * (first + (wanted - at[1]) * second)
