"""The centre of the wing from the side, cut along the centre line, to scale and with its places behind the nose."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from tradestudy.quantities import printed
from tradestudy.report.body_views import (
    FlatShape,
    height_words,
    parts_off_centre,
    parts_on_centre,
    round_diameter,
    section_along,
)
from tradestudy.report.words.phrases import number_text, stretched_wing
from tradestudy.results.body import Body
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from . import style
from .body_shapes import draw_shapes, draw_skin, in_rows, word_width

_EDGE = 0.12  # inches beside the drawing
_ROW = 13.0  # points of type from one row of words to the next
_RULER = 26.0  # points of type from the lowest part to the first row below the ruler
_ABOVE = 8.0  # points of type from the highest part to the first row above it
_LONGEST = 34  # most letters of a name in the drawing


class _Measure(NamedTuple):
    """A row below the ruler: words, and one place or the two ends of a part. [mm]"""

    words: str
    ends: tuple[float, ...]
    colour: str


def side_view(result: Result) -> Figure | None:
    """Return the section of the stretched wing on its centre line, or None without a body."""
    design = stretched_wing(result) or result.stock
    if design.body is None or not design.body.skin:
        return None
    upper, lower = section_along(design.body, 0.0)
    shapes = parts_on_centre(design.body)
    points = np.concatenate([upper, lower, *(shape.points for shape in shapes)])
    marks = _equipment(design)
    low, high = min(points[:, 0].min(), *(x for x, _ in marks)), max(points[:, 0].max(), *(x for x, _ in marks))
    margin = 0.03 * (high - low)
    low, high = low - margin, high + margin
    point = (high - low) / (72 * (style.WIDTH - 2 * _EDGE))  # mm on the wing for one point of type
    bottom, top = points[:, 1].min(), points[:, 1].max()
    words, measures = in_rows(marks, point, low, high), _measures(design, shapes)
    over = top + (_ABOVE + _ROW * (1 + max((one.row for one in words), default=0)) + 6.0) * point
    under = bottom - (_RULER + _ROW * len(measures) + 6.0) * point
    figure, (axes,) = style.new_figure((over - under) / point / 72, left=_EDGE, right=_EDGE, top=0.0, bottom=0.0)
    axes.set_axis_off()
    axes.set_xlim(low, high)
    axes.set_ylim(under, over)
    axes.set_aspect("equal")
    draw_shapes(axes, shapes, draw_skin(axes, upper, lower))
    for one in words:
        _draw_mark(axes, one.x, _middle(upper, lower, one.x), top + (_ABOVE + _ROW * one.row) * point)
        place = top + (_ABOVE + _ROW * one.row) * point
        away = 2.0 * point * (1 if one.rightward else -1)
        style.write(axes, one.x + away, place, one.words, ha="left" if one.rightward else "right", va="bottom")
    places = [*(x for x, _ in marks), *(float(shape.middle[0]) for shape in shapes if shape.kind == "joiner")]
    for shape in shapes:
        if shape.kind == "pack":
            x, z = _clear_place(shape, [*places, design.numbers.cg_mm])
            style.write(axes, x, z, "pack", ha="center", va="center", zorder=8)
    _draw_ruler(axes, float(bottom - 6.0 * point), upper[-1, 0], point)
    for index, measure in enumerate(measures):
        _draw_measure(axes, measure, bottom - (_RULER + _ROW * (index + 0.6)) * point, (low, high), point)
    _draw_balance(axes, design, float(bottom - 6.0 * point), top + 3.0 * point)
    return figure


def _equipment(design: Design) -> list[tuple[float, str]]:
    """Return place and words of motor, controller and equipment."""
    return [
        (thing.x_mm, f"{thing.name[:_LONGEST]} {number_text(thing.x_mm)} mm")
        for thing in design.outline.equipment
        if thing.in_the_middle
    ]


def _clear_place(shape: FlatShape, marks: Sequence[float | None]) -> tuple[float, float]:
    """Return the place on the middle line of a part that is farthest from marks along it. [mm]"""
    (left, _), (right, _) = shape.points.min(0), shape.points.max(0)
    places = np.linspace(left + 0.15 * (right - left), right - 0.15 * (right - left), 29)
    known = [float(mark) for mark in marks if mark is not None]
    apart = [min((abs(place - mark) for mark in known), default=0.0) for place in places]
    return float(places[int(np.argmax(apart))]), float(shape.middle[1])


def _middle(upper: np.ndarray, lower: np.ndarray, x: float) -> float:
    """Return the height halfway between the skins at ``x`` [mm]."""
    return 0.5 * float(np.interp(x, *upper.T) + np.interp(x, *lower.T))


def _measures(design: Design, shapes: list[FlatShape]) -> list[_Measure]:
    """Return the rows below the ruler: bays, pack, joiner and boards, then rods and the balance mark."""
    rows = []
    body = design.body or Body()
    off_centre, out = parts_off_centre(body)
    for shape in sorted(shapes, key=lambda shape: float(shape.points[:, 0].min())):
        start, end = float(shape.points[:, 0].min()), float(shape.points[:, 0].max())
        reach = f"{shape.name[:_LONGEST]} {number_text(start)} to {number_text(end)} mm"
        if shape.kind in ("bay", "slot", "pack"):
            colour = style.MARK if shape.kind == "pack" else style.QUIET
            away = f", {number_text(out)} mm out" if any(shape.name == one.name for one in off_centre) else ""
            rows.append(_Measure(f"{reach}, {height_words(body, shape)}{away}", (start, end), colour))
        elif shape.kind in ("joiner", "board"):
            middle, thick = 0.5 * (start + end), end - start if shape.kind == "board" else round_diameter(shape)
            words = f"{shape.name[:_LONGEST]} {number_text(middle)} mm, {number_text(thick, 1)} mm thick"
            rows.append(_Measure(words, (middle,), style.INK))
    places = sorted({round(float(shape.middle[0]), 1) for shape in shapes if shape.kind == "rod"})
    if places:
        words = ", ".join(number_text(place) for place in places)
        rows.append(_Measure(f"rods at {words} mm", tuple(places), style.LIMIT))
    balance = design.numbers.cg_mm
    if balance is not None:
        rows.append(_Measure(f"balance mark {number_text(balance)} mm", (balance,), style.MARK))
    return [row._replace(words=printed(row.words)) for row in rows]


def _draw_mark(axes: Axes, x: float, z: float, end: float) -> None:
    axes.plot([x, x], [z, end], color=style.STRETCHED_LINE, linewidth=0.5, zorder=6)
    axes.plot([x], [z], marker="D", markersize=4, color=style.STRETCHED_LINE, linestyle="none", zorder=7, gid="mark")


def _draw_ruler(axes: Axes, z: float, length: float, point: float) -> None:
    """Draw a ruler from the nose to the trailing edge, with ticks and numbers."""
    axes.plot([0.0, length], [z, z], color=style.INK, linewidth=0.8, gid="ruler")
    for tick, number in style.ruler(length):
        axes.plot([tick, tick], [z, z - (6.0 if number else 3.0) * point], color=style.INK, linewidth=0.6)
        if number:
            style.write(axes, tick, z - 7.5 * point, number, ha="center", va="top", fontsize=7)


def _draw_measure(axes: Axes, measure: _Measure, z: float, space: tuple[float, float], point: float) -> None:
    """Draw a row: a line from end to end, or a dot at each place, with its words on the side that has more room."""
    first, last = min(measure.ends), max(measure.ends)
    if len(measure.ends) == 2 and not measure.words.startswith("rods"):
        axes.plot([first, last], [z, z], color=measure.colour, linewidth=1.0, gid=f"measure {measure.words}")
        for end in measure.ends:
            axes.plot([end, end], [z - 3.5 * point, z + 3.5 * point], color=measure.colour, linewidth=1.0)
    else:
        axes.plot(
            measure.ends, [z] * len(measure.ends), marker="|", markersize=8, color=measure.colour, linestyle="none",
            gid=f"measure {measure.words}",
        )  # fmt: skip
    wide = (word_width(measure.words) + 5.0) * point
    right = space[1] - last >= wide or space[1] - last >= first - space[0]
    x = last + 5.0 * point if right else first - 5.0 * point
    style.write(axes, x, z, measure.words, ha="left" if right else "right", va="center", color=measure.colour)


def _draw_balance(axes: Axes, design: Design, bottom: float, top: float) -> None:
    balance = design.numbers.cg_mm
    if balance is not None:
        axes.plot(
            [balance] * 2, [bottom, top], color=style.MARK, linewidth=1.2, linestyle=(0, (4, 2)), zorder=6,
            gid="balance mark",
        )  # fmt: skip
