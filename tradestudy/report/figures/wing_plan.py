"""The wing from above, to scale, with a measuring tape from the nose to the balance mark and the half spans."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Polygon, Rectangle

from tradestudy.quantities import printed
from tradestudy.report.body_views import FlatShape
from tradestudy.report.words.phrases import number_text, stretched_wing
from tradestudy.results.design import Design
from tradestudy.results.outline import FinOutline, Outline, OutlineItem, PackBox
from tradestudy.results.result import Result

from . import style
from .body_shapes import draw_shapes

_DRAWN_PARTS = ("board", "channel", "joiner", "motor", "pocket", "slot")  # bays and pack are drawn on their own
_SYMMETRIC = 0.01  # mm; how exactly a part on the centre line is its own mirror image
_TAPE_WIDTH = 16.0  # mm on the wing
_TAPE_NUMBERS = 36.0  # points of type; width of the numbers beside the tape
_PLAIN_WIDTH = (style.WIDTH - 0.3) * 72  # points of type; width of the drawing


def planform(result: Result) -> Figure | None:
    """Return the figure of both halves of the stretched wing over the stock outline, or None without an outline."""
    design = stretched_wing(result) or result.stock
    if not design.outline.x_mm or not design.outline.y_mm:
        return None
    room = _Room(result.stock, design)
    scale = 1 / (72 * room.point)  # inches on paper for one mm of the wing
    low, high = -36 / (72 * scale), room.length + 92 / (72 * scale)
    height = (high - low) * scale + 0.05
    figure, (axes,) = style.new_figure(height, left=0.15, right=0.15, top=0.02, bottom=0.03)
    axes.set_axis_off()
    axes.set_xlim(-room.reach, room.reach)
    axes.set_ylim(high, low)  # the nose points up
    axes.set_aspect("equal")
    _draw_wing(axes, design)
    if design is not result.stock:
        _draw_stock(axes, result.stock)
    _draw_middle(axes, design.outline)
    _draw_balance(axes, design, room)
    _draw_spans(axes, result, design, room)
    _name_lines(axes, design.outline)
    return figure


class _Room:
    """Sizes that decide where words and dimensions fit: of the outlines and of a point of type. [mm on the wing]"""

    def __init__(self, stock: Design, design: Design):
        self.half = max(design.outline.y_mm)
        self.stock_half = max(stock.outline.y_mm or [0.0])
        self.length = max([*design.outline.x_mm, *stock.outline.x_mm])
        self.outline = design.outline
        tips = [y for fin in design.outline.fins for end in fin.ends for y in end.y_mm]
        self.reach = 1.07 * max(self.half, *tips, 0.0)
        if self.ahead_of_wing(design.numbers.cg_mm) is None:
            # with little sweep, the tape and its numbers fit only beyond the tip
            self.reach = (self.half + _TAPE_WIDTH) / (1 - 2 * _TAPE_NUMBERS / _PLAIN_WIDTH)
        self.point = 2 * self.reach / _PLAIN_WIDTH

    def ahead_of_wing(self, x: float) -> float | None:
        """Return the first place along the half span where the leading edge is behind ``x``, or None. [mm]"""
        stations = np.linspace(0.0, self.half, 200)
        clear = [y for y in stations if _leading_edge(self.outline, y) > x + 0.02 * self.half]
        return float(clear[0]) if clear and clear[0] < 0.85 * self.half else None


def _leading_edge(outline: Outline, place: float) -> float:
    """Return the x of the leading edge of an outline at ``place`` along the half span. [mm]"""
    corners = pairwise(zip(outline.y_mm, outline.x_mm, strict=True))
    crossings = [
        x0 + (x1 - x0) * (place - y0) / (y1 - y0)
        for (y0, x0), (y1, x1) in corners
        if y0 != y1 and min(y0, y1) <= place <= max(y0, y1)
    ]
    return min(crossings, default=float("inf"))


def _both_halves(axes: Axes, across: list[float], aft: list[float], **how: Any) -> None:
    for side in (1, -1):
        axes.add_patch(Polygon([(side * y, x) for y, x in zip(across, aft, strict=True)], closed=True, **how))


def _box(axes: Axes, one: OutlineItem | PackBox, front: float, edge: str, face: str, name: str, order: int) -> None:
    """Draw a rectangle at each of its places across the wing. It starts at ``front`` and extends aft."""
    for place in one.across_mm:
        corner = (place - one.width_mm / 2, front)
        axes.add_patch(
            Rectangle(
                corner, one.width_mm, one.length_mm, facecolor=face, edgecolor=edge, linewidth=0.8, zorder=order,
                gid=name,
            )
        )  # fmt: skip


def _draw_wing(axes: Axes, design: Design) -> None:
    outline = design.outline
    _both_halves(axes, outline.y_mm, outline.x_mm, facecolor=style.STRETCHED_FILL, edgecolor="none")
    if outline.elevon_y_mm:
        elevon = {"facecolor": style.ELEVON_FILL, "edgecolor": style.STRETCHED_LINE, "linewidth": 0.5}
        _both_halves(axes, outline.elevon_y_mm, outline.elevon_x_mm, **elevon)
    joints = [
        y for y in outline.stock_part_y_mm if 1.0 < y < max(outline.y_mm) - 1.0
    ]  # places where old foam meets new
    for side in (1, -1):
        for y in joints:
            front = _leading_edge(outline, y)
            back = min(front + 240.0, max(outline.x_mm))
            axes.plot([side * y] * 2, [front, back], color=style.STRETCHED_LINE, linewidth=0.8, linestyle=(0, (1, 2)))
        axes.plot(
            *open_at_root(outline, side),
            color=style.STRETCHED_LINE,
            linewidth=1.6,
            solid_joinstyle="round",
            gid=f"outline {'right' if side > 0 else 'left'}",
        )
        for rod in outline.rods:
            across, dashes = [side * rod.from_y_mm, side * rod.to_y_mm], (0, (3, 1)) if rod.across else "-"
            axes.plot(
                across, [rod.from_x_mm, rod.to_x_mm], color=style.LIMIT, linewidth=1.0, linestyle=dashes, zorder=4.5,
                gid=rod.name or "rod",
            )  # fmt: skip
        for fin in outline.fins:
            _draw_fin(axes, fin, side)


def _draw_fin(axes: Axes, fin: FinOutline, side: int) -> None:
    """Draw the foot of a fin as a bar, and the outline of a canted fin from above as a thin line."""
    foot_y, foot_x = [side * y for y in fin.y_mm], fin.x_mm
    axes.plot(foot_y, foot_x, color=style.STRETCHED_LINE, linewidth=3.2, solid_capstyle="butt", gid="fin")
    for end in fin.ends:
        y = [side * place for place in end.y_mm]
        # from above, an upright fin is hidden by its foot; 2 mm is a sum over both ends of the edge
        if abs(sum(y) - sum(foot_y)) > 2.0:
            covered = [foot_y[0], *y, foot_y[1]], [foot_x[0], *end.x_mm, foot_x[1]]
            axes.plot(*covered, color=style.STRETCHED_LINE, linewidth=0.8)


def open_at_root(outline: Outline, side: int) -> tuple[list[float], list[float]]:
    """Return the coordinates (across, aft) of one half's outline, without its edge along the centre line."""
    corners = list(zip(outline.y_mm, outline.x_mm, strict=True))
    if corners[0] == corners[-1]:
        corners = corners[:-1]
    at_root = [index for index, (y, _) in enumerate(corners) if abs(y) < 1e-6]
    # start at the corner after which the line leaves the centre line
    start = next((index for index in at_root if abs(corners[(index + 1) % len(corners)][0]) > 1e-6), 0)
    turned = corners[start:] + corners[:start]
    while len(turned) > 2 and abs(turned[-1][0]) < 1e-6 and abs(turned[-2][0]) < 1e-6:
        turned.pop()
    return [side * y for y, _ in turned], [x for _, x in turned]


