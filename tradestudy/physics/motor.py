"""Brushless motor from three constants, and the speed controller that feeds it.

Motor (attributed to M. Drela, First-Order DC Electric Motor Model, MIT, 2007; algebra re-derived):
I = (V - w/Kv)/R, Q = (I - I0)/Kv, with Kv in rad/s/V. The winding resistance of a catalogue is
optimistic, so it is multiplied by a visible factor.
"""

from __future__ import annotations

from typing import NamedTuple

# A measured 2312 motor of 920 rpm/V with its controller needs 0.46 ohm where the winding alone is 0.15
# to 0.2 ohm (24 bench points, Multi-robot Systems group, CTU Prague): two to three times, controller,
# wires, heat and commutation included. The controller has its own loss here, a warm winding (+50 K)
# accounts for 1.2, commutation timing for the rest: common practice.
RESISTANCE_FACTOR = 1.5
NO_LOAD_VOLTAGE = 10.0  # makers quote the no-load current at about this voltage [V]; common practice


class Motor(NamedTuple):
    """Constants of a motor; fields may be arrays (...) and complex."""

    speed_constant: complex  # Kv, unloaded [rad/s/V]
    resistance: complex  # between terminals, as the catalogue has it [ohm]
    no_load_current: complex  # [A] at no-load speed for NO_LOAD_VOLTAGE
    resistance_factor: complex = RESISTANCE_FACTOR  # loaded and warm over catalogue [-]
    no_load_rise: complex = 0.0  # share of the no-load current that grows in step with speed, 0..1 [-]


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
        ``resistance_factor``, ``no_load_rise`` of Motor. [-]

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
    speed = revolutions / (motor.speed_constant * NO_LOAD_VOLTAGE)
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


def best_current(motor, voltage):
    """Return the current of best efficiency [A] (...), sqrt(V I0/R), no-load current held constant.

    voltage [V] (...).
    """
    return (voltage * motor.no_load_current / (motor.resistance * motor.resistance_factor)) ** 0.5


def best_efficiency(motor, voltage):
    """Return the best efficiency [-] (...) at a voltage [V] (...), (1 - sqrt(I0 R/V))^2."""
    waste = motor.no_load_current * motor.resistance * motor.resistance_factor / voltage
    return (1 - waste**0.5) ** 2


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
    return (motor_current * motor_current * controller.resistance
            + controller.proportional_loss * motor_voltage * motor_current
            + controller.part_throttle_loss * motor_current * chopped + controller.standing_loss)
