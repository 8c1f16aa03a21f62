"""Propeller, motor, controller and pack as one: what a thrust costs, what full throttle gives.

Two questions, both for any batch of conditions:

* ``match``: flight speed and thrust are given; find rotational speed, currents, throttle, losses;
* ``full_throttle``: throttle is 1, or the cap set for it; find thrust and currents, with the voltage under
  that load.

The motor's side of a match (``shaft_demand``) does not depend on the pack; the pack's side (``draw``)
is closed form, so a discharge needs one Newton solution for all its states of charge.

All thrust is installed thrust: a pusher behind a wing gets less than the propeller in free air gives for
the same shaft power, by ``installation_factor`` (0.95; 3 to 8 % is a common allowance, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from . import motor as motors
from . import pack as packs
from .motor import Controller, Motor
from .pack import Pack
from .propeller_point import coefficients_at_point
from .propeller_table import TWO_PI, PropellerTable, outside_data, propeller_coefficients

_STEP = 1e-20j  # imaginary step that yields a slope to full precision
_MOST_STEPS = 60
_FEW_POINTS = 40  # up to which plain numbers are quicker than arrays
_CONVERGED = 1e-11  # of the unknown; slopes are then as exact


class Powertrain(NamedTuple):
    """The parts from propeller to cells."""

    propeller: PropellerTable
    motor: Motor
    controller: Controller
    pack: Pack
    installation_factor: complex = 0.95  # installed over free thrust at the same shaft power [-]
    throttle_cap: complex = 1.0  # largest duty the controller may give: what "full throttle" means [-]
    propeller_power: complex = 1.0  # shaft power over what the propeller's curves say, at equal thrust [-]


class _Arithmetic(NamedTuple):
    """What a search for roots works with: arrays, or plain numbers one by one."""

    curves: Callable
    least: Callable
    greatest: Callable
    all: Callable


_ARRAYS = _Arithmetic(propeller_coefficients, np.minimum, np.maximum, np.all)
_SINGLE_NUMBERS = _Arithmetic(coefficients_at_point, min, max, bool)


class ShaftPoint(NamedTuple):
    """Propeller and motor at work; every field has the batch shape (...)."""

    airspeed: np.ndarray  # [m/s]
    thrust: np.ndarray  # installed [N]
    revolutions: np.ndarray  # [rad/s]
    advance_ratio: np.ndarray  # [-]
    torque: np.ndarray  # [N m]
    motor_current: np.ndarray  # [A]
    motor_voltage: np.ndarray  # [V]
    outside_data: np.ndarray  # bool: propeller beyond the rows of its table
    converged: np.ndarray  # bool

    @property
    def shaft_power(self):
        """Power from motor to propeller. [W]"""
        return self.torque * self.revolutions


class OperatingPoint(NamedTuple):
    """The whole powertrain at work; every field has the batch shape (...)."""

    shaft: ShaftPoint
    throttle: np.ndarray  # duty against the pack voltage under load; above 1 is out of reach [-]
    electric_power: np.ndarray  # into the controller [W]
    pack_current: np.ndarray  # [A]
    pack_voltage: np.ndarray  # under load [V]
    power_reserve: np.ndarray  # share of the pack's deliverable power that is left; below 0 it fails [-]


class Losses(NamedTuple):
    """Where the energy of the cells goes; every field has the batch shape (...). [W]"""

    cells: np.ndarray  # open-circuit voltage x current: the sum of all that follow
    thrust: np.ndarray  # installed thrust x airspeed
    propeller: np.ndarray  # shaft power less that
    motor: np.ndarray
    controller: np.ndarray
    other: np.ndarray  # everything else the pack feeds
    pack: np.ndarray  # heat of cells and wiring


def match(powertrain, airspeed, thrust, density, state_of_charge, other_power=0.0):
    """Return the OperatingPoint that gives a thrust at a flight speed.

    Parameters
    ----------
    powertrain : Powertrain
    airspeed : (...) array
        Zero or more. [m/s]
    thrust : (...) array
        Installed, zero or more. [N]
    density : (...) array
        [kg/m3]
    state_of_charge : (...) array
        [-]
    other_power : (...) array
        Drawn from the pack by everything but the motor. [W]

    Returns
    -------
    OperatingPoint
        Finite for any demand; throttle above 1 or a negative power_reserve says it cannot be met.
    """
    return operating_point(
        powertrain, shaft_demand(powertrain, airspeed, thrust, density), state_of_charge, other_power
    )


def shaft_demand(powertrain, airspeed, thrust, density):
    """Return the ShaftPoint (...) that gives a thrust [N] (...) at airspeed [m/s] and density [kg/m3]."""
    revolutions, converged = _solve(_shortfall, _demand_start, powertrain, (airspeed, thrust, density))
    return _with_flags(_shaft(powertrain, revolutions, airspeed, density), powertrain.propeller, converged)


def shaft_turning(powertrain, revolutions, airspeed, density):
    """Return the ShaftPoint (...) at a rotational speed [rad/s], airspeed [m/s] and density [kg/m3], all (...)."""
    shaft = _shaft(powertrain, revolutions, airspeed, density)
    return _with_flags(shaft, powertrain.propeller, np.ones(np.shape(revolutions), dtype=bool))


def full_throttle(powertrain, airspeed, density, state_of_charge, other_power=0.0):
    """Return the OperatingPoint at throttle 1 or its cap, voltage under its own load included.

    Parameters
    ----------
    powertrain : Powertrain
    airspeed, density, state_of_charge, other_power : (...) arrays
        As for ``match``; airspeed 0 is the standing aircraft. [m/s, kg/m3, -, W]

    Returns
    -------
    OperatingPoint
        Of which ``shaft.thrust``, ``pack_current`` and ``shaft.motor_current`` are the answers.
    """
    resting = packs.open_circuit_voltage(powertrain.pack, state_of_charge)
    resistance = packs.pack_resistance(powertrain.pack, state_of_charge)
    conditions = (airspeed, density, resting, resistance, other_power)
    revolutions, converged = _solve(_surplus, _throttle_start, powertrain, conditions)
    shaft = _with_flags(_shaft(powertrain, revolutions, airspeed, density), powertrain.propeller, converged)
    voltage = _required_voltage(powertrain, shaft)
    electric = _controller_power(powertrain, shaft, voltage)
    power = electric + other_power
    reserve = 1 - 4 * power * resistance / (resting * resting)
    throttle = powertrain.throttle_cap + np.zeros(np.shape(voltage))
    return OperatingPoint(shaft, throttle, electric, power / voltage, voltage, reserve)


def operating_point(powertrain, shaft, state_of_charge, other_power=0.0):
    """Return the OperatingPoint (...) for a ShaftPoint at a state of charge [-]; other_power [W]; all (...).

    The controller's loss grows with the pack voltage that it chops, which sags with the pack current;
    since that loss is linear in the voltage, the pair is still one quadratic.
    """
    motor_current, controller = shaft.motor_current, powertrain.controller
    resistance = packs.pack_resistance(powertrain.pack, state_of_charge)
    # loss = fixed part + chopped current x pack voltage: the latter shifts the resting voltage
    chopped_current = controller.part_throttle_loss * motor_current
    fixed = _controller_power(powertrain, shaft, 0.0) + other_power
    resting = packs.open_circuit_voltage(powertrain.pack, state_of_charge) - resistance * chopped_current
    voltage, reserve = packs.loaded_voltage(resting, resistance, fixed)
    throttle = motors.duty(controller, shaft.motor_voltage, motor_current, voltage)
    electric = _controller_power(powertrain, shaft, voltage)
    return OperatingPoint(shaft, throttle, electric, fixed / voltage + chopped_current, voltage, reserve)


def losses(powertrain, point, state_of_charge, other_power=0.0):
    """Return the Losses (...) of an OperatingPoint at a state of charge [-]; other_power [W]; all (...)."""
    shaft, motor = point.shaft, powertrain.motor
    thrust_power = shaft.thrust * shaft.airspeed
    resistance = packs.pack_resistance(powertrain.pack, state_of_charge)
    return Losses(
        cells=packs.open_circuit_voltage(powertrain.pack, state_of_charge) * point.pack_current,
        thrust=thrust_power,
        propeller=shaft.shaft_power - thrust_power,
        motor=motors.motor_loss(motor, shaft.motor_current, shaft.revolutions),
        controller=motors.controller_loss(
            powertrain.controller, shaft.motor_voltage, shaft.motor_current, point.pack_voltage
        ),
        other=other_power + np.zeros(np.shape(thrust_power)),
        pack=point.pack_current * point.pack_current * resistance,
    )


def _shaft(powertrain, revolutions, airspeed, density, curves=propeller_coefficients):
    """Return a ShaftPoint without flags; curves is ``coefficients_at`` for single numbers."""
    table, motor = powertrain.propeller, powertrain.motor
    turns = revolutions / TWO_PI
    advance_ratio = airspeed / (turns * table.diameter)
    thrust_coefficient, power_coefficient = curves(table, advance_ratio, revolutions)
    reference = density * turns * turns * table.diameter**4
    thrust = powertrain.installation_factor * thrust_coefficient * reference
    torque = powertrain.propeller_power * power_coefficient * reference * table.diameter / TWO_PI
    current = motors.motor_current(motor, torque, revolutions)
    return ShaftPoint(
        airspeed,
        thrust,
        revolutions,
        advance_ratio,
        torque,
        current,
        motors.motor_voltage(motor, current, revolutions),
        False,
        True,
    )


def _with_flags(shaft, table, converged):
    outside = outside_data(table, shaft.advance_ratio, shaft.revolutions)
    return shaft._replace(airspeed=np.asarray(shaft.airspeed), outside_data=outside, converged=converged)


def _shortfall(curves, revolutions, powertrain, airspeed, thrust, density):
    """Return the thrust asked for less the thrust at this rotational speed. [N]"""
    return thrust - _shaft(powertrain, revolutions, airspeed, density, curves).thrust


def _demand_start(powertrain, airspeed, thrust, density):
    """Return the rotational speed if CT fell on a straight line from its static value to zero thrust."""
    table = powertrain.propeller
    pitch_turns = airspeed / (table.diameter * table.zero_thrust_advance_ratio)
    free_thrust = thrust / powertrain.installation_factor
    still = 4 * free_thrust / (density * table.diameter**4 * table.static_coefficients[0])
    return np.pi * (pitch_turns + (pitch_turns * pitch_turns + still + 1.0) ** 0.5)


def _surplus(curves, revolutions, powertrain, airspeed, density, resting, resistance, other_power):
    """Return the voltage that the pack offers above what this rotational speed asks for. [V]"""
    shaft = _shaft(powertrain, revolutions, airspeed, density, curves)
    voltage = _required_voltage(powertrain, shaft)
    power = _controller_power(powertrain, shaft, voltage) + other_power
    return resting - resistance * power / voltage - voltage


def _throttle_start(powertrain, _airspeed, density, resting, resistance, _other_power):
    """Return the rotational speed if CP stayed at its static value and voltage fell by resistance alone."""
    table, motor = powertrain.propeller, powertrain.motor
    constant = motor.speed_constant
    ohms = resistance + motor.resistance * motor.resistance_factor + powertrain.controller.resistance
    drop = ohms * constant * density * table.diameter**5 * table.static_coefficients[1] / TWO_PI**3
    resting = resting * powertrain.throttle_cap
    # resting = revolutions / constant + drop revolutions^2
    return 2 * constant * resting / (1 + (1 + 4 * drop * resting * constant * constant) ** 0.5)


def _required_voltage(powertrain, shaft):
    """Return the pack voltage from which the largest duty makes what motor and switches take. [V]"""
    return (shaft.motor_voltage + shaft.motor_current * powertrain.controller.resistance) / powertrain.throttle_cap


def _controller_power(powertrain, shaft, pack_voltage):
    loss = motors.controller_loss(powertrain.controller, shaft.motor_voltage, shaft.motor_current, pack_voltage)
    return shaft.motor_voltage * shaft.motor_current + loss


def _solve(residual, start, powertrain, conditions):
    """Return the root of ``residual(curves, unknown, powertrain, *conditions)`` and whether it was reached.

    Points (...) of the same real parts, such as the directions of a complex step, are solved once, and a
    few are solved one by one: in plain numbers that is quicker than in arrays. One more Newton step with
    complex parts puts the implicit derivative into the answer. The pack counts only by what
    ``conditions`` hold of it.
    """
    motor, split = powertrain.motor, len(conditions)
    values = [
        np.asarray(value)
        for value in (
            *conditions,
            powertrain.installation_factor,
            powertrain.throttle_cap,
            powertrain.propeller_power,
            *motor,
            *powertrain.controller,
        )
    ]
    shape = np.broadcast(*values).shape
    columns = _columns([value.real for value in values], shape)
    distinct = set(columns)

    def root_of(numbers, column):
        first = split + 3
        parts = Motor(*column[first : first + len(motor)]), Controller(*column[first + len(motor) :])
        drive = Powertrain(powertrain.propeller, *parts, powertrain.pack, *column[split:first])
        return _root(residual, numbers, start(drive, *column[:split]), drive, column[:split])

    if len(distinct) > _FEW_POINTS:
        root, step, slope, converged = root_of(_ARRAYS, [value.real for value in values])
    else:
        roots = {column: root_of(_SINGLE_NUMBERS, column) for column in distinct}
        found = zip(*(roots[column] for column in columns), strict=True)
        root, step, slope, converged = (np.array(each).reshape(shape) for each in found)
    if any(value.dtype.kind == "c" for value in values):
        step = residual(propeller_coefficients, root, powertrain, *conditions) / slope
    return root - np.where(converged, step, 0.0), converged


def _columns(values, shape):
    """Return the values of each point as a tuple of floats, points in the order of their flat index."""
    size = math.prod(shape)
    return list(
        zip(
            *(
                [float(value)] * size if value.ndim == 0 else np.broadcast_to(value, shape).ravel().tolist()
                for value in values
            ),
            strict=True,
        )
    )


def _root(residual, numbers, unknown, powertrain, conditions):
    """Return unknown, last step, slope there and whether it converged, of one point or of arrays, all real.

    Newton, each step held between half and twice the unknown; the slope comes from an imaginary step.
    """
    for _ in range(_MOST_STEPS):
        value = residual(numbers.curves, unknown + _STEP, powertrain, *conditions)
        slope = value.imag / _STEP.imag
        slope = slope + (slope == 0)
        step = value.real / slope
        converged = abs(step) < _CONVERGED * unknown
        if numbers.all(converged):
            break
        unknown = numbers.least(numbers.greatest(unknown - step, 0.5 * unknown), 2 * unknown)
    return unknown, step, slope, converged
