"""The smooth curve through points, against the one of a library."""

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

from tradestudy.physics.sections.monotone_curve import monotone_curve


@pytest.mark.parametrize("count", [2, 3, 4, 30])
@pytest.mark.parametrize("seed", range(6))
def test_it_is_the_curve_of_the_library(count, seed):
    random = np.random.default_rng(seed)
    x = np.cumsum(random.uniform(0.05, 1.0, count))
    y = random.choice([-2.0, -0.3, 0.0, 0.0, 1.0, 2.5], count)  # with level pieces and steep ends
    place = np.linspace(x[0] - 0.3, x[-1] + 0.3, 500)
    place = np.concatenate([place, x])
    assert monotone_curve(x, y, place) == pytest.approx(PchipInterpolator(x, y, extrapolate=True)(place), abs=1e-11)
