"""The slots of rods and the places of all other parts, measured on the body of a wing.

Lengths are in mm. x is the distance behind the nose, y that from the centre line, and z points up. The drawings and the
tables of the build sheet both take them from here.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.results.body import Body, BodySolid
from tradestudy.results.cutting import Mark, RodSet
from tradestudy.results.design import Design

from .body_views import corners, cut_along, hull, round_diameter, section_along

SLOT_SIDES = ("top", "bottom", "middle")
_SAME_LINE = 0.05  # mm; lines as near as this are one line in a drawing from above
_ON_CENTRE = 0.01  # mm; ends as near as this to the centre line, or to mirror images of each other
_END = 2e-3  # mm; corners as near as this to the end of a rod belong to its end face
_STEP = 20.0  # mm between the points at which the bow of a slot is measured
_OWN_PLACES = ("pack", "pack 2", "motor")  # rows of the list Equipment that are parts of the body
_NOT_PLACED = ("rod", "bore", "elevon", "strip", "propeller")  # kinds of parts with tables and drawings of their own


class Slot(NamedTuple):
    """The line of one slot of the right half wing seen from above, or of one at the top and one below it.

    ``start`` and ``end`` are points (x, y) from the inner to the outer end. A slot that crosses the centre line starts
    on it. ``depth`` is that at the outer end, and ``depth_inside`` that at the inner end where it differs.
    ``bow`` is the greatest distance of the slot's bottom from a straight line.
    """

    number: str
    rods: RodSet | None
    name: str
    sides: tuple[str, ...]
    start: tuple[float, float]
    end: tuple[float, float]
    across: bool
    other_half: bool
    diameter: float
    depth: float
    depth_inside: float
    bow: float

    def x_at(self, y: float) -> float:
        """Return the place of the slot behind the nose at ``y``, which may lie beyond its ends. [mm]"""
        (x0, y0), (x1, y1) = self.start, self.end
        return x0 + (x1 - x0) * (y - y0) / (y1 - y0)

    def reaches(self, y: float) -> bool:
        """Return whether the slot reaches the station ``y``. [mm]"""
        return self.start[1] - _ON_CENTRE <= y <= self.end[1] + _ON_CENTRE


def slots_of(design: Design) -> list[Slot]:
    """Return every slot of the right half wing, numbered in the order of the rods; none without a body."""
    if design.body is None:
        return []
    found: list[Slot] = []
    sets = design.cutting.rods if design.cutting else []
    for solid in design.body.solids:
        for slot in _slots_of_rod(design.body, solid, sets) if solid.kind == "rod" else ():
            same = next((each for each in found if _same_line(each, slot)), None)
            if same is None:
                found.append(slot)
            else:
                sides = tuple(side for side in SLOT_SIDES if side in (*same.sides, *slot.sides))
                found[found.index(same)] = same._replace(sides=sides, bow=max(same.bow, slot.bow))
    return [slot._replace(number=f"S{number}") for number, slot in enumerate(found, 1)]


def _same_line(one: Slot, other: Slot) -> bool:
    ends = np.abs(np.subtract([one.start, one.end], [other.start, other.end])).max()
    return bool(ends < _SAME_LINE and one.rods is other.rods and abs(one.depth - other.depth) < _SAME_LINE)


def _slots_of_rod(body: Body, solid: BodySolid, sets: list[RodSet]) -> list[Slot]:
    """Return the slots of one rod in the right half wing: one, or none for the mirror image of another rod.

    A rod that crosses over from the left half has a slot that ends at its tip in the right half.
    """
    points = corners(solid)
    inner, outer = (
        points[np.abs(points[:, 1] - end) < _END].mean(0) for end in (points[:, 1].min(), points[:, 1].max())
    )
    rods, side, name = _set_and_side(solid.name, sets)
    across = bool(abs(inner[1] + outer[1]) < _ON_CENTRE)
    other_half = not across and bool(-inner[1] > outer[1])
    first = max(float(inner[1]), 0.0)
    share = (first - inner[1]) / (outer[1] - inner[1])
    start = inner[:2] + share * (outer[:2] - inner[:2])
    diameter = rods.diameter_mm if rods else float(np.ptp(points[np.abs(points[:, 1] - outer[1]) < _END][:, 2]))
    inset = min(0.25 * (outer[1] - first), 1.0)
    depth = _depth(body, solid, side, float(outer[1]) - inset, diameter)
    deepest = _depth(body, solid, side, first + inset, diameter)
    if other_half:
        depth = deepest
    line = (float(start[0]), float(start[1])), (float(outer[0]), float(outer[1]))
    nominal = rods.slot_depth_mm if rods and side != "middle" and not other_half else depth
    centre = deepest if side == "middle" or other_half or _is_deeper(rods, deepest) else nominal
    return [
        Slot("", rods, name, (side,), *line, across, other_half, diameter, nominal, centre, _bow(body, *line, side))
    ]


def _is_deeper(rods: RodSet | None, depth: float) -> bool:
    """Return whether a slot is deeper at the centre than elsewhere, since another rod lies above its rod there."""
    return rods is not None and depth - rods.slot_depth_mm > 0.5 * rods.diameter_mm


def _set_and_side(solid_name: str, sets: list[RodSet]) -> tuple[RodSet | None, str, str]:
    """Return the set of a rod, its side, and its name without the side."""
    for kind in ("rod across", "rod"):
        for rods in sorted(sets, key=lambda one: -len(one.name)):
            for side in SLOT_SIDES:
                start = f"{kind} {rods.name} {side}"
                if solid_name == start or solid_name.startswith((f"{start} ", f"{start},")):
                    rest = solid_name[len(start) :].replace(", left", "")
                    return rods, side, f"{rods.name}{rest}" + (", across" if kind == "rod across" else "")
    side = next((side for side in SLOT_SIDES if side in solid_name.split()), "middle")
    return None, side, " ".join(word for word in solid_name.split() if word != side)


def _depth(body: Body, solid: BodySolid, side: str, y: float, diameter: float) -> float:
    """Return how deep below its skin the bottom of a rod's slot lies at ``y``. [mm]"""
    (shape, *_) = cut_along(Body(skin=body.skin, solids=[solid]), y)
    x, z = shape.middle
    upper, lower = section_along(body, y)
    high, low = float(np.interp(x, *upper.T)), float(np.interp(x, *lower.T))
    middle = {"top": high - z, "bottom": z - low}.get(side, 0.5 * (high - low))
    return float(middle) + 0.5 * diameter


