"""The search for one root, beside what the drive train checks of it."""

import numpy as np
import pytest

from tradestudy.physics.propulsion import root_search


@pytest.mark.parametrize("numbers", [root_search.ARRAYS, root_search.SINGLE_NUMBERS], ids=["arrays", "single numbers"])
@pytest.mark.parametrize(("start", "asked"), [(8.0, [8.0, 4.0, 2.0, 1.0]), (0.125, [0.125, 0.25, 0.5, 1.0])])
def test_a_step_goes_to_half_or_twice_at_most(numbers, start, asked):
    """Check the root of arctan(5 ln u), at 1: far from it whole Newton steps would overshoot to either side."""
    places = []

    def residual(unknown):
        places.append(float(np.real(unknown)))
        return np.arctan(5 * np.log(unknown))

    found, step, slope, converged = root_search.root(residual, numbers, start, root_search.FOR_SLOPES)
    assert places[:4] == pytest.approx(asked)
    assert found == pytest.approx(1.0) and converged and abs(step) < 1e-11 and slope == pytest.approx(5.0)
