"""Normal velocity induced by horseshoe vortices with straight wakes aft, and its exact slopes.

Source: the Biot-Savart law for a straight segment and a half-infinite leg (any aerodynamics text);
checked against the textbook lattice example of Bertin in tests/published. Neighbouring horseshoes
share corners, so distances and legs are computed once per corner.
"""

from __future__ import annotations

import numpy as np

FOUR_PI = 4 * np.pi


def influence(control, normal, corner, start, end):
    """Return the velocity along ``normal`` at each control point per unit circulation of each horseshoe.

    A horseshoe comes from far aft to one corner, crosses to another and goes far aft again, legs along x.

    Parameters
    ----------
    control, normal : (m, 3) arrays
        Points [m] and unit normals [-], the normals without an x part (strips are cut along x).
    corner : (p, 3) array
        Ends of the bound vortices. [m]
    start, end : (n,) integer arrays
        Which corners each horseshoe runs between.

    Returns
    -------
    (m, n) array
        Normal velocity per circulation. [1/m]
    """
    x, y, z = (control[:, None, axis] - corner[None, :, axis] for axis in range(3))
    ny, nz = normal[:, 1, None], normal[:, 2, None]
    distance = np.sqrt(x * x + y * y + z * z)
    leg = (nz * y - ny * z) * (distance + x) / (distance * (y * y + z * z))
    ax, ay, az, a = x[:, start], y[:, start], z[:, start], distance[:, start]
    bx, by, bz, b = x[:, end], y[:, end], z[:, end], distance[:, end]
    # n.(r1 x r2) (s1 + s2) / (s1 s2 (s1 s2 + r1.r2)): finite for points in line with the segment, outside it
    triple = ny * (az * bx - ax * bz) + nz * (ax * by - ay * bx)
    product = a * b
    bound = triple * (a + b) / (product * (product + ax * bx + ay * by + az * bz))
    return (bound + leg[:, end] - leg[:, start]) / FOUR_PI


def influence_with_slopes(control, normal, corner, start, end, control_slope, normal_slope, corner_slope):
    """Return ``influence`` and its slopes along k directions.

    The slope arguments have shape (k, m, 3) and (k, p, 3). Returns (m, n) and (k, m, n) arrays.
    """
    x, y, z = (control[:, None, axis] - corner[None, :, axis] for axis in range(3))
    dx, dy, dz = (control_slope[:, :, None, axis] - corner_slope[:, None, :, axis] for axis in range(3))
    ny, nz = normal[:, 1, None], normal[:, 2, None]
    dny, dnz = normal_slope[:, :, 1, None], normal_slope[:, :, 2, None]
    distance = np.sqrt(x * x + y * y + z * z)
    ddistance = (x * dx + y * dy + z * dz) / distance

    radius = y * y + z * z
    arm = nz * y - ny * z
    below = distance * radius
    leg = arm * (distance + x) / below
    dbelow = ddistance * radius + (2 * distance) * (y * dy + z * dz)
    darm = dnz * y + nz * dy - dny * z - ny * dz
    dleg = (darm * (distance + x) + arm * (ddistance + dx) - leg * dbelow) / below

    ax, ay, az, a = x[:, start], y[:, start], z[:, start], distance[:, start]
    bx, by, bz, b = x[:, end], y[:, end], z[:, end], distance[:, end]
    dax, day, daz, da = dx[..., start], dy[..., start], dz[..., start], ddistance[..., start]
    dbx, dby, dbz, db = dx[..., end], dy[..., end], dz[..., end], ddistance[..., end]
    cross_y, cross_z = az * bx - ax * bz, ax * by - ay * bx
    triple = ny * cross_y + nz * cross_z
    product = a * b
    dot = ax * bx + ay * by + az * bz
    below = product * (product + dot)
    bound = triple * (a + b) / below
    dtriple = (dny * cross_y + dnz * cross_z + ny * (daz * bx + az * dbx - dax * bz - ax * dbz)
               + nz * (dax * by + ax * dby - day * bx - ay * dbx))
    dproduct = da * b + a * db
    ddot = dax * bx + ax * dbx + day * by + ay * dby + daz * bz + az * dbz
    dbelow = dproduct * (2 * product + dot) + product * ddot
    dbound = (dtriple * (a + b) + triple * (da + db) - bound * dbelow) / below

    value = (bound + leg[:, end] - leg[:, start]) / FOUR_PI
    slope = (dbound + dleg[..., end] - dleg[..., start]) / FOUR_PI
    return value, slope