def _bow(body: Body, start: tuple[float, float], end: tuple[float, float], side: str) -> float:
    """Return the greatest distance between a skin along a straight line seen from above and a straight line. [mm]"""
    if side == "middle":
        return 0.0
    share = np.linspace(0.0, 1.0, max(int(np.hypot(*np.subtract(end, start)) / _STEP), 4) + 1)
    places = np.array(start) + share[:, None] * np.subtract(end, start)
    surface = 0 if side == "top" else 1
    height = np.array([np.interp(x, *section_along(body, float(y))[surface].T) for x, y in places])
    return float(np.abs(height - (height[0] + share * (height[-1] - height[0]))).max())


class PartPlace(NamedTuple):
    """The place of one part of the body: its box, and the foam above and below it.

    ``low`` and ``high`` are corners (x, y, z). ``above`` and ``below`` are the least heights of the skin over it and
    under it; they are negative where it reaches out. ``behind_edge`` is the distance of its front behind the leading
    edge at its middle.
    """

    name: str
    kind: str
    low: np.ndarray
    high: np.ndarray
    above: float
    below: float
    behind_edge: float
    on_centre: bool
    single: bool
    depth: float

    @property
    def size(self) -> np.ndarray:
        """Return its sizes along x, y and z. [mm]"""
        return self.high - self.low

    @property
    def middle(self) -> np.ndarray:
        """Return the middle of its box. [mm]"""
        return 0.5 * (self.low + self.high)


