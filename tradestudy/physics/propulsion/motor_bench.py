"""What a motor on the bench says of its resistance: one reading of volts, amps and rpm against the motor model.

Catalogue resistance is that of the cold winding, sometimes of one phase alone. What a loaded motor shows is two to
three times that on a measured example (24 bench points of a 2312 motor, Multi-robot Systems group, CTU Prague), so
one reading at full throttle is worth more than the catalogue.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from . import motor as motors
from . import pack as packs
from .propeller_table import TWO_PI, propeller_coefficients

_STEPS = 40  # of the search for a rotational speed; each halves what is left, or better


class BenchReading(NamedTuple):
    """What was read; None where it was not."""

    throttle: float = 1.0  # duty [-]
    voltage: float | None = None  # at the controller, under load; None: of the full pack under that current [V]
    current: float | None = None  # into the controller [A]
    revolutions: float | None = None  # [rad/s]


class LoadedMotor(NamedTuple):
    """The motor under that load."""

    resistance: float  # that the motor model needs to show the reading [ohm]
    current: float  # of the motor [A]
    voltage: float  # across the motor [V]
    revolutions: float  # [rad/s]


def motor_from_reading(motor, controller, propeller, pack, density, reading):
    """Return the Loaded motor behind a Reading with its propeller standing.

    Parameters
    ----------
    motor : Motor
        Its resistance is not used.
    controller : Controller
    propeller : PropellerTable
        Used where current or speed was not read: it then ties the two, as well as its static power is known.
    pack : Pack
        Used where voltage was not read: full.
    density : float
        [kg/m3]
    reading : Reading
        Current or speed at the least; without voltage, current.

    Returns
    -------
    Loaded
        ``resistance`` is zero or negative where speed constant and reading contradict each other.
    """
    voltage = reading.voltage
    if voltage is None:
        voltage = packs.open_circuit_voltage(pack, 1.0) - reading.current * packs.pack_resistance(pack, 1.0)
    bus = reading.throttle * voltage
    if reading.current is not None:
        current = _motor_current(controller, bus, voltage, voltage * reading.current)
        turning = reading.revolutions
        if turning is None:
            turning = _revolutions_at(motor, propeller, density, current)
    else:
        turning = reading.revolutions
        current = motors.motor_current(motor, _torque(propeller, density, turning), turning)
    across = bus - current * controller.resistance
    return LoadedMotor(
        float((across - turning / motor.speed_constant) / current), float(current), float(across), float(turning)
    )


def _motor_current(controller, bus, voltage, power):
    """Return the motor current [A] at which motor and controller take this power [W]; a quadratic."""
    per_amp = bus * (1 + controller.proportional_loss) + controller.part_throttle_loss * (voltage - bus)
    bend = controller.proportional_loss * controller.resistance
    power = power - controller.standing_loss
    return 2 * power / (per_amp + (per_amp * per_amp - 4 * bend * power) ** 0.5)


def _torque(propeller, density, turning):
    _, power_coefficient = propeller_coefficients(propeller, 0.0, turning)
    return float(power_coefficient) * density * (turning / TWO_PI) ** 2 * propeller.diameter**5 / TWO_PI


def _revolutions_at(motor, propeller, density, current):
    """Return the rotational speed [rad/s] at which the propeller takes the torque of a motor current [A]."""
    low, high = 1.0, 2e4
    for _ in range(_STEPS):
        middle = np.sqrt(low * high)
        asked = motors.motor_current(motor, _torque(propeller, density, middle), middle)
        low, high = (middle, high) if asked < current else (low, middle)
    return np.sqrt(low * high)
