"""Sketches in the check squares of the build sheet. They explain, and are not for measuring."""

from __future__ import annotations

from typing import Any

import numpy as np

from tradestudy.quantities import from_edge, printed_dimensions
from tradestudy.report.body_views import right_half
from tradestudy.report.figures import style
from tradestudy.report.words.phrases import design_number, number_text
from tradestudy.results.cutting import Core, Cutting, JigBlock, Mark, SectionTemplate
from tradestudy.results.design import Design

from .paper import NOTE_SIZE, Box, Sheet

_EDGE = 6.0  # mm between a sketch and its square
_LABELS = 14.0  # mm below the square's upper edge for its caption
_MOST_LISTED = 14  # most pieces of equipment that are numbered in the sketch


class Fitted:
    """A scaled drawing of the wing from above, or of a section, fitted into a box on the paper.

    ``x`` is to the right and ``y`` up, both in mm on the wing.
    """

    def __init__(self, sheet: Sheet, box: Box, low: Any, high: Any, caption: str):
        self.sheet, self.box = sheet, box
        room = np.array([box.width - 2 * _EDGE, box.height - _EDGE - _LABELS - 4.0])
        low, high = np.asarray(low, float), np.asarray(high, float)
        self.scale = float((room / (high - low)).min())
        middle = np.array([0.5 * (box.left + box.right), box.bottom + 4.0 + _EDGE + 0.5 * room[1] - 3.0])
        self.shift = middle - self.scale * 0.5 * (low + high)
        sheet.words(box.left + 3.0, box.top - 5.0, caption, NOTE_SIZE, bold=True)
        sheet.words(
            box.left + 3.0,
            box.top - 9.0,
            f"a sketch, about 1 : {1 / self.scale:.1f}",
            NOTE_SIZE,
            colour=style.QUIET,
        )

    def legend(self, words: str) -> None:
        """Write the meaning of the lines below the caption."""
        words = printed_dimensions(words)
        self.sheet.words(self.box.left + 3.0, self.box.top - 13.0, words, NOTE_SIZE, colour=style.QUIET)

    def rectangle(self, left: float, top: float, right: float, bottom: float, colour: str, **how: Any) -> None:
        """Draw a rectangle. [mm on the wing]"""
        corners = [(left, top), (right, top), (right, bottom), (left, bottom)]
        self.line(corners, colour, closed=True, **how)

    def line(
        self,
        points: Any,
        colour: str = style.INK,
        width: float = 0.8,
        dashes: tuple[float, ...] = (),
        fill: str | None = None,
        closed: bool = False,
    ) -> None:
        """Draw a line through points of shape (n, 2). [mm on the wing]"""
        self.sheet.stroke(
            self.scale * np.asarray(points, float) + self.shift, colour, width, dashes, fill=fill, closed=closed
        )

    def words(self, x: float, y: float, words: str, right: float = 0.0, up: float = 0.0, **how: Any) -> None:
        """Write words near the position ``x``, ``y`` [mm on the wing], moved by ``right`` and ``up`` [mm on paper]."""
        place = self.scale * np.array([x, y]) + self.shift
        self.sheet.words(place[0] + right, place[1] + up, printed_dimensions(words), **{"size": NOTE_SIZE, **how})

    def dot(self, x: float, y: float, colour: str, half: float = 0.9) -> None:
        """Mark the position ``x``, ``y`` by a small diamond. [mm on the wing]"""
        place = self.scale * np.array([x, y]) + self.shift
        corners = place + half * np.array([[-1, 0], [0, 1], [1, 0], [0, -1]])
        self.sheet.stroke(corners, colour, 0.8, fill=colour, closed=True)


def wing_sketch(design: Design, sheet: Sheet, box: Box) -> None:
    """Draw the right half of the wing from above, with new foam, rods, bays and balance mark."""
    fitted = _half_wing(sheet, box, design, "Right half from above")
    cut, tip = design.cut, max(design.outline.y_mm)
    last, first = cut.stations[-1], cut.stations[0]
    for core in cut.cores:
        if core.new:
            fitted.line(_core_outline(cut, core), fill=style.STRETCHED_FILL, closed=True, width=0.9)
    _centre(fitted, design)
    _rods(fitted, design)
    fitted.line([(tip, 0.0), (tip, -last.leading_edge_mm)], style.QUIET, 0.6, (1.0, 1.0))
    fitted.words(
        tip, 0.0, f"tip leading edge {number_text(last.leading_edge_mm)} behind the nose", 0.0, 1.5, ha="right"
    )
    ends = (
        f"semi-span {number_text(last.station_mm)}; root {number_text(first.foam_chord_mm)} + "
        f"{number_text(first.elevon_chord_mm)}, tip {number_text(last.foam_chord_mm)} + "
        f"{number_text(last.elevon_chord_mm)} (foam + elevon)"
    )
    sheet.words(box.left + 3.0, box.bottom + 5.0, printed_dimensions(ends), NOTE_SIZE)  # above the square's label
    fitted.legend("shaded: cut new; bar: balance mark; lines: rods, dashed: across")


