"""Standard atmosphere: ISO 2533:1975 (US Standard Atmosphere 1976 below 11 km), geopotential altitude.

The table was recomputed from the standard's constants to six digits. The tolerance is 0.01 %.
"""

import pytest

from tradestudy.physics import air


@pytest.mark.parametrize(
    ("altitude", "temperature", "pressure", "density", "viscosity", "kinematic"),
    [
        (0, 288.150, 101325.0, 1.22500, 1.78938e-5, 1.46072e-5),
        (500, 284.900, 95460.8, 1.16727, 1.77366e-5, 1.51949e-5),
        (1000, 281.650, 89874.6, 1.11164, 1.75785e-5, 1.58130e-5),
        (2000, 275.150, 79495.2, 1.00649, 1.72596e-5, 1.71483e-5),
    ],
)
def test_table(altitude, temperature, pressure, density, viscosity, kinematic):
    assert air.temperature(altitude) == pytest.approx(temperature, rel=1e-4)
    assert air.pressure(altitude) == pytest.approx(pressure, rel=1e-4)
    assert air.density(altitude) == pytest.approx(density, rel=1e-4)
    assert air.dynamic_viscosity(altitude) == pytest.approx(viscosity, rel=1e-4)
    assert air.kinematic_viscosity(altitude) == pytest.approx(kinematic, rel=1e-4)
