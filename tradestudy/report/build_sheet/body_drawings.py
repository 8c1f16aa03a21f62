"""Full-size sections of the body along the centre line and through the pack."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from tradestudy.report.body_views import (
    FlatShape,
    height_words,
    parts_off_centre,
    parts_on_centre,
    round_diameter,
    section_along,
)
from tradestudy.report.figures.pack_section import room_words, thinnest_pack_section
from tradestudy.report.words.phrases import number_text
from tradestudy.results.body import Body
from tradestudy.results.design import Design

from .drawing import CROSS, LETTER, Drawing, Stroke, Words, layer_of

_LINE = 1.7 * LETTER  # mm from one line of words to the next


def strokes_of(shapes: Iterable[FlatShape]) -> list[Stroke]:
    """Return the outline of every part in the layer of its kind."""
    return [Stroke(layer_of(shape.kind), shape.points, closed=True) for shape in shapes]


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
        cross = np.array([[-CROSS, 0.0], [CROSS, 0.0]])
        shapes += [Stroke("equipment", np.array([x, z]) + part) for part in (cross, cross[:, ::-1])]
        shapes.append(Stroke("equipment", np.array([[x, z], [x, under]])))
        words.append(Words(x + 0.8, under, str(number)))
    places = [f"{number} {thing.name[:40]} {number_text(thing.x_mm)}" for number, thing in enumerate(things, 1)]
    return Drawing("side_view", "Centre from the side, 1:1", shapes, words, _side_notes(design.body, parts, places))


def _side_notes(body: Body, parts: list[FlatShape], places: list[str]) -> list[str]:
    """Return notes on the parts from the nose back, and on the numbered pieces of equipment."""
    notes = ["The wing cut along its centre line, film included. All lengths are in mm, places are behind the nose."]
    _, out = parts_off_centre(body)
    if out:
        notes.append(
            f"Pack and bay lie in each half wing, {number_text(out)} from the centre line, and are seen through."
        )
    rows = []
    for shape in sorted(parts, key=lambda one: float(one.points[:, 0].min())):
        start, end = float(shape.points[:, 0].min()), float(shape.points[:, 0].max())
        if shape.kind in ("bay", "pack", "lid", "board", "slot"):
            reach = f"{number_text(start, 1)} to {number_text(end, 1)}"
            rows.append(f"{shape.name[:40]} {reach}, {height_words(body, shape)}")
    thick = [number_text(round_diameter(shape), 1) for shape in parts if shape.kind == "joiner"]
    if thick:  # a tube has a second circle, its inside
        at = next(shape.middle[0] for shape in parts if shape.kind == "joiner")
        rows.append(
            f"joiner {number_text(at, 1)}, {thick[0]} thick" + "".join(f", {bore} inside" for bore in thick[1:])
        )
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
    packs = [shape for shape in parts if shape.kind == "pack"]
    words = [Words(float(shape.middle[0]), middle - 0.5 * LETTER, "pack", side="middle") for shape in packs]
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
        f"Pack against skin in this cut: {room_words(cut.above[1], 'free above')}, "
        f"{room_words(cut.below[1], 'free below')}.",
    ]
    return Drawing("pack_section", "Section through the pack, 1:1", shapes, words, notes)
