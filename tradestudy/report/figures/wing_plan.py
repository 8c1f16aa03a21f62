"""The wing seen from above, true to scale, with what a builder lays a tape along."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Polygon, Rectangle

from tradestudy.report.words.phrases import number_text, stretched_wing
from tradestudy.results.design import Design
from tradestudy.results.outline import FinOutline, Outline
from tradestudy.results.result import Result

from . import drawing as ink

TAPE_WIDTH = 16.0  # mm on the drawing
TAPE_NUMBERS = 36.0  # points of type beside it
PLAIN_WIDTH = (ink.WIDTH - 0.3) * 72  # points of type across the drawing


def planform(result: Result) -> Figure | None:
    """Return both halves of the wing, the stock outline under the stretched one; None without outline."""
    design = stretched_wing(result) or result.stock
    if not design.outline.x_mm or not design.outline.y_mm:
        return None
    lines = _Lines(result.stock, design)
    scale = 1 / (72 * lines.point)  # inches for a millimetre
    low, high = -36 / (72 * scale), lines.length + 92 / (72 * scale)
    height = (high - low) * scale + 0.05
    figure, (axes,) = ink.new_figure(height, left=0.15, right=0.15, top=0.02, bottom=0.03)
    axes.set_axis_off()
    axes.set_xlim(-lines.reach, lines.reach)
    axes.set_ylim(high, low)  # nose up, as the wing lies on the bench
    axes.set_aspect("equal")
    _draw_wing(axes, design)
    if design is not result.stock:
        _draw_stock(axes, result.stock, lines)
    _draw_middle(axes, design)
    _draw_balance(axes, design, lines)
    _draw_spans(axes, result, design, lines)
    return figure


class _Lines:
    """Where things may be written: measures of the outlines in mm and of a point of type in mm."""

    def __init__(self, stock: Design, design: Design):
        self.half = max(design.outline.y_mm)
        self.stock_half = max(stock.outline.y_mm or [0.0])
        self.length = max([*design.outline.x_mm, *stock.outline.x_mm])
        self.edge = _leading_edge(design)
        tips = [y for fin in design.outline.fins for end in fin.ends for y in end.y_mm]
        self.reach = 1.07 * max(self.half, *tips, 0.0)
        if self.ahead_of_wing(design.numbers.cg_mm) is None:
            # a wing of little sweep: the tape and its numbers find room only beyond the tip
            self.reach = (self.half + TAPE_WIDTH) / (1 - 2 * TAPE_NUMBERS / PLAIN_WIDTH)
        self.point = 2 * self.reach / PLAIN_WIDTH

    def ahead_of_wing(self, x: float) -> float | None:
        """Return the smallest half span from which a line at x runs ahead of the wing; None if never."""
        stations = np.linspace(0.0, self.half, 200)
        clear = [y for y in stations if self.edge(y) > x + 0.02 * self.half]
        return float(clear[0]) if clear and clear[0] < 0.85 * self.half else None


def _leading_edge(design: Design) -> Any:
    """Return a function of the half span for the foremost point of the outline there."""
    x, y = np.asarray(design.outline.x_mm, float), np.asarray(design.outline.y_mm, float)

    def foremost(place: float) -> float:
        crossings = []
        for (x0, y0), (x1, y1) in zip(zip(x, y, strict=True), zip(x[1:], y[1:], strict=False), strict=False):
            if min(y0, y1) <= place <= max(y0, y1) and y0 != y1:
                crossings.append(x0 + (x1 - x0) * (place - y0) / (y1 - y0))
        return min(crossings, default=float("inf"))

    return foremost


def _both(axes: Axes, across: list[float], aft: list[float], **how: Any) -> None:
    for side in (1, -1):
        axes.add_patch(Polygon([(side * y, x) for y, x in zip(across, aft, strict=True)], closed=True, **how))


def _draw_wing(axes: Axes, design: Design) -> None:
    outline = design.outline
    _both(axes, outline.y_mm, outline.x_mm, facecolor=ink.STRETCHED_FILL, edgecolor="none")
    if outline.elevon_y_mm:
        _both(
            axes,
            outline.elevon_y_mm,
            outline.elevon_x_mm,
            facecolor=ink.ELEVON_FILL,
            edgecolor=ink.STRETCHED,
            linewidth=0.5,
        )
    part = outline.stock_part_y_mm
    half = max(outline.y_mm)
    foremost, rear = _leading_edge(design), max(outline.x_mm)
    for y in part:
        if 1.0 < y < half - 1.0:  # where old foam meets new
            for side in (1, -1):
                axes.plot(
                    [side * y] * 2,
                    [foremost(y), min(foremost(y) + 240.0, rear)],
                    color=ink.STRETCHED,
                    linewidth=0.8,
                    linestyle=(0, (1, 2)),
                )
    for side in (1, -1):
        axes.plot(
            *open_at_root(outline, side),
            color=ink.STRETCHED,
            linewidth=1.6,
            solid_joinstyle="round",
            gid=f"outline {'right' if side > 0 else 'left'}",
        )
        for rod in outline.rods:
            axes.plot(
                [side * rod.from_y_mm, side * rod.to_y_mm],
                [rod.from_x_mm, rod.to_x_mm],
                color=ink.INK,
                linewidth=1.1,
                gid="rod",
            )
        for fin in outline.fins:
            _draw_fin(axes, fin, side)


def _draw_fin(axes: Axes, fin: FinOutline, side: int) -> None:
    """The foot as a bar; what a canted fin covers, seen from above, by a thin line."""
    foot_y, foot_x = [side * y for y in fin.y_mm], fin.x_mm
    axes.plot(foot_y, foot_x, color=ink.STRETCHED, linewidth=3.2, solid_capstyle="butt", gid="fin")
    for end in fin.ends:
        y = [side * place for place in end.y_mm]
        if abs(sum(y) - sum(foot_y)) > 2.0:  # mm, both ends together: upright fins hide under their bar
            axes.plot([foot_y[0], *y, foot_y[1]], [foot_x[0], *end.x_mm, foot_x[1]], color=ink.STRETCHED, linewidth=0.8)


def open_at_root(outline: Outline, side: int) -> tuple[list[float], list[float]]:
    """Return across and aft of one half's outline without its edge along the centre line."""
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