def places_of(body: Body | None) -> list[PartPlace]:
    """Return the place of every part but rods, trailing parts and propeller, in the order of the body."""
    if body is None:
        return []
    return [_place(body, solid) for solid in body.solids if solid.kind not in _NOT_PLACED]


def unsized_gear(design: Design) -> list[Mark]:
    """Return the places of things on board that lie in the foam, and of which the study has no size.

    Things in bays, and servos with pockets, are none of them.
    """
    solids = design.body.solids if design.body else []
    holes = {solid.name.removeprefix("hole of ") for solid in solids if solid.kind == "hole"}
    in_bays = {thing.name for thing in design.outline.equipment if thing.bay}
    pockets = any(solid.kind == "pocket" for solid in solids)
    return [
        mark
        for mark in design.cut.gear
        if mark.name not in {*_OWN_PLACES, *holes, *in_bays} and not (pockets and "servo" in mark.name.lower())
    ]


def _place(body: Body, solid: BodySolid) -> PartPlace:
    points = corners(solid)
    low, high = points.min(0), points.max(0)
    if solid.kind == "joiner":
        low, high = _round_box(body, solid, low, high)
    above, below = np.inf, np.inf
    stations = np.abs(np.clip([low[1], 0.5 * (low[1] + high[1]), high[1]], -body.skin[-1].y_mm, body.skin[-1].y_mm))
    for y in {round(float(y), 6) for y in stations}:
        upper, lower = section_along(body, y)
        for x in np.linspace(low[0], high[0], 9):
            if upper[0, 0] <= x <= upper[-1, 0]:
                above = min(above, float(np.interp(x, *upper.T)) - high[2])
                below = min(below, low[2] - float(np.interp(x, *lower.T)))
    edge = section_along(body, float(np.abs(0.5 * (low[1] + high[1]))))[0][0, 0]
    on_centre = bool(low[1] < -_ON_CENTRE < _ON_CENTRE < high[1])
    depth = float(high[2] - low[2])
    if solid.kind != "bay" and solid.role == "void" and (above < 0) != (below < 0):  # a bay has a lid
        depth = _depth_of_hole(body, solid, 0.5 * (low + high), above < 0)
    return PartPlace(
        solid.name, solid.kind, low, high, above, below, float(low[0] - edge), on_centre, solid.single, depth
    )


def _depth_of_hole(body: Body, solid: BodySolid, middle: np.ndarray, from_above: bool) -> float:
    """Return how far the floor of a hole lies below its skin, at its middle. [mm]"""
    x, y = float(middle[0]), float(middle[1])
    (shape, *_) = cut_along(Body(skin=body.skin, solids=[solid]), y)
    points = np.concatenate([shape.points, shape.points[:1]])
    heights = [
        z0 + (z1 - z0) * (x - x0) / (x1 - x0)
        for (x0, z0), (x1, z1) in zip(points[:-1], points[1:], strict=True)
        if min(x0, x1) <= x <= max(x0, x1) and x0 != x1
    ]
    upper, lower = (float(np.interp(x, *side.T)) for side in section_along(body, abs(y)))
    return upper - min(heights) if from_above else max(heights) - lower