def _draw_stock(axes: Axes, stock: Design) -> None:
    for side in (1, -1) if stock.outline.y_mm else ():
        axes.plot(
            *open_at_root(stock.outline, side),
            color=style.STOCK_LINE,
            linewidth=1.2,
            linestyle=(0, (5, 2.5)),
            gid=f"stock {'right' if side > 0 else 'left'}",
        )


def _draw_middle(axes: Axes, outline: Outline) -> None:
    for bay in outline.bays:
        _box(axes, bay, bay.x_mm, style.QUIET, style.PAPER, f"bay {bay.name}", 3)
    for part in outline.parts:
        if part.kind in _DRAWN_PARTS:
            points = np.column_stack([part.y_mm, part.x_mm])
            on_centre = abs(min(part.y_mm) + max(part.y_mm)) < _SYMMETRIC
            shapes = [FlatShape(part.kind, part.name, points * [side, 1]) for side in ((1,) if on_centre else (1, -1))]
            draw_shapes(axes, shapes)
            for shape in shapes:  # as lines too, so that no label is written over them
                axes.plot(
                    *np.append(shape.points, shape.points[:1], axis=0).T, color=style.INK, linewidth=0.5, zorder=4.2
                )
    for pack in outline.packs:
        _box(axes, pack, pack.x_mm - pack.length_mm / 2, style.MARK, style.PACK_FILL, "pack", 4)
        for across in pack.across_mm:
            place = pack.x_mm - 0.25 * pack.length_mm
            style.write(axes, across, place, "pack", ha="center", va="center", fontsize=7.5, zorder=8)


