"""Figures of the study's measure against span and against weight, with the limits that are active for each wing."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from string import ascii_uppercase

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Text

from tradestudy.report.words.phrases import choice_words, complete_designs, number_text, stopping_limits
from tradestudy.report.words.purpose import front_axes, knee_wing, measure
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from . import style

_ROW = 0.36  # inches, height of one row of dots
_SAME_PLACE = 15.0  # points of type; wings of the front drawn closer together share a label
# A stock wing that lies below all others by more than this many ranges (largest minus smallest) is named at the edge.
_STOCK_WITHIN = 2.0

DotRows = list[tuple[str, list[bool]]]  # each row: its words, and for each wing whether they hold


def span_trade_figure(result: Result) -> Figure | None:
    """Return the figure of the span trade, or None with fewer than two points.

    It shows the study's measure, weight, stall speed and active limits against span.
    """
    known = measure(result)
    points = complete_designs(result.span_trade, "span_mm", known.key, "auw_g", "stall_speed_kmh")
    if len(points) < 2:
        return None
    rows = limit_rows(points, result)
    figure, (top, weight, stall, *below) = _stacked([2.5, 0.95, 0.95], [len(rows)])
    span = _values(points, "span_mm")
    recommended = [wing for wing in (result.recommended,) if wing]
    top.set_xlim(*style.axis_limits(_values([*points, result.stock, *recommended], "span_mm"), 0.05))
    stock_span = result.stock.numbers.span_mm
    for axes, key, name in (
        (top, known.key, f"{known.axis} [{known.unit}]"),
        (weight, "auw_g", "flying weight [g]"),
        (stall, "stall_speed_kmh", "stall speed [km/h]"),
    ):
        values, stock_value = _values(points, key), getattr(result.stock.numbers, key)
        style.curve(axes, span, values, style.STRETCHED_LINE, f"points {key}", "none", marker="o", markersize=5)
        for wings in _with_one_pack(points):
            style.curve(axes, _values(wings, "span_mm"), _values(wings, key), style.STRETCHED_LINE, f"line {key}")
        style.mark(axes, stock_span, stock_value, "s", 6, style.STOCK_LINE, f"stock {key}")
        shown = [*values, *_values(recommended, key)]
        if axes is not top or not stock_far_below(result, points):
            shown.append(stock_value)
        low, high = style.axis_limits(shown, 0.15)
        # the top panel is higher to hold the name of the band
        axes.set_ylim(low, high + (0.14 * (high - low) if axes is top else 0.0))
        style.name_axes(axes, up=name)
    for axes in (weight, stall):
        axes.locator_params(axis="y", nbins=4)
    written = [*_band(top, result), *_stock_at_edge(top, result, points)]
    if result.recommended:
        for axes in (top, weight, stall, *below):
            axes.axvline(result.recommended.numbers.span_mm, color=style.MARK, linewidth=1.2, zorder=1,
                         gid="recommended span")  # fmt: skip
        _ring(top, result.recommended.numbers.span_mm, getattr(result.recommended.numbers, known.key))
    style.label_points(top, _trade_labels(result, points), avoid=written)
    for axes in below:
        dot_rows(axes, span, rows, "what limits each wing", style.LIMIT)
    style.name_axes((below or [stall])[0], along="span [mm]")
    return figure


def _with_one_pack(points: Sequence[Design]) -> list[list[Design]]:
    """Return groups of neighbouring wings with the same pack. No curve joins two groups, as no pack lies between."""
    packs = groupby(points, key=lambda wing: (wing.choices.series, wing.choices.parallel, wing.choices.pack))
    return [list(wings) for _, wings in packs]


def weight_range_figure(result: Result) -> Figure | None:
    """Return the figure of the front, such as range against flying weight, or None without a front.

    Its wings have letters and are described below.
    """
    up, along = front_axes(result)
    points = complete_designs(result.front, along.key, up.key)
    if len(points) < 2:
        return None
    limiting, choices = limit_rows(points, result), choice_rows(points)
    figure, (top, *below) = _stacked([3.6], [len(choices), len(limiting)], shared=False)
    across, height = _values(points, along.key), _values(points, up.key)
    steps = complete_designs(result.steps, along.key, up.key)
    single = complete_designs([wing for wing in (result.stock, result.recommended) if wing], along.key, up.key)
    shown = [*points, *steps, *single]
    top.set_xlim(*style.axis_limits(_values(shown, along.key), 0.08))
    top.set_ylim(*style.axis_limits(_values(shown, up.key), 0.12))
    style.curve(top, across, height, style.STRETCHED_LINE, "front", marker="o", markersize=5)

    def place(design: Design) -> tuple[float, float]:
        return getattr(design.numbers, along.key), getattr(design.numbers, up.key)

    def label(design: Design, name: str, colour: str, side: int = 0) -> style.Label:
        x, y = place(design)
        words = f"{name} {number_text(x)} {along.unit}, {number_text(y)} {up.unit}"
        return style.Label(x, y, words, colour, side)

    labels = []
    if result.stock in single:
        style.mark(top, *place(result.stock), "s", 6, style.STOCK_LINE, f"point {result.stock.label}", zorder=4)
        labels.append(label(result.stock, "stock wing", style.STOCK_LINE))
    for step in steps:
        style.mark(top, *place(step), "D", 6, style.LIMIT, f"point {step.label}", zorder=4)
        labels.append(label(step, step.label, style.LIMIT))
    bend = knee_wing(result)
    if bend and bend in points:
        style.mark(top, *place(bend), "o", 9, style.STRETCHED_LINE, "knee")
        labels.insert(0, label(bend, "knee", style.STRETCHED_LINE, 1))
    if result.recommended and result.recommended in single:
        _ring(top, *place(result.recommended))
        labels.insert(0, label(result.recommended, "recommended", style.MARK, 1))
    letters = [letter_of(index) for index in range(len(points))]
    style.label_points(top, [*labels, *_letter_labels(top, across, height, letters)])
    style.name_axes(top, along=along.named(), up=up.named())
    groups = [
        (choices, "what each wing is built with", style.STRETCHED_LINE),
        (limiting, "what limits each wing", style.LIMIT),
    ]
    for axes, (rows, title, colour) in zip(below, [group for group in groups if group[0]], strict=True):
        columns = list(range(len(points)))
        axes.set_xlim(-0.45, len(points) - 0.55)
        dot_rows(axes, columns, rows, title, colour)
        axes.set_xticks(columns, letters)
        axes.tick_params(length=0)
        axes.spines["bottom"].set_visible(False)
    return figure


def _letter_labels(
    axes: Axes, across: Sequence[float], up: Sequence[float], letters: Sequence[str]
) -> list[style.Label]:
    """Return a label with a letter for every point. Points that are close together share one label, such as A-D."""
    places = axes.transData.transform(list(zip(across, up, strict=True))) * 72 / axes.figure.dpi
    groups: list[list[int]] = []
    for index, place in enumerate(places):
        if groups and np.hypot(*(place - places[groups[-1][0]])) < _SAME_PLACE:
            groups[-1].append(index)
        else:
            groups.append([index])
    labels = []
    for group in groups:
        middle = group[len(group) // 2]
        words = letters[group[0]] + (f"–{letters[group[-1]]}" if len(group) > 1 else "")
        labels.append(style.Label(across[middle], up[middle], words, style.STRETCHED_LINE))
    return labels


def limit_rows(points: Sequence[Design], result: Result) -> DotRows:
    """Return (limit in words, whether each point is limited by it) for every active limit, in order of appearance."""
    return _rows([stopping_limits(entry, result) for entry in points])


def choice_rows(points: Sequence[Design]) -> DotRows:
    """Return (part in words, whether each point has it) for every part that not all points have."""
    choices = [choice_words(entry).split(", ") if choice_words(entry) else [] for entry in points]
    kinds = {words: kind for words_of_point in choices for kind, words in enumerate(words_of_point)}
    rows = [row for row in _rows(choices) if not all(row[1])]
    return sorted(rows, key=lambda row: kinds[row[0]])


def _rows(words_of_points: list[list[str]]) -> DotRows:
    names = list(dict.fromkeys(words for words_of_point in words_of_points for words in words_of_point))
    return [(name, [name in words_of_point for words_of_point in words_of_points]) for name in names]


def dot_rows(axes: Axes, along: Sequence[float], rows: DotRows, title: str, colour: str) -> None:
    """Draw a line of dots for every row, with its name above. A dot is filled if the row's words hold for that wing."""
    axes.set_ylim(len(rows) - 0.4, -0.75)
    axes.set_yticks([])
    axes.grid(False)
    axes.spines["left"].set_visible(False)
    start = axes.get_xlim()[0]
    for row, (words, hit) in enumerate(rows):
        axes.plot(
            along,
            [row] * len(along),
            linestyle="-",
            color=style.FAINT,
            linewidth=0.8,
            marker="o",
            markersize=3,
            markerfacecolor=style.PAPER,
            markeredgecolor=style.STOCK_FILL,
            zorder=1,
        )
        axes.plot(
            [x for x, yes in zip(along, hit, strict=True) if yes],
            [row] * sum(hit),
            linestyle="none",
            marker="o",
            markersize=6,
            color=colour,
            gid=f"row {words}",
        )
        style.write(axes, start, row - 0.2, words, va="bottom", bbox=_patch(style.PAPER))
    axes.set_title(title, fontsize=style.NORMAL, color=style.INK, loc="left", pad=7)