def _round_box(body: Body, solid: BodySolid, low: np.ndarray, high: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the box of a round part along the span, whose mesh has sides: with its diameter along x and z."""
    shape = max(cut_along(Body(skin=body.skin, solids=[solid]), 0.5 * float(low[1] + high[1])), key=round_diameter)
    half, middle = 0.5 * round_diameter(shape), shape.middle
    low, high = (np.array([middle[0] + way, end[1], middle[1] + way]) for way, end in ((-half, low), (half, high)))
    return low, high


def outline_from_above(body: Body) -> tuple[np.ndarray, np.ndarray]:
    """Return the leading and the trailing edge of the right half as points (x, y) from the centre line out. [mm]

    The trailing edge is halfway between the upper and the lower skin.
    """
    edges = []
    for section in body.skin:
        x = [point[0] for point in section.points_mm]
        count = len(x) // 2
        edges.append((x[count] if len(x) % 2 else 0.5 * (x[count - 1] + x[count]), 0.5 * (x[0] + x[-1]), section.y_mm))
    front, back, y = np.array(edges).T
    return np.column_stack([front, y]), np.column_stack([back, y])


def trailing_part(solid: BodySolid) -> tuple[np.ndarray, np.ndarray]:
    """Return the hinge line and the trailing edge of an elevon or strip as points (x, y) from its inner end out. [mm]

    Both are halfway between its upper and its lower side.
    """
    points = corners(solid)
    hinge, back = [], []
    for y in np.unique(points[:, 1]):
        x = np.sort(points[points[:, 1] == y][:, 0])
        hinge.append((x[:2].mean(), y))
        back.append((x[-2:].mean() if x[-1] - x[-2] < 1.0 else x[-1], y))
    return np.array(hinge), np.array(back)


def stations_of(design: Design) -> dict[str, float]:
    """Return name and place of the stations at which slots are measured, from the centre line out. [mm]

    They are the centre line, the side walls of bays, where the swept panel starts, its middle, and the outermost end
    of a slot.
    """
    slots, body = slots_of(design), design.body
    if not slots or body is None:
        return {}
    tip = body.skin[-1].y_mm
    start = design.cut.sections[0].station_mm
    found = {"centre line": 0.0}
    for place in places_of(body):
        if place.kind == "bay":
            found.setdefault(f"wall of {place.name}", float(place.high[1]))
    found |= {
        "panel starts": start,
        "middle of panel": round(0.5 * (start + tip)),
        "last rod ends": max(s.end[1] for s in slots),
    }
    apart: dict[str, float] = {}
    for name, y in sorted(found.items(), key=lambda item: item[1]):
        if not any(abs(y - other) < 1.0 for other in apart.values()):
            apart[name] = y
    return apart


class FinPlate(NamedTuple):
    """One flat fin laid on paper, with the place of its foot on the wing.

    ``points`` (n, 2) run aft and up along the fin from the front of its foot, and ``foot`` (m, 2) is its lower edge.
    ``station`` is the middle of its foot from the centre line, and ``behind_edge`` the front of its foot behind the
    leading edge there.
    """

    name: str
    points: np.ndarray
    foot: np.ndarray
    station: float
    behind_edge: float


def inboard_plates(body: Body) -> list[FinPlate]:
    """Return the parts of all fins that stand on the skin inboard of the tip, in the order of the body."""
    return [
        _plate(body, solid)
        for solid in body.solids
        if solid.kind == "fin" and {"above", "below"} & set(solid.name.split())
    ]


def _plate(body: Body, solid: BodySolid) -> FinPlate:
    faces = corners(solid).reshape(2, -1, 3)
    outline = faces.mean(0)
    foot = outline[len(outline) // 2 :][::-1]  # the outer edge comes first, then the foot from its rear end
    normal = np.cross(outline[1] - outline[0], outline[-1] - outline[0])
    normal = normal / np.linalg.norm(normal)
    aft = np.array([1.0, 0.0, 0.0]) - normal[0] * normal
    aft = aft / np.linalg.norm(aft)
    up = np.cross(normal, aft)
    up = up if up[2] > 0 else -up

    def flat(points: np.ndarray) -> np.ndarray:
        return np.column_stack([(points - foot[0]) @ aft, (points - foot[0]) @ up])

    station = float(foot[:, 1].mean())
    return FinPlate(
        solid.name, flat(outline), flat(foot), station, float(foot[0, 0] - section_along(body, station)[0][0, 0])
    )


def is_left_alone(solid: BodySolid) -> bool:
    """Return whether a part stands in the left half alone."""
    return solid.single and max(point[1] for point in solid.vertices_mm) < _ON_CENTRE


def seen_from_above(solid: BodySolid) -> np.ndarray:
    """Return the outline (n, 2) of a part from above as points (x, y) in the right half. [mm]

    A part of the left half alone is mirrored.
    """
    seen = hull(corners(solid)[:, :2])
    if seen[:, 1].max() < _ON_CENTRE:
        seen = seen * [1.0, -1.0]
    return np.column_stack([seen[:, 0], np.maximum(seen[:, 1], 0.0)])
