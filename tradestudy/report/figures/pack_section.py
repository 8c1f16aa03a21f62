"""A section across the wing where its foam is thinnest at the pack, seen from the front and to scale."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from tradestudy.report.body_views import NOT_IN_SECTIONS, FlatShape, corners, cut_across, section_across
from tradestudy.report.words.phrases import number_text, stretched_wing
from tradestudy.results.body import Body
from tradestudy.results.result import Result

from . import style
from .body_shapes import draw_shapes, draw_skin

_EDGE = 0.12  # inches beside the drawing
_ROW = 13.0  # points of type from one row of words to the next
_HALF_WIDTH = 1.45  # half width of the drawing over that of the widest part at the pack
_INSIDE = 0.05  # mm; the cut is this far inside the end face of the pack


class PackSection(NamedTuple):
    """A cut across the wing at one end of the pack, and how much lies between pack and skin. [mm]"""

    x: float  # place of the cut behind the nose
    pack: FlatShape
    shapes: list[FlatShape]
    upper: np.ndarray  # skin (n, 2) from left to right
    lower: np.ndarray
    above: tuple[float, float]  # station, and height from the pack's top to the upper skin, where it is least
    below: tuple[float, float]  # station, and height from the lower skin to the pack's bottom, where it is least


def thinnest_pack_section(body: Body | None) -> PackSection | None:
    """Return the PackSection at that end of the pack where there is less room, or None without a pack."""
    packs = [one for one in body.solids if one.kind == "pack"] if body and body.skin else []
    if body is None or not packs:
        return None
    ends = [x for each in packs for x in (corners(each)[:, 0].min() + _INSIDE, corners(each)[:, 0].max() - _INSIDE)]
    return min((_section(body, float(x)) for x in ends), key=lambda cut: min(cut.above[1], cut.below[1]))


def _section(body: Body, x: float) -> PackSection:
    shapes = [shape for shape in cut_across(body, x) if shape.kind not in NOT_IN_SECTIONS]
    pack = next(shape for shape in shapes if shape.kind == "pack")
    widest = max(float(np.abs(shape.points[:, 0]).max()) for shape in shapes if shape.kind in ("pack", "bay"))
    upper, lower = section_across(body, x, _HALF_WIDTH * widest)
    (left, bottom), (right, top) = pack.points.min(0), pack.points.max(0)
    across = np.linspace(left, right, 101)
    gaps = np.interp(across, *upper.T) - top, bottom - np.interp(across, *lower.T)
    above, below = ((float(across[gap.argmin()]), float(gap.min())) for gap in gaps)
    return PackSection(x, pack, shapes, upper, lower, above, below)


def pack_section(result: Result) -> Figure | None:
    """Return the section through the pack of the stretched wing, or None without a body."""
    design = stretched_wing(result) or result.stock
    cut = thinnest_pack_section(design.body)
    if cut is None:
        return None
    half = float(np.abs(cut.upper[:, 0]).max())
    point = 2 * half / (72 * (style.WIDTH - 2 * _EDGE))  # mm on the wing for one point of type
    points = np.concatenate([cut.upper, cut.lower, *(shape.points for shape in cut.shapes)])
    low, high = points[:, 1].min() - 4.2 * _ROW * point, points[:, 1].max() + 2.6 * _ROW * point
    figure, (axes,) = style.new_figure((high - low) / point / 72, left=_EDGE, right=_EDGE, top=0.0, bottom=0.0)
    axes.set_axis_off()
    axes.set_xlim(half, -half)  # the right half wing is on the left, as seen from the front
    axes.set_ylim(low, high)
    axes.set_aspect("equal")
    foam = draw_skin(axes, cut.upper, cut.lower)
    draw_shapes(axes, [shape for shape in cut.shapes if np.abs(shape.middle[0]) < half], foam)
    axes.plot([0, 0], [low + _ROW * point, high - 1.2 * _ROW * point], color=style.QUIET, linewidth=0.6, zorder=9,
              linestyle=(0, (8, 2, 1, 2)))  # fmt: skip
    style.write(
        axes, half - 2 * point, high - 0.3 * _ROW * point,
        f"seen from the front, {number_text(cut.x)} mm behind the nose; right half wing on the left",
        va="top", color=style.QUIET,
    )  # fmt: skip
    _draw_room(axes, cut, point)
    _draw_widths(axes, cut, points[:, 1].min(), point)
    return figure


def _draw_room(axes: Axes, cut: PackSection, point: float) -> None:
    """Draw the height that is free above and below the pack, where it is least."""
    (_, bottom), (_, top) = cut.pack.points.min(0), cut.pack.points.max(0)
    for (y, room), start, name, va in (
        (cut.above, top, "free above", "bottom"),
        (cut.below, bottom, "free below", "top"),
    ):
        end = start + room if name == "free above" else start - room
        side = 1.0 if y >= 0 else -1.0
        place = y - side * 1.5 * point
        axes.plot([place, place], [start, end], color=style.MARK, linewidth=1.6, zorder=9, gid=name,
                  solid_capstyle="butt")  # fmt: skip
        for tip in (start, end):
            axes.plot([place - 3 * point, place + 3 * point], [tip, tip], color=style.MARK, linewidth=1.0, zorder=9)
        style.write(
            axes, place - side * 6.0 * point, cut.pack.middle[1] + (5.0 if va == "bottom" else -5.0) * point,
            room_words(room, name),
            ha="left" if side > 0 else "right", va=va, color=style.INK, zorder=10,
        )  # fmt: skip


def room_words(room: float, name: str) -> str:
    """Return words for the height [mm] between pack and skin, which is negative where the pack is outside."""
    way = name.split()[-1]
    return f"{number_text(room, 1)} mm {name}" if room >= 0 else f"{number_text(-room, 1)} mm outside the skin {way}"


def _draw_widths(axes: Axes, cut: PackSection, bottom: float, point: float) -> None:
    """Draw the widths of pack and bay below the section."""
    named = {shape.name: shape for shape in cut.shapes if shape.kind in ("pack", "bay")}
    for row, shape in enumerate(sorted(named.values(), key=lambda one: float(np.ptp(one.points[:, 0])))):
        z = bottom - (1.0 + 1.2 * row) * _ROW * point
        wide, tall = np.ptp(shape.points, axis=0)
        colour = style.MARK if shape.kind == "pack" else style.QUIET
        both = [one for one in cut.shapes if one.name == shape.name]
        for one in both:
            ends = [float(one.points[:, 0].min()), float(one.points[:, 0].max())]
            axes.plot(ends, [z, z], color=colour, linewidth=1.0, gid=f"width {shape.name}")
            for end in ends:
                axes.plot([end, end], [z - 3.5 * point, z + 3.5 * point], color=colour, linewidth=1.0)
        out = f", {number_text(abs(shape.middle[0]))} mm from the centre line" if len(both) > 1 else ""
        words = f"{shape.name[:30]} {number_text(wide)} mm wide, {number_text(tall)} mm high{out}"
        style.write(
            axes, 0.0, z, f" {words} ", ha="center", va="center", color=colour,
            bbox={"facecolor": style.PAPER, "edgecolor": "none", "pad": 1.0},
        )  # fmt: skip
