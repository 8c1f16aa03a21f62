"""Every figure of the report: a function of a Result each, and the saving of them all.

A figure is None when the Result does not hold what it needs. A new one is listed in `FIGURES`, and has its title and
caption in `report.page.captions`.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patheffects import withStroke

from tradestudy.files import write_atomically
from tradestudy.quantities import in_unit
from tradestudy.report.words.phrases import design_number, number_text, stretched_wing
from tradestudy.report.words.purpose import measure
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from . import drawing as ink
from .along_span import handling, loading, structure_span
from .control import control
from .trade import span_trade, weight_range
from .wing_plan import planform

USEFUL = ("moving the wing", "thrust")  # the part of the watts that is not lost
DOTS = 150  # dots an inch of the PNG files


def speed(result: Result) -> Figure | None:
    """Return power and the gain against speed, the cruise of each wing marked; None without curves."""
    both = [("stock", result.stock, ink.STOCK, "--"), ("stretched", stretched_wing(result), ink.STRETCHED, "-")]
    wings = [
        (name, design, colour, line)
        for name, design, colour, line in both
        if design is not None and design.curves.speed_kmh
    ]
    if not wings:
        return None
    figure, panels = ink.new_figure(6.0, (1, 1), left=0.62, top=0.42, gap=0.42)
    panels[0].set_xlim(
        *ink.axis_limits([value for _, design, _, _ in wings for value in design.curves.speed_kmh], 0.03)
    )
    shown, known = wings[-1][1], measure(result)
    _speed_panel(
        panels[0],
        wings,
        "power_w",
        f"cruise {design_number(shown, 'cruise_speed_kmh')} km/h\nhold about {design_number(shown, 'cruise_current_a')} A",
    )
    _speed_panel(panels[1], wings, known.key, f"{design_number(shown, known.key, 0)} {known.unit}")
    ink.name_axes(panels[0], up="power from the pack [W]")
    ink.name_axes(panels[1], along="airspeed [km/h]", up=f"{known.axis} [{known.unit}]")
    return figure


def _speed_panel(axes: Axes, wings: list[tuple[str, Design, str, str]], key: str, at_cruise: str) -> None:
    """One curve for each wing with its name and its cruise; the words at the cruise of the last one."""
    labels = []
    for name, design, colour, line in wings:
        along, up = design.curves.speed_kmh, getattr(design.curves, key)
        axes.plot(along, up, color=colour, linewidth=1.8, linestyle=line, gid=f"{key} {name}")
        side = 1 if up[-1] >= max(getattr(wing.curves, key)[-1] for _, wing, _, _ in wings) else -1
        labels.append(ink.Label(along[-len(along) // 6], up[-len(along) // 6], name, colour, side))
        cruise = design.numbers.cruise_speed_kmh
        height = ink.interpolate(along, up, cruise)
        last = design is wings[-1][1]
        axes.plot(
            [cruise],
            [height],
            marker="o",
            markersize=7,
            color=ink.MARK if last else colour,
            zorder=4,
            linestyle="none",
            gid=f"cruise {key} {name}",
        )
        if last:
            axes.axvline(cruise, color=ink.MARK, linewidth=1.2, zorder=1, gid="cruise")
            labels.insert(0, ink.Label(cruise, height, at_cruise, ink.MARK))
    axes.set_ylim(
        *ink.axis_limits([value for _, design, _, _ in wings for value in getattr(design.curves, key)], 0.14, zero=True)
    )
    ink.label_points(axes, labels)


def drag(result: Result) -> Figure | None:
    """Return drag area at cruise, part by part, stock beside stretched; None without it.

    Shares of the whole stand beside the bars, and a line over those of the last wing tells how far off each may be.
    """
    return _beside(result, "drag_cm2", "drag area at cruise [cm²]", "cm²", 1)


def masses(result: Result) -> Figure | None:
    """Return what the wing weighs, part by part, stock beside stretched; None without it."""
    return _beside(result, "masses_g", "weight [g]", "g", 0)


def _beside(result: Result, group: str, along: str, unit: str, decimals: int) -> Figure | None:
    """Two bars for every part, the whole above; parts in the order of their size."""
    both = [
        ("stock", result.stock, ink.STOCK_FILL, ink.STOCK),
        ("stretched", stretched_wing(result), ink.STRETCHED, ink.STRETCHED),
    ]
    wings = [
        (name, getattr(design, group), fill, colour)
        for name, design, fill, colour in both
        if design is not None and getattr(design, group)
    ]
    if not wings:
        return None
    parts = list(dict.fromkeys(part for _, values, _, _ in reversed(wings) for part in values))
    parts.sort(key=lambda part: -max(values.get(part, 0.0) for _, values, _, _ in wings))
    step = 0.21 * len(wings) + 0.12
    figure, (axes,) = ink.new_figure(step * len(parts) + 1.25, left=2.15, right=0.35, top=0.65, bottom=0.55)
    tall, farthest = 0.8 / len(wings), 0.0
    breakdowns = {
        name: design.drag_breakdown.parts
        for name, design, _, _ in both
        if design is not None and design.drag_breakdown and group == "drag_cm2"
    }
    for place, (name, values, fill, colour) in enumerate(wings):
        rows = [row + (place - 0.5 * (len(wings) - 1)) * tall for row in range(len(parts))]
        lengths = [values.get(part, 0.0) for part in parts]
        axes.barh(rows, lengths, height=0.92 * tall, color=fill, gid=f"{group} {name}", label=name)
        last, told = place == len(wings) - 1, {part.part: part for part in breakdowns.get(name, [])}
        for row, length, part in zip(rows, lengths, parts, strict=True):
            reach, words = max(length, 0.0), number_text(length, decimals)
            if part in told:
                words += f", {number_text(told[part].share_pct)} %"
                low, high = told[part].low_cm2, told[part].high_cm2
                if last and low is not None and high is not None:
                    reach = _band_line(axes, row, low, high, f"band {part}")
            _value(axes, (reach, row), words, colour)
            farthest = max(farthest, reach)
        axes.annotate(
            f"{name}: {number_text(sum(values.values()), decimals)} {unit} in all",
            (0, 1),
            (0, 24 - 14 * place),
            xycoords="axes fraction",
            textcoords="offset points",
            fontsize=ink.NORMAL,
            color=colour,
            fontweight="bold",
        )
    _parts_down(axes, parts)
    axes.set_xlim(
        min(0.0, *(value for _, values, _, _ in wings for value in values.values())),
        (1.2 if any(breakdowns.values()) else 1.12) * farthest,
    )
    ink.name_axes(axes, along=along)
    return figure


def _band_line(axes: Axes, row: float, low: float, high: float, name: str) -> float:
    """Draw how far off a bar may be; return where the line ends."""
    axes.plot(
        [low, high], [row, row], color=ink.INK, linewidth=1.0, marker="|", markersize=5, zorder=4, gid=name,
        path_effects=[withStroke(linewidth=2.6, foreground="white")],  # to be seen on a dark bar
    )  # fmt: skip
    return high


def watts(result: Result) -> Figure | None:
    """Return where the cells' power goes at cruise and flat out as steps down from the whole; None without it."""
    design = stretched_wing(result) or result.stock
    if not design.watts:
        return None
    stock = result.stock if design is not result.stock else None
    parts = sorted(design.watts, key=lambda part: -design.watts[part])
    panels = [("", "cruise_speed_kmh", design.watts, stock.watts if stock else {})]
    if design.full_throttle_watts:
        panels.append(
            ("flat out ", "top_speed_kmh", design.full_throttle_watts, stock.full_throttle_watts if stock else {})
        )
    figure, axes = ink.new_figure(
        (0.42 * (len(parts) + 1) + 0.6) * len(panels) + 0.6,
        (1,) * len(panels),
        left=2.15,
        right=0.35,
        top=0.5,
        bottom=0.55,
        gap=0.75,
        shared=False,
    )
    for each, (name, speed_key, told_watts, beside) in zip(axes, panels, strict=True):
        _steps(each, name, parts, told_watts, beside)
        speed_words = f"{design.label} wing, {name or 'cruise '}at {design_number(design, speed_key)} km/h"
        each.set_title(speed_words, fontsize=ink.NORMAL, color=ink.INK, loc="left", pad=8, parse_math=False)
    ink.name_axes(axes[-1], along="power [W]")
    return figure