def _half_wing(sheet: Sheet, box: Box, design: Design, caption: str) -> Fitted:
    outline = design.outline
    high = (max(outline.y_mm), 0.0)
    fitted = Fitted(sheet, box, (0.0, -max(outline.x_mm)), high, caption)
    fitted.line(np.column_stack([outline.y_mm, -np.array(outline.x_mm)]))
    fitted.line(np.column_stack([outline.elevon_y_mm, -np.array(outline.elevon_x_mm)]), fill=style.ELEVON_FILL)
    return fitted


def _core_outline(cut: Cutting, core: Core) -> np.ndarray:
    """Return the corners of a core from above, out along the leading edge and back along the hinge line."""
    row = {section.name: section for section in cut.sections}
    inner, outer = row[core.inner], row[core.outer]
    return np.array(
        [
            (core.from_mm, -inner.leading_edge_mm),
            (core.to_mm, -outer.leading_edge_mm),
            (core.to_mm, -outer.leading_edge_mm - outer.foam_chord_mm),
            (core.from_mm, -inner.leading_edge_mm - inner.foam_chord_mm),
        ]
    )


def _rods(fitted: Fitted, design: Design) -> None:
    """Draw the line of every pair of rods, and dashed those across the centre."""
    for rod in design.outline.rods:
        for line in right_half(rod):
            fitted.line(line * [1.0, -1.0], style.LIMIT, 0.9, (1.5, 0.7) if rod.across else ())


def _centre(fitted: Fitted, design: Design) -> None:
    """Draw bays, pockets, joiner and the balance mark of the right half."""
    for part in design.outline.parts:
        if part.kind in ("pocket", "joiner", "slot"):
            right = np.maximum(part.y_mm, 0.0)
            fitted.line(np.column_stack([right, -np.array(part.x_mm)]), style.INK, 0.6, closed=True)
    for bay in design.cut.bays:
        front, back, inner, outer = -bay.from_nose_mm, -bay.from_nose_mm - bay.length_mm, bay.inner_mm, bay.outer_mm
        walls = [(max(inner, 0.0), front), (outer, front), (outer, back), (max(inner, 0.0), back)]
        fitted.line(walls, style.QUIET, 0.7, (1.2, 0.8), closed=inner > 0)
    mark = design.numbers.cg_mm
    fitted.line([(0.0, -mark), (0.12 * max(design.outline.y_mm), -mark)], style.MARK, 2.0)


def jig_sketch(design: Design, sheet: Sheet, box: Box) -> None:
    """Draw the root section and the outermost section on the blocks of the jig, seen from the tip."""
    sections = {section.name: section for section in design.cut.sections}
    rows = [design.cut.jig[-1], design.cut.jig[0]]
    wide = max(section.foam_chord_mm for section in sections.values())
    apart = 0.42 * wide
    fitted = Fitted(
        sheet,
        box,
        (-0.05 * wide, -0.15 * wide),
        (1.05 * wide, apart + 0.3 * wide),
        "On the table: tip above, root below",
    )
    for level, row in zip((apart, 0.0), rows, strict=True):
        _on_blocks(fitted, sections[row.name], row, level, wide)


def _on_blocks(fitted: Fitted, section: SectionTemplate, row: JigBlock, level: float, wide: float) -> None:
    turn = from_edge("deg", section.washout_deg)
    x, z = np.array(section.x_mm), np.array(section.z_mm)
    across, up = x * np.cos(turn) - z * np.sin(turn), z * np.cos(turn) + x * np.sin(turn)
    count = len(x) // 2
    front, back = row.front_block_behind_edge_mm, float(across[-1])
    nose = row.front_block_mm - float(np.interp(front, across[count:], up[count:]))  # height of the section's nose
    fitted.line(np.column_stack([across, up + nose + level]), fill=style.STRETCHED_FILL, closed=True)
    fitted.line([(-0.05 * wide, level), (1.05 * wide, level)], style.QUIET, 1.0)
    for place, tall in ((front, row.front_block_mm), (back, row.hinge_block_mm)):
        fitted.line([(place, level), (place, level + tall)], style.MARK, 2.0)
        fitted.words(place, level, f"{number_text(tall, 1)}", 0.0, -4.0, ha="center", colour=style.MARK)
    fitted.words(
        0.5 * wide, level, f"{section.name}, washout {number_text(section.washout_deg, 1)} deg", 0.0, -8.0, ha="center"
    )


