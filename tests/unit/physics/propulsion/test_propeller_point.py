"""The propeller curves read for one point give the same as for arrays."""

import numpy as np
import pytest

from tradestudy.physics.propulsion.propeller_point import coefficients_at_point
from tradestudy.physics.propulsion.propeller_table import propeller_coefficients, table_from_rows


@pytest.mark.parametrize("speeds", [(600.0,), (500.0, 700.0), (400.0, 600.0, 900.0)])
@pytest.mark.parametrize("first", [0.0, 0.15])
def test_same_as_arrays(speeds, first):
    """Compare values and derivatives inside and outside the rows; the tolerance of 1e-12 is rounding."""
    advance_ratio, revolutions = (grid.ravel() for grid in np.meshgrid(np.linspace(first, 0.8, 25), speeds))
    thrust = (0.11 - 0.04 * advance_ratio - 0.14 * advance_ratio**2) * (revolutions / 600) ** 0.05
    power = (0.045 + 0.02 * advance_ratio - 0.075 * advance_ratio**2) * (revolutions / 600) ** -0.06
    table = table_from_rows(0.2286, advance_ratio, thrust, power, revolutions)
    places, turning = [0.0, 0.1, first, 0.33, 0.5, 0.8, 0.9, 3.0], [0.1, 300.0, 550.0, 2000.0]
    for step in (0.0, np.array([1e-20j, 2e-20j])):
        for at in places:
            for speed in turning:
                stepped = np.zeros(2) + (at, speed) + step
                arrays = np.array(propeller_coefficients(table, *stepped[:, None]))[:, 0]
                plain = np.array(coefficients_at_point(table, *stepped.tolist()))
                assert plain.real == pytest.approx(arrays.real, rel=1e-12, abs=1e-14)
                assert plain.imag == pytest.approx(arrays.imag, rel=1e-11, abs=1e-32)