def _name_lines(axes: Axes, outline: Outline) -> None:
    """Write the name of each line of rods and of each part on the right half, once for parts of one name."""
    labels = []
    for number, rod in enumerate(outline.rods):
        share = 1.0 if rod.across else 0.86 - 0.13 * (number % 3)
        y, x = (
            start + share * (end - start) for start, end in ((rod.from_y_mm, rod.to_y_mm), (rod.from_x_mm, rod.to_x_mm))
        )
        if rod.name:
            labels.append(style.Label(y, x, rod.name, style.LIMIT))
    named: set[str] = set()
    for part in outline.parts:
        words = part.kind if part.kind in ("joiner", "motor") else part.name
        if part.kind in ("joiner", "motor", "pocket") and words not in named and max(part.y_mm) > 0:
            named.add(words)
            labels.append(style.Label(max(part.y_mm), float(np.mean(part.x_mm)), words, style.INK))
    for bay in outline.bays:
        if bay.name not in named and bay.across_mm and bay.length_mm:
            named.add(bay.name)
            edge = max(bay.across_mm) + 0.5 * bay.width_mm
            labels.append(style.Label(edge, bay.x_mm + 0.1 * bay.length_mm, f"bay {bay.name}", style.QUIET))
    if outline.elevon_y_mm:
        middle = float(np.mean(outline.elevon_y_mm)), float(np.mean(outline.elevon_x_mm))
        labels.append(style.Label(*middle, "elevon", style.STRETCHED_LINE))
    for fin in outline.fins[:1]:
        labels.append(style.Label(max(fin.y_mm), max(fin.x_mm), "fin", style.STRETCHED_LINE))
    style.label_points(axes, labels, avoid=axes.texts, size=7.5)


def _draw_balance(axes: Axes, design: Design, room: _Room) -> None:
    balance, neutral = design.numbers.cg_mm, design.numbers.neutral_point_mm
    if balance is None:
        return
    clear = room.ahead_of_wing(balance)
    place = room.half + 8 * room.point if clear is None else clear + 10 * room.point
    for x in (0.0, balance):
        axes.plot([-place, 0], [x, x], color=style.MARK, linewidth=0.8, linestyle=(0, (4, 2)) if x else "-")
    axes.plot([0, room.half * 0.16], [balance] * 2, color=style.MARK, linewidth=0.8, linestyle=(0, (4, 2)))
    _draw_tape(axes, -place, balance)
    _draw_window(axes, design, -place, room)
    axes.plot(
        [0],
        [balance],
        marker="o",
        markersize=8,
        color=style.MARK,
        markerfacecolor=style.PAPER,
        markeredgecolor=style.MARK,
        markeredgewidth=1.6,
        zorder=6,
        gid="balance mark",
    )
    axes.plot([0], [balance], marker="+", markersize=8, color=style.MARK, zorder=7)
    style.write(
        axes,
        -0.03 * room.half,
        -18 * room.point,
        f"balance mark {number_text(balance)} mm behind the nose",
        ha="right",
        va="bottom",
        color=style.MARK,
        fontsize=style.NORMAL,
        fontweight="bold",
    )
    if neutral is not None:
        axes.plot([0], [neutral], marker="D", markersize=5, color=style.INK, zorder=6, gid="neutral point")
        # the words are written ahead of the wing, with a thin line to the point
        away = 0.12 * room.half
        axes.plot([0, away], [neutral, -4 * room.point], color=style.INK, linewidth=0.6, zorder=5)
        words = f"neutral point {number_text(neutral)} mm"
        style.write(axes, away, -6 * room.point, words, va="bottom", ha="left")


