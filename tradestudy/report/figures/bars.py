"""Bar figures of drag, weight and power, with one bar for each part."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patheffects import withStroke

from tradestudy.quantities import in_unit, printed, printed_bare
from tradestudy.report.words.phrases import design_number, number_text, stock_and_stretched, stretched_wing
from tradestudy.results.result import Result

from . import style

_USEFUL = ("moving the wing", "thrust")  # the parts of the power that are not losses
_LONGEST_NAME = 30  # characters of a part's name; longer names are cut


def drag(result: Result) -> Figure | None:
    """Return the figure of drag area at cruise, part by part, or None if the result has no such data.

    Shares of the total are beside the bars. A line over each bar of the last wing shows the band of that part.
    """
    return _paired_bars(result, "drag_cm2", "drag area at cruise [cm²]", "cm²", 1)


def masses(result: Result) -> Figure | None:
    """Return the figure of weight, part by part, or None if the result has no such data."""
    return _paired_bars(result, "masses_g", "weight [g]", "g", 0)


def _paired_bars(result: Result, group: str, along: str, unit: str, decimals: int) -> Figure | None:
    """Return a figure with a bar for every part and wing, largest part first, and the totals above."""
    colours = {"stock": (style.STOCK_FILL, style.STOCK_LINE), "stretched": (style.STRETCHED_LINE, style.STRETCHED_LINE)}
    wings = [(name, design) for name, design in stock_and_stretched(result) if getattr(design, group)]
    if not wings:
        return None
    parts = list(dict.fromkeys(part for _, design in reversed(wings) for part in getattr(design, group)))
    parts.sort(key=lambda part: -max(getattr(design, group).get(part, 0.0) for _, design in wings))
    step = 0.21 * len(wings) + 0.12
    figure, (axes,) = style.new_figure(step * len(parts) + 1.25, left=2.15, right=0.35, top=0.65, bottom=0.55)
    tall, reaches = 0.8 / len(wings), [0.0]
    for place, (name, design) in enumerate(wings):
        values, (fill, colour) = getattr(design, group), colours[name]
        lengths = [values.get(part, 0.0) for part in parts]
        heights = [row + (place - 0.5 * (len(wings) - 1)) * tall for row in range(len(parts))]
        axes.barh(heights, lengths, height=0.92 * tall, color=fill, gid=f"{group} {name}", label=name)
        breakdown = design.drag_breakdown.parts if design.drag_breakdown and group == "drag_cm2" else []
        rows = {row.part: row for row in breakdown}
        for part, height, length in zip(parts, heights, lengths, strict=True):
            reach, words = max(length, 0.0), printed_bare(number_text(length, decimals), unit)
            if row := rows.get(part):
                words += f", {number_text(row.share_pct)} %"
                if design is wings[-1][1] and row.low_cm2 is not None and row.high_cm2 is not None:
                    _band_line(axes, height, row.low_cm2, row.high_cm2, f"band {part}")
                    reach = row.high_cm2
            _value(axes, (reach, height), words, colour)
            reaches += [length, reach]
        axes.annotate(
            printed(f"{name}: {number_text(sum(values.values()), decimals)} {unit} in total"),
            (0, 1),
            (0, 24 - 14 * place),
            xycoords="axes fraction",
            textcoords="offset points",
            fontsize=style.NORMAL,
            color=colour,
            fontweight="bold",
        )
    _name_rows(axes, parts)
    has_shares = group == "drag_cm2" and any(design.drag_breakdown for _, design in wings)
    axes.set_xlim(min(reaches), (1.2 if has_shares else 1.12) * max(reaches))
    style.name_axes(axes, along=along)
    return figure


def _band_line(axes: Axes, row: float, low: float, high: float, name: str) -> None:
    """Draw a line from ``low`` to ``high`` over a bar, to show the band of its value."""
    axes.plot(
        [low, high], [row, row], color=style.INK, linewidth=1.0, marker="|", markersize=5, zorder=4, gid=name,
        path_effects=[withStroke(linewidth=2.6, foreground="white")],  # makes the line visible on a dark bar
    )  # fmt: skip


def watts(result: Result) -> Figure | None:
    """Return the figure of where the power goes at cruise and at full throttle, or None without such data.

    The bars step down from the total power.
    """
    design = stretched_wing(result) or result.stock
    if not design.watts:
        return None
    stock = result.stock if design is not result.stock else None
    parts = sorted(design.watts, key=lambda part: -design.watts[part])
    panels = [("cruise", "cruise_speed_kmh", design.watts, stock.watts if stock else {})]
    if design.full_throttle_watts:
        full_throttle = design.full_throttle_watts, stock.full_throttle_watts if stock else {}
        panels.append(("full throttle", "top_speed_kmh", *full_throttle))
    figure, axes = style.new_figure(
        (0.42 * (len(parts) + 1) + 0.6) * len(panels) + 0.6,
        (1,) * len(panels),
        left=2.15,
        right=0.35,
        top=0.5,
        bottom=0.55,
        gap=0.75,
        shared=False,
    )
    for each, (name, speed_key, values, stock_values) in zip(axes, panels, strict=True):
        _waterfall(each, name, parts, values, stock_values)
        words = f"{design.label} wing, {name} at {design_number(design, speed_key)} km/h"
        each.set_title(printed(words), fontsize=style.NORMAL, color=style.INK, loc="left", pad=8, parse_math=False)
    style.name_axes(axes[-1], along="power [W]")
    return figure


def _waterfall(axes: Axes, name: str, parts: list[str], values: dict[str, float], stock: dict[str, float]) -> None:
    """Draw the total as one bar, then each part as a bar that starts where the bar above it ends."""
    total = sum(values.values())
    axes.barh([0], [total], height=0.62, color=style.STRETCHED_LINE, gid=f"{name} total")
    _value(axes, (total, 0), f"{number_text(total, 1)} W", style.STRETCHED_LINE)
    before = 0.0
    for row, part in enumerate(parts, start=1):
        value, useful = values.get(part, 0.0), part in _USEFUL
        axes.barh(
            [row],
            [value],
            left=before,
            height=0.62,
            color=style.MARK if useful else style.ELEVON_FILL,
            edgecolor=style.STRETCHED_LINE,
            linewidth=0.5,
            gid=f"{name} part {part}",
        )
        words = f"{number_text(value, 1)} W, {number_text(in_unit(value / total, '%'))} %"
        if part in stock:
            words += f"  (stock {number_text(stock[part], 1)} W)"
        after = before + value < 0.6 * total
        inside = not after and before < 0.5 * total  # beside a long bar there is no room
        colour = "white" if inside and useful else style.INK
        _value(axes, (before + value if after or inside else before, row), words, colour, 1 if after else -1)
        before += value
        if row < len(parts):
            axes.plot([before, before], [row + 0.31, row + 0.69], color=style.QUIET, linewidth=0.7)
    _name_rows(axes, ["out of the cells", *parts])
    axes.set_xlim(0, 1.14 * total)


def _value(axes: Axes, place: tuple[float, float], words: str, colour: str, side: int = 1) -> None:
    """Write a value at the end of a bar, to the right if ``side`` is +1 or to the left if it is -1."""
    axes.annotate(
        printed(words), place, (4 * side, 0), textcoords="offset points", va="center", fontsize=style.SMALL,
        color=colour, ha="left" if side > 0 else "right",
    )  # fmt: skip


def _name_rows(axes: Axes, parts: list[str]) -> None:
    names = [part if len(part) <= _LONGEST_NAME else part[: _LONGEST_NAME - 1].rstrip() + "…" for part in parts]
    style.row_names(axes, list(range(len(parts))), names)
    axes.set_ylim(len(parts) - 0.45, -0.55)
