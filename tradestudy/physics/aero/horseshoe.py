"""Normal velocity induced by horseshoe vortices with straight wakes aft, and its exact gradient.

Source: the Biot-Savart law for a straight segment and a half-infinite leg (any aerodynamics text). tests/published
checks it against the textbook lattice example of Bertin. Neighbouring horseshoes share corners, so distances and legs
are computed once per corner.

Each horseshoe has a bound segment across the stream between two corners, and from each corner a leg to far aft. The
shape letters are m for control points, n for horseshoes, p for corners and k for directions of a derivative.
"""

from __future__ import annotations

from typing import Any, NamedTuple, TypeAlias

import numpy as np

_FOUR_PI = 4 * np.pi


_Selection: TypeAlias = np.ndarray | slice


class _Corners(NamedTuple):
    """Vectors from every corner (p) to every control point (m), and values computed from them. All fields are
    (m, p).
    """

    x: np.ndarray
    y: np.ndarray
    z: np.ndarray
    distance: np.ndarray
    radius: np.ndarray  # squared distance of the control point from the leg's line
    arm: np.ndarray  # n . (e x r): normal n, unit vector e along x, vector r from the corner
    denominator: np.ndarray  # distance times radius
    leg: np.ndarray  # normal velocity of the half-infinite leg, times 4 pi


def influence(
    control: np.ndarray, normal: np.ndarray, corner: np.ndarray, start: _Selection, end: _Selection
) -> np.ndarray:
    """Return the velocity along ``normal`` at each control point per unit circulation of each horseshoe.

    The circulation runs from far aft to the first corner, across to the second corner and back to far aft. The legs are
    parallel to x.

    Parameters
    ----------
    control, normal : (m, 3) arrays
        Points [m] and unit normals [-]. The normals have no x component, because strips are parallel to x.
    corner : (p, 3) array
        Ends of the bound vortices. [m]
    start, end : (n,) integer arrays or slices
        Indices of the first and second corner of each horseshoe; slices avoid copies. [-]

    Returns
    -------
    (m, n) array
        Normal velocity per circulation. [1/m]

    Notes
    -----
    Source: the Biot-Savart law (any aerodynamics text).

    Examples
    --------
    One metre behind the middle of a horseshoe of span 2 m, the downward velocity per circulation is
    (1 + sqrt(2)) / (2 pi):

    >>> point, up = np.array([[1.0, 0.0, 0.0]]), np.array([[0.0, 0.0, 1.0]])
    >>> ends = np.array([[0.0, -1.0, 0.0], [0.0, 1.0, 0.0]])
    >>> influence(point, up, ends, slice(0, 1), slice(1, 2)).round(4).tolist()
    [[-0.3842]]
    """
    seen = _corners(control, normal, corner)
    bound = _bound(seen, normal, corner[end] - corner[start], start, end).velocity
    return (bound + seen.leg[:, end] - seen.leg[:, start]) / _FOUR_PI


class Gradient(NamedTuple):
    """The derivatives of ``influence`` (m, n) by its points. They give the slopes along any number of directions."""

    by_start: np.ndarray  # derivative by the vector from each horseshoe's first corner (3, m, n) [1/m^2]
    by_end: np.ndarray  # derivative by the vector from each horseshoe's second corner (3, m, n) [1/m^2]
    by_normal: np.ndarray  # derivative by the normal's y and z (2, m, n) [1/m]

    def slopes(
        self, control_slope: np.ndarray, normal_slope: np.ndarray, start_slope: np.ndarray, end_slope: np.ndarray
    ) -> np.ndarray:
        """Return the slopes of the influence along k directions (k, m, n), by the chain rule. [1/m]

        A direction moves all points at once. The movements are ``control_slope`` (k, m, 3) [m], ``normal_slope`` (k, m,
        3) [-] and, for the corners, ``start_slope`` and ``end_slope`` (k, n, 3) [m].
        """
        by_control = self.by_start + self.by_end
        total: Any = 0.0
        for axis in range(3):
            total = total + control_slope[:, :, None, axis] * by_control[axis]
            for gradient, slope in ((self.by_start, start_slope), (self.by_end, end_slope)):
                total = total - gradient[axis] * slope[:, None, :, axis]
        for axis, part in enumerate(self.by_normal):
            total = total + normal_slope[:, :, None, axis + 1] * part
        return total


