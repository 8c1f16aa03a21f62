"""A bench reading gives the resistance of its motor from any usable part of the reading."""

import numpy as np
import pytest

from tradestudy.physics.propulsion.drive_train import Powertrain, full_throttle
from tradestudy.physics.propulsion.motor import Controller, Motor, controller_loss
from tradestudy.physics.propulsion.motor_bench import BenchReading, motor_from_reading
from tradestudy.physics.propulsion.pack import LITHIUM_ION, Pack
from tradestudy.physics.propulsion.propeller_table import table_from_rows

RPM = 2 * np.pi / 60
RATIO = np.linspace(0, 0.9, 20)
PROPELLER = table_from_rows(0.2286, RATIO, 0.11 * (1 - (RATIO / 0.8) ** 1.5), 0.05 * (1.05 - (RATIO / 1.1) ** 2))
PACK = Pack(LITHIUM_ION, 4.0, 2.0, 18000.0, 0.03)
LOADED = 0.21  # ohm; the catalogue's 0.085 must have no effect


def _stand(throttle):
    """Return the instrument readings with a full pack and static propeller, at a throttle."""
    train = Powertrain(PROPELLER, Motor(1000 * RPM, LOADED, 1.0, 1.0, 0.3), Controller(), PACK, throttle_cap=throttle)
    point = full_throttle(train, 0.0, 1.2, 1.0)
    return {
        "voltage": float(point.pack_voltage),
        "current": float(point.pack_current),
        "revolutions": float(point.shaft.revolutions),
    }


@pytest.mark.parametrize("throttle", [1.0, 0.6])
@pytest.mark.parametrize(
    "read",
    [
        ("voltage", "current", "revolutions"),
        ("voltage", "current"),
        ("voltage", "revolutions"),
        ("current", "revolutions"),
        ("current",),
    ],
)
def test_any_usable_part_of_a_reading(throttle, read):
    shown = _stand(throttle)
    reading = BenchReading(throttle, **{name: shown[name] for name in read})
    loaded = motor_from_reading(Motor(1000 * RPM, 0.085, 1.0, 1.5, 0.3), Controller(), PROPELLER, PACK, 1.2, reading)
    assert loaded.resistance == pytest.approx(LOADED, rel=1e-6)
    assert loaded.revolutions == pytest.approx(shown["revolutions"], rel=1e-6)
    power = loaded.voltage * loaded.current
    assert power + controller_loss(Controller(), loaded.voltage, loaded.current, shown["voltage"]) == pytest.approx(
        shown["voltage"] * shown["current"], rel=1e-6
    )


def test_a_reading_that_contradicts_the_speed_constant_has_no_resistance():
    shown = _stand(1.0)
    reading = BenchReading(1.0, shown["voltage"], shown["current"], 1.1 * shown["voltage"] * 1000 * RPM)
    loaded = motor_from_reading(Motor(1000 * RPM, 0.085, 1.0), Controller(), PROPELLER, PACK, 1.2, reading)
    assert loaded.resistance < 0
