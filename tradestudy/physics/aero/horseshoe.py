"""Normal velocity induced by horseshoe vortices with straight wakes aft, and its exact slopes.

Source: the Biot-Savart law for a straight segment and a half-infinite leg (any aerodynamics text). tests/published
checks it against the textbook lattice example of Bertin. Neighbouring horseshoes share corners, so distances and legs
are computed once per corner.

Each horseshoe has a bound segment across the stream between two corners, and from each corner a leg to far aft. The
corners lie on edges parallel to x, so those of an edge differ in x alone.

The shape letters are e for edges, c for corners on each edge and m for control points. They are n for segments between
edges and k for directions of a derivative. All fields of a record broadcast, for instance those that a wing and its
mirror image share. Edges are not the last axis: horseshoes between neighbours are then whole blocks of memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate, pairwise
from typing import Any, NamedTuple, TypeAlias

import numpy as np

_FOUR_PI = 4 * np.pi


_Selection: TypeAlias = np.ndarray | slice


class Sight(NamedTuple):
    """Vectors from every corner to every control point, and normals there. Or their slopes, with a first axis (k,)."""

    x: Any  # (..., e, c, m) [m]
    y: Any  # (..., e, 1, m) [m]
    z: Any  # (..., e, 1, m) [m]
    ny: Any  # y of the unit normal (..., 1, 1, m) [-]; x is zero, because strips are parallel to x
    nz: Any  # z of the unit normal (..., 1, 1, m) [-]


class Horseshoes(NamedTuple):
    """How edges make horseshoes. The circulation runs from far aft to the first edge, across, and back far aft."""

    start: _Selection  # indices of the first edge of each; slices avoid copies (n,) [-]
    end: _Selection  # indices of its second edge (n,) [-]
    squared_length: Any  # of the bound segments (..., n, c, 1), or its slopes with a first axis (k,) [m^2]


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
    x, y, z = (control[:, axis] - corner[:, None, None, axis] for axis in range(3))
    across = corner[end] - corner[start]
    length = (across * across).sum(axis=-1)[:, None, None]
    return velocities(Sight(x, y, z, normal[:, 1], normal[:, 2]), [Horseshoes(start, end, length)])[:, 0].T


def velocities(sight: Sight, surfaces: Sequence[Horseshoes]) -> np.ndarray:
    """Return the normal velocity (..., n, c, m) at every control point per circulation of every horseshoe. [1/m]

    The horseshoes are those of all ``surfaces``, one after another. The source is as for ``influence``.
    """
    legs = _legs(sight)
    *batch, _, n_corner, n_control = legs.velocity.shape
    ends = [0, *accumulate(horseshoes.squared_length.shape[-3] for horseshoes in surfaces)]
    found = np.empty((*batch, ends[-1], n_corner, n_control))
    for horseshoes, (first, last) in zip(surfaces, pairwise(ends), strict=True):
        _bound(sight, legs, horseshoes).with_legs(legs, horseshoes, found[..., first:last, :, :])
    return found


def velocities_with_slopes(
    sight: Sight, surfaces: Sequence[Horseshoes], moving: Sight, stretching: Sequence[Horseshoes]
) -> tuple[np.ndarray, np.ndarray]:
    """Return ``velocities`` (..., n, c, m) [1/m], and their slopes (k, ..., n, c, m) [1/m] along k directions.

    ``moving`` and ``stretching`` hold the slopes of ``sight`` and ``surfaces``, with a first axis (k,). By the chain
    rule: the partial derivatives are computed once for all directions.
    """
    legs = _legs(sight)
    changes = _changes(sight, moving)
    by_legs = _leg_partials(legs)
    values, slopes = [], []
    for horseshoes, steps in zip(surfaces, stretching, strict=True):
        bound = _bound(sight, legs, horseshoes)
        values.append(bound.with_legs(legs, horseshoes))
        slopes.append(_slopes(sight, legs, by_legs, bound, horseshoes, changes, steps.squared_length))
    return _joined(values), _joined(slopes)


def _joined(parts: list[np.ndarray]) -> np.ndarray:
    return np.concatenate(parts, axis=-3) if len(parts) > 1 else parts[0]


class _Legs(NamedTuple):
    """The half-infinite legs, and values from which bound segments and slopes follow. Fields broadcast to (..., e, c,
    m).
    """

    radius: np.ndarray  # squared distance of the control point from the leg's line
    distance: np.ndarray  # of the control point from the corner
    nearness: np.ndarray  # 1 over that distance
    arm: np.ndarray  # n . (e x r) over 4 pi: normal n, unit vector e along x, vector r from the corner
    turn: np.ndarray  # arm over squared distance from the leg's line
    ahead: np.ndarray  # 1 + x over the distance from the corner
    velocity: np.ndarray


def _legs(sight: Sight) -> _Legs:
    x, y, z, ny, nz = sight
    radius = y * y + z * z
    arm = nz / _FOUR_PI * y - ny / _FOUR_PI * z
    turn = arm / radius
    distance = x * x + radius
    np.sqrt(distance, out=distance)
    nearness = 1 / distance
    ahead = x * nearness
    ahead += 1
    return _Legs(radius, distance, nearness, arm, turn, ahead, ahead * turn)


class _BoundSegments(NamedTuple):
    """The normal velocity of the bound segments, and values from which its slopes follow. Fields are (..., n, c, m)."""

    triple: np.ndarray  # n . (a x b) / (4 pi), with the vectors a and b from both corners
    near: np.ndarray  # 2 / |a| + 2 / |b|
    above: np.ndarray  # 2 (|a| |b| + a . b)
    velocity: np.ndarray

    def with_legs(self, legs: _Legs, horseshoes: Horseshoes, out: np.ndarray | None = None) -> np.ndarray:
        """Return the normal velocity (..., n, c, m) of whole horseshoes, written into ``out`` if it is given."""
        start, end = _ends(horseshoes)
        whole: np.ndarray = np.add(self.velocity, legs.velocity[end], out=out)
        whole -= legs.velocity[start]
        return whole


def _ends(horseshoes: Horseshoes) -> tuple[Any, Any]:
    """Return the indices of the first and of the second edges in arrays (..., e, c, m)."""
    return (..., horseshoes.start, slice(None), slice(None)), (..., horseshoes.end, slice(None), slice(None))


def _bound(sight: Sight, legs: _Legs, horseshoes: Horseshoes) -> _BoundSegments:
    """Return the _BoundSegments.

    The velocity is n . (a x b) (1 / |a| + 1 / |b|) / (|a| |b| + a . b) / (4 pi). It is finite on the straight line
    through a segment, outside the segment. The law of cosines gives |a| |b| + a . b from the three lengths.
    """
    start, end = _ends(horseshoes)
    triple = sight.x[start] * legs.arm[end]
    triple -= sight.x[end] * legs.arm[start]
    near = legs.nearness[start] + legs.nearness[end]
    near *= 2
    above = legs.distance[start] + legs.distance[end]
    above *= above
    above -= horseshoes.squared_length
    velocity = triple * near
    velocity /= above
    return _BoundSegments(triple, near, above, velocity)


class _Changes(NamedTuple):
    """Slopes along k directions of what the velocity depends on at each corner, or its slopes by these."""

    x: np.ndarray  # x from the corner to the control point
    half_radius: np.ndarray  # half the squared distance from the leg's line
    arm: np.ndarray  # as in _Legs


def _changes(sight: Sight, moving: Sight) -> _Changes:
    _, y, z, ny, nz = sight
    arm = (moving.nz * y + nz * moving.y - moving.ny * z - ny * moving.z) / _FOUR_PI
    return _Changes(moving.x, y * moving.y + z * moving.z, arm)


def _leg_partials(legs: _Legs) -> _Changes:
    """Return the slopes of the legs' velocity arm / radius (1 + along), where along = x / distance.

    That by half the radius is never positive with a positive arm; it is returned with its sign turned.
    """
    squared = legs.nearness * legs.nearness
    by_x = squared * legs.nearness
    by_x *= legs.arm
    by_arm = legs.ahead * (1 / legs.radius)
    less_by_radius = 3 - legs.ahead
    less_by_radius *= by_arm
    less_by_radius *= legs.velocity
    return _Changes(by_x, less_by_radius, by_arm)


def _slopes(
    sight: Sight,
    legs: _Legs,
    by_legs: _Changes,
    bound: _BoundSegments,
    horseshoes: Horseshoes,
    changes: _Changes,
    length_change: np.ndarray,
) -> np.ndarray:
    """Return the slopes (k, ..., n, c, m) of the velocity of whole horseshoes.

    The velocity of the segments is triple near / above. Here ``above`` rises with both distances and falls with the
    segment's length.
    """
    start, end = _ends(horseshoes)
    x, arm, nearness = sight.x, legs.arm, legs.nearness
    inverse = 1 / bound.above
    by_length = bound.velocity * inverse
    by_triple = bound.near * inverse
    inverse *= 2
    less_by_both = legs.distance[start] + legs.distance[end]
    less_by_both *= bound.velocity
    less_by_both *= inverse
    inverse *= bound.triple
    # less the slopes by the two distances; those have the slopes x / distance by x, and nearness by half the radius
    less_by_start, less_by_end = (
        inverse * (nearness[corner] * nearness[corner]) + less_by_both for corner in (start, end)
    )
    along_start, along_end = legs.ahead[start] - 1, legs.ahead[end] - 1
    slopes = by_length * length_change
    slopes += (by_triple * arm[end] - by_legs.x[start] - less_by_start * along_start) * changes.x[start]
    slopes += (by_legs.x[end] - by_triple * arm[start] - less_by_end * along_end) * changes.x[end]
    slopes += (by_legs.half_radius[start] - less_by_start * nearness[start]) * changes.half_radius[start]
    slopes -= (by_legs.half_radius[end] + less_by_end * nearness[end]) * changes.half_radius[end]
    slopes -= (by_triple * x[end] + by_legs.arm[start]) * changes.arm[start]
    slopes += (by_triple * x[start] + by_legs.arm[end]) * changes.arm[end]
    return slopes
