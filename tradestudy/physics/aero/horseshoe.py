"""Normal velocity induced by horseshoe vortices with straight wakes aft, and its exact slopes.

Source: the Biot-Savart law for a straight segment and a half-infinite leg (any aerodynamics text). tests/published
checks it against the textbook lattice example of Bertin. Neighbouring horseshoes share corners, so distances and legs
are computed once per corner.

Each horseshoe has a bound segment across the stream between two corners, and from each corner a leg to far aft. The
shape letters are m for control points, n for horseshoes, p for corners and k for directions of a derivative. "(..., p)"
means any axes of control points; all fields of a record broadcast. The panels of a strip differ in x alone. So y, z
and the normals of a lattice have one entry for all of them (`lattice.normalwash`).
"""

from __future__ import annotations

from typing import Any, NamedTuple, TypeAlias

import numpy as np

_FOUR_PI = 4 * np.pi


_Selection: TypeAlias = np.ndarray | slice


class Sight(NamedTuple):
    """Vectors from every corner to every control point, and normals there. Or their slopes, with a first axis (k,)."""

    x: Any  # (..., p) [m]
    y: Any  # (..., p) [m]
    z: Any  # (..., p) [m]
    ny: Any  # y of the unit normal (..., 1) [-]; x is zero, because strips are parallel to x
    nz: Any  # z of the unit normal (..., 1) [-]


class Horseshoes(NamedTuple):
    """How corners make horseshoes. The circulation runs from far aft to the first corner, across, and back far aft."""

    start: _Selection  # indices of the first corner of each; slices avoid copies (n,) [-]
    end: _Selection  # indices of its second corner (n,) [-]
    across: np.ndarray  # x, y and z from the first corner to the second (3, n), or their slopes (3, k, ..., n) [m]


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
    x, y, z = (control[:, None, axis] - corner[:, axis] for axis in range(3))
    sight = Sight(x, y, z, normal[:, 1, None], normal[:, 2, None])
    return velocities(sight, Horseshoes(start, end, (corner[end] - corner[start]).T))


def velocities(sight: Sight, horseshoes: Horseshoes) -> np.ndarray:
    """Return the normal velocity (..., n) at every control point per circulation of every horseshoe. [1/m]

    The source is as for ``influence``.
    """
    legs = _legs(sight)
    return _whole(legs.velocity, _bound(sight, legs, horseshoes).velocity, horseshoes)


def velocities_with_slopes(
    sight: Sight, horseshoes: Horseshoes, moving: Sight, stretching: Horseshoes
) -> tuple[np.ndarray, np.ndarray]:
    """Return ``velocities`` (..., n) [1/m], and their slopes (k, ..., n) [1/m] along k directions, by the chain rule.

    ``moving`` and ``stretching`` hold the slopes of ``sight`` and ``horseshoes``, with a first axis (k,).
    """
    legs = _legs(sight)
    bound = _bound(sight, legs, horseshoes)
    value = _whole(legs.velocity, bound.velocity, horseshoes)
    leg_slopes, distance_slopes, arm_slopes = _leg_slopes(sight, legs, moving)
    bound_slopes = _bound_slopes(sight, legs, bound, horseshoes, moving, stretching, distance_slopes, arm_slopes)
    return value, _whole(leg_slopes, bound_slopes, horseshoes)


def _whole(leg: np.ndarray, bound: np.ndarray, horseshoes: Horseshoes) -> np.ndarray:
    return bound + leg[..., horseshoes.end] - leg[..., horseshoes.start]


class _Legs(NamedTuple):
    """The half-infinite legs, and values from which bound segments and slopes follow. Fields broadcast to (..., p)."""

    distance: np.ndarray  # of the control point from the corner
    along: np.ndarray  # x over that distance
    arm: np.ndarray  # n . (e x r) over 4 pi: normal n, unit vector e along x, vector r from the corner
    turn: np.ndarray  # arm over squared distance of the control point from the leg's line
    velocity: np.ndarray


