"""Normal velocity induced by horseshoe vortices with straight wakes aft, and its exact slopes.

Source: the Biot-Savart law for a straight segment and a half-infinite leg (any aerodynamics text);
checked against the textbook lattice example of Bertin in tests/published. Neighbouring horseshoes
share corners, so distances and legs are computed once per corner.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

FOUR_PI = 4 * np.pi


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
    return (bound + seen.leg[:, end] - seen.leg[:, start]) / FOUR_PI


def influence_with_slopes(control, normal, corner, start, end, control_slope, normal_slope, corner_slope):
    """Return ``influence`` and its slopes along k directions.

    The slope arguments have shape (k, m, 3) and (k, p, 3). Returns (m, n) and (k, m, n) arrays [1/m].
    """
    seen = _corners(control, normal, corner)
    bound, shared = _bound(seen, normal, start, end)
    value = (bound + seen.leg[:, end] - seen.leg[:, start]) / FOUR_PI
    slope = np.empty((len(control_slope), *value.shape))
    for index in range(len(control_slope)):  # one direction at a time keeps the arrays inside the cache
        slope[index] = _slope(seen, normal, start, end, bound, shared, control_slope[index], normal_slope[index],
                              corner_slope[index])
    return value, slope


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


def _slope(seen, normal, start, end, bound, shared, control_slope, normal_slope, corner_slope):
    """Slope (m, n) of the influence along one direction."""
    x, y, z, distance, radius, arm, leg_below, leg = seen
    dx, dy, dz = (control_slope[:, None, axis] - corner_slope[None, :, axis] for axis in range(3))
    ny, nz = normal[:, 1, None], normal[:, 2, None]
    turning = normal_slope.any()
    half_dradius = y * dy + z * dz
    ddistance = (x * dx + half_dradius) / distance
    darm = nz * dy - ny * dz
    if turning:
        dny, dnz = normal_slope[:, 1, None], normal_slope[:, 2, None]
        darm = darm + dnz * y - dny * z
    dleg = (darm * (distance + x) + arm * (ddistance + dx)
            - leg * (ddistance * radius + 2 * distance * half_dradius)) / leg_below

    ax, ay, az, a = x[:, start], y[:, start], z[:, start], distance[:, start]
    bx, by, bz, b = x[:, end], y[:, end], z[:, end], distance[:, end]
    dax, day, daz, da = dx[:, start], dy[:, start], dz[:, start], ddistance[:, start]
    dbx, dby, dbz, db = dx[:, end], dy[:, end], dz[:, end], ddistance[:, end]
    cross_y, cross_z, triple, product, dot, below, total = shared
    dtriple = (ny * (daz * bx + az * dbx - dax * bz - ax * dbz) + nz * (dax * by + ax * dby - day * bx - ay * dbx))
    if turning:
        dtriple = dtriple + dny * cross_y + dnz * cross_z
    dproduct = da * b + a * db
    ddot = dax * bx + ax * dbx + day * by + ay * dby + daz * bz + az * dbz
    dbelow = dproduct * (2 * product + dot) + product * ddot
    dbound = (dtriple * total + triple * (da + db) - bound * dbelow) / below
    return (dbound + dleg[:, end] - dleg[:, start]) / FOUR_PI