def _draw_stock(axes: Axes, stock: Design, lines: _Lines) -> None:
    if not lines.stock_half:
        return
    for side in (1, -1):
        axes.plot(
            *open_at_root(stock.outline, side),
            color=ink.STOCK,
            linewidth=1.2,
            linestyle=(0, (5, 2.5)),
            gid=f"stock {'right' if side > 0 else 'left'}",
        )


def _draw_middle(axes: Axes, design: Design) -> None:
    for bay in design.outline.bays:
        axes.add_patch(
            Rectangle(
                (-bay.width_mm / 2, bay.x_mm),
                bay.width_mm,
                bay.length_mm,
                facecolor=ink.PAPER,
                edgecolor=ink.QUIET,
                linewidth=0.7,
                zorder=3,
                gid=f"bay {bay.name}",
            )
        )
    pack = design.outline.pack
    if pack:
        axes.add_patch(
            Rectangle(
                (-pack.width_mm / 2, pack.x_mm - pack.length_mm / 2),
                pack.width_mm,
                pack.length_mm,
                facecolor="#e2a36f",
                edgecolor=ink.MARK,
                linewidth=0.9,
                zorder=4,
                gid="pack",
            )
        )
        ink.write(
            axes,
            0,
            pack.x_mm - 0.25 * pack.length_mm,
            "pack",
            ha="center",
            va="center",
            fontsize=7.5,
            zorder=8,
        )


