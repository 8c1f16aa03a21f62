"""Solids as closed meshes of triangles: boxes, rods and tubes, plates, and lofts between outlines.

Every solid is a loft: rings of equal point counts, joined ring by ring, with a cap at either end. Seen from outside,
the corners of a triangle run anticlockwise. x is behind the nose datum, y right of the centre line, z up.
"""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np

SIDES = 12  # sides of a round solid; their circle is enlarged so that the polygon has the circle's area
_COINCIDENT = 1e-9  # points closer than this are one point [m]


class Solid(NamedTuple):
    """A closed mesh. Its triangles name three rows of ``vertices`` each, anticlockwise seen from outside."""

    vertices: np.ndarray  # (n, 3) [m]
    triangles: np.ndarray  # (m, 3) [-]


def box(low: np.ndarray, high: np.ndarray) -> Solid:
    """Return the Solid of a box between its corners ``low`` and ``high`` (3,) [m]. Geometry, no source needed."""
    (x0, y0, z0), (x1, y1, z1) = low, high
    face = np.array([[x1, z1], [x0, z1], [x0, z0], [x1, z0]])
    rings = np.stack([_at_station(face, y) for y in (y0, y1)])
    if min(x1 - x0, y1 - y0, z1 - z0) <= _COINCIDENT:
        return lofted(rings)
    return Solid(rings.reshape(-1, 3), _box_triangles())


@cache
def _box_triangles() -> np.ndarray:
    """Return the triangles of a box. They are the same for all boxes."""
    unit = np.array([[[x, y, z] for x, z in ((1, 1), (0, 1), (0, 0), (1, 0))] for y in (0, 1)], float)
    return lofted(unit).triangles


def loft_between(station: np.ndarray, outline: np.ndarray) -> Solid:
    """Return the Solid between outlines that stand square to the span. Geometry, no source needed.

    ``station`` (k,) [m] are their distances from the centre line. ``outline`` (k, n, 2) [m] holds x and z of their
    points. Caps join the first point to the last, the second to the last but one, and so on.

    >>> wedge = loft_between(np.array([0.0, 0.5]), np.array([[[0.0, 0.0], [0.3, 0.1], [0.3, -0.1]]] * 2))
    >>> round(mesh_volume(wedge), 6)
    0.015
    """
    return lofted(np.stack([_at_station(points, y) for points, y in zip(outline, station, strict=True)]))


def plate(outline: np.ndarray, normal: np.ndarray, thickness: float) -> Solid:
    """Return the Solid of a flat sheet of a ``thickness`` [m] around its middle plane. Geometry, no source needed.

    ``outline`` (n, 3) [m] lies in that plane, in an order as for ``loft_between``. ``normal`` (3,) [-] is a unit vector
    square to the plane.
    """
    half = 0.5 * thickness * np.asarray(normal)
    return lofted(np.stack([outline - half, outline + half]))


def rod_solid(
    line: np.ndarray, diameter: float, inside_diameter: float = 0.0, ends_along_flight: bool = False
) -> Solid:
    """Return the Solid of a rod or tube along a polyline. Its corners are mitred, so that its area stays the same.

    Geometry, no source needed. Its volume is exactly the area of the circle times the length of the line, because each
    cut passes through the centre of the polygon.

    Parameters
    ----------
    line : (n, 3) array
        Points of its centre line. [m]
    diameter, inside_diameter : float
        Outside and inside diameter; an inside diameter of 0 is a solid rod. [m]
    ends_along_flight : bool
        If true, the ends are cut parallel to the plane of symmetry, else square to the rod.
    """
    line = np.asarray(line, float)
    along = np.diff(line, axis=0)
    along = along / np.linalg.norm(along, axis=1)[:, None]
    side = np.cross(along[0], [0.0, 0.0, 1.0] if np.hypot(*along[0, :2]) > 0.5 else [1.0, 0.0, 0.0])
    side = side / np.linalg.norm(side)
    angle = 2 * np.pi * (np.arange(SIDES) + 0.5) / SIDES
    circle = np.cos(angle)[:, None] * side + np.sin(angle)[:, None] * np.cross(side, along[0])
    circle = circle * np.sqrt(2 * np.pi / (SIDES * np.sin(2 * np.pi / SIDES)))
    cuts = [along[0], *(along[:-1] + along[1:]), along[-1]]
    if ends_along_flight:
        cuts[0] = cuts[-1] = np.array([0.0, 1.0, 0.0])
    walls = []
    for radius in (0.5 * diameter, 0.5 * inside_diameter):
        ring, rings = radius * circle, []
        for index, (point, cut) in enumerate(zip(line, cuts, strict=True)):
            direction = along[max(index - 1, 0)]
            ring = ring - (ring @ cut / (direction @ cut))[:, None] * direction
            rings.append(point + ring)
        walls.append(np.stack(rings))
    return lofted(walls[0]) if not inside_diameter else _hollow(*walls)


