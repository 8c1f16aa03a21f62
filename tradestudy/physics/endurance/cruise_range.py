"""Endurance and range at constant airspeed, from a full pack to the reserve.

The discharge is integrated by Gauss-Legendre quadrature over state of charge, not in time steps. Every node moves
smoothly with every input, so the result has exact slopes. The discharge ends at the reserve. Voltage and current there
are outputs, which the caller compares with the limits of cells and controller. Power is constant and the voltage falls,
so the last current is well above the mean. In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.propulsion import pack as packs
from tradestudy.physics.propulsion.drive_train import (
    OperatingPoint,
    Powertrain,
    ShaftPoint,
    operating_point,
    shaft_demand,
)
from tradestudy.physics.propulsion.motor import duty

_GAUSS_POINTS, _GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(16)
_NODES, _WEIGHTS = np.append((_GAUSS_POINTS + 1) / 2, 0.0), np.append(_GAUSS_WEIGHTS / 2, 0.0)  # on 0..1, plus the end
MOST_STEPS = 20  # limit of Newton steps; five are usual
CONVERGED = 1e-12  # largest last Newton step, in state of charge [-]


class Cruise(NamedTuple):
    """Level flight at constant airspeed until the reserve; every field has the batch shape (...)."""

    endurance: Any  # time until the reserve [s]
    range: Any  # distance through the air [m]
    energy_per_metre: Any  # energy at the pack's connector over distance [J/m]
    charge_per_metre: Any  # charge from the pack over distance [C/m]
    mean_current: Any  # mean current of the pack [A]
    end_current: Any  # current of the pack at the reserve [A]
    end_voltage: Any  # voltage of the pack under load at the reserve [V]
    end_throttle: Any  # throttle at the reserve; above 1 the flight cannot be completed [-]
    end_power_reserve: Any  # share of deliverable power left at the reserve; below 0 the pack fails [-]
    motor_current: Any  # motor current, constant along the flight [A]


def cruise_at_thrust(
    powertrain: Powertrain,
    airspeed: Any,
    thrust: Any,
    density: Any,
    reserve: Any,
    other_power: Any = 0.0,
    start: Any = 1.0,
) -> Cruise:
    """Return the Cruise of a powertrain at constant airspeed and thrust, by integration.

    Parameters
    ----------
    powertrain : Powertrain
    airspeed, thrust, density : (...) arrays
        Flight speed, installed thrust and air density. [m/s, N, kg/m3]
    reserve : (...) array
        State of charge at which the flight ends. [-]
    other_power : (...) array
        Power from the pack to everything but the motor. [W]
    start : (...) array
        State of charge at which the flight begins; 1 is full. [-]

    Returns
    -------
    Cruise
    """
    return steady_cruise(powertrain, shaft_demand(powertrain, airspeed, thrust, density), reserve, other_power, start)


def steady_cruise(
    powertrain: Powertrain, shaft: ShaftPoint, reserve: Any, other_power: Any = 0.0, start: Any = 1.0
) -> Cruise:
    """Return the Cruise (...) of a constant ShaftPoint from the charge ``start`` to the ``reserve`` (...) [-].

    The other arguments are as for ``cruise_at_thrust``.
    """
    point, endurance = _discharge(powertrain, shaft, reserve, other_power, start)
    charge = packs.pack_capacity(powertrain.pack) * (start - reserve)
    voltage = point.pack_voltage
    energy = charge * _mean(voltage)
    distance = shaft.airspeed * endurance
    return Cruise(
        endurance=endurance,
        range=distance,
        energy_per_metre=energy / distance,
        charge_per_metre=charge / distance,
        mean_current=charge / endurance,
        end_current=point.pack_current[-1],
        end_voltage=voltage[-1],
        end_throttle=duty(powertrain.controller, shaft.motor_voltage, shaft.motor_current, voltage[-1]),
        end_power_reserve=point.power_reserve[-1],
        motor_current=shaft.motor_current,
    )


def cruise_time(
    powertrain: Powertrain, shaft: ShaftPoint, reserve: Any, other_power: Any = 0.0, start: Any = 1.0
) -> Any:
    """Return the time (...) of a constant ShaftPoint from ``start`` to ``reserve``, as for ``cruise_at_thrust``. [s]"""
    return _discharge(powertrain, shaft, reserve, other_power, start)[1]


def _discharge(
    powertrain: Powertrain, shaft: ShaftPoint, reserve: Any, other_power: Any, start: Any
) -> tuple[OperatingPoint, Any]:
    """Return the OperatingPoint (n_node, ...) at ``quadrature_charges`` and the time (...) to the reserve. [s]"""
    pack = powertrain.pack
    ndim = np.broadcast(shaft.motor_current, reserve, other_power, start, *pack[1:]).ndim
    point = operating_point(powertrain, shaft, quadrature_charges(reserve, ndim, start), other_power)
    return point, time_between(pack, reserve, point.pack_current, start)


def charge_after(powertrain: Powertrain, shaft: ShaftPoint, time: Any, other_power: Any = 0.0, start: Any = 1.0) -> Any:
    """Return the state of charge (...) after a ``time`` (...) [s] at a constant ShaftPoint, by integration. [-]

    ``other_power`` (...) [W] and ``start`` (...) [-] are as for ``cruise_at_thrust``. Newton's method solves for the
    charge that is reached after that time; the slope of time by charge is capacity over current. A negative result
    means that the pack was empty before the end. The current at empty is then extrapolated, so that a longer time
    always leaves less.
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


def quadrature_charges(reserve: Any, ndim: int, start: Any = 1.0) -> Any:
    """Return the states of charge (n_node, ...) of the quadrature nodes between ``start`` and ``reserve``. [-]

    The reserve is the last of them. Numerics: nodes are a new first axis before ``ndim`` [-] batch axes, so that
    ``reserve`` and ``start`` (...) [-] broadcast without change.
    """
    return reserve + (start - reserve) * _NODES.reshape(len(_NODES), *(1,) * ndim)


def time_between(pack: packs.Pack, reserve: Any, current: Any, start: Any = 1.0) -> Any:
    """Return the time (...) from the charge ``start`` to the ``reserve``, both (...) [-], by integration. [s]

    ``current`` (n_node, ...) [A] is that of the pack at ``quadrature_charges``.

    >>> pack = packs.Pack(packs.LITHIUM_ION, series=4, parallel=2, cell_capacity=18000.0, cell_resistance=0.048)
    >>> charge = quadrature_charges(reserve=0.2, ndim=0)
    >>> round(float(time_between(pack, 0.2, current=np.full_like(charge, 8.0))), 6)
    3600.0
    """
    return packs.pack_capacity(pack) * (start - reserve) * _mean(1 / current)


def _mean(values: Any) -> Any:
    """Return the mean (...) of ``values`` (n_node, ...) over the charge, by quadrature."""
    return (_WEIGHTS @ values.reshape(len(_WEIGHTS), -1)).reshape(values.shape[1:])[()]
