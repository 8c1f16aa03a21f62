"""Propeller, motor, controller and pack as one: what a thrust costs, what full throttle gives.

Two questions, both for any batch of conditions:

* ``match``: flight speed and thrust are given; find rotational speed, currents, throttle, losses;
* ``full_throttle``: throttle is 1; find thrust and currents, with the voltage under that load.

The motor's side of a match (``shaft_demand``) does not depend on the pack; the pack's side (``draw``)
is closed form, so a discharge needs one Newton solution for all its states of charge.

All thrust is installed thrust: a pusher behind a wing gets less than the propeller in free air gives for
the same shaft power, by ``installation_factor`` (0.95; 3 to 8 % is a common allowance, from memory).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.physics import motor as motors
from tradestudy.physics import pack as packs
from tradestudy.physics.motor import Controller, Motor
from tradestudy.physics.pack import Pack
from tradestudy.physics.propeller_table import TWO_PI, PropellerTable, coefficients, outside_data

STEP = 1e-20j  # imaginary step that yields a slope to full precision
MOST_STEPS = 60
CONVERGED = 1e-9  # of the unknown; the closing Newton step squares it


class Powertrain(NamedTuple):
    """The parts from propeller to cells."""

    propeller: PropellerTable
    motor: Motor
    controller: Controller
    pack: Pack
    installation_factor: complex = 0.95  # installed over free thrust at the same shaft power [-]


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
    return draw(powertrain, shaft_demand(powertrain, airspeed, thrust, density), state_of_charge, other_power)


def shaft_demand(powertrain, airspeed, thrust, density):
    """Return the ShaftPoint (...) that gives a thrust [N] (...) at airspeed [m/s] and density [kg/m3]."""
    airspeed, thrust = np.asarray(airspeed), np.asarray(thrust)
    table = powertrain.propeller

    def shortfall(revolutions, powertrain, airspeed, thrust, density):
        return thrust - _shaft(powertrain, revolutions, airspeed, density).thrust

    # start: thrust coefficient on a straight line from its static value to zero thrust
    static = coefficients(table, 0.0, np.median(table.revolutions_range) if
                          np.isfinite(table.revolutions_range[1]) else 1.0)[0]
    pitch_turns = airspeed.real / (table.diameter * table.zero_thrust_advance_ratio)
    free_thrust = thrust.real / np.real(powertrain.installation_factor)
    still = 4 * free_thrust / (np.real(density) * table.diameter**4 * static)
    turns = (pitch_turns + np.sqrt(np.maximum(pitch_turns**2 + still, 0.01 * pitch_turns**2 + 1.0))) / 2
    revolutions, converged = _solve(shortfall, TWO_PI * turns, (powertrain, airspeed, thrust, density))
    return _shaft(powertrain, revolutions, airspeed, density, converged)


def full_throttle(powertrain, airspeed, density, state_of_charge, other_power=0.0):
    """Return the OperatingPoint at throttle 1, voltage under its own load included.

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
    airspeed = np.asarray(airspeed)
    resting = packs.open_circuit_voltage(powertrain.pack, state_of_charge)
    resistance = packs.pack_resistance(powertrain.pack)

    def surplus(revolutions, powertrain, airspeed, density, resting, resistance, other_power):
        """Voltage that the pack offers above what this rotational speed asks for."""
        shaft = _shaft(powertrain, revolutions, airspeed, density)
        voltage = shaft.motor_voltage + shaft.motor_current * powertrain.controller.resistance
        power = _controller_power(powertrain, shaft, voltage) + other_power
        return resting - resistance * power / voltage - voltage

    parameters = (powertrain, airspeed, density, resting, resistance, other_power)
    start = 0.75 * np.real(resting) * np.real(powertrain.motor.speed_constant)
    revolutions, converged = _solve(surplus, start, parameters)
    shaft = _shaft(powertrain, revolutions, airspeed, density, converged)
    voltage = shaft.motor_voltage + shaft.motor_current * powertrain.controller.resistance
    electric = _controller_power(powertrain, shaft, voltage)
    power = electric + other_power
    reserve = 1 - 4 * power * resistance / (resting * resting)
    return OperatingPoint(shaft, np.ones(np.shape(voltage)), electric, power / voltage, voltage, reserve)


def draw(powertrain, shaft, state_of_charge, other_power=0.0):
    """Return the OperatingPoint (...) for a ShaftPoint at a state of charge [-]; other_power [W]; all (...).

    The controller's loss grows with the pack voltage that it chops, which sags with the pack current;
    since that loss is linear in the voltage, the pair is still one quadratic.
    """
    motor_current, controller = shaft.motor_current, powertrain.controller
    resistance = packs.pack_resistance(powertrain.pack)
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
    resistance = packs.pack_resistance(powertrain.pack)
    return Losses(
        cells=packs.open_circuit_voltage(powertrain.pack, state_of_charge) * point.pack_current,
        thrust=thrust_power,
        propeller=shaft.shaft_power - thrust_power,
        motor=motors.motor_loss(motor, shaft.motor_current, shaft.revolutions),
        controller=motors.controller_loss(powertrain.controller, shaft.motor_voltage, shaft.motor_current,
                                          point.pack_voltage),
        other=other_power + np.zeros(np.shape(thrust_power)),
        pack=point.pack_current * point.pack_current * resistance)


def _shaft(powertrain, revolutions, airspeed, density, converged=True):
    table, motor = powertrain.propeller, powertrain.motor
    turns = revolutions / TWO_PI
    advance_ratio = airspeed / (turns * table.diameter)
    thrust_coefficient, power_coefficient = coefficients(table, advance_ratio, revolutions)
    reference = density * turns * turns * table.diameter**4
    thrust = powertrain.installation_factor * thrust_coefficient * reference
    torque = power_coefficient * reference * table.diameter / TWO_PI
    current = motors.motor_current(motor, torque, revolutions)
    return ShaftPoint(airspeed, thrust, revolutions, advance_ratio, torque, current,
                      motors.motor_voltage(motor, current, revolutions),
                      outside_data(table, advance_ratio, revolutions), np.asarray(converged))


def _controller_power(powertrain, shaft, pack_voltage):
    loss = motors.controller_loss(powertrain.controller, shaft.motor_voltage, shaft.motor_current,
                                  pack_voltage)
    return shaft.motor_voltage * shaft.motor_current + loss


def _real(value):
    """Return parameters without their imaginary parts, whatever tuples they sit in."""
    if isinstance(value, tuple):
        parts = [_real(part) for part in value]
        return type(value)(*parts) if hasattr(value, "_fields") else tuple(parts)
    return value.real if isinstance(value, np.ndarray | complex | np.generic) else value


def _solve(residual, start, parameters):
    """Return the root of ``residual(unknown, *parameters)`` and whether it was reached, both (...).

    Newton on the real parts, each step held between half and twice the unknown; the slope comes from an
    imaginary step. One more step with complex parameters puts the implicit derivative into the answer.
    """
    real = _real(parameters)
    shape = np.broadcast_shapes(np.shape(start), np.shape(residual(start, *real)))
    unknown = np.broadcast_to(start, shape).astype(float)
    for _ in range(MOST_STEPS):
        value = residual(unknown + STEP, *real)
        slope = value.imag / STEP.imag
        slope = np.where(slope == 0, 1.0, slope)
        step = value.real / slope
        converged = np.abs(step) < CONVERGED * unknown
        if converged.all():
            break
        unknown = np.clip(unknown - step, 0.5 * unknown, 2 * unknown)
    closing = np.where(converged, residual(unknown, *parameters) / slope, 0.0)
    return unknown - closing, converged
