"""Air with a local temperature. The standard table is tested in tests/published/air/test_iso_1975.py."""

import numpy as np
import pytest

from tradestudy.physics import air


def test_hot_day_lowers_density_at_the_same_pressure():
    # ideal gas at equal pressure: density is exactly proportional to 1 / T
    hot = air.density(100.0, 308.15)
    assert hot / air.density(100.0) == pytest.approx(air.temperature(100.0) / 308.15, rel=1e-12)


def test_viscosity_is_that_of_the_local_temperature():
    # Sutherland's formula depends on temperature alone: 275.15 K is the standard at 2000 m
    assert air.dynamic_viscosity(0.0, 275.15) == pytest.approx(air.dynamic_viscosity(2000.0), rel=1e-12)
    result = air.kinematic_viscosity(0.0, 303.15)
    assert result == pytest.approx(air.dynamic_viscosity(0.0, 303.15) / air.density(0.0, 303.15), rel=1e-12)


def test_batches():
    altitude = np.array([0.0, 500.0, 1500.0])
    assert air.density(altitude) == pytest.approx([air.density(one) for one in altitude], rel=1e-14)


def test_gravity_is_standard():
    assert air.GRAVITY == 9.80665  # m/s2, ISO 80000-3, exact
