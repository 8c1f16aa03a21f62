"""Discharge of a pack at constant power, as a cruise in which the motor draws nothing and equipment all the power."""

from types import SimpleNamespace

from tradestudy.physics.endurance.cruise_range import steady_cruise
from tradestudy.physics.propulsion.drive_train import Powertrain
from tradestudy.physics.propulsion.motor import Controller, Motor

RESTING = SimpleNamespace(airspeed=1.0, motor_current=0.0, motor_voltage=0.0)  # at 1 m/s, one metre takes one second


def constant_power_cruise(pack, power, reserve=0.0):
    """Return the Cruise of a Pack at a constant power [W] down to a reserve [-], arrays of any batch shape.

    At 1 m/s, energy per metre is energy per second.
    """
    nothing_lost = Controller(0.0, 0.0, 0.0, 0.0)
    return steady_cruise(Powertrain(None, Motor(100.0, 0.1, 1.0), nothing_lost, pack), RESTING, reserve, power)
