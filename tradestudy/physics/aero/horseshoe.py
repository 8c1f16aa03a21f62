"""Normal velocity induced by horseshoe vortices with straight wakes aft, and its exact slopes.

Source: the Biot-Savart law for a straight segment and a half-infinite leg (any aerodynamics text);
checked against the textbook lattice example of Bertin in tests/published. Neighbouring horseshoes
share corners, so distances and legs are computed once per corner.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

_FOUR_PI = 4 * np.pi


class _Corners(NamedTuple):
    """What every control point (m) sees of every corner (p): all (m, p)."""

    x: Any
    y: Any
    z: Any
    distance: Any
    radius: Any  # squared distance from the leg's line
    arm: Any  # n . (x^ x r)
    below: Any
    leg: Any


def influence(control, normal, corner, start, end):
    """Return the velocity along ``normal`` at each control point per unit circulation of each horseshoe.

    A horseshoe comes from far aft to one corner, crosses to another and goes far aft again, legs along x.

    Parameters
    ----------
    control, normal : (m, 3) arrays
        Points [m] and unit normals [-], the normals without an x part (strips are cut along x).
    corner : (p, 3) array
        Ends of the bound vortices. [m]
    start, end : (n,) integer arrays or slices
        Which corners each horseshoe runs between; slices spare copies.

    Returns
    -------
    (m, n) array
        Normal velocity per circulation. [1/m]
    """
    seen = _corners(control, normal, corner)
    bound = _bound(seen, normal, start, end)[0]
    return (bound + seen.leg[:, end] - seen.leg[:, start]) / _FOUR_PI


class Gradient(NamedTuple):
    """How ``influence`` (m, n) moves with the points it is made of; one array serves any number of directions."""

    by_start: np.ndarray  # (m, 3 n): by the vector from each horseshoe's first corner, x then y then z [1/m^2]
    by_end: np.ndarray  # (m, 3 n): from its second corner [1/m^2]
    by_control: np.ndarray  # (3, m, n): by the control point, the sum of both [1/m^2]
    by_normal: np.ndarray  # (2, m, n): by the normal's y and z [1/m]

    def slope_times(self, control_slope, normal_slope, start_slope, end_slope, vector):
        """Return the slope of the influence along k directions times ``vector`` (n, c): (k, m, c).

        ``control_slope``, ``normal_slope`` (k, m, 3) and ``start_slope``, ``end_slope`` (k, n, 3) say how points move.
        The slope matrices themselves are never made: products with what they meet cost a tenth of that.
        """
        k, n, _ = start_slope.shape
        found = -(self.by_start @ _moved(start_slope, vector) + self.by_end @ _moved(end_slope, vector))
        found = np.moveaxis(found.reshape(len(found), k, -1), 1, 0)
        for gradient, slope, first in ((self.by_control, control_slope, 0), (self.by_normal, normal_slope, 1)):
            for axis, part in enumerate(gradient):
                found = found + slope[..., axis + first, None] * (part @ vector)
        return found

    def slopes(self, control_slope, normal_slope, start_slope, end_slope):
        """Return the slope of the influence along k directions itself: (k, m, n), arguments as for ``slope_times``."""
        by_corner = np.array([self.by_start, self.by_end]).reshape(2, len(self.by_start), 3, -1)
        found = 0.0
        for axis in range(3):
            found = found + control_slope[:, :, None, axis] * self.by_control[axis]
            for gradient, slope in zip(by_corner, (start_slope, end_slope), strict=True):
                found = found - gradient[:, axis] * slope[:, None, :, axis]
        for axis, part in enumerate(self.by_normal):
            found = found + normal_slope[:, :, None, axis + 1] * part
        return found


def _moved(slope, vector):
    """Products of corner moves (k, n, 3) and ``vector`` (n, c), laid out (3 n, k c)."""
    moved = slope.transpose(2, 1, 0)[..., None] * vector[:, None, :]
    return moved.reshape(moved.shape[0] * moved.shape[1], -1)


def influence_with_gradient(control, normal, corner, start, end):
    """Return ``influence`` (m, n) [1/m] and its Gradient."""
    seen = _corners(control, normal, corner)
    bound, shared = _bound(seen, normal, start, end)
    value = (bound + seen.leg[:, end] - seen.leg[:, start]) / _FOUR_PI
    by_start, by_end, by_normal = _bound_gradient(seen, normal, start, end, bound, shared)
    leg, leg_normal = _leg_gradient(seen, normal)
    by_start = [mine - part[:, start] for mine, part in zip(by_start, leg, strict=True)]
    by_end = [mine + part[:, end] for mine, part in zip(by_end, leg, strict=True)]
    by_normal = [mine + part[:, end] - part[:, start] for mine, part in zip(by_normal, leg_normal, strict=True)]
    first, second = (np.concatenate(parts, axis=1) / _FOUR_PI for parts in (by_start, by_end))
    both = (first + second).reshape(len(control), 3, -1).transpose(1, 0, 2)
    return value, Gradient(first, second, both, np.array(by_normal) / _FOUR_PI)


def _corners(control, normal, corner):
    x, y, z = (control[:, None, axis] - corner[None, :, axis] for axis in range(3))
    ny, nz = normal[:, 1, None], normal[:, 2, None]
    radius = y * y + z * z
    distance = np.sqrt(x * x + radius)
    arm = nz * y - ny * z
    below = distance * radius
    return _Corners(x, y, z, distance, radius, arm, below, arm * (distance + x) / below)


def _bound(seen, normal, start, end):
    """Bound segments: n.(r1 x r2) (s1 + s2) / (s1 s2 (s1 s2 + r1.r2)), finite in line with a segment, outside it."""
    ax, ay, az, a = (part[:, start] for part in seen[:4])
    bx, by, bz, b = (part[:, end] for part in seen[:4])
    ny, nz = normal[:, 1, None], normal[:, 2, None]
    cross_y, cross_z = az * bx - ax * bz, ax * by - ay * bx
    triple = ny * cross_y + nz * cross_z
    product = a * b
    dot = ax * bx + ay * by + az * bz
    below = product * (product + dot)
    total = a + b
    return triple * total / below, (cross_y, cross_z, triple, product, dot, below, total)


def _bound_gradient(seen, normal, start, end, bound, shared):
    """Gradients of the bound segments by a, b (three arrays each) and by the normal's y and z."""
    ax, ay, az, a = (part[:, start] for part in seen[:4])
    bx, by, bz, b = (part[:, end] for part in seen[:4])
    ny, nz = normal[:, 1, None], normal[:, 2, None]
    cross_y, cross_z, triple, product, dot, below, total = shared
    share, along = total / below, bound * product / below
    turned = (2 * product + dot) * bound
    by_a, by_b = (triple - turned * b) / (a * below), (triple - turned * a) / (b * below)
    towards_a = (nz * by - ny * bz) * share, -nz * bx * share, ny * bx * share
    towards_b = (ny * az - nz * ay) * share, nz * ax * share, -ny * ax * share
    first = [
        mine + by_a * own - along * other
        for mine, own, other in zip(towards_a, (ax, ay, az), (bx, by, bz), strict=True)
    ]
    second = [
        mine + by_b * own - along * other
        for mine, own, other in zip(towards_b, (bx, by, bz), (ax, ay, az), strict=True)
    ]
    return first, second, (cross_y * share, cross_z * share)


def _leg_gradient(seen, normal):
    """Gradients (m, p) of the half-infinite legs by x, y, z of the vector from the corner, and by the normal's y, z."""
    x, y, z, distance, radius, arm, below, leg = seen
    ny, nz = normal[:, 1, None], normal[:, 2, None]
    ahead = (distance + x) / below
    # leg = arm (distance + x) / (distance radius)
    by_distance = (arm - leg * radius) / (below * distance)
    twice = 2 * leg / radius
    along = by_distance * x + arm / below
    return (
        (along, nz * ahead + (by_distance - twice) * y, (by_distance - twice) * z - ny * ahead),
        (-z * ahead, y * ahead),
    )
