"""The body of a wing as flat shapes: seen from above, cut along the flight direction, and cut across it.

Every drawing takes its places from here, so that all of them agree. Lengths are in mm. x is the distance behind the
nose, y that from the centre line, and z points up.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.quantities import exact
from tradestudy.results.body import Body, BodySolid
from tradestudy.results.outline import RodLine

_END_INSET = 2e-3  # mm; a cut through an end face is taken this far inside
_TOUCHING = 0.01  # mm; a part this near to the centre line does not cross it
_ACROSS = 121  # points of a cut across the wing, on each side of the centre line
_X, _Y = 0, 1
NOT_IN_SECTIONS = ("fin", "propeller")  # kinds far larger than a section of the centre
_HOLDS_PACK = ("bay", "board", "lid", "pack")  # kinds of parts that may lie in each half wing instead of in the middle


class FlatShape(NamedTuple):
    """The closed outline (n, 2) of one part in a drawing [mm], with the kind and the name of the part."""

    kind: str
    name: str
    points: np.ndarray
    is_open: bool = False  # whether it is a hole that reaches out of the skin

    @property
    def middle(self) -> np.ndarray:
        """Return the middle (2,) of the smallest rectangle round the outline. [mm]"""
        return 0.5 * (self.points.min(0) + self.points.max(0))


def corners(solid: BodySolid) -> np.ndarray:
    """Return the corners (n, 3) of the mesh of a part. [mm]"""
    return np.array(solid.vertices_mm, float).reshape(-1, 3)


def has_mirror_image(solid: BodySolid) -> bool:
    """Return whether a part lies in the right half, so that the left half has its mirror image."""
    return not solid.single and bool(corners(solid)[:, _Y].min() >= -_TOUCHING)


def is_open(solid: BodySolid) -> bool:
    """Return whether a part is a hole that reaches out of the skin."""
    return solid.role == "void" and solid.inside is None


def round_diameter(shape: FlatShape) -> float:
    """Return the diameter of the circle with the area of an outline. The mesh of a round part has that area. [mm]"""
    x, z = shape.points.T
    return float(np.sqrt(2.0 / np.pi * abs(np.sum(x * np.roll(z, -1) - z * np.roll(x, -1)))))


def right_half(rod: RodLine) -> list[np.ndarray]:
    """Return what is seen of a rod and its mirror image in the right half: lines (2, 2) of points (y, x). [mm]"""
    start, end = np.array([rod.from_y_mm, rod.from_x_mm]), np.array([rod.to_y_mm, rod.to_x_mm])
    if rod.from_y_mm >= 0.0:
        return [np.array([start, end])]
    middle = start + (end - start) * (-rod.from_y_mm / (rod.to_y_mm - rod.from_y_mm))
    return [np.array([middle, end]), np.array([middle, start * [-1.0, 1.0]])]


def cut_along(body: Body, y: float) -> list[FlatShape]:
    """Return the outline (x, z) of every part where the plane at ``y`` cuts it. [mm]"""
    return [
        FlatShape(solid.kind, solid.name, loop[:, [0, 2]], is_open(solid))
        for solid in body.solids
        for loop in _cut(corners(solid), solid.triangles, _Y, y)
    ]


def cut_across(body: Body, x: float) -> list[FlatShape]:
    """Return the outline (y, z) of every part where the plane at ``x`` cuts it, on both sides. [mm]"""
    return [
        FlatShape(solid.kind, solid.name, loop[:, [1, 2]], is_open(solid))
        for solid in body.solids
        for side in ((1.0, -1.0) if has_mirror_image(solid) else (1.0,))
        for loop in _cut(corners(solid) * [1.0, side, 1.0], solid.triangles, _X, x)
    ]


def parts_off_centre(body: Body) -> tuple[list[FlatShape], float]:
    """Return the outlines (x, z) of bays, lids, boards and packs beside the centre line, and how far out they are.

    They are cut along their middle, the same on both sides. Without any the distance is 0. [mm]
    """
    off_centre = [solid for solid in body.solids if solid.kind in _HOLDS_PACK and has_mirror_image(solid)]
    middles = [0.5 * float(corners(solid)[:, _Y].min() + corners(solid)[:, _Y].max()) for solid in off_centre]
    shapes = [
        FlatShape(solid.kind, solid.name, loop[:, [0, 2]], is_open(solid))
        for solid, y in zip(off_centre, middles, strict=True)
        for loop in _cut(corners(solid), solid.triangles, _Y, y)
    ]
    return shapes, next((y for solid, y in zip(off_centre, middles, strict=True) if solid.kind == "pack"), 0.0)


def parts_on_centre(body: Body) -> list[FlatShape]:
    """Return the outlines of all parts that the plane of symmetry cuts, and of packs and bays on both sides of it."""
    off_centre, _ = parts_off_centre(body)
    return [*(shape for shape in cut_along(body, 0.0) if shape.kind not in NOT_IN_SECTIONS), *off_centre]


def height_words(body: Body, shape: FlatShape) -> str:
    """Return words for the height of a hole or part in a cut along the flight direction."""
    (start, low), (end, high) = shape.points.min(0), shape.points.max(0)
    upper, lower = section_along(body, 0.0)
    middle = 0.5 * float(start + end)
    if shape.is_open and low < np.interp(middle, *lower.T) and high > np.interp(middle, *upper.T):
        return "right through"
    tall = high - low
    return exact(tall, f"{tall:.1f}".removesuffix(".0")) + " mm high"


def section_along(body: Body, y: float) -> tuple[np.ndarray, np.ndarray]:
    """Return the upper and the lower skin (n, 2) at ``y`` [mm], as (x, z) from the nose to the trailing edge."""
    return _surfaces_at(*_skin_points(body), y)


def _skin_points(body: Body) -> tuple[np.ndarray, np.ndarray]:
    """Return the stations (n_section,) of the skin, and its points (n_section, n, 2) there as (x, z). [mm]"""
    stations, points = zip(*((section.y_mm, section.points_mm) for section in body.skin), strict=True)
    return np.array(stations, float), np.array(points, float)


def _surfaces_at(station: np.ndarray, points: np.ndarray, y: float) -> tuple[np.ndarray, np.ndarray]:
    piece = int(np.clip(np.searchsorted(station, y, side="right") - 1, 0, len(station) - 2))
    slope = (points[piece + 1] - points[piece]) / (station[piece + 1] - station[piece])
    here = slope * (np.clip(y, station[0], station[-1]) - station[piece]) + points[piece]
    nose = len(here) // 2
    return here[: nose + 1][::-1], here[nose:] if len(here) % 2 else here[nose - 1 :]


def section_across(body: Body, x: float, half: float) -> tuple[np.ndarray, np.ndarray]:
    """Return the upper and the lower skin (n, 2) at ``x`` as (y, z), for ``half`` [mm] on each side of the centre.

    Stations that the plane does not cut are left out.
    """
    right: tuple[list[tuple[float, float]], list[tuple[float, float]]] = ([], [])
    station, points = _skin_points(body)
    for y in np.linspace(0.0, min(half, station[-1]), _ACROSS):
        surfaces = _surfaces_at(station, points, float(y))
        if surfaces[0][0, 0] <= x <= surfaces[0][-1, 0]:
            for side, surface in zip(right, surfaces, strict=True):
                side.append((float(y), float(np.interp(x, *surface.T))))
    upper, lower = (np.array([*((-y, z) for y, z in side[:0:-1]), *side]).reshape(-1, 2) for side in right)
    return upper, lower


def hull(points: np.ndarray) -> np.ndarray:
    """Return the corners (n, 2) of the smallest convex outline round points (m, 2), by the monotone chain."""
    order = np.unique(np.round(points, 6), axis=0)

    def chain(rows: np.ndarray) -> list[np.ndarray]:
        kept: list[np.ndarray] = []
        for point in rows:
            while len(kept) > 1 and _turn(kept[-2], kept[-1], point) <= 1e-6:
                kept.pop()
            kept.append(point)
        return kept[:-1]

    return np.array([*chain(order), *chain(order[::-1])]) if len(order) > 2 else order


def _turn(a: np.ndarray, b: np.ndarray, c: np.ndarray) -> float:
    return float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))


def _cut(points: np.ndarray, triangles: list[list[int]], axis: int, place: float) -> list[np.ndarray]:
    """Return the closed lines (n, 3) where the plane at ``place`` along ``axis`` cuts a closed mesh. [mm]"""
    low, high = points[:, axis].min(), points[:, axis].max()
    if not low - _END_INSET <= place <= high + _END_INSET:
        return []
    place = float(np.clip(place, low + _END_INSET, high - _END_INSET))
    above = points[:, axis] > place
    after: dict[tuple[int, int], tuple[int, int]] = {}  # each edge that the plane cuts, and the next one round the cut
    corner = np.asarray(triangles, int).reshape(-1, 3)
    count = above[corner].sum(axis=1)
    is_above = above.tolist()  # a list is read faster than an array
    for triangle in corner[(count > 0) & (count < 3)].tolist():
        edges = {}
        for one, other in zip(triangle, triangle[1:] + triangle[:1], strict=True):
            if is_above[one] != is_above[other]:
                edges[is_above[one]] = (min(one, other), max(one, other))
        after[edges[True]] = edges[False]
    loops = []
    while after:
        ring = [next(iter(after))]
        while ring[-1] in after:
            ring.append(after.pop(ring[-1]))
        first, second = (points[[edge[end] for edge in ring[:-1]]] for end in (0, 1))
        share = (place - first[:, axis]) / (second[:, axis] - first[:, axis])
        loops.append(_without_straight(first + (second - first) * share[:, None]))
    return loops


def _without_straight(points: np.ndarray) -> np.ndarray:
    """Return the points (n, 3) of a closed line without those on a straight line between their neighbours."""
    ahead, behind = np.roll(points, -1, axis=0) - points, points - np.roll(points, 1, axis=0)
    bent = np.linalg.norm(np.cross(ahead, behind), axis=1) > 1e-6
    return points[bent] if bent.sum() > 2 else points
