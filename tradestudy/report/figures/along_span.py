"""Figures of lift and structure along the half span, and of handling against span."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Text

from tradestudy.report.words.phrases import complete_designs
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from . import style
from .style import DrawnWing, wings_with_curves

_STRUCTURE_ROWS = (
    ("bending_moment_nm", "bending moment [N m]"),
    ("bending_rigidity_nm2", "bending stiffness EI [N m²]"),
    ("utilisation", "share of strength used [-]"),
    ("deflection_mm", "rise of the wing [mm]"),
)
_ELEVONS = (("elevon_deg", "in cruise", style.STRETCHED_LINE), ("stall_elevon_deg", "at the stall", style.MARK))
_STALL_PLACE = "stall_starts_at_mm"
# the curves of the handling figure: key of the number, name beside the curve, colour, line style
_SHARES = (
    ("yaw_stiffness", "yaw stiffness", style.STRETCHED_LINE, "-"),
    ("roll_rate_deg_s", "roll rate", style.MARK, "-"),
    ("static_margin_pct", "static margin", style.LIMIT, "--"),
    (_STALL_PLACE, "where the stall begins", style.STOCK_LINE, ":"),
    ("dutch_roll_damping", "damping of its wagging", style.MARK, "--"),
)
_DISTANCE = "distance from the centre line [mm]"


def handling(result: Result) -> Figure | None:
    """Return the handling figure, or None if the result has no span trade.

    The upper panel shows handling against span as a share of the stock wing's. The lower panel shows the up-elevon.
    """
    points = complete_designs(result.span_trade, "span_mm", *(key for key, *_ in _SHARES if key != _STALL_PLACE))
    rows = [row for row in _SHARES if _handling_number(result.stock, row[0]) > 0]
    if len(points) < 2 or not rows:
        return None
    figure, (axes, throw) = style.new_figure(5.2, (2, 1), left=0.62, top=0.42, gap=0.42)
    span = [design.numbers.span_mm for design in points]
    shares = {
        key: [_handling_number(design, key) / _handling_number(result.stock, key) for design in points]
        for key, *_ in rows
    }
    axes.set_xlim(*style.axis_limits(span, 0.05))
    axes.set_ylim(*style.axis_limits([1.0, *(share for each in shares.values() for share in each)], 0.15))
    axes.axhline(1.0, color=style.QUIET, linewidth=0.8, gid="stock")
    labels = []
    for index, (key, words, colour, line) in enumerate(rows):
        style.curve(axes, span, shares[key], colour, f"share {key}", line, marker="o", markersize=4)
        place = len(span) - 1 - index % len(span)  # each name is placed at a different span, since curves may coincide
        labels.append(style.Label(span[place], shares[key][place], words, colour, 1))
    style.label_points(axes, labels)
    style.name_axes(axes, up="share of the stock wing's [-]")
    _elevon_panel(throw, span, points)
    return figure


def _handling_number(design: Design, key: str) -> float:
    """Return a number of a wing. The place where the stall begins is returned as a share of the half span."""
    value = float(getattr(design.numbers, key))
    return value / (0.5 * design.numbers.span_mm) if key == _STALL_PLACE else value


def _elevon_panel(axes: Axes, span: list[float], points: Sequence[Design]) -> None:
    """Draw the up-elevon in cruise and at the stall against span."""
    labels, highest = [], 0.0
    for key, words, colour in _ELEVONS:
        up = [-getattr(design.numbers, key) for design in points]
        style.curve(axes, span, up, colour, f"up {key}", marker="o", markersize=4)
        labels.append(style.Label(span[len(span) // 2], up[len(span) // 2], words, colour, 1))
        highest = max(highest, *up)
    axes.set_ylim(*style.axis_limits([0.0, highest], 0.25))
    style.label_points(axes, labels)
    style.name_axes(axes, along="span [mm]", up="up-elevon [deg]")


def loading(result: Result) -> Figure | None:
    """Return the figure of lift along the half span in cruise, or None if the result has no such curves.

    It also shows the lift coefficient of each section below its limit.
    """
    wings = wings_with_curves(result, "station_mm")
    if not wings:
        return None
    figure, (lift, section) = style.new_figure(5.2, (1, 1), left=0.62, top=0.42, gap=0.42)
    section_top = 0.0
    for name, design, colour, line in wings:
        curves = design.curves
        style.curve(lift, curves.station_mm, curves.lift_n_per_m, colour, f"lift {name}", line)
        style.curve(section, curves.station_mm, curves.section_lift, colour, f"section lift {name}", line)
        if curves.section_lift_limit:
            section.plot(
                curves.station_mm,
                curves.section_lift_limit,
                color=style.LIMIT,
                linewidth=1.3,
                linestyle=line,
                gid=f"limit {name}",
            )
        section_top = max(section_top, *curves.section_lift, *curves.section_lift_limit)
    lift.set_xlim(0, _half_span(wings))
    lift.set_ylim(0, 1.22 * max(max(wing.design.curves.lift_n_per_m) for wing in wings))
    section.set_ylim(0, 1.18 * section_top)
    _name_lines(lift, wings, "lift_n_per_m", "station_mm")
    names = _name_lines(section, wings, "section_lift", "station_mm")
    curves = wings[-1].design.curves
    if curves.section_lift_limit:
        place = len(curves.station_mm) // 3
        at = curves.station_mm[place], curves.section_lift_limit[place]
        style.label_points(section, [style.Label(*at, "where the section stalls", style.LIMIT, 1)], avoid=names)
    style.name_axes(lift, up="lift [N/m]")
    style.name_axes(section, along=_DISTANCE, up="section lift coefficient in cruise [-]")
    return figure


def structure_span(result: Result) -> Figure | None:
    """Return the figure of the structure along the half span, or None if the result has no such curves.

    It shows bending moment, stiffness, strength used and bent shape in the hardest pull-up.
    """
    wings = wings_with_curves(result, "edge_mm")
    if not wings:
        return None
    figure, panels = style.new_figure(7.6, (1, 1, 1, 1), left=0.62, top=0.42, gap=0.44)
    panels[0].set_xlim(0, _half_span(wings))
    for axes, (key, words) in zip(panels, _STRUCTURE_ROWS, strict=True):
        complete = [wing for wing in wings if getattr(wing.design.curves, key)]
        for name, design, colour, line in complete:
            style.curve(axes, design.curves.edge_mm, getattr(design.curves, key), colour, f"{key} {name}", line)
        values = [value for wing in complete for value in getattr(wing.design.curves, key)]
        axes.set_ylim(*style.axis_limits([*values, 1.0] if key == "utilisation" else values, 0.15, zero=True))
        axes.locator_params(axis="y", nbins=5)
        avoid: list[Text] = []
        if key == "utilisation":
            axes.axhline(1.0, color=style.LIMIT, linewidth=1.2, gid="breaks")
            avoid.append(style.write(axes, axes.get_xlim()[1], 0.97, "breaks", color=style.LIMIT, ha="right", va="top"))
        _name_lines(axes, complete, key, "edge_mm", avoid)
        style.name_axes(axes, up=words)
    style.name_axes(panels[-1], along=_DISTANCE)
    return figure


def _half_span(wings: list[DrawnWing]) -> float:
    """Return the upper end of an axis along the half span. [mm]"""
    return 1.02 * max(wing.design.numbers.span_mm / 2 for wing in wings)


def _name_lines(axes: Axes, wings: list[DrawnWing], key: str, along: str, avoid: Sequence[Text] = ()) -> list[Text]:
    """Write each wing's name beside its curve, where the curves are furthest apart."""
    labels = []
    for wing in wings:
        x, y = getattr(wing.design.curves, along), getattr(wing.design.curves, key)
        others = [
            (getattr(other.design.curves, along), getattr(other.design.curves, key))
            for other in wings
            if other is not wing
        ]
        gaps = [
            min((abs(value - style.interpolate(*curve, place)) for curve in others), default=0.0)
            for place, value in zip(x, y, strict=True)
        ]
        inner = range(len(x) // 6, max(len(x) - len(x) // 6, len(x) // 6 + 1))
        best = max(inner, key=[-1.0 if np.isnan(gap) else gap for gap in gaps].__getitem__)
        above = all(y[best] >= style.interpolate(*curve, x[best]) for curve in others)
        labels.append(style.Label(x[best], y[best], wing.name, wing.colour, 1 if above else -1))
    return style.label_points(axes, labels, avoid=avoid)