def _steps(axes: Axes, name: str, parts: list[str], values: dict[str, float], stock: dict[str, float]) -> None:
    """The whole as one bar, then each part where the one above it ends."""
    whole = sum(values.values())
    axes.barh([0], [whole], height=0.62, color=ink.STRETCHED, gid=f"{name}whole")
    _value(axes, (whole, 0), f"{number_text(whole, 1)} W", ink.STRETCHED)
    before = 0.0
    for row, part in enumerate(parts, start=1):
        value = values.get(part, 0.0)
        axes.barh(
            [row],
            [value],
            left=before,
            height=0.62,
            color=ink.MARK if part in USEFUL else ink.ELEVON_FILL,
            edgecolor=ink.STRETCHED,
            linewidth=0.5,
            gid=f"{name}part {part}",
        )
        words = f"{number_text(value, 1)} W, {number_text(in_unit(value / whole, '%'))} %"
        if part in stock:
            words += f"  (stock {number_text(stock[part], 1)} W)"
        after = before + value < 0.6 * whole
        inside = not after and before < 0.5 * whole  # no room on either side of a long bar
        colour = "white" if inside and part in USEFUL else ink.INK
        _value(axes, (before + value if after or inside else before, row), words, colour, 1 if after else -1)
        if row < len(parts):
            axes.plot([before + value] * 2, [row + 0.31, row + 0.69], color=ink.QUIET, linewidth=0.7)
        before += value
    _parts_down(axes, ["out of the cells", *parts])
    axes.set_xlim(0, 1.14 * whole)