def balance_sketch(design: Design, sheet: Sheet, box: Box) -> None:
    """Draw the centre of the wing from below, with balance mark and equipment."""
    cut = design.cut
    back = cut.root_trailing_edge_mm
    half = min(0.62 * back, max(design.outline.y_mm))
    fitted = Fitted(sheet, box, (-half, -1.12 * back), (half, 0.12 * back), "Middle of the underside")
    stations = [row.station_mm for row in cut.stations]
    y = np.array([0.0, *[one for one in stations if 0 < one < half], half])
    front, hinge, tail = (
        np.interp(y, stations, [getattr(row, key) for row in cut.stations])
        for key in ("leading_edge_mm", "hinge_mm", "trailing_edge_mm")
    )
    for edge, dashes in ((front, ()), (hinge, (2.0, 1.0)), (tail, ())):
        fitted.line(np.column_stack([np.r_[-y[::-1], y], -np.r_[edge[::-1], edge]]), dashes=dashes)
    for bay in cut.bays:
        front = -bay.from_nose_mm
        for way in (1, -1) if bay.from_centre_mm else (1,):
            sides = way * bay.inner_mm, way * bay.outer_mm
            fitted.rectangle(
                min(sides), front, max(sides), front - bay.length_mm, style.QUIET, width=0.7, dashes=(1.2, 0.8)
            )
    for part in design.outline.parts:
        if part.kind in ("joiner", "board", "slot", "motor"):
            for way in (1, -1):
                across = np.clip(way * np.array(part.y_mm), -half, half)
                fitted.line(np.column_stack([across, -np.array(part.x_mm)]), style.INK, 0.6, closed=True)
    for pack in design.outline.packs:
        side, nose = 0.5 * pack.width_mm, -pack.x_mm + 0.5 * pack.length_mm
        for place in pack.across_mm:
            ends = place - side, nose, place + side, nose - pack.length_mm
            fitted.rectangle(*ends, style.STRETCHED_LINE, width=1.0, fill=style.BAND)
    listed = cut.gear[1:_MOST_LISTED]
    in_line = sorted(thing.behind_nose_mm for thing in listed if not thing.side)
    for number, thing in enumerate(listed, 1):
        # numbers of things on the centre line stand right and left of it in turn, so that neighbours stay apart
        left = not thing.side and in_line.index(thing.behind_nose_mm) % 2
        for place in _seen_from_below(thing):
            if abs(place) < half:  # what lies farther out is in the list alone
                fitted.dot(place, -thing.behind_nose_mm, style.STRETCHED_LINE)
                fitted.words(
                    place,
                    -thing.behind_nose_mm,
                    str(number),
                    *((-1.4, -0.9) if left else (1.4, -0.9)),
                    ha="right" if left else "left",
                )
    mark = design.numbers.cg_mm
    for way in (-1, 1):
        fitted.line([(way * 0.45 * half, -mark), (way * 0.75 * half, -mark)], style.MARK, 2.4)
    _dimension(fitted, 0.6 * half, 0.0, -mark, f"{design_number(design, 'cg_mm')}")
    _dimension(fitted, 0.6 * half, -mark, -back, f"{design_number(design, 'cg_from_trailing_edge_mm')}")
    fitted.line([(-half, 0.0), (half, 0.0)], style.QUIET, 0.6, (1.0, 1.0))
    fitted.line([(-half, -back), (half, -back)], style.QUIET, 0.6, (1.0, 1.0))
    fitted.legend("dotted: nose and root trailing edge; numbers: equipment in the list")


def _seen_from_below(thing: Mark) -> list[float]:
    """Return the places of a thing across the wing seen from below: the right half is on the left. [mm]"""
    out = thing.from_centre_mm
    return {"right": [-out], "left": [out], "both": [-out, out]}.get(thing.side, [0.0])


def _dimension(fitted: Fitted, x: float, top: float, bottom: float, words: str) -> None:
    fitted.line([(x, top), (x, bottom)], style.MARK, 0.7)
    fitted.words(x, 0.5 * (top + bottom), f"{words} mm", 1.2, 0.0, colour=style.MARK)


def bags_sketch(design: Design, sheet: Sheet, box: Box) -> None:
    """Draw the positions of the bags in the load test."""
    fitted = _half_wing(sheet, box, design, "Proof load: where the bags hang, on both sides")
    _rods(fitted, design)
    for number, bag in enumerate(design.load_test.proof.bags if design.load_test else []):
        fitted.dot(bag.station_mm, -bag.behind_nose_mm, style.LIMIT, 1.2)
        fitted.words(
            bag.station_mm,
            -bag.behind_nose_mm,
            f"{number_text(bag.mass_g)} g",
            0.0,
            2.2 if number % 2 else -4.6,
            ha="center",
            colour=style.LIMIT,
        )
