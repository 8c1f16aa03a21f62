"""The full-size plan: the right half wing from above, drawn from its body.

On the paper x is to the right along the span, and y is ahead of the nose datum.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.report.body_slots import (
    Slot,
    is_left_alone,
    outline_from_above,
    seen_from_above,
    slots_of,
    stations_of,
    trailing_part,
    unsized_gear,
)
from tradestudy.report.words.phrases import number_text
from tradestudy.report.words.violated_limits import warning_words
from tradestudy.results.body import Body
from tradestudy.results.cutting import Cutting
from tradestudy.results.design import Design

from .drawing import CROSS, LETTER, Drawing, Stroke, Words, layer_of

_LINES_DRAWN = ("rod", "bore", "elevon", "strip", "propeller")  # kinds of parts that are no outline of their own
_MARK = 30.0  # mm, length of the line of a balance mark
_CROSS = 3.0  # mm, half the size of the cross at the middle of a thing
_WIDE = 0.62  # width of a letter over its height, a little more than the widest line of words needs
_CORNER = 20.0  # mm from a corner of the drawing to its words
PLAN_NOTES = [
    "Cut each tile along its dashed lines, or fold it there. Lay equal names of two tiles on top of each other: both "
    "crosses must meet. Tape from the middle of the plan outward on a flat board.",
    "Measure the 100 mm check lines of every tile before taping, then the whole: semi-span and tip set-back "
    "are in the table of the outline.",
    "The plan shows the right half from above. Turn the taped plan over, or draw it through on the back, for the left "
    "half. Lines on the lower side are seen through the wing.",
]


class _Labels:
    """Words that keep off each other: each takes the first of its places that is free, or else the last."""

    def __init__(self) -> None:
        self.words: list[Words] = []
        self._boxes: list[tuple[float, float, float, float]] = []

    def add(self, text: str, places: list[tuple[float, float]], side: str = "start", height: float = LETTER) -> None:
        """Add words at one of several places (x, y). [mm]"""
        wide = _WIDE * height * len(text) * 1.37
        left = {"start": 0.0, "middle": 0.5, "end": 1.0}[side] * wide
        for x, y in places:
            box = (x - left - 0.5, y - 0.5 * height, x - left + wide + 0.5, y + 1.4 * height)
            if not any(
                box[0] < other[2] and other[0] < box[2] and box[1] < other[3] and other[1] < box[3]
                for other in self._boxes
            ):
                break
        self._boxes.append(box)
        self.words.append(Words(x, y, text, height, side))


def planform_drawing(design: Design) -> Drawing | None:
    """Return the plan of the right half wing, or None without a body."""
    body = design.body
    if body is None or not body.skin or not design.cutting:
        return None
    slots = slots_of(design)
    labels = _Labels()
    shapes = _outlines(body, labels)
    shapes += _stations(design, body, labels)
    shapes += _joints(design.cut, body)
    shapes += _marks(design, labels)
    shapes += _slots(slots, labels)
    shapes += _parts(body, labels) + _unsized(design, body, labels)
    tip = body.skin[-1].y_mm
    front, back = outline_from_above(body)
    inside = [  # on the wing, as tiles without any line are left out
        (share * tip, -float(np.interp(share * tip, front[:, 1], 0.8 * front[:, 0] + 0.2 * back[:, 0])))
        for share in (0.3, 0.45, 0.6)
    ]
    labels.add(f"right half from above, semi-span {number_text(tip)} mm", inside)
    return Drawing(
        "planform", "Half wing from above, 1:1", shapes, labels.words, list(PLAN_NOTES), warning_words(design)
    )


def _on_paper(points: Any) -> np.ndarray:
    """Return points (x, y) of the wing as points on the paper. [mm]"""
    points = np.asarray(points, float).reshape(-1, 2)
    return np.column_stack([points[:, 1], -points[:, 0]])


def _outlines(body: Body, labels: _Labels) -> list[Stroke]:
    """Return the outline of the wing, of elevon and fixed strips, and the hinge line."""
    front, back = outline_from_above(body)
    shapes = [Stroke("wing", _on_paper(np.concatenate([front, back[::-1]])), closed=True)]
    hinge = []
    for solid in body.solids:
        if solid.kind in ("elevon", "strip"):
            line, edge = trailing_part(solid)
            hinge.append(line)
            shapes.append(Stroke(layer_of(solid.kind), _on_paper(np.concatenate([line, edge[::-1]])), closed=True))
            x, y = 0.5 * (line[len(line) // 2] + edge[len(edge) // 2])
            if solid.kind == "elevon":
                labels.add(solid.name, [(float(y), float(-x) - 0.5 * LETTER)], "middle")
    return [*shapes, Stroke("hinge line", _on_paper(np.concatenate(hinge)))] if hinge else shapes


def _stations(design: Design, body: Body, labels: _Labels) -> list[Stroke]:
    """Return the stations of the table of slots as lines from the leading to the trailing edge."""
    front, back = outline_from_above(body)
    shapes = []
    for y in stations_of(design).values():
        edge, end = (float(np.interp(y, line[:, 1], line[:, 0])) for line in (front, back))
        shapes.append(Stroke("stations", _on_paper([(edge, y), (end, y)])))
        labels.add(number_text(y, 1), [(y + 1.0, -edge + 2.0 + up) for up in (0.0, -8.0, -13.0, -18.0)])
    return shapes


def _joints(cut: Cutting, body: Body) -> list[Stroke]:
    """Return the lines where old and new foam meet."""
    new = next((core for core in cut.cores if core.new), None)
    if cut.joint_mm is None or new is None:  # a piece of less than a millimetre is none
        return []
    front, back = outline_from_above(body)
    places = [y for y in (new.from_mm, new.to_mm) if 0 < y < body.skin[-1].y_mm - 1]
    return [
        Stroke("joint", _on_paper([(float(np.interp(y, line[:, 1], line[:, 0])), y) for line in (front, back)]))
        for y in places
    ]


def _marks(design: Design, labels: _Labels) -> list[Stroke]:
    """Return every balance mark as a short line from the centre line out."""
    shapes = []
    for mark in design.cut.marks:
        x = mark.behind_nose_mm
        shapes.append(Stroke("balance mark", _on_paper([(x, 0.0), (x, _MARK)])))
        words = f"{mark.name}, {number_text(x)} mm behind the nose"
        labels.add(words, [(_MARK + 3.0, -x - 1.0 + up) for up in (0.0, 5.0, -5.0, 10.0, -10.0)])
    return shapes


def _slots(slots: list[Slot], labels: _Labels) -> list[Stroke]:
    """Return the line of every slot, in a layer for its sides."""
    shapes = []
    for number, slot in enumerate(slots):
        layer = "transverse rods" if slot.across else "rods"
        if len(slot.sides) == 1 and slot.sides != ("middle",):
            layer += f" {slot.sides[0]}"
        shapes.append(Stroke(layer, _on_paper([slot.start, slot.end])))
        first, last = np.array(slot.start), np.array(slot.end)
        # names of neighbours stand apart, and repeat on the tiles
        for share in (0.9,) if slot.across or slot.other_half else (0.3, 0.85):
            tries = [first + (share - 0.06 * (number % 4) + more) * (last - first) for more in (0, -0.1, 0.08, -0.2)]
            words = f"{slot.number} {slot.name}"
            labels.add(words, [(float(y) + 1.5, 1.0 - float(x) + up) for x, y in tries for up in (0.0, 4.5)])
    return shapes


class _Named(NamedTuple):
    name: str
    points: np.ndarray
    kind: str


def _parts(body: Body, labels: _Labels) -> list[Stroke]:
    """Return the outline of every other part, in the layer of its kind."""
    shapes = []
    holes = {solid.name for solid in body.solids if solid.kind == "hole"}  # a thing in its hole needs no second name
    for solid in body.solids:
        if solid.kind in _LINES_DRAWN:
            continue
        half = " (left half alone)" if is_left_alone(solid) else " (right half alone)" if solid.single else ""
        part = _Named(f"{solid.name}{half}", _on_paper(seen_from_above(solid)), solid.kind)
        shapes.append(Stroke(layer_of(solid.kind), part.points, closed=True))
        if part.kind in ("bay", "lid", "channel") or f"hole of {solid.name.removeprefix('equipment ')}" in holes:
            continue
        low, high = part.points.min(0), part.points.max(0)
        places = [(float(high[0]) + 1.5, float(y)) for y in (low[1], low[1] - 5, low[1] + 5, high[1], high[1] + 5)]
        labels.add(part.name, [*places, (float(low[0]) + 1.5, float(low[1]) - CROSS - LETTER)])
    for bay in (solid for solid in body.solids if solid.kind == "bay"):
        points = _on_paper(seen_from_above(bay))
        labels.add(bay.name, [(2.0, float(points[:, 1].max()) - 5.0 - down) for down in (0.0, 6.0, 12.0, 18.0)])
    return shapes


def _unsized(design: Design, body: Body, labels: _Labels) -> list[Stroke]:
    """Return a cross at the middle of every thing on the wing of which the study has no size."""
    shapes = []
    front, back = outline_from_above(body)
    for mark in unsized_gear(design):
        x, y = mark.behind_nose_mm, mark.from_centre_mm
        edges = [float(np.interp(y, line[:, 1], line[:, 0])) for line in (front, back)]
        if edges[0] <= x <= edges[1] and y <= body.skin[-1].y_mm:
            half = f", {mark.side} half alone" if mark.side in ("left", "right") else ""
            shapes.append(Stroke("equipment", _on_paper([(x, max(y - _CROSS, 0.0)), (x, y + _CROSS)])))
            shapes.append(Stroke("equipment", _on_paper([(x - _CROSS, y), (x + _CROSS, y)])))
            places = [(y + _CROSS + 1.5, -x - 1.0 + up) for up in (0.0, 5.0, -5.0, 10.0, -10.0)]
            labels.add(f"middle of {mark.name}{half}", places)
    return shapes