def lofted(rings: np.ndarray) -> Solid:
    """Return the Solid between rings (k, n, 3) [m], with a cap at either end. Geometry, no source needed.

    The cap joins the first point of a ring to the last, the second to the last but one, and so on.
    """
    rings = _without_double_points(np.asarray(rings, float))
    count, points = rings.shape[:2]
    zigzag = [(0, points - 1)]
    while zigzag[-1][1] - zigzag[-1][0] > 1:
        low, high = zigzag[-1]
        zigzag.append((low + 1, high) if len(zigzag) % 2 else (low, high - 1))
    # corners of a triangle follow each other on the ring, backwards, as seen from outside the first ring
    cap = np.array([sorted({*pair, *after}, reverse=True) for pair, after in pairwise(zigzag)])
    last = cap[:, ::-1] + (count - 1) * points
    return _outward(Solid(rings.reshape(-1, 3), np.concatenate([_walls(count, points), cap, last])))


def _walls(count: int, points: int) -> np.ndarray:
    """Return the triangles between ``count`` rings of ``points`` each.

    Quads of the second half of a ring are cut along the other diagonal. So top and bottom of a twisted loft are cut
    alike, and the volume stays that of the loft.
    """
    here = np.arange(points)
    after = (here + 1) % points
    front, back = here[: points // 2], here[points // 2 :]
    pair = np.concatenate(
        [
            np.column_stack([front, after[front], front + points]),
            np.column_stack([after[front], after[front] + points, front + points]),
            np.column_stack([back, after[back], after[back] + points]),
            np.column_stack([back, after[back] + points, back + points]),
        ]
    )
    return np.concatenate([pair + ring * points for ring in range(count - 1)])


def _hollow(outer: np.ndarray, inner: np.ndarray) -> Solid:
    """Return the Solid between two walls of rings (k, n, 3), with ring-shaped ends."""
    count, points = outer.shape[:2]
    walls = _walls(count, points)
    here = np.arange(points)
    after, within = (here + 1) % points, count * points
    first = np.concatenate(
        [
            np.column_stack([after, here, here + within]),
            np.column_stack([after, here + within, after + within]),
        ]
    )
    last = first[:, ::-1] + (count - 1) * points
    triangles = np.concatenate([walls, walls[:, ::-1] + within, first, last])
    return _outward(Solid(np.concatenate([outer.reshape(-1, 3), inner.reshape(-1, 3)]), triangles))


def _without_double_points(rings: np.ndarray) -> np.ndarray:
    """Return the rings without points that coincide with the one before on every ring, such as a sharp edge."""
    apart = np.linalg.norm(rings - np.roll(rings, 1, axis=1), axis=-1) > _COINCIDENT
    return rings[:, apart.any(axis=0)]


def _outward(solid: Solid) -> Solid:
    return solid if mesh_volume(solid) > 0 else Solid(solid.vertices, solid.triangles[:, ::-1])


def _at_station(points: np.ndarray, y: float) -> np.ndarray:
    return np.column_stack([points[:, 0], np.full(len(points), y), points[:, 1]])


def mesh_volume(solid: Solid) -> float:
    """Return the volume inside a mesh: the sum of signed tetrahedra; geometry, no source needed. [m^3]"""
    return float(_tetrahedra(solid)[0].sum())


def mesh_centroid(solid: Solid) -> np.ndarray:
    """Return the centre (3,) of the volume inside a mesh; geometry, no source needed. [m]"""
    volume, middle = _tetrahedra(solid)
    return volume @ middle / volume.sum()


def _tetrahedra(solid: Solid) -> tuple[np.ndarray, np.ndarray]:
    """Return volume (m,) and centroid (m, 3) of the tetrahedra between the triangles and the first vertex."""
    a, b, c = np.moveaxis(solid.vertices[solid.triangles] - solid.vertices[0], 1, 0)
    return np.sum(a * np.cross(b, c), axis=1) / 6, solid.vertices[0] + (a + b + c) / 4


class Amount(NamedTuple):
    """A volume [m^3] and its first moments about the nose datum (3,) [m^4]."""

    volume: float
    moment: np.ndarray

    @property
    def centroid(self) -> np.ndarray:
        """Return the centre (3,) of the volume, by definition. [m]"""
        return self.moment / self.volume


def amount(volume: float, centroid: np.ndarray | list[float]) -> Amount:
    """Return the Amount of a ``volume`` [m^3] with its ``centroid`` (3,) [m]. This is a definition."""
    return Amount(float(volume), volume * np.asarray(centroid, float))


def loft_amount(station: np.ndarray, outline: np.ndarray) -> Amount:
    """Return the Amount between outlines. Geometry, no source needed.

    ``station`` (k,) [m] and ``outline`` (k, n, 2) [m] are as for ``loft_between``.
    It is exact: along a piece the area is quadratic and its moments are cubic in y, which two Gauss points integrate.
    """
    volume, moment = 0.0, np.zeros(3)
    for share in 0.5 + np.array([-0.5, 0.5]) / np.sqrt(3):
        weight = 0.5 * np.diff(station)
        y = station[:-1] + np.diff(station) * share
        x, z = np.moveaxis(outline[:-1] + np.diff(outline, axis=0) * share, -1, 0)
        x1, z1 = np.roll(x, -1, axis=-1), np.roll(z, -1, axis=-1)
        cross = 0.5 * (x * z1 - x1 * z)
        area = cross.sum(-1)
        volume += weight @ area
        moment += [
            weight @ (cross * (x + x1)).sum(-1) / 3,
            weight @ (area * y),
            weight @ (cross * (z + z1)).sum(-1) / 3,
        ]
    return Amount(float(volume), moment) if volume > 0 else Amount(float(-volume), -moment)


def rod_amount(line: np.ndarray, diameter: float, inside_diameter: float = 0.0) -> Amount:
    """Return the Amount of a rod or tube. Geometry, no source needed.

    ``line`` (n, 3), ``diameter`` and ``inside_diameter`` [m] are as for ``rod_solid``.
    """
    line = np.asarray(line, float)
    length = np.linalg.norm(np.diff(line, axis=0), axis=1)
    area = 0.25 * np.pi * (diameter**2 - inside_diameter**2)
    return Amount(area * float(length.sum()), area * (length @ (0.5 * (line[:-1] + line[1:]))))


def plate_amount(outline: np.ndarray, thickness: float) -> Amount:
    """Return the Amount of a flat sheet of a ``thickness`` [m] with a plane ``outline`` (n, 3) [m]; geometry."""
    a, b = outline[1:-1] - outline[0], outline[2:] - outline[0]
    cross = 0.5 * np.cross(a, b)
    normal = cross.sum(axis=0)
    part = cross @ (normal / np.linalg.norm(normal))
    return Amount(thickness * float(part.sum()), thickness * (part @ (outline[0] + (a + b) / 3)))