def _legs(sight: Sight) -> _Legs:
    x, y, z, ny, nz = sight
    radius = y * y + z * z
    distance = np.sqrt(x * x + radius)
    along = x / distance
    arm = (nz * y - ny * z) / _FOUR_PI
    turn = arm / radius
    return _Legs(distance, along, arm, turn, turn * (1 + along))


def _leg_slopes(sight: Sight, legs: _Legs, moving: Sight) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return the slopes of the legs' velocity, of the distance and of the arm, each (k, ..., p)."""
    _, y, z, ny, nz = sight
    half_radius = y * moving.y + z * moving.z
    arm = (moving.nz * y + nz * moving.y - moving.ny * z - ny * moving.z) / _FOUR_PI
    turn = (arm - 2 * legs.turn * half_radius) / (y * y + z * z)
    nearness = 1 / legs.distance
    distance = legs.along * moving.x
    distance += nearness * half_radius
    along = moving.x - legs.along * distance
    along *= legs.turn * nearness
    along += turn * (1 + legs.along)
    return along, distance, arm


class _BoundSegments(NamedTuple):
    """The normal velocity of the bound segments, and values from which its slopes follow. Fields are (..., n)."""

    velocity: np.ndarray
    side: np.ndarray  # ny z - nz y over 4 pi, with the segment's y and z
    share: np.ndarray  # velocity over n . (a x b) / (4 pi), with the vectors a and b from both corners
    total: np.ndarray  # |a| + |b|
    above: np.ndarray  # 2 (|a| |b| + a . b)


def _bound(sight: Sight, legs: _Legs, horseshoes: Horseshoes) -> _BoundSegments:
    """Return the _BoundSegments.

    The velocity is n . (a x b) (|a| + |b|) / (|a| |b| (|a| |b| + a . b)) / (4 pi). It is finite on the straight line
    through a segment, outside the segment. Since b is a less ``across``, a x b is ``across`` x a, and the law of
    cosines gives |a| |b| + a . b from the three lengths. This takes half the products of the vectors.
    """
    start, (x, y, z) = horseshoes.start, horseshoes.across
    a, b = legs.distance[..., start], legs.distance[..., horseshoes.end]
    side = (sight.ny * z - sight.nz * y) / _FOUR_PI
    total = a + b
    above = total * total - (x * x + y * y + z * z)
    share = 2 * total / (a * b * above)
    return _BoundSegments(share * (sight.x[..., start] * side + legs.arm[..., start] * x), side, share, total, above)


def _bound_slopes(
    sight: Sight,
    legs: _Legs,
    bound: _BoundSegments,
    horseshoes: Horseshoes,
    moving: Sight,
    stretching: Horseshoes,
    distance_slopes: np.ndarray,
    arm_slopes: np.ndarray,
) -> np.ndarray:
    """Return the slopes (k, ..., n) of the bound segments' velocity."""
    start, end, (x, y, z), (dx, dy, dz) = horseshoes.start, horseshoes.end, horseshoes.across, stretching.across
    a, b = legs.distance[..., start], legs.distance[..., end]
    side = (moving.ny * z + sight.ny * dz - moving.nz * y - sight.nz * dy) / _FOUR_PI
    turned = arm_slopes[..., start] * x + legs.arm[..., start] * dx
    triple = moving.x[..., start] * bound.side
    triple += sight.x[..., start] * side
    triple += turned
    # the logarithm of the share has the slopes 1 / total - 1 / a - 2 total / above by a, and 1 / above by the square of
    # the segment's length
    by_both = 1 / bound.total - 2 * bound.total / bound.above
    length = 2 * (x * dx + y * dy + z * dz)
    slopes = bound.share * triple
    slopes += (bound.velocity * (by_both - 1 / a)) * distance_slopes[..., start]
    slopes += (bound.velocity * (by_both - 1 / b)) * distance_slopes[..., end]
    slopes += (bound.velocity / bound.above) * length
    return slopes