def stock_far_below(result: Result, points: Sequence[Design]) -> bool:
    """Return whether the stock wing is so far below that including it would squeeze the curve flat."""
    key = measure(result).key
    values = _values(points, key)
    spread = max(max(values) - min(values), 1e-6)
    return min(values) - getattr(result.stock.numbers, key) > _STOCK_WITHIN * spread


def _stacked(panels: list[float], counts: list[int], shared: bool = True) -> tuple[Figure, list[Axes]]:
    """Return a figure with panels of the given heights in inches, and one more for each nonzero count of dot rows."""
    heights = [*panels, *(count * _ROW for count in counts if count)]
    gap = 0.36 if shared else 0.76
    figure, axes = style.new_figure(
        sum(heights) + gap * (len(heights) - 1) + 0.95, heights, left=0.62, top=0.4, gap=gap, shared=shared
    )
    return figure, axes


def _trade_labels(result: Result, points: Sequence[Design]) -> list[style.Label]:
    labels, known = [], measure(result)
    if result.recommended:
        span, gain = (getattr(result.recommended.numbers, key) for key in ("span_mm", known.key))
        labels.append(
            style.Label(
                span, gain, f"recommended {number_text(span)} mm, {number_text(gain)} {known.unit}", style.MARK, 1
            )
        )
    if not stock_far_below(result, points):
        labels.append(
            style.Label(
                result.stock.numbers.span_mm, getattr(result.stock.numbers, known.key), "stock wing", style.STOCK_LINE
            )
        )
    return labels