def _draw_balance(axes: Axes, design: Design, lines: _Lines) -> None:
    balance, neutral = design.numbers.cg_mm, design.numbers.neutral_point_mm
    if balance is None:
        return
    clear = lines.ahead_of_wing(balance)
    place = lines.half + 8 * lines.point if clear is None else clear + 10 * lines.point
    for x in (0.0, balance):
        axes.plot([-place, 0], [x, x], color=ink.MARK, linewidth=0.8, linestyle=(0, (4, 2)) if x else "-")
    axes.plot([0, lines.half * 0.16], [balance] * 2, color=ink.MARK, linewidth=0.8, linestyle=(0, (4, 2)))
    _draw_tape(axes, -place, balance)
    axes.plot(
        [0],
        [balance],
        marker="o",
        markersize=8,
        markerfacecolor=ink.PAPER,
        markeredgecolor=ink.MARK,
        markeredgewidth=1.6,
        zorder=6,
        gid="balance mark",
    )
    axes.plot([0], [balance], marker="+", markersize=8, color=ink.MARK, zorder=7)
    ink.write(
        axes,
        -0.03 * lines.half,
        -6 * lines.point,
        f"balance mark {number_text(balance)} mm behind the nose",
        ha="right",
        va="bottom",
        color=ink.MARK,
        fontsize=ink.NORMAL,
        fontweight="bold",
    )
    if neutral is not None:
        axes.plot([0], [neutral], marker="D", markersize=5, color=ink.INK, zorder=6, gid="neutral point")
        # the words stand ahead of the wing, a thin line leads back to the point
        away = 0.12 * lines.half
        axes.plot([0, away], [neutral, -4 * lines.point], color=ink.INK, linewidth=0.6, zorder=5)
        words = f"neutral point {number_text(neutral)} mm"
        ink.write(axes, away, -6 * lines.point, words, va="bottom", ha="left")


def _draw_tape(axes: Axes, y: float, length: float) -> None:
    """A strip of tape measure from the nose datum to the balance mark: ticks each 10 mm, numbers each 50."""
    axes.add_patch(
        Rectangle(
            (y - TAPE_WIDTH, 0),
            TAPE_WIDTH,
            length,
            facecolor=ink.BAND,
            edgecolor=ink.MARK,
            linewidth=0.8,
            zorder=5,
            gid="tape",
        )
    )
    for tick in np.arange(0, length + 0.1, 10):
        long = tick % 50 == 0
        axes.plot(
            [y, y - TAPE_WIDTH * (0.75 if long else 0.35)],
            [tick, tick],
            color=ink.INK,
            linewidth=0.6,
            zorder=6,
            solid_capstyle="butt",
        )
        if long and 0 < tick < length:
            ink.write(axes, y - TAPE_WIDTH - 3, tick, f"{tick:.0f}", ha="right", va="center", fontsize=7)


def _draw_spans(axes: Axes, result: Result, design: Design, lines: _Lines) -> None:
    """Half spans under the wing: the stretched one right, the stock one and what is added left."""
    under = lines.length + 26 * lines.point
    deeper = under + 34 * lines.point
    _dimension(axes, 0, lines.half, under, f"half span {number_text(lines.half)} mm", ink.STRETCHED, lines)
    axes.plot([0, 0], [0, deeper], color=ink.QUIET, linewidth=0.5, linestyle=(0, (8, 2, 1, 2)), zorder=0)
    if design is result.stock or not lines.stock_half:
        _dimension(axes, -lines.half, 0, under, f"half span {number_text(lines.half)} mm", ink.STRETCHED, lines)
        return
    _dimension(axes, -lines.stock_half, 0, under, f"stock {number_text(lines.stock_half)} mm", ink.STOCK, lines)
    added = lines.half - lines.stock_half
    if added > 1:
        _dimension(axes, -lines.half, -lines.stock_half, under, f"+ {number_text(added)} mm", ink.MARK, lines)
    ink.write(
        axes,
        0,
        deeper + 6 * lines.point,
        f"solid: {design.label} wing, span {number_text(2 * lines.half)} mm      "
        f"dashed: stock wing, span {number_text(2 * lines.stock_half)} mm",
        ha="center",
        va="top",
        color=ink.QUIET,
    )


def _dimension(axes: Axes, start: float, stop: float, depth: float, words: str, colour: str, lines: _Lines) -> None:
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
        axes.plot([end, end], [depth - 8 * lines.point, depth + 5 * lines.point], color=colour, linewidth=0.6)
    narrow = stop - start < 6.5 * len(words) * lines.point  # then the words go under the arrow, clear of the ends
    ink.write(
        axes,
        0.5 * (start + stop),
        depth + (7 if narrow else -4) * lines.point,
        words,
        ha="center",
        va="top" if narrow else "bottom",
        color=colour,
        fontsize=ink.NORMAL,
    )
