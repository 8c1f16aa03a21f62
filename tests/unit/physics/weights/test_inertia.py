"""Moments of inertia of points against sums about their own centre."""

import numpy as np
import pytest

from tradestudy.physics.weights import inertia
from tradestudy.physics.weights.inertia import about_centre, total_moments


def test_parallel_axes_for_points_at_different_heights():
    mass, (x, y, z) = np.array([0.3, 0.5, 0.2]), np.array([[0.1, 0.4, 0.9], [0.2, 0.0, 0.5], [1.3, 1.1, 1.6]])
    half = inertia._moments(mass, x, y, z, 0.0)
    found = about_centre(total_moments([half, half]))
    total = 2 * mass.sum()
    x0, z0 = 2 * mass @ x / total, 2 * mass @ z / total
    xx, yy, zz = (2 * mass @ (part * part) for part in (x - x0, y, z - z0))
    expected = (total, x0, z0, yy + zz, xx + zz, xx + yy, 2 * mass @ ((x - x0) * (z - z0)))
    assert found == pytest.approx(expected, rel=1e-12)