def _stock_at_edge(axes: Axes, result: Result, points: Sequence[Design]) -> list[Text]:
    """Write the name of a stock wing that is far below at the bottom edge, with an arrow pointing down."""
    if not stock_far_below(result, points):
        return []
    known, (low, _) = measure(result), axes.get_ylim()
    words = f" ↓ stock wing {number_text(getattr(result.stock.numbers, known.key))} {known.unit}, far below this scale"
    return [
        style.write(
            axes,
            result.stock.numbers.span_mm,
            low,
            words,
            color=style.STOCK_LINE,
            va="bottom",
            ha="left",
            bbox=_patch(style.BAND if result.band else style.PAPER),
        )
    ]


def _values(points: Sequence[Design], key: str) -> list[float]:
    return [float(getattr(entry.numbers, key)) for entry in points]


def letter_of(index: int) -> str:
    """Return the letter of the wing with this index: A to Z, then A2, B2 and so on."""
    turn, place = divmod(index, len(ascii_uppercase))
    return ascii_uppercase[place] + (str(turn + 1) if turn else "")


def _ring(axes: Axes, x: float, y: float) -> None:
    style.mark(axes, x, y, "o", 10, style.MARK, "recommended", markerfacecolor="none", markeredgewidth=1.8, zorder=5)


def _band(axes: Axes, result: Result) -> list[Text]:
    if not result.band:
        return []
    left, right = axes.get_xlim()
    start, stop = max(result.band.low_mm, left), min(result.band.high_mm, right)
    axes.axvspan(start, stop, color=style.BAND, zorder=0, linewidth=0, gid="flat band")
    low, high = axes.get_ylim()
    return [
        style.write(
            axes,
            0.5 * (start + stop),
            high - 0.02 * (high - low),
            "within 2 % of the best",
            ha="center",
            va="top",
            color=style.QUIET,
            bbox=_patch(style.BAND),
        )
    ]


def _patch(colour: str) -> dict[str, object]:
    """Return the settings of a plain background, which keeps lines from crossing words."""
    return {"facecolor": colour, "edgecolor": "none", "pad": 0.8}
