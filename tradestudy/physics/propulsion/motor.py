"""Brushless motor from three constants, its heat, and the speed controller that feeds it.

Motor (attributed to M. Drela, First-Order DC Electric Motor Model, MIT, 2007; algebra re-derived):
I = (V - w/Kv)/R, Q = (I - I0)/Kv, with Kv in rad/s/V. The winding resistance of a catalogue is
optimistic, so it is multiplied by a visible factor, which a bench point of the builder's can replace.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

# A measured 2312 motor of 920 rpm/V with its controller needs 0.46 ohm where the winding alone is 0.15
# to 0.2 ohm (24 bench points, Multi-robot Systems group, CTU Prague): two to three times, controller,
# wires, heat and commutation included. The controller has its own loss here, a warm winding (+50 K)
# accounts for 1.2, commutation timing for the rest: common practice.
RESISTANCE_FACTOR = 1.5
WINDING_TEMPERATURE = 343.15  # at which RESISTANCE_FACTOR holds, 50 K above 20 C [K]
_COPPER = 0.00393  # of resistance, for each K above 20 C: annealed copper, IEC 60028 (from memory) [1/K]
ROOM = 293.15  # [K]
# A motor of 0.1 kg in a propeller's wind, per watt of heat; smaller ones have less skin. Our estimate: with it the
# eight motors of the class rule get some 80 K warmer than the air at two thirds of the peak current their makers allow,
# within a factor of two each way. Where it sits in still air, expect more.
THERMAL_RESISTANCE = 1.6  # [K/W]
THERMAL_EXPONENT = -0.7  # with mass
NO_LOAD_VOLTAGE = 10.0  # makers quote the no-load current at about this voltage [V]; common practice


class Motor(NamedTuple):
    """Constants of a motor; fields may be arrays (...) and complex."""

    speed_constant: complex  # Kv, unloaded [rad/s/V]
    resistance: complex  # between terminals, as the catalogue has it [ohm]
    no_load_current: complex  # [A] at no-load speed for no_load_voltage
    resistance_factor: complex = RESISTANCE_FACTOR  # loaded and warm over catalogue [-]
    no_load_rise: complex = 0.0  # share of the no-load current that grows in step with speed, 0..1 [-]
    no_load_voltage: complex = NO_LOAD_VOLTAGE  # at which the no-load current was measured [V]


class Controller(NamedTuple):
    """Constants of a speed controller; fields may be arrays (...) and complex.

    Chosen so that efficiency runs through the bands of common practice (0.95-0.97 at full throttle,
    0.92-0.95 at 70 %, 0.88-0.93 at 50 %, 0.80-0.88 at 30 %) and never passes 0.98. From memory, no
    measured table; one thesis reports as little as 0.65 at worst (R. Brown, Univ. of Maryland, 2019).
    """

    resistance: complex = 0.010  # of the switches in series [ohm]; common practice
    proportional_loss: complex = 0.025  # share of motor power [-]; common practice
    part_throttle_loss: complex = 0.065  # share of motor current x (pack less motor voltage) [-]; same
    standing_loss: complex = 0.3  # [W]; common practice


class MotorClass(NamedTuple):
    """What motors of one stator diameter have in common: see ``data/motor_classes.toml``."""

    reference_mass: float  # [kg]
    resistance_constant: float  # R Kv^2 at the reference mass [ohm (rad/s/V)^2]
    mass_exponent: float  # R Kv^2 goes with mass to this power [-]
    no_load_torque: float  # I0/Kv at the reference mass, goes with mass [N m]


def motor_from_class(motor_class, speed_constant, mass, resistance=None, no_load_current=None, **factors):
    """Return a Motor, filling what its maker does not tell from its class.

    Parameters
    ----------
    motor_class : MotorClass
    speed_constant : (...) array
        [rad/s/V]
    mass : (...) array
        Without connectors. [kg]
    resistance : (...) array, optional
        Terminal to terminal; a phase to the neutral point is half of it. [ohm]
    no_load_current : (...) array, optional
        [A]
    factors
        ``resistance_factor``, ``no_load_rise`` [-], ``no_load_voltage`` [V] of Motor.

    Returns
    -------
    Motor

    Notes
    -----
    R Kv^2 is constant within a frame size and length to about 10 %, whatever the winding: turns cancel.
    A longer (heavier) stator lowers it.
    """
    size = mass / motor_class.reference_mass
    if resistance is None:
        resistance = motor_class.resistance_constant * size**motor_class.mass_exponent / speed_constant**2
    if no_load_current is None:
        no_load_current = motor_class.no_load_torque * size * speed_constant
    return Motor(speed_constant, resistance, no_load_current, **factors)


def no_load_current(motor, revolutions):
    """Return the no-load current [A] (...) at a rotational speed [rad/s] (...)."""
    speed = revolutions / (motor.speed_constant * motor.no_load_voltage)
    return motor.no_load_current * (1 + motor.no_load_rise * (speed - 1))


def motor_current(motor, torque, revolutions):
    """Return the current [A] (...) for a shaft torque [N m] (...) at a rotational speed [rad/s] (...)."""
    return torque * motor.speed_constant + no_load_current(motor, revolutions)


def motor_voltage(motor, current, revolutions):
    """Return the terminal voltage [V] (...) for a current [A] (...) at a rotational speed [rad/s] (...)."""
    return revolutions / motor.speed_constant + current * motor.resistance * motor.resistance_factor


def motor_loss(motor, current, revolutions):
    """Return the heat of the motor [W] (...): copper, and iron with bearings as no-load torque."""
    copper = current * current * motor.resistance * motor.resistance_factor
    return copper + no_load_current(motor, revolutions) * revolutions / motor.speed_constant


def warm_factor(temperature):
    """Return loaded over catalogue resistance [-] (...) with the winding at a temperature [K] (...)."""
    return RESISTANCE_FACTOR * _copper(temperature) / _copper(WINDING_TEMPERATURE)


def winding_temperature(motor, mass, current, revolutions, air_temperature):
    """Return how warm the winding gets when a load is held until it warms no further.

    Parameters
    ----------
    motor : Motor
        Its ``resistance_factor`` taken as that of a winding at WINDING_TEMPERATURE.
    mass : (...) array
        [kg]
    current, revolutions : (...) arrays
        [A], [rad/s]
    air_temperature : (...) array
        [K]

    Returns
    -------
    temperature : (...) array
        Infinite where copper warms faster than it cools (it would burn before it is steady). [K]

    Notes
    -----
    Heat through one thermal resistance, THERMAL_RESISTANCE (mass / 0.1 kg)^THERMAL_EXPONENT, good to a factor of
    two. Copper loss rises in step with temperature, so the balance is linear and solved in closed form. Iron loss
    is taken as it is.
    """
    path = THERMAL_RESISTANCE * (mass / 0.1) ** THERMAL_EXPONENT
    copper = current * current * motor.resistance * motor.resistance_factor / _copper(WINDING_TEMPERATURE)
    iron = no_load_current(motor, revolutions) * revolutions / motor.speed_constant
    left = 1 - path * copper * _COPPER
    cools = left.real > 0
    rise = path * (copper * _copper(air_temperature) + iron) / np.where(cools, left, 1.0)
    return np.where(cools, air_temperature + rise, np.inf)


def _copper(temperature):
    """Return resistance over that at 20 C. [-]"""
    return 1 + _COPPER * (temperature - ROOM)


def duty(controller, motor_voltage, motor_current, pack_voltage):
    """Return the throttle (duty) [-] (...): motor voltage and the drop in the switches over pack voltage.

    Voltages in V, current in A, all (...). Above 1 the pack cannot drive the motor that fast.
    """
    return (motor_voltage + motor_current * controller.resistance) / pack_voltage


def controller_loss(controller, motor_voltage, motor_current, pack_voltage):
    """Return the heat of the controller [W] (...).

    Conduction, a share of the power passed on, a switching loss that grows with what is chopped off the
    pack voltage, and a standing loss. Voltages in V, current in A, all (...).
    """
    chopped = pack_voltage - motor_voltage - motor_current * controller.resistance
    return (
        motor_current * motor_current * controller.resistance
        + controller.proportional_loss * motor_voltage * motor_current
        + controller.part_throttle_loss * motor_current * chopped
        + controller.standing_loss
    )
