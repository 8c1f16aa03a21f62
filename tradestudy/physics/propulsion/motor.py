"""Brushless motor from three constants, its heat, and the speed controller that feeds it.

Motor (attributed to M. Drela, First-Order DC Electric Motor Model, MIT, 2007; algebra re-derived):
I = (V - w/Kv)/R, Q = (I - I0)/Kv, with Kv in rad/s/V. The winding resistance of a catalogue is
optimistic, so it is multiplied by a visible factor, which a measured bench point can replace.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from .cold_and_age import ROOM_TEMPERATURE

# A measured 2312 motor of 920 rpm/V with its controller needs 0.46 ohm where the winding alone is 0.15
# to 0.2 ohm (24 bench points, Multi-robot Systems group, CTU Prague): two to three times, including
# controller, wires, heat and commutation. The controller has its own loss here, a warm winding (+50 K)
# accounts for 1.2, commutation timing for the rest: common practice.
RESISTANCE_FACTOR = 1.5
WINDING_TEMPERATURE = 343.15  # at which RESISTANCE_FACTOR applies, 50 K above 20 C [K]
_COPPER = 0.00393  # of resistance, for each K above 20 C: annealed copper, IEC 60028 (from memory) [1/K]
# A motor of 0.1 kg in a propeller's wind, per watt of heat; smaller ones have less surface. Our estimate: at two
# thirds of their makers' peak current the eight motors of the class rule get some 80 K warmer than the air. That is
# good within a factor of two each way. In still air, expect more.
THERMAL_RESISTANCE = 1.6  # [K/W]
THERMAL_EXPONENT = -0.7  # with mass
NO_LOAD_VOLTAGE = 10.0  # makers quote the no-load current at about this voltage [V]; common practice


class Motor(NamedTuple):
    """Constants of a motor; fields may be arrays (...) and complex."""

    speed_constant: Any  # Kv, unloaded [rad/s/V]
    resistance: Any  # between terminals, from the catalogue [ohm]
    no_load_current: Any  # [A] at no-load speed for no_load_voltage
    resistance_factor: Any = RESISTANCE_FACTOR  # loaded and warm over catalogue [-]
    no_load_rise: Any = 0.0  # share of the no-load current that is proportional to speed, 0..1 [-]
    no_load_voltage: Any = NO_LOAD_VOLTAGE  # at which the no-load current was measured [V]


class Controller(NamedTuple):
    """Constants of a speed controller; fields may be arrays (...) and complex.

    Chosen so that efficiency lies in the bands of common practice (0.95-0.97 at full throttle,
    0.92-0.95 at 70 %, 0.88-0.93 at 50 %, 0.80-0.88 at 30 %) and never exceeds 0.98. From memory, no
    measured table; one thesis reports a minimum of 0.65 (R. Brown, Univ. of Maryland, 2019).
    """

    resistance: Any = 0.010  # of the switches in series [ohm]; common practice
    proportional_loss: Any = 0.025  # share of motor power [-]; common practice
    part_throttle_loss: Any = 0.065  # share of motor current x (pack less motor voltage) [-]; same
    standing_loss: Any = 0.3  # [W]; common practice


class MotorClass(NamedTuple):
    """Common values of motors of one stator diameter: see ``data/motor_classes.toml``."""

    reference_mass: float  # [kg]
    resistance_constant: float  # R Kv^2 at the reference mass [ohm (rad/s/V)^2]
    mass_exponent: float  # R Kv^2 is proportional to mass to this power [-]
    no_load_torque: float  # I0/Kv at the reference mass, proportional to mass [N m]


def motor_from_class(
    motor_class: MotorClass,
    speed_constant: Any,
    mass: Any,
    resistance: Any = None,
    no_load_current: Any = None,
    **factors: Any,
) -> Motor:
    """Return a Motor; values that its maker does not publish come from its class.

    Parameters
    ----------
    motor_class : MotorClass
    speed_constant : (...) array
        Kv. [rad/s/V]
    mass : (...) array
        Without connectors. [kg]
    resistance : (...) array, optional
        Terminal to terminal; a phase to the neutral point is half of it. [ohm]
    no_load_current : (...) array, optional
        At ``no_load_voltage``. [A]
    factors
        ``resistance_factor``, ``no_load_rise`` [-], ``no_load_voltage`` [V] of Motor.

    Returns
    -------
    Motor

    Notes
    -----
    R Kv^2 is constant within a frame size and length to about 10 %, for any winding: the number of turns
    cancels. A longer (heavier) stator lowers it. Source: ``data/motor_classes.toml``.
    """
    size = mass / motor_class.reference_mass
    if resistance is None:
        resistance = motor_class.resistance_constant * size**motor_class.mass_exponent / speed_constant**2
    if no_load_current is None:
        no_load_current = motor_class.no_load_torque * size * speed_constant
    return Motor(speed_constant, resistance, no_load_current, **factors)


def no_load_current(motor: Motor, revolutions: Any) -> Any:
    """Return the no-load current (...) at a rotational speed, ``revolutions`` (...) [rad/s]; a definition. [A]"""
    speed = revolutions / (motor.speed_constant * motor.no_load_voltage)
    return motor.no_load_current * (1 + motor.no_load_rise * (speed - 1))


def motor_current(motor: Motor, torque: Any, revolutions: Any) -> Any:
    """Return the current (...) for a shaft ``torque`` (...) [N m] at ``revolutions`` (...) [rad/s]; Drela, 2007. [A]"""
    return torque * motor.speed_constant + no_load_current(motor, revolutions)


def motor_voltage(motor: Motor, current: Any, revolutions: Any) -> Any:
    """Return the terminal voltage (...) for a ``current`` (...) [A] at ``revolutions`` (...) [rad/s]; Drela, 2007. [V]

    >>> motor = Motor(speed_constant=100.0, resistance=0.1, no_load_current=1.0, resistance_factor=1.0)
    >>> current = motor_current(motor, torque=0.09, revolutions=900.0)
    >>> current, motor_voltage(motor, current, revolutions=900.0)
    (10.0, 10.0)
    """
    return revolutions / motor.speed_constant + current * motor.resistance * motor.resistance_factor


def motor_loss(motor: Motor, current: Any, revolutions: Any) -> Any:
    """Return the heat of the motor (...): copper, and no-load torque for iron and bearings; Drela, 2007. [W]

    ``current`` (...) [A], ``revolutions`` (...) [rad/s].
    """
    copper = current * current * motor.resistance * motor.resistance_factor
    return copper + no_load_current(motor, revolutions) * revolutions / motor.speed_constant


def warm_factor(temperature: Any) -> Any:
    """Return loaded over catalogue resistance (...) with the winding at a ``temperature`` (...) [K]; IEC 60028. [-]

    From memory.
    """
    return RESISTANCE_FACTOR * _copper_factor(temperature) / _copper_factor(WINDING_TEMPERATURE)


def winding_temperature(motor: Motor, mass: Any, current: Any, revolutions: Any, air_temperature: Any) -> Any:
    """Return the steady temperature of the winding under a constant load.

    Parameters
    ----------
    motor : Motor
        Its ``resistance_factor`` taken as that of a winding at WINDING_TEMPERATURE.
    mass : (...) array
        Of the motor. [kg]
    current, revolutions : (...) arrays
        Of the motor. [A], [rad/s]
    air_temperature : (...) array
        [K]

    Returns
    -------
    winding_temperature : (...) array
        Infinite where copper heats faster than it cools, so that it burns before it is steady. [K]

    Notes
    -----
    Heat through one thermal resistance, THERMAL_RESISTANCE (mass / 0.1 kg)^THERMAL_EXPONENT, our estimate (judgement),
    good to a factor of two. Copper loss is linear in temperature, so the balance is solved in closed form. Iron loss
    is independent of temperature.
    """
    path = THERMAL_RESISTANCE * (mass / 0.1) ** THERMAL_EXPONENT
    copper = current * current * motor.resistance * motor.resistance_factor / _copper_factor(WINDING_TEMPERATURE)
    iron = no_load_current(motor, revolutions) * revolutions / motor.speed_constant
    left = 1 - path * copper * _COPPER
    cools = left.real > 0
    rise = path * (copper * _copper_factor(air_temperature) + iron) / np.where(cools, left, 1.0)
    return np.where(cools, air_temperature + rise, np.inf)


def _copper_factor(temperature: Any) -> Any:
    """Return the resistance of copper over that at 20 C. [-]"""
    return 1 + _COPPER * (temperature - ROOM_TEMPERATURE)


def duty(controller: Controller, motor_voltage: Any, motor_current: Any, pack_voltage: Any) -> Any:
    """Return the throttle (duty) (...): motor voltage and the drop in the switches over pack voltage. [-]

    A definition. ``motor_voltage`` (...) [V], ``motor_current`` (...) [A], ``pack_voltage`` (...) [V]. Above 1 the pack
    cannot drive the motor that fast.
    """
    return (motor_voltage + motor_current * controller.resistance) / pack_voltage


def controller_loss(controller: Controller, motor_voltage: Any, motor_current: Any, pack_voltage: Any) -> Any:
    """Return the heat of the controller (...). [W]

    Conduction, a share of the power transmitted, a switching loss that grows with the difference of pack and motor
    voltage, and a standing loss: common practice, see Controller. ``motor_voltage`` (...) [V], ``motor_current`` (...)
    [A], ``pack_voltage`` (...) [V].
    """
    chopped = pack_voltage - motor_voltage - motor_current * controller.resistance
    return (
        motor_current * motor_current * controller.resistance
        + controller.proportional_loss * motor_voltage * motor_current
        + controller.part_throttle_loss * motor_current * chopped
        + controller.standing_loss
    )