def influence_with_gradient(
    control: np.ndarray, normal: np.ndarray, corner: np.ndarray, start: _Selection, end: _Selection
) -> tuple[np.ndarray, Gradient]:
    """Return ``influence`` (m, n) [1/m] and its Gradient. Arguments and source are as for ``influence``."""
    seen = _corners(control, normal, corner)
    across = corner[end] - corner[start]
    bound = _bound(seen, normal, across, start, end)
    value = (bound.velocity + seen.leg[:, end] - seen.leg[:, start]) / _FOUR_PI
    by_start, by_end, by_normal = _bound_gradient(seen, normal, across, start, end, bound)
    leg, leg_normal = _leg_gradient(seen, normal)
    by_start = [mine - part[:, start] for mine, part in zip(by_start, leg, strict=True)]
    by_end = [mine + part[:, end] for mine, part in zip(by_end, leg, strict=True)]
    by_normal = [mine + part[:, end] - part[:, start] for mine, part in zip(by_normal, leg_normal, strict=True)]
    return value, Gradient._make(np.array(parts) / _FOUR_PI for parts in (by_start, by_end, by_normal))


def _corners(control: np.ndarray, normal: np.ndarray, corner: np.ndarray) -> _Corners:
    x, y, z = (control[:, None, axis] - corner[None, :, axis] for axis in range(3))
    ny, nz = normal[:, 1, None], normal[:, 2, None]
    radius = y * y + z * z
    distance = np.sqrt(x * x + radius)
    arm = nz * y - ny * z
    denominator = distance * radius
    return _Corners(x, y, z, distance, radius, arm, denominator, arm * (distance + x) / denominator)


class _BoundSegments(NamedTuple):
    """The normal velocity of the bound segments, and values from which its gradient follows. All fields are (m, n)."""

    velocity: np.ndarray  # times 4 pi
    triple: np.ndarray  # n . (a x b), with the normal n and the vectors a and b from both corners
    product: np.ndarray  # |a| |b|
    above: np.ndarray  # |a| |b| + a . b
    total: np.ndarray  # |a| + |b|


def _bound(
    seen: _Corners, normal: np.ndarray, across: np.ndarray, start: _Selection, end: _Selection
) -> _BoundSegments:
    """Return the _BoundSegments. ``across`` (n, 3) leads from the first corner to the second.

    The velocity is n . (a x b) (|a| + |b|) / (|a| |b| (|a| |b| + a . b)). It is finite on the straight line through a
    segment, outside the segment. Since b is a less ``across``, a x b is ``across`` x a, and the law of cosines gives
    |a| |b| + a . b from the three lengths. This takes half the products of the vectors.
    """
    a, b = seen.distance[:, start], seen.distance[:, end]
    x, y, z = across.T
    triple = seen.x[:, start] * (normal[:, 1:] @ np.stack([z, -y])) + seen.arm[:, start] * x
    product, total = a * b, a + b
    above = 0.5 * (total * total - (x * x + y * y + z * z))
    return _BoundSegments(triple * total / (product * above), triple, product, above, total)


def _bound_gradient(
    seen: _Corners,
    normal: np.ndarray,
    across: np.ndarray,
    start: _Selection,
    end: _Selection,
    bound: _BoundSegments,
) -> tuple[list[np.ndarray], list[np.ndarray], list[np.ndarray]]:
    """Return the gradients of the bound segments' velocities, times 4 pi.

    The variables are the vectors a and b from the two corners (three arrays each), then the normal's y and z.
    """
    ax, ay, az, a = (part[:, start] for part in seen[:4])
    bx, by, bz, b = (part[:, end] for part in seen[:4])
    ny, nz = normal[:, 1, None], normal[:, 2, None]
    x, y, z = across.T
    denominator = bound.product * bound.above
    share, along = bound.total / denominator, bound.velocity / bound.above
    turned = (bound.product + bound.above) * bound.velocity
    by_a = (bound.triple - turned * b) / (a * denominator)
    by_b = (bound.triple - turned * a) / (b * denominator)
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
    return first, second, [(z * ax - x * az) * share, (x * ay - y * ax) * share]


def _leg_gradient(
    seen: _Corners, normal: np.ndarray
) -> tuple[tuple[np.ndarray, np.ndarray, np.ndarray], tuple[np.ndarray, np.ndarray]]:
    """Return the gradients (m, p) of the half-infinite legs' velocities, times 4 pi.

    The variables are x, y and z of the vector from the corner, then the normal's y and z.
    """
    x, y, z, distance, radius, arm, denominator, leg = seen
    ny, nz = normal[:, 1, None], normal[:, 2, None]
    ahead = (distance + x) / denominator
    # the differentiated formula is leg = arm (distance + x) / (distance radius)
    by_distance = (arm - leg * radius) / (denominator * distance)
    twice = 2 * leg / radius
    along = by_distance * x + arm / denominator
    return (
        (along, nz * ahead + (by_distance - twice) * y, (by_distance - twice) * z - ny * ahead),
        (-z * ahead, y * ahead),
    )
