"""The motor model with three constants against a worked example.

M. Drela, First-Order DC Electric Motor Model, MIT, February 2007 (formulas, from memory; a public repository has the
same formulas under that name). The example is a 2217/16 motor with 1050 rpm/V, 0.120 ohm and 0.40 A. It was recomputed
by hand from those formulas. The tolerance of 0.1 % is its print rounding.
"""

import numpy as np
import pytest

from tradestudy.physics.propulsion.motor import (
    Motor,
    motor_current,
    motor_loss,
    motor_voltage,
)

RPM = 2 * np.pi / 60
MOTOR = Motor(1050 * RPM, 0.120, 0.40, resistance_factor=1.0)


@pytest.mark.parametrize(
    "voltage, current, rpm, torque, shaft_power, efficiency",
    [
        (11.1, 5, 11025, 0.04183, 48.30, 0.8703),
        (11.1, 10, 10395, 0.08731, 95.04, 0.8562),
        (11.1, 15, 9765, 0.1328, 135.78, 0.8155),
        (14.8, 10, 14280, 0.08731, 130.56, 0.8822),
    ],
)
def test_worked_example(voltage, current, rpm, torque, shaft_power, efficiency):
    revolutions = rpm * RPM
    assert motor_current(MOTOR, torque, revolutions) == pytest.approx(current, rel=1e-3)
    assert motor_voltage(MOTOR, current, revolutions) == pytest.approx(voltage, rel=1e-3)
    loss = motor_loss(MOTOR, current, revolutions)
    assert voltage * current - loss == pytest.approx(shaft_power, rel=1e-3)
    assert 1 - loss / (voltage * current) == pytest.approx(efficiency, rel=1e-3)


def test_best_point():
    current = np.linspace(5, 8, 3001)
    heat = motor_loss(MOTOR, current, 1050 * RPM * (11.1 - 0.120 * current))
    efficiency = 1 - heat / (11.1 * current)
    assert current[efficiency.argmax()] == pytest.approx(6.083, rel=1e-3)
    assert efficiency.max() == pytest.approx(0.8728, rel=1e-3)
