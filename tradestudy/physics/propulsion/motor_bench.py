"""The loaded resistance of a motor from one bench reading of volts, amps and rpm.

Catalogue resistance is that of the cold winding, sometimes of one phase alone. A measured motor under load showed two
to three times that (24 bench points of a 2312 motor, Multi-robot Systems group, CTU Prague). So one reading at full
throttle is more reliable than the catalogue.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from . import motor as motors
from . import pack as packs
from .propeller_table import TWO_PI, PropellerTable, propeller_coefficients

_STEPS = 40  # number of bisection steps for a rotational speed


class BenchReading(NamedTuple):
    """One reading on the bench. A value that was not measured is None."""

    throttle: float = 1.0  # throttle (duty) [-]
    voltage: float | None = None  # voltage at the controller under load; None means that of a full loaded pack [V]
    current: float | None = None  # current into the controller [A]
    revolutions: float | None = None  # rotational speed [rad/s]


class LoadedMotor(NamedTuple):
    """State of the motor under the load of a reading."""

    resistance: float  # resistance with which the motor model reproduces the reading [ohm]
    current: float  # current of the motor [A]
    voltage: float  # voltage across the motor [V]
    revolutions: float  # rotational speed [rad/s]


def motor_from_reading(
    motor: motors.Motor,
    controller: motors.Controller,
    propeller: PropellerTable,
    pack: packs.Pack,
    density: float,
    reading: BenchReading,
) -> LoadedMotor:
    """Return the LoadedMotor of a BenchReading at zero airspeed.

    Parameters
    ----------
    motor : Motor
        Its resistance is not used.
    controller : Controller
    propeller : PropellerTable
        Its static power relates current and speed where one of them was not measured.
    pack : Pack
        A full pack, used where the voltage was not measured.
    density : float
        Air density. [kg/m3]
    reading : BenchReading
        It has at least current or speed. Without voltage it has the current.

    Returns
    -------
    LoadedMotor
        ``resistance`` is zero or negative where speed constant and reading contradict each other. Source: the motor
        model of Drela, 2007, see ``motor``.
    """
    voltage: Any = reading.voltage
    revolutions: Any = reading.revolutions
    if voltage is None:
        voltage = packs.open_circuit_voltage(pack, 1.0) - reading.current * packs.pack_resistance(pack, 1.0)
    bus = reading.throttle * voltage
    if reading.current is not None:
        current = _motor_current(controller, bus, voltage, voltage * reading.current)
        if revolutions is None:
            revolutions = _revolutions_at(motor, propeller, density, current)
    else:
        current = motors.motor_current(motor, _static_torque(propeller, density, revolutions), revolutions)
    across = bus - current * controller.resistance
    return LoadedMotor(
        resistance=float((across - revolutions / motor.speed_constant) / current),
        current=float(current),
        voltage=float(across),
        revolutions=float(revolutions),
    )


def _motor_current(controller: motors.Controller, bus: float, voltage: float, power: float) -> float:
    """Return the motor current at which motor and controller use this power [W], from a quadratic equation. [A]"""
    per_amp = bus * (1 + controller.proportional_loss) + controller.part_throttle_loss * (voltage - bus)
    bend = controller.proportional_loss * controller.resistance
    power = power - controller.standing_loss
    return 2 * power / (per_amp + (per_amp * per_amp - 4 * bend * power) ** 0.5)


def _static_torque(propeller: PropellerTable, density: float, revolutions: float) -> float:
    _, power_coefficient = propeller_coefficients(propeller, 0.0, revolutions)
    return float(power_coefficient) * density * (revolutions / TWO_PI) ** 2 * propeller.diameter**5 / TWO_PI


def _revolutions_at(motor: motors.Motor, propeller: PropellerTable, density: float, current: float) -> float:
    """Return the rotational speed at which the propeller needs the torque of a motor current [A]. [rad/s]"""
    low, high = 1.0, 2e4
    for _ in range(_STEPS):
        middle = math.sqrt(low * high)
        needed = motors.motor_current(motor, _static_torque(propeller, density, middle), middle)
        low, high = (middle, high) if needed < current else (low, middle)
    return math.sqrt(low * high)
