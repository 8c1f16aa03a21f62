"""What goes on along the half span, lift and structure, and how handling drifts as the span grows."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Text

from tradestudy.report.words.phrases import complete_designs, stretched_wing
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from . import drawing as ink

STRUCTURE_ROWS = (
    ("bending_moment_nm", "bending moment [N m]"),
    ("bending_rigidity_nm2", "bending stiffness EI [N m²]"),
    ("utilisation", "share of strength used [-]"),
    ("deflection_mm", "rise of the wing [mm]"),
)

ELEVONS = (("elevon_deg", "in cruise", ink.STRETCHED, "-"), ("stall_elevon_deg", "at the stall", ink.MARK, "-"))
STALL_PLACE = "stall_starts_at_mm"
# what drifts with span, as share of the stock wing's: key, name on the line, colour, line
DRIFTS = (
    ("yaw_stiffness", "turning into the wind", ink.STRETCHED, "-"),
    ("roll_rate_deg_s", "roll rate", ink.MARK, "-"),
    ("static_margin_pct", "static margin", ink.LIMIT, "--"),
    (STALL_PLACE, "where the stall begins", ink.STOCK, ":"),
    ("dutch_roll_damping", "damping of its wagging", ink.MARK, "--"),
)


def handling(result: Result) -> Figure | None:
    """Return what the pilot feels against span, as share of the stock wing's, and the elevons it takes below.

    None without a span trade.
    """
    points = complete_designs(result.span_trade, "span_mm", *(key for key, *_ in DRIFTS if key != STALL_PLACE))
    drawn = [(key, *rest) for key, *rest in DRIFTS if _felt(result.stock, key) > 0]
    if len(points) < 2 or not drawn:
        return None
    figure, (axes, throw) = ink.new_figure(5.2, (2, 1), left=0.62, top=0.42, gap=0.42)
    span = [design.numbers.span_mm for design in points]
    shares = {key: [_felt(design, key) / _felt(result.stock, key) for design in points] for key, *_ in drawn}
    axes.set_xlim(*ink.axis_limits(span, 0.05))
    axes.set_ylim(*ink.axis_limits([1.0, *(share for each in shares.values() for share in each)], 0.15))
    axes.axhline(1.0, color=ink.QUIET, linewidth=0.8, gid="stock")
    labels = []
    for index, (key, words, colour, line) in enumerate(drawn):
        axes.plot(span, shares[key], color=colour, linewidth=1.8, linestyle=line, marker="o", markersize=4,
                  gid=f"share {key}")  # fmt: skip
        place = len(span) - 1 - index % len(span)  # each name at a wing of its own: lines may lie together
        labels.append(ink.Label(span[place], shares[key][place], words, colour, 1))
    ink.label_points(axes, labels)
    ink.name_axes(axes, up="share of the stock wing's [-]")
    _elevons(throw, span, points)
    return figure


def _elevons(axes: Axes, span: list[float], points: Sequence[Design]) -> None:
    """Up-elevon in cruise and at the stall against span."""
    labels, highest = [], 0.0
    for key, words, colour, line in ELEVONS:
        up = [-getattr(design.numbers, key) for design in points]
        axes.plot(span, up, color=colour, linewidth=1.8, linestyle=line, marker="o", markersize=4, gid=f"up {key}")
        labels.append(ink.Label(span[len(span) // 2], up[len(span) // 2], words, colour, 1))
        highest = max(highest, *up)
    axes.set_ylim(*ink.axis_limits([0.0, highest], 0.25))
    ink.label_points(axes, labels)
    ink.name_axes(axes, along="span [mm]", up="up-elevon [deg]")


def _felt(design: Design, key: str) -> float:
    """One of DRIFTS of one wing; the place of the stall counts from the centre line, as share of the half span."""
    if key == STALL_PLACE:
        return float(getattr(design.numbers, key) / (0.5 * design.numbers.span_mm))
    return float(getattr(design.numbers, key))


def loading(result: Result) -> Figure | None:
    """Return lift along the half span and section lift under its limit, in cruise; None without curves."""
    wings = wings_with_curves(result, "station_mm")
    if not wings:
        return None
    figure, (lift, section) = ink.new_figure(5.2, (1, 1), left=0.62, top=0.42, gap=0.42)
    section_top = 0.0
    for name, design, colour, line in wings:
        curves = design.curves
        lift.plot(
            curves.station_mm,
            curves.lift_n_per_m,
            color=colour,
            linewidth=1.8,
            linestyle=line,
            gid=f"lift {name}",
        )
        section.plot(
            curves.station_mm,
            curves.section_lift,
            color=colour,
            linewidth=1.8,
            linestyle=line,
            gid=f"section lift {name}",
        )
        if curves.section_lift_limit:
            section.plot(
                curves.station_mm,
                curves.section_lift_limit,
                color=ink.LIMIT,
                linewidth=1.3,
                linestyle=line,
                gid=f"limit {name}",
            )
            section_top = max(section_top, *curves.section_lift_limit)
        section_top = max(section_top, *curves.section_lift)
    shown = wings[-1][1]
    lift.set_xlim(0, 1.02 * max(design.numbers.span_mm / 2 for _, design, _, _ in wings))
    lift.set_ylim(0, 1.22 * max(max(design.curves.lift_n_per_m) for _, design, _, _ in wings))
    section.set_ylim(0, 1.18 * section_top)
    _name_lines(lift, wings, "lift_n_per_m", "station_mm")
    written = _name_lines(section, wings, "section_lift", "station_mm")
    if shown.curves.section_lift_limit:
        middle = len(shown.curves.station_mm) // 3
        limit = shown.curves.section_lift_limit
        ink.label_points(
            section,
            [
                ink.Label(
                    shown.curves.station_mm[middle],
                    limit[middle],
                    "where the section stalls",
                    ink.LIMIT,
                    1,
                )
            ],
            avoid=written,
        )
    ink.name_axes(lift, up="lift [N/m]")
    ink.name_axes(section, along="distance from the centre line [mm]", up="section lift coefficient in cruise [-]")
    return figure


def structure_span(result: Result) -> Figure | None:
    """Return moment, stiffness, strength used and bent shape in the hardest pull-up; None without curves."""
    wings = wings_with_curves(result, "edge_mm")
    if not wings:
        return None
    figure, rows = ink.new_figure(7.6, (1, 1, 1, 1), left=0.62, top=0.42, gap=0.44)
    rows[0].set_xlim(0, 1.02 * max(design.numbers.span_mm / 2 for _, design, _, _ in wings))
    for axes, (key, words) in zip(rows, STRUCTURE_ROWS, strict=True):
        drawn = [wing for wing in wings if getattr(wing[1].curves, key)]
        for name, design, colour, line in drawn:
            axes.plot(
                design.curves.edge_mm,
                getattr(design.curves, key),
                color=colour,
                linewidth=1.8,
                linestyle=line,
                gid=f"{key} {name}",
            )
        values = [value for _, design, _, _ in drawn for value in getattr(design.curves, key)]
        axes.set_ylim(*ink.axis_limits([*values, 1.0] if key == "utilisation" else values, 0.15, zero=True))
        axes.locator_params(axis="y", nbins=5)
        avoid: list[Text] = []
        if key == "utilisation":
            axes.axhline(1.0, color=ink.LIMIT, linewidth=1.2, gid="breaks")
            avoid.append(ink.write(axes, axes.get_xlim()[1], 0.97, "breaks", color=ink.LIMIT, ha="right", va="top"))
        _name_lines(axes, drawn, key, "edge_mm", avoid)
        ink.name_axes(axes, up=words)
    ink.name_axes(rows[-1], along="distance from the centre line [mm]")
    return figure


def wings_with_curves(result: Result, key: str) -> list[tuple[str, Design, str, str]]:
    """Return (name, design, colour, line) of the wings that have curves, stock first."""
    both = [("stock", result.stock, ink.STOCK, "--"), ("stretched", stretched_wing(result), ink.STRETCHED, "-")]
    return [
        (name, design, colour, line)
        for name, design, colour, line in both  # type: ignore[misc]
        if design is not None and getattr(design.curves, key)
    ]


def _name_lines(
    axes: Axes, wings: list[tuple[str, Design, str, str]], key: str, along: str, avoid: Sequence[Text] = ()
) -> list[Text]:
    """Write each wing's name beside its line, where the lines are furthest apart."""
    labels = []
    for name, design, colour, _ in wings:
        x, y = getattr(design.curves, along), getattr(design.curves, key)
        others = [
            (getattr(other.curves, along), getattr(other.curves, key))
            for _, other, _, _ in wings
            if other is not design
        ]
        apart = [
            min((abs(value - ink.interpolate(*curve, place)) for curve in others), default=0.0)
            for place, value in zip(x, y, strict=True)
        ]
        inner = range(len(x) // 6, max(len(x) - len(x) // 6, len(x) // 6 + 1))
        best = max(inner, key=[-1.0 if np.isnan(gap) else gap for gap in apart].__getitem__)
        above = all(y[best] >= ink.interpolate(*curve, x[best]) for curve in others)
        labels.append(ink.Label(x[best], y[best], name, colour, 1 if above else -1))
    return ink.label_points(axes, labels, avoid=avoid)