def _value(axes: Axes, place: tuple[float, float], words: str, colour: str, side: int = 1) -> None:
    """Write a value at the end of a bar, to its right (+1) or left (-1)."""
    axes.annotate(
        words, place, (4 * side, 0), textcoords="offset points", va="center", fontsize=ink.SMALL,
        color=colour, ha="left" if side > 0 else "right",
    )  # fmt: skip


def _parts_down(axes: Axes, parts: list[str]) -> None:
    names = [_shortened(part) for part in parts]
    axes.set_yticks(range(len(parts)), names, fontsize=ink.NORMAL, parse_math=False)
    axes.set_ylim(len(parts) - 0.45, -0.55)
    axes.tick_params(axis="y", length=0)
    axes.grid(False, axis="y")
    axes.grid(True, axis="x", color=ink.FAINT, linewidth=0.6)


def _shortened(words: str, most: int = 30) -> str:
    return words if len(words) <= most else words[: most - 1].rstrip() + "…"


FIGURES: dict[str, Callable[[Result], Figure | None]] = {
    "planform": planform,
    "span_trade": span_trade,
    "handling": handling,
    "weight_range": weight_range,
    "speed": speed,
    "watts": watts,
    "drag": drag,
    "masses": masses,
    "loading": loading,
    "structure_span": structure_span,
    "control": control,
}


def as_bytes(figure: Figure, form: str) -> bytes:
    """Return a figure as "svg" or "png" bytes, the same for the same figure: no date, no random names."""
    metadata = {"svg": {"Date": None, "Creator": "tradestudy"}, "png": {"Software": None}}[form]
    written = BytesIO()
    with (
        matplotlib.rc_context({"svg.hashsalt": "tradestudy", "svg.fonttype": "path"}),
        warnings.catch_warnings(),
    ):
        # a part named in a script that the letter lacks is drawn as boxes; the page's tables spell it
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")
        figure.savefig(written, format=form, dpi=DOTS, metadata=metadata, facecolor=figure.get_facecolor())
    return written.getvalue()


def save_figure(figure: Figure, stem: Path) -> list[Path]:
    """Write one figure as SVG and PNG; return the files written."""
    return [write_atomically(stem.with_name(f"{stem.name}.{form}"), as_bytes(figure, form)) for form in ("svg", "png")]


def save_all(result: Result, folder: str | Path) -> list[Path]:
    """Write every figure the Result allows as SVG and PNG into a folder; return the files written."""
    place = Path(folder)
    files = []
    for name, draw in FIGURES.items():
        figure = draw(result)
        for form in ("svg", "png") if figure else ():
            files.append(write_atomically(place / f"{name}.{form}", as_bytes(figure, form)))  # type: ignore[arg-type]
    return files