def _draw_window(axes: Axes, design: Design, y: float, room: _Room) -> None:
    """Draw the balance window as a bar on the tape, with its ends in words."""
    low, high = design.numbers.cg_front_mm, design.numbers.cg_back_mm
    if low is None or high is None or not high > low:
        return
    box = Rectangle((y - _TAPE_WIDTH, low), _TAPE_WIDTH, high - low, facecolor=style.MARK, edgecolor="none", zorder=7)
    box.set_gid("balance window")
    axes.add_patch(box)
    words = f"bar on the tape: balance window {number_text(low)} to {number_text(high)} mm"
    style.write(axes, -0.03 * room.half, -6 * room.point, words, ha="right", va="bottom", color=style.MARK)


def _draw_tape(axes: Axes, y: float, length: float) -> None:
    """Draw a measuring tape from the nose datum to the balance mark, with ticks and numbers."""
    axes.add_patch(
        Rectangle(
            (y - _TAPE_WIDTH, 0),
            _TAPE_WIDTH,
            length,
            facecolor=style.BAND,
            edgecolor=style.MARK,
            linewidth=0.8,
            zorder=5,
            gid="tape",
        )
    )
    for tick, number in style.ruler(length):
        axes.plot(
            [y, y - _TAPE_WIDTH * (0.75 if number else 0.35)],
            [tick, tick],
            color=style.INK,
            linewidth=0.6,
            zorder=6,
            solid_capstyle="butt",
        )
        if number and 0 < tick < length:
            style.write(axes, y - _TAPE_WIDTH - 3, tick, number, ha="right", va="center", fontsize=7)


def _draw_spans(axes: Axes, result: Result, design: Design, room: _Room) -> None:
    """Draw dimensions below the wing: the stretched half span right, the stock half span and the added length left."""
    under = room.length + 26 * room.point
    deeper = under + 34 * room.point
    _dimension(axes, 0, room.half, under, f"half span {number_text(room.half)} mm", style.STRETCHED_LINE, room)
    axes.plot([0, 0], [0, deeper], color=style.QUIET, linewidth=0.5, linestyle=(0, (8, 2, 1, 2)), zorder=0)
    if design is result.stock or not room.stock_half:
        _dimension(axes, -room.half, 0, under, f"half span {number_text(room.half)} mm", style.STRETCHED_LINE, room)
        return
    _dimension(axes, -room.stock_half, 0, under, f"stock {number_text(room.stock_half)} mm", style.STOCK_LINE, room)
    added = room.half - room.stock_half
    if added > 1:
        _dimension(axes, -room.half, -room.stock_half, under, f"+ {number_text(added)} mm", style.MARK, room)
    style.write(
        axes,
        0,
        deeper + 6 * room.point,
        f"solid: {design.label} wing, span {number_text(2 * room.half)} mm      "
        f"dashed: stock wing, span {number_text(2 * room.stock_half)} mm",
        ha="center",
        va="top",
        color=style.QUIET,
    )


def _dimension(axes: Axes, start: float, stop: float, depth: float, words: str, colour: str, room: _Room) -> None:
    words = printed(words)
    axes.annotate(
        "",
        (start, depth),
        (stop, depth),
        arrowprops={
            "arrowstyle": "<->",
            "color": colour,
            "linewidth": 1.0,
            "shrinkA": 0,
            "shrinkB": 0,
            "mutation_scale": 8,
        },
    )
    for end in (start, stop):
        axes.plot([end, end], [depth - 8 * room.point, depth + 5 * room.point], color=colour, linewidth=0.6)
    narrow = stop - start < 6.5 * len(words) * room.point  # if so, the words are written below the arrow
    style.write(
        axes,
        0.5 * (start + stop),
        depth + (7 if narrow else -4) * room.point,
        words,
        ha="center",
        va="top" if narrow else "bottom",
        color=colour,
        fontsize=style.NORMAL,
    )
