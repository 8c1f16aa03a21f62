"""The horseshoe vortex against direct integration of the Biot-Savart law, and its derivatives against differences."""

import numpy as np
import pytest
from scipy.integrate import quad

from tradestudy.physics.aero.horseshoe import Horseshoes, Sight, influence, velocities_with_slopes

CORNER = np.array([[0.1, 0.2, 0.0], [0.25, 0.5, 0.05], [0.3, 0.9, 0.1]])
START, END = np.array([0, 1]), np.array([1, 2])
CONTROL = np.array([[0.5, 0.3, 0.1], [-0.2, 0.7, -0.3], [0.4, -0.5, 0.0]])
NORMAL = np.array([[0.0, 0.0, 1.0], [0.0, -1.0, 0.0], [0.0, 0.6, 0.8]])


def biot_savart(point, start, step):
    """Return the velocity by a straight vortex of unit circulation, from ``start`` along ``step`` (t from 0 to 1)."""

    def part(t, axis):
        arm = point - (start + t * step)
        return np.cross(step, arm)[axis] / (4 * np.pi * np.linalg.norm(arm) ** 3)

    return np.array([quad(part, 0, 1, args=(axis,), epsabs=1e-12, limit=200)[0] for axis in range(3)])


def leg(point, corner):
    """Return the velocity by a leg from far behind to the corner, integrated over t = 1 / (1 + distance)."""

    def part(t, axis):
        arm = point - (corner + np.array([1 / t - 1, 0, 0]))
        return np.cross([-1.0, 0, 0], arm)[axis] / (4 * np.pi * np.linalg.norm(arm) ** 3) / t**2

    return np.array([quad(part, 0, 1, args=(axis,), epsabs=1e-12, limit=200)[0] for axis in range(3)])


def test_against_direct_integration():
    result = influence(CONTROL, NORMAL, CORNER, START, END)
    for i, point in enumerate(CONTROL):
        for j in range(2):
            inner, outer = CORNER[START[j]], CORNER[END[j]]
            velocity = leg(point, inner) + biot_savart(point, inner, outer - inner) - leg(point, outer)
            # quadrature is accurate to 1e-12 for each piece
            assert result[i, j] == pytest.approx(velocity @ NORMAL[i], abs=1e-9)


def test_finite_in_line_with_the_bound_vortex():
    # the mid-angle points of an unswept wing are in line with the bound vortices of neighbours
    corner = np.array([[0.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
    result = influence(np.array([[0.0, 2.0, 0.0]]), np.array([[0.0, 0.0, 1.0]]), corner, np.array([0]), np.array([1]))
    # only the two half-infinite legs act: 1/(4 pi) (1/(2 - 1) - 1/2), upward outside the wing
    assert result[0, 0] == pytest.approx(0.5 / (4 * np.pi), rel=1e-12)


def seen(control, normal, corner):
    """Return how corners are seen from control points; or the slopes of it."""
    x, y, z = (control[..., None, None, :, axis] - corner[..., None, None, axis] for axis in range(3))
    return Sight(x, y, z, normal[..., None, None, :, 1], normal[..., None, None, :, 2])


def horseshoes(corner, change=None):
    """Return the horseshoes between corners, or their slopes along directions in which the corners ``change``."""
    across = corner[END] - corner[START]
    length = (across**2).sum(-1) if change is None else 2 * (across * (change[:, END] - change[:, START])).sum(-1)
    return [Horseshoes(START, END, length[..., None, None])]


def test_slopes_against_differences(random):
    directions = [random.normal(size=(2, *array.shape)) for array in (CONTROL, NORMAL, CORNER)]
    directions[1][..., 0] = 0  # normals have no x component
    value, slope = velocities_with_slopes(
        seen(CONTROL, NORMAL, CORNER), horseshoes(CORNER), seen(*directions), horseshoes(CORNER, directions[2])
    )
    slope = slope[:, :, 0].swapaxes(1, 2)  # one corner on each edge
    assert value[:, 0].T == pytest.approx(influence(CONTROL, NORMAL, CORNER, START, END), rel=1e-14)
    step = 1e-4
    for k in range(2):

        def moved(share, k=k):
            arrays = [
                array + share * step * way[k] for array, way in zip((CONTROL, NORMAL, CORNER), directions, strict=True)
            ]
            return influence(*arrays, START, END)

        result = (8 * (moved(1) - moved(-1)) - (moved(2) - moved(-2))) / (12 * step)
        # tolerance: rounding 1e-16 / 1e-4, and h^4
        assert slope[k] == pytest.approx(result, abs=1e-8 * np.abs(result).max())
