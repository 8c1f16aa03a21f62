"""What the charge is worth to a pilot: how far out with the way home in the wind, and how long a usual flight lasts.

Both take steady cruise at one airspeed as `physics.range` finds it. Launch, landing and what a climb gives
back on the way down are not counted.
"""

from __future__ import annotations

import numpy as np

from tradestudy.physics import pack as packs
from tradestudy.physics import range as ranges
from tradestudy.physics.propulsion import draw, full_throttle, shaft_demand


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
    ndim = np.broadcast(shaft.motor_current, reserve, share, other_power, full_currents[0],
                        packs.pack_resistance(pack), packs.pack_capacity(pack)).ndim
    charge = ranges.charges(reserve, ndim)
    cruising = draw(powertrain, shaft, charge, other_power).pack_current
    at = full_throttle_charges(reserve)
    volts = [packs.open_circuit_voltage(pack, each) - packs.pack_resistance(pack, each) * current
             for each, current in zip(at, full_currents, strict=True)]
    per_volt = (full_currents[-1] - full_currents[0]) / (volts[-1] - volts[0])

    def likely(charge):  # were the drive's current a straight line over its voltage: nearly what is drawn
        above = packs.open_circuit_voltage(pack, charge) - volts[0]
        return (full_currents[0] + per_volt * above) / (1 + per_volt * packs.pack_resistance(pack, charge))

    full = _parabola([likely(each) for each in at], full_currents, likely(charge))
    return ranges.time_between(pack, reserve, (1 - share) * cruising + share * full)


def usual_flight(powertrain, airspeed, thrust, density, reserve, share, other_power=0.0):
    """Return `usual_flight_time` (...) [s] of a powertrain at an airspeed and thrust; all (...), as in `range.cruise`.

    [m/s, N, kg/m3, -, -, W]
    """
    shaft = shaft_demand(powertrain, airspeed, thrust, density)
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
