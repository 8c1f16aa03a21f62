"""Brushless motor with three constants, its heat, and the speed controller that feeds it.

Motor model: I = (V - w/Kv)/R and Q = (I - I0)/Kv. I is the current, V the voltage, w the rotational speed, R the
resistance, Q the torque and I0 the no-load current. Kv is in rad/s/V. The model is attributed to M. Drela, First-Order
DC Electric Motor Model, MIT, 2007, and its algebra was re-derived.

Makers print the resistance of a cold winding, so it is taken warm. A measured bench point can replace it. What a loaded
motor loses besides is in the factor on the power of the drive (``physics/flight/what_built_wings_lose.md``).

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from .cold_and_age import ROOM_TEMPERATURE

_COPPER = 0.00393  # relative rise of resistance for each K above 20 C: annealed copper, IEC 60028 (from memory) [1/K]
WINDING_TEMPERATURE = 343.15  # usual temperature of a loaded winding, 50 K above 20 C [K]; common practice
# Resistance of a winding at that temperature over that of a cold one, which makers print [-]. A measured 2312 motor
# with its controller shows two to three times the stated resistance (24 bench points, Multi-robot Systems group, CTU
# Prague): wires, commutation and timing are in it as well.
WARM_RESISTANCE = 1 + _COPPER * (WINDING_TEMPERATURE - ROOM_TEMPERATURE)
# Temperature rise for each watt of heat, for a motor of 0.1 kg in the wind of its propeller. Smaller motors have less
# surface. This is our estimate: at two thirds of their makers' peak current, the eight motors of the class data
# become about 80 K warmer than the air. It is right within a factor of two. In still air the rise is larger.
THERMAL_RESISTANCE = 1.9  # [K/W]
THERMAL_EXPONENT = -0.7  # exponent of motor mass in the thermal resistance [-]
# Heat that warms a motor by one kelvin, over its mass: half of the mass (windings and stator) takes part at once, at
# the 440 J/(kg K) of steel and copper (from memory). Judgement, right within a factor of two.
HEAT_CAPACITY = 220.0  # [J/(kg K)]
NO_LOAD_VOLTAGE = 10.0  # approximate voltage at which makers state the no-load current [V]; common practice


class Motor(NamedTuple):
    """Constants of a motor; fields may be arrays (...) and complex."""

    speed_constant: Any  # unloaded speed over voltage, Kv [rad/s/V]
    resistance: Any  # resistance between two terminals, from the catalogue [ohm]
    no_load_current: Any  # no-load current at the no-load voltage [A]
    resistance_factor: Any = WARM_RESISTANCE  # resistance under load over catalogue resistance [-]
    no_load_rise: Any = 0.0  # share of the no-load current that is proportional to speed, 0..1 [-]
    no_load_voltage: Any = NO_LOAD_VOLTAGE  # voltage at which the no-load current was measured [V]


class Controller(NamedTuple):
    """Constants of a speed controller; fields may be arrays (...) and complex.

    They are chosen so that efficiency is in the bands of common practice and never exceeds 0.98. The bands are
    0.95-0.97 at full throttle, 0.92-0.95 at 70 %, 0.88-0.93 at 50 % and 0.80-0.88 at 30 %. They are from memory: there
    was no measured table. One thesis reports a minimum of 0.65 (R. Brown, Univ. of Maryland, 2019).
    """

    resistance: Any = 0.010  # resistance of the switches in series [ohm]; common practice
    proportional_loss: Any = 0.025  # loss over motor power [-]; common practice
    part_throttle_loss: Any = 0.065  # loss over motor current x (pack less motor voltage) [-]; common practice
    standing_loss: Any = 0.3  # constant loss [W]; common practice


class MotorClass(NamedTuple):
    """Values that motors with the same stator diameter share, from ``data/motor_classes.toml``."""

    reference_mass: float  # motor mass to which the values apply [kg]
    resistance_constant: float  # R Kv^2 at the reference mass [ohm (rad/s/V)^2]
    mass_exponent: float  # exponent x where R Kv^2 is proportional to mass^x [-]
    no_load_torque: float  # I0/Kv at the reference mass; it is proportional to mass [N m]


def motor_from_class(
    motor_class: MotorClass,
    speed_constant: Any,
    mass: Any,
    resistance: Any = None,
    no_load_current: Any = None,
    **factors: Any,
) -> Motor:
    """Return a Motor. Values that are not given come from its class.

    Parameters
    ----------
    motor_class : MotorClass
    speed_constant : (...) array
        Unloaded speed over voltage, Kv. [rad/s/V]
    mass : (...) array
        Mass of the motor without connectors. [kg]
    resistance : (...) array, optional
        Resistance between two terminals; that from a terminal to the neutral point is half of it. [ohm]
    no_load_current : (...) array, optional
        No-load current at ``no_load_voltage``. [A]
    factors
        Other fields of Motor: ``resistance_factor``, ``no_load_rise`` [-], ``no_load_voltage`` [V].

    Returns
    -------
    Motor

    Notes
    -----
    For motors of equal frame size and length, R Kv^2 is constant within about 10 %. It is the same for any winding,
    because the number of turns cancels. A longer (heavier) stator lowers it. Source: ``data/motor_classes.toml``.
    """
    size = mass / motor_class.reference_mass
    if resistance is None:
        resistance = motor_class.resistance_constant * size**motor_class.mass_exponent / speed_constant**2
    if no_load_current is None:
        no_load_current = motor_class.no_load_torque * size * speed_constant
    return Motor(speed_constant, resistance, no_load_current, **factors)


def no_load_current(motor: Motor, revolutions: Any) -> Any:
    """Return the no-load current (...) at a rotational speed ``revolutions`` (...) [rad/s]. [A]

    This is a definition and needs no source.
    """
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
    """Return the heat of the motor (...) at a ``current`` (...) [A] and ``revolutions`` (...) [rad/s]. [W]

    It is the loss in the copper, plus that of the no-load torque (iron and bearings): Drela, 2007.
    """
    copper = current * current * motor.resistance * motor.resistance_factor
    return copper + no_load_current(motor, revolutions) * revolutions / motor.speed_constant


def warm_factor(temperature: Any) -> Any:
    """Return warm over catalogue resistance (...) with the winding at a ``temperature`` (...) [K]. [-]

    Source: IEC 60028, from memory.
    """
    return 1 + _COPPER * (temperature - ROOM_TEMPERATURE)


def winding_temperature(motor: Motor, mass: Any, current: Any, revolutions: Any, air_temperature: Any) -> Any:
    """Return the steady temperature of the winding under a constant load.

    Parameters
    ----------
    motor : Motor
        Its ``resistance_factor`` is that of a winding at WINDING_TEMPERATURE.
    mass : (...) array
        Mass of the motor. [kg]
    current, revolutions : (...) arrays
        Current and rotational speed of the motor. [A], [rad/s]
    air_temperature : (...) array
        Temperature of the air. [K]

    Returns
    -------
    winding_temperature : (...) array
        Steady temperature. It is infinite where copper heats faster than it cools: then the winding burns. [K]

    Notes
    -----
    The heat flows through the thermal resistance THERMAL_RESISTANCE (mass / 0.1 kg)^THERMAL_EXPONENT. That is our
    estimate (judgement), right within a factor of two. Copper loss is linear in temperature, so the balance has a
    closed form. Iron loss is independent of temperature.
    """
    path, heat, left = _heat_balance(motor, mass, current, revolutions, air_temperature)
    cools = left.real > 0
    return np.where(cools, air_temperature + path * heat / np.where(cools, left, 1.0), np.inf)


def _heat_balance(
    motor: Motor, mass: Any, current: Any, revolutions: Any, air_temperature: Any
) -> tuple[Any, Any, Any]:
    """Return thermal resistance [K/W], heat of a motor as cold as the air [W], and the share of its cooling left.

    The share is what the growth of the copper's resistance leaves of it [-]. The arguments are as for
    ``winding_temperature``.
    """
    path = THERMAL_RESISTANCE * (mass / 0.1) ** THERMAL_EXPONENT
    copper = current * current * motor.resistance * motor.resistance_factor / WARM_RESISTANCE
    iron = no_load_current(motor, revolutions) * revolutions / motor.speed_constant
    return path, copper * warm_factor(air_temperature) + iron, 1 - path * copper * _COPPER


def warming_time(
    motor: Motor, mass: float, current: float, revolutions: float, air_temperature: float, start: float, end: float
) -> float:
    """Return the time in which a constant load warms the winding from ``start`` to ``end``. [s] It is inf if it never
    does.

    Parameters
    ----------
    motor, mass, current, revolutions, air_temperature
        As for ``winding_temperature``, one load.
    start, end : float
        Temperatures of the winding. [K]

    Notes
    -----
    One heat capacity, HEAT_CAPACITY x mass, and the balance of ``winding_temperature``: a linear equation, in closed
    form. It is a judgement, right within a factor of two.
    """
    path, heat, left = _heat_balance(motor, mass, current, revolutions, air_temperature)
    capacity = HEAT_CAPACITY * mass
    first, last = (heat - left * (each - air_temperature) / path for each in (start, end))  # net heat [W]
    if start >= end:
        return 0.0
    if first <= 0 or last <= 0:
        return np.inf
    if abs(last - first) < 1e-9 * first:
        return float(capacity * (end - start) / first)
    return float(capacity * path / left * np.log(first / last))


def duty(controller: Controller, motor_voltage: Any, motor_current: Any, pack_voltage: Any) -> Any:
    """Return the throttle, also called duty, (...). [-]

    By definition it is motor voltage plus the drop in the switches, over pack voltage. The arguments are
    ``motor_voltage`` (...) [V], ``motor_current`` (...) [A] and ``pack_voltage`` (...) [V]. Above 1 the pack cannot
    drive the motor that fast.
    """
    return (motor_voltage + motor_current * controller.resistance) / pack_voltage


def controller_loss(controller: Controller, motor_voltage: Any, motor_current: Any, pack_voltage: Any) -> Any:
    """Return the heat of the controller (...). [W]

    It is the sum of four losses: conduction, a share of the power transmitted, switching, and a constant loss. The
    switching loss grows with the difference of pack and motor voltage. Common practice, see Controller. The arguments
    are ``motor_voltage`` (...) [V], ``motor_current`` (...) [A] and ``pack_voltage`` (...) [V].
    """
    resistance, proportional, part_throttle, standing = controller
    drop = motor_current * resistance
    chopped = pack_voltage - motor_voltage - drop
    return motor_current * (drop + proportional * motor_voltage + part_throttle * chopped) + standing
