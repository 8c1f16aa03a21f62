"""The lists of points from which a report draws one design from above (right half) [mm].

All of them are places in the body: its skin, and its parts as seen from above.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from scipy.spatial import ConvexHull

from tradestudy.aircraft.body.assembly import body_parts, design_skin
from tradestudy.aircraft.body.parts import BodyPart
from tradestudy.aircraft.body.rod_parts import rod_axes
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.physics.body import skin
from tradestudy.physics.body.straight_rods import x_at
from tradestudy.physics.geometry import fins as fins_of
from tradestudy.physics.geometry import planform
from tradestudy.quantities import at_edge, in_unit
from tradestudy.results.outline import FinEdge, FinOutline, MeanChord, Outline, OutlineItem, PackBox, PlanPart, RodLine

from .gear_list import gear_outline, kept_apart

_SEEN_FROM_ABOVE = ("bay", "board", "channel", "joiner", "lid", "motor", "pack", "pocket", "slot")  # kinds of parts
_RING = 1e-6  # distance within which the corners of a rod belong to the ring at its end [m]


def design_outline(design: EvaluatedDesign) -> Outline:
    """Return the lists of points of one design."""
    outer = design_skin(design)
    parts = body_parts(design, outer)
    known = outline_of(design, outer, parts, _rods(parts), gear_outline(design, outer))
    return replace(known, kept_apart=kept_apart(design))


def outline_of(
    design: EvaluatedDesign, outer: skin.Skin, parts: list[BodyPart], rods: list[RodLine], gear: list[OutlineItem]
) -> Outline:
    """Return the lists of points of one design with some of its ``parts``. ``outer`` is the skin of the design.

    What must be kept apart is left out.
    """
    study, solution = design.study, design.solution
    wing, areas, fins = solution.wing, solution.areas, solution.fins
    front, _, back = edges_from_above(outer, wing.station)
    packs, (elevon_x, elevon_y) = _packs(parts), _elevon(outer, wing)
    return Outline(
        x_mm=_mm(np.concatenate([front, back[::-1], front[:1]])),
        y_mm=_mm(np.concatenate([wing.station, wing.station[::-1], wing.station[:1]])),
        elevon_x_mm=elevon_x,
        elevon_y_mm=elevon_y,
        stock_part_y_mm=_stock_part(wing),
        rods=rods,
        equipment=gear,
        parts=[_part(part) for part in parts if part.kind in _SEEN_FROM_ABOVE],
        bays=[
            OutlineItem(bay.name, mass_g=0.0, side="both" if bay.from_centre else "", **_box(part))
            for bay, part in zip(study.bay, _kind(parts, "bay"), strict=True)
        ],
        pack=packs[0],
        second_pack=packs[1] if len(packs) > 1 else None,
        mean_chord=MeanChord(
            **at_edge(
                x_mm=float(areas.mean_aerodynamic_chord_leading_edge),
                y_mm=_mean_chord_y(wing),
                length_mm=float(areas.mean_aerodynamic_chord),
            )
        ),
        fins=[_fin(wing, fin) for fin in fins],
    )


def edges_from_above(outer: skin.Skin, y: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return the places (n,) of leading edge, hinge line and trailing edge at stations ``y`` (n,) [m]. [m]

    Hinge and trailing edge are halfway between the upper and the lower skin.
    """
    here = skin.section_at(outer, y)
    middle = 0.5 * (here.upper_x + here.lower_x)
    return middle[:, 0], middle[:, here.hinge], middle[:, -1]


def _kind(parts: list[BodyPart], kind: str) -> list[BodyPart]:
    return [part for part in parts if part.kind == kind]


def _box(part: BodyPart) -> dict[str, Any]:
    """Return front, length and width of a part, and its middle from the centre line. [mm]"""
    low, high = part.solid.vertices.min(0), part.solid.vertices.max(0)
    names = "x_mm", "length_mm", "width_mm", "from_centre_mm"
    return dict(zip(names, _mm([low[0], *(high - low)[:2], 0.5 * (low[1] + high[1])]), strict=True))


def _packs(parts: list[BodyPart]) -> list[PackBox]:
    """Return the pack, or its halves if one bay lies behind the other."""
    boxes = [_box(part) for part in _kind(parts, "pack")]
    return [PackBox(**box | {"x_mm": round(box["x_mm"] + 0.5 * box["length_mm"], 3)}) for box in boxes]


def _part(part: BodyPart) -> PlanPart:
    """Return a part as seen from above."""
    seen = part.solid.vertices[:, :2]
    corners = seen[ConvexHull(seen).vertices]
    return PlanPart(part.name, part.kind, x_mm=_mm(corners[:, 0]), y_mm=_mm(corners[:, 1]))


