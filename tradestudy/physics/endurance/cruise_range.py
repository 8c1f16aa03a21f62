"""Endurance and range at constant airspeed, from full to the reserve.

Gauss-Legendre quadrature in state of charge, not time steps: every node moves smoothly with every
input, so the answer has true slopes. The end of the discharge is the reserve; voltage and current there
are outputs, to be held against the limits of cells and controller by whoever asks. Since the power
stays and the voltage falls, the last current is well above the mean.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.physics.propulsion import pack as packs
from tradestudy.physics.propulsion.drive_train import operating_point, shaft_demand

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)
_NODES_AND_END, WEIGHTS = np.append((_NODES + 1) / 2, 0.0), np.append(_WEIGHTS / 2, 0.0)  # on 0..1, then the end
MOST_STEPS = 20  # of Newton; five are usual
CONVERGED = 1e-12  # of the whole charge


class Cruise(NamedTuple):
    """Level flight at constant airspeed until the reserve; every field has the batch shape (...)."""

    endurance: np.ndarray  # [s]
    range: np.ndarray  # through the air [m]
    energy_per_metre: np.ndarray  # at the pack's connector [J/m]
    charge_per_metre: np.ndarray  # [C/m]
    mean_current: np.ndarray  # of the pack [A]
    end_current: np.ndarray  # of the pack, at the reserve [A]
    end_voltage: np.ndarray  # of the pack under load, at the reserve [V]
    end_throttle: np.ndarray  # at the reserve; above 1 the flight cannot be finished so [-]
    end_power_reserve: np.ndarray  # at the reserve; below 0 the pack fails [-]
    motor_current: np.ndarray  # the same all the way [A]


def cruise(powertrain, airspeed, thrust, density, reserve, other_power=0.0, start=1.0):
    """Return the Cruise of a powertrain at constant airspeed and thrust.

    Parameters
    ----------
    powertrain : Powertrain
    airspeed, thrust, density : (...) arrays
        [m/s, N, kg/m3]
    reserve : (...) array
        State of charge at which the flight ends. [-]
    other_power : (...) array
        Drawn from the pack by everything but the motor. [W]
    start : (...) array
        State of charge at which it begins; 1 is full. [-]

    Returns
    -------
    Cruise
    """
    return steady_cruise(powertrain, shaft_demand(powertrain, airspeed, thrust, density), reserve, other_power, start)


def steady_cruise(powertrain, shaft, reserve, other_power=0.0, start=1.0):
    """Return the Cruise (...) of a ShaftPoint held from a charge [-] to the reserve [-]; other_power [W]; all (...)."""
    point, endurance = _discharge(powertrain, shaft, reserve, other_power, start)
    charge = packs.pack_capacity(powertrain.pack) * (start - np.asarray(reserve))
    voltage = point.pack_voltage
    energy = charge * (_along(voltage) * voltage).sum(0)
    distance = shaft.airspeed * endurance
    return Cruise(
        endurance,
        distance,
        energy / distance,
        charge / distance,
        charge / endurance,
        point.pack_current[-1],
        voltage[-1],
        point.throttle[-1],
        point.power_reserve[-1],
        shaft.motor_current,
    )


def cruise_time(powertrain, shaft, reserve, other_power=0.0, start=1.0):
    """Return how long (...) [s] a ShaftPoint is held from a charge [-] to another [-]; other_power [W]; all (...)."""
    return _discharge(powertrain, shaft, reserve, other_power, start)[1]


def _discharge(powertrain, shaft, reserve, other_power, start):
    """Return the OperatingPoint (n_node, ...) at ``charges`` and the time (...) from a charge to the reserve. [s]"""
    pack = powertrain.pack
    ndim = np.broadcast(
        shaft.motor_current, reserve, other_power, start, packs.pack_resistance(pack), packs.pack_capacity(pack)
    ).ndim
    point = operating_point(powertrain, shaft, quadrature_charges(reserve, ndim, start), other_power)
    return point, time_between(pack, reserve, point.pack_current, start)


def charge_after(powertrain, shaft, time, other_power=0.0, start=1.0):
    """Return the state of charge (...) that a ShaftPoint held for a time (...) [s] leaves of a charge ``start``. [-]

    Newton on the time to a charge: its slope is capacity over current. Below zero the pack did not last: the current
    at empty is taken to go on, so that a longer time always leaves less.
    """
    capacity = packs.pack_capacity(powertrain.pack)
    empty = cruise_time(powertrain, shaft, 0.0, other_power, start)
    lasts = np.real(time) < np.real(empty)
    within = np.where(lasts, time, empty)
    left = start - operating_point(powertrain, shaft, start, other_power).pack_current * within / capacity
    for _ in range(MOST_STEPS):
        late = cruise_time(powertrain, shaft, left, other_power, start) - within
        step = late * operating_point(powertrain, shaft, left, other_power).pack_current / capacity
        left = left + step
        if np.all(abs(step) < CONVERGED):
            break
    beyond = (time - empty) * operating_point(powertrain, shaft, 0.0, other_power).pack_current / capacity
    return np.where(lasts, left, -beyond)


def quadrature_charges(reserve, ndim, start=1.0):
    """Return the states of charge (n_node, ...) at which a discharge is looked at, the reserve last. [-]

    Nodes run along a new first axis, before ``ndim`` batch axes, so that these broadcast as they stand.
    """
    reserve = np.asarray(reserve)
    return reserve + (start - reserve) * _NODES_AND_END.reshape(len(_NODES_AND_END), *(1,) * ndim)


def time_between(pack, reserve, current, start=1.0):
    """Return the time (...) from a charge to the reserve for currents (n_node, ...) [A] at ``charges``. [s]"""
    return packs.pack_capacity(pack) * (start - np.asarray(reserve)) * (_along(current) / current).sum(0)


def _along(values):
    """The weights, shaped to go with values (n_node, ...)."""
    return WEIGHTS.reshape(len(WEIGHTS), *(1,) * (values.ndim - 1))
