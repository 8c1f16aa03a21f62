"""Full-size drawings of the body: half the wing from above, and sections along the centre line and through the pack."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from tradestudy.report.body_views import FlatShape, right_half, round_diameter, section_along
from tradestudy.report.figures.pack_section import room_words, thinnest_pack_section
from tradestudy.report.figures.side_view import parts_on_centre
from tradestudy.report.words.phrases import design_number, number_text
from tradestudy.report.words.violated_limits import warning_words
from tradestudy.results.cutting import Cutting
from tradestudy.results.design import Design

from .drawing import LETTER, Drawing, Stroke, Words

_LAYERS = {
    "bay": "bays",
    "board": "boards",
    "channel": "joiner channel",
    "elevon": "elevon",
    "joiner": "joiner",
    "lid": "lids",
    "motor": "motor",
    "pack": "pack",
    "pocket": "pockets",
    "rod": "rod sections",
    "slot": "slots",
    "strip": "elevon",
}
_OTHER_LAYER = "parts"
_LINE = 1.7 * LETTER  # mm from one line of words to the next
_CROSS = 2.0  # mm, half the size of the mark of a piece of equipment


def strokes_of(shapes: Iterable[FlatShape]) -> list[Stroke]:
    """Return the outline of every part in the layer of its kind."""
    return [Stroke(_LAYERS.get(shape.kind, _OTHER_LAYER), shape.points, closed=True) for shape in shapes]


def side_view_drawing(design: Design) -> Drawing | None:
    """Return the section of the wing on its centre line, with x behind the nose and z up, or None without a body."""
    if design.body is None or not design.body.skin:
        return None
    upper, lower = section_along(design.body, 0.0)
    parts = parts_on_centre(design.body)
    shapes = [Stroke("skin", np.concatenate([upper, lower[::-1]]), closed=True), *strokes_of(parts)]
    top = max(float(stroke.points[:, 1].max()) for stroke in shapes)
    bottom = min(float(stroke.points[:, 1].min()) for stroke in shapes)
    middles = [shape.middle for shape in parts if shape.kind == "pack"]
    words = [Words(float(x), float(z), "pack", side="middle") for x, z in middles]
    mark = design.numbers.cg_mm
    if mark is not None:
        shapes.append(Stroke("balance mark", np.array([[mark, bottom - 3.0], [mark, top + 3.0]])))
        words.append(Words(mark, top + 4.0, number_text(mark), side="middle"))
    things = sorted((one for one in design.outline.equipment if one.in_the_middle), key=lambda one: one.x_mm)
    row, last = 0, -np.inf
    for number, thing in enumerate(things, 1):
        x, z = thing.x_mm, 0.5 * float(np.interp(thing.x_mm, *upper.T) + np.interp(thing.x_mm, *lower.T))
        row, last = (row + 1 if x - last < 3 * LETTER else 0), x
        under = bottom - 8.0 - _LINE * row
        cross = np.array([[-_CROSS, 0.0], [_CROSS, 0.0]])
        shapes += [Stroke("equipment", np.array([x, z]) + part) for part in (cross, cross[:, ::-1])]
        shapes.append(Stroke("equipment", np.array([[x, z], [x, under]])))
        words.append(Words(x + 0.8, under, str(number)))
    places = [f"{number} {thing.name[:40]} {number_text(thing.x_mm)}" for number, thing in enumerate(things, 1)]
    return Drawing("side_view", "Centre from the side, 1:1", shapes, words, _side_notes(parts, places))


def _side_notes(parts: list[FlatShape], places: list[str]) -> list[str]:
    """Return notes on the parts from the nose back, and on the numbered pieces of equipment."""
    notes = ["The wing cut along its centre line, film included. All lengths are in mm, places are behind the nose."]
    rows = []
    for shape in sorted(parts, key=lambda one: float(one.points[:, 0].min())):
        (start, low), (end, high) = shape.points.min(0), shape.points.max(0)
        if shape.kind in ("bay", "pack", "lid", "board", "slot"):
            reach = f"{number_text(start, 1)} to {number_text(end, 1)}"
            tall = "right through" if shape.is_open else f"{number_text(high - low, 1)} high"
            rows.append(f"{shape.name[:40]} {reach}, {tall}")
        elif shape.kind == "joiner":
            rows.append(f"joiner {number_text(shape.middle[0], 1)}, {number_text(round_diameter(shape), 1)} thick")
    return [*notes, "; ".join(rows) + ".", f"Equipment: {'; '.join(places)}."] if places else [*notes, "; ".join(rows)]


def pack_section_drawing(design: Design) -> Drawing | None:
    """Return the section through the pack where its room is least, seen from the front, or None without a body.

    The right half wing is on the left. x is to the right on the paper.
    """
    cut = thinnest_pack_section(design.body)
    if cut is None:
        return None

    def from_front(points: np.ndarray) -> np.ndarray:
        return points * [-1.0, 1.0]

    half = float(np.abs(cut.upper[:, 0]).max())
    parts = [shape._replace(points=from_front(shape.points)) for shape in cut.shapes if abs(shape.middle[0]) < half]
    shapes = [Stroke("skin", from_front(side)) for side in (cut.upper, cut.lower)] + strokes_of(parts)
    bottom, top = cut.pack.points[:, 1].min(), cut.pack.points[:, 1].max()
    middle = 0.5 * float(bottom + top)
    words = [Words(0.0, middle - 0.5 * LETTER, "pack", side="middle")]
    for (y, room), start, way, name in ((cut.above, top, 1.0, "above"), (cut.below, bottom, -1.0, "below")):
        shapes.append(Stroke("free height", np.array([[-y, start], [-y, start + way * room]])))
        inward = 2.0 if y > 0 else -2.0
        words.append(
            Words(
                -y + inward,
                middle + way * 0.25 * float(top - bottom) - 0.5 * LETTER,
                room_words(room, f"free {name}"),
                side="start" if y > 0 else "end",
            )
        )
    notes = [
        f"Cut {number_text(cut.x)} mm behind the nose, at the end of the pack where the foam has least room for it. "
        "Seen from the front: the right half wing is on the left.",
        f"Pack against skin, where the room is least: {room_words(cut.above[1], 'free above')}, "
        f"{room_words(cut.below[1], 'free below')}.",
    ]
    return Drawing("pack_section", "Section through the pack, 1:1", shapes, words, notes)


def planform_drawing(design: Design) -> Drawing:
    """Return the right half of the wing from above. Here x is along the span, and y is ahead of the nose datum."""
    outline, cut = design.outline, design.cut

    def from_above(x: Any, y: Any) -> np.ndarray:
        return np.column_stack([np.atleast_1d(y), -np.atleast_1d(np.asarray(x, float))])

    tip = max(outline.y_mm)
    shapes = [
        Stroke("wing", from_above(outline.x_mm[:-1], outline.y_mm[:-1]), closed=True),
        Stroke("elevon", from_above(outline.elevon_x_mm[:-1], outline.elevon_y_mm[:-1]), closed=True),
        Stroke("hinge line", from_above(*np.transpose([(row.hinge_mm, row.station_mm) for row in cut.stations]))),
    ]
    words = []
    for number, rod in enumerate(outline.rods):
        lines = right_half(rod)
        shapes += [Stroke("transverse rods" if rod.across else "rods", line * [1.0, -1.0]) for line in lines]
        share = 1.0 if rod.across else 0.8 - 0.1 * (number % 4)  # names of neighbours stand apart
        y, x = lines[0][0] + share * (lines[0][1] - lines[0][0])
        words.append(Words(float(y) + 1.5, 1.0 - float(x), rod.name))
    for part in outline.parts:
        layer, points = _LAYERS.get(part.kind, _OTHER_LAYER), from_above(part.x_mm, np.maximum(part.y_mm, 0.0))
        shapes.append(Stroke(layer, points, closed=True))
        if part.kind in ("joiner", "motor", "pack", "pocket"):
            (_, low), (right, _) = points.min(0), points.max(0)
            words.append(Words(float(right) + 1.5, float(low), part.name))
    if cut.joint_mm is not None:
        for place in _joint_lines(cut):
            row = [
                np.interp(place, [one.station_mm for one in cut.stations], [getattr(one, key) for one in cut.stations])
                for key in ("leading_edge_mm", "trailing_edge_mm")
            ]
            shapes.append(Stroke("joint", from_above(row, [place, place])))
    mark = design.numbers.cg_mm
    shapes.append(Stroke("balance mark", from_above([mark, mark], [0.0, 30.0])))
    words += [
        Words(33.0, -mark - 1.0, f"balance mark {design_number(design, 'cg_mm')} mm behind the nose"),
        Words(0.5 * tip, 12.0, f"right half from above, semi-span {number_text(tip)} mm"),
    ]
    return Drawing("planform", "Half wing from above, 1:1", shapes, words, warning=warning_words(design))


def _joint_lines(cut: Cutting) -> list[float]:
    """Return the places along the half span where old and new foam meet. [mm]"""
    new = next(core for core in cut.cores if core.new)
    return [y for y in (new.from_mm, new.to_mm) if 0 < y < cut.stations[-1].station_mm - 1]