def _rods(parts: list[BodyPart]) -> list[RodLine]:
    """Return the line of every rod, once for a rod near the top and the one below it."""
    lines: dict[tuple[float, ...], RodLine] = {}
    for part in _kind(parts, "rod"):
        x, y, _ = part.solid.vertices.T
        if -y.min() > y.max() + _RING:
            continue  # a rod of the left half that crosses over, the mirror image of a right one
        ends = [(x[end].mean(), y[end].mean()) for end in (y < y.min() + _RING, y > y.max() - _RING)]
        (from_x, from_y), (to_x, to_y) = ends
        across = bool(abs(from_y + to_y) < _RING)
        if across:  # only the right half is drawn
            from_x, from_y = 0.5 * (from_x + to_x), 0.0
        x0, y0, x1, y1 = places = tuple(_mm([from_x, from_y, to_x, to_y]))
        lines.setdefault(places, RodLine(x0, y0, x1, y1, _without_side(part.name), across))
    return list(lines.values())


def rod_lines(design: EvaluatedDesign) -> list[RodLine]:
    """Return the line of every rod of a design from its axis alone, the same as that of its solid."""
    lines: dict[tuple[float, ...], RodLine] = {}
    for axis in rod_axes(design):
        across = axis.kind == "rod across"
        inner = 0.0 if across else axis.inner
        ends = np.array([axis.inner, axis.outer])
        (from_x, to_x) = (float(x) for x in x_at(axis.line, ends))
        from_x = 0.5 * (from_x + to_x) if across else from_x
        x0, y0, x1, y1 = places = tuple(_mm([from_x, inner, to_x, axis.outer]))
        lines.setdefault(places, RodLine(x0, y0, x1, y1, f"{axis.kind} {axis.rod.name}{axis.number}", across))
    return list(lines.values())


def _without_side(name: str) -> str:
    """Return the name of a rod without its side, so that the rods of one pair share it."""
    return " ".join(word for word in name.split() if word not in ("top", "bottom"))


def _fin(wing, fin) -> FinOutline:
    """Return a fin seen from above: its foot and its top and bottom edges, turned by its toe angle."""
    station = float(wing.station[..., fin.stands_on])
    start = float(wing.leading_edge[..., fin.stands_on] + fin.behind_leading_edge)

    def edge(front: float, chord: float, y: float) -> dict[str, list[float]]:
        inward = 0.5 * chord * np.sin(fin.toe)
        return {"x_mm": _mm([front, front + chord]), "y_mm": _mm([y - inward, y + inward])}

    ends = [
        FinEdge(
            **edge(
                start + float(part.set_back),
                float(part.tip_chord),
                station + part.direction * float(part.length) * np.sin(fin.cant),
            )
        )
        for part in fins_of.fin_parts(fin)
        if part.length > 0
    ]
    height, below = _mm([fin.height, fin.depth_below])
    return FinOutline(**edge(start, float(fin.root_chord), station), height_mm=height, depth_below_mm=below, ends=ends)


def _mm(values) -> list[float]:
    return [round(in_unit(float(value), "mm"), 3) for value in values]


def _elevon(outer: skin.Skin, wing: planform.Planform) -> tuple[list[float], list[float]]:
    """Return the closed outline of the elevon: behind the nose, and from the centre line. [mm]"""
    inner, outer_end = float(wing.elevon_inner_end), float(wing.elevon_outer_end)
    where = np.array([inner, *[y for y in wing.station.tolist() if inner < y < outer_end], outer_end])
    _, hinge, back = edges_from_above(outer, where)
    aft, across = np.concatenate([hinge, back[::-1], hinge[:1]]), np.concatenate([where, where[::-1], where[:1]])
    return _mm(aft), _mm(across)


def _stock_part(wing) -> list[float]:
    start, end = float(wing.stock_part_start), float(wing.stock_part_end)
    return _mm([start, end]) if end > start else []


def _mean_chord_y(wing) -> float:
    """Return the span station of the mean chord: (2 / S) * integral of c(y) * y dy over a half wing. [m]

    S is the wing area, c the chord, y the station.
    """
    y, chord = wing.station, wing.chord
    width = np.diff(y)
    first = width * (2 * chord[:-1] * y[:-1] + chord[:-1] * y[1:] + chord[1:] * y[:-1] + 2 * chord[1:] * y[1:]) / 6
    return float(first.sum() / (0.5 * (chord[:-1] + chord[1:]) * width).sum())
