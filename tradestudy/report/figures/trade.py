"""What span and weight buy: range, radius or time against both, each wing with what stops it."""

from __future__ import annotations

from collections.abc import Sequence
from string import ascii_uppercase

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Text

from tradestudy.report.words.phrases import choice_words, complete_designs, number_text, stopping_limits
from tradestudy.report.words.purpose import FrontAxis, front_axes, knee, measure
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from . import drawing as ink

ROW = 0.36  # inches for one line of dots
TOGETHER = 15.0  # points of type: wings of the front drawn closer than this share a label
STOCK_WITHIN = 2.0  # times the spread of the trade: a stock wing further below is told at the edge

Rows = list[tuple[str, list[bool]]]  # words, and the wings they hold for


def span_trade(result: Result) -> Figure | None:
    """Return gain, weight, stall speed and what stops each wing over one span axis; None without points."""
    known = measure(result)
    points = complete_designs(result.span_trade, "span_mm", known.key, "auw_g", "stall_speed_kmh")
    if len(points) < 2:
        return None
    rows = limit_rows(points, result)
    figure, (top, weight, stall, *why) = _stacked([2.5, 0.95, 0.95], [len(rows)])
    span = _values(points, "span_mm")
    best_known = [wing for wing in (result.recommended,) if wing]
    top.set_xlim(*ink.axis_limits(_values([*points, result.stock, *best_known], "span_mm"), 0.05))
    for axes, key, name in (
        (top, known.key, f"{known.axis} [{known.unit}]"),
        (weight, "auw_g", "flying weight [g]"),
        (stall, "stall_speed_kmh", "stall speed [km/h]"),
    ):
        values = _values(points, key)
        axes.plot(span, values, color=ink.STRETCHED, linewidth=1.8, marker="o", markersize=5, gid=f"points {key}")
        axes.plot(
            [result.stock.numbers.span_mm],
            [getattr(result.stock.numbers, key)],
            marker="s",
            markersize=6,
            linestyle="none",
            color=ink.STOCK,
            gid=f"stock {key}",
        )
        shown = [*values, *_values(best_known, key)]
        if axes is not top or not stock_far_below(result, points):
            shown.append(getattr(result.stock.numbers, key))
        low, high = ink.axis_limits(shown, 0.15)
        axes.set_ylim(low, high + (0.14 * (high - low) if axes is top else 0.0))  # room for the band's name
        ink.name_axes(axes, up=name)
    for axes in (weight, stall):
        axes.locator_params(axis="y", nbins=4)
    placed = [*_band(top, result), *_stock_at_edge(top, result, points)]
    _recommended(result, (top, weight, stall, *why))
    ink.label_points(top, _trade_labels(result, points), avoid=placed)
    for axes in why:
        dot_rows(axes, span, rows, "what stops each wing", ink.LIMIT)
    ink.name_axes((why or [stall])[0], along="span [mm]")
    return figure


def weight_range(result: Result) -> Figure | None:
    """Return the front, such as gain against flying weight, its wings lettered and told apart below; None without."""
    up, along = front_axes(result)
    points = complete_designs(result.front, along.key, up.key)
    if len(points) < 2:
        return None
    stopped, bought = limit_rows(points, result), choice_rows(points)
    figure, (top, *below) = _stacked([3.6], [len(bought), len(stopped)], shared=False)
    across, height = _values(points, along.key), _values(points, up.key)
    steps = complete_designs(result.steps, along.key, up.key)
    single = complete_designs([result.stock, *([result.recommended] if result.recommended else [])], along.key, up.key)
    shown = [*points, *steps, *single]
    top.set_xlim(*ink.axis_limits(_values(shown, along.key), 0.08))
    top.set_ylim(*ink.axis_limits(_values(shown, up.key), 0.12))
    top.plot(across, height, color=ink.STRETCHED, linewidth=1.8, marker="o", markersize=5, gid="front")
    labels = []
    for entry, mark, colour in [
        *((entry, "s", ink.STOCK) for entry in single if entry is result.stock),
        *((step, "D", ink.LIMIT) for step in steps),
    ]:
        place = getattr(entry.numbers, along.key), getattr(entry.numbers, up.key)
        top.plot(
            [place[0]],
            [place[1]],
            marker=mark,
            markersize=6,
            linestyle="none",
            color=colour,
            zorder=4,
            gid=f"point {entry.label}",
        )
        name = "stock wing" if entry is result.stock else entry.label
        labels.append(ink.Label(*place, f"{name} {_place_words(place, along, up)}", colour))
    bend = knee(result)
    if bend in points:
        place = getattr(bend.numbers, along.key), getattr(bend.numbers, up.key)
        top.plot([place[0]], [place[1]], "o", markersize=9, color=ink.STRETCHED, gid="knee")
        labels.insert(0, ink.Label(*place, f"knee {_place_words(place, along, up)}", ink.STRETCHED, 1))
    if result.recommended in single:
        place = getattr(result.recommended.numbers, along.key), getattr(result.recommended.numbers, up.key)
        _ring(top, *place)
        labels.insert(0, ink.Label(*place, f"recommended {_place_words(place, along, up)}", ink.MARK, 1))
    letters = [letter_of(index) for index in range(len(points))]
    ink.label_points(top, [*labels, *_letter_labels(top, across, height, letters)])
    ink.name_axes(top, along=along.named(), up=up.named())
    groups = [
        (bought, "what each wing is built with", ink.STRETCHED),
        (stopped, "what stops each wing", ink.LIMIT),
    ]
    for axes, (rows, title, colour) in zip(below, [group for group in groups if group[0]], strict=True):
        columns = list(range(len(points)))
        axes.set_xlim(-0.45, len(points) - 0.55)
        dot_rows(axes, columns, rows, title, colour)
        axes.set_xticks(columns, letters)
        axes.tick_params(length=0)
        axes.spines["bottom"].set_visible(False)
    return figure


def _place_words(place: tuple[float, float], along: FrontAxis, up: FrontAxis) -> str:
    return f"{number_text(place[0])} {along.unit}, {number_text(place[1])} {up.unit}"


def _letter_labels(axes: Axes, across: Sequence[float], up: Sequence[float], letters: Sequence[str]) -> list[ink.Label]:
    """Return a letter for every point; points too close for a letter each share one label, such as A-D."""
    places = axes.transData.transform(list(zip(across, up, strict=True))) * 72 / axes.figure.dpi
    groups: list[list[int]] = []
    for index, place in enumerate(places):
        if groups and np.hypot(*(place - places[groups[-1][0]])) < TOGETHER:
            groups[-1].append(index)
        else:
            groups.append([index])
    labels = []
    for group in groups:
        middle = group[len(group) // 2]
        words = letters[group[0]] + (f"–{letters[group[-1]]}" if len(group) > 1 else "")
        labels.append(ink.Label(across[middle], up[middle], words, ink.STRETCHED))
    return labels


def limit_rows(points: Sequence[Design], result: Result) -> Rows:
    """Return (words, which points it stops) for every limit that stops any, in the order first met."""
    return _rows([stopping_limits(entry, result) for entry in points])


def choice_rows(points: Sequence[Design]) -> Rows:
    """Return (words, which points have it) for every part that not all points are built with."""
    told = [choice_words(entry).split(", ") if choice_words(entry) else [] for entry in points]
    kinds = {words: kind for words_of_point in told for kind, words in enumerate(words_of_point)}
    rows = [row for row in _rows(told) if not all(row[1])]
    return sorted(rows, key=lambda row: kinds[row[0]])


def _rows(told: list[list[str]]) -> Rows:
    names = list(dict.fromkeys(words for words_of_point in told for words in words_of_point))
    return [(name, [name in words_of_point for words_of_point in told]) for name in names]


def dot_rows(axes: Axes, along: Sequence[float], rows: Rows, title: str, colour: str) -> None:
    """Draw a line of dots for every row, filled where it holds for that column's wing, its name above."""
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
            color=ink.FAINT,
            linewidth=0.8,
            marker="o",
            markersize=3,
            markerfacecolor=ink.PAPER,
            markeredgecolor=ink.STOCK_FILL,
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
        ink.write(axes, start, row - 0.2, words, va="bottom", bbox=_patch(ink.PAPER))
    axes.set_title(title, fontsize=ink.NORMAL, color=ink.INK, loc="left", pad=7)


def stock_far_below(result: Result, points: Sequence[Design]) -> bool:
    """Return whether drawing the stock wing's gain would flatten the trade beyond reading."""
    key = measure(result).key
    values = _values(points, key)
    spread = max(max(values) - min(values), 1e-6)
    return min(values) - getattr(result.stock.numbers, key) > STOCK_WITHIN * spread


def _stacked(panels: list[float], counts: list[int], shared: bool = True) -> tuple[Figure, list[Axes]]:
    """Return panels of the given heights in inches and one more for each count of dot rows but zero."""
    heights = [*panels, *(count * ROW for count in counts if count)]
    gap = 0.36 if shared else 0.76
    figure, axes = ink.new_figure(
        sum(heights) + gap * (len(heights) - 1) + 0.95, heights, left=0.62, top=0.4, gap=gap, shared=shared
    )
    return figure, axes


def _trade_labels(result: Result, points: Sequence[Design]) -> list[ink.Label]:
    labels, known = [], measure(result)
    if result.recommended:
        span, gain = (getattr(result.recommended.numbers, key) for key in ("span_mm", known.key))
        labels.append(
            ink.Label(span, gain, f"recommended {number_text(span)} mm, {number_text(gain)} {known.unit}", ink.MARK, 1)
        )
    if not stock_far_below(result, points):
        labels.append(
            ink.Label(result.stock.numbers.span_mm, getattr(result.stock.numbers, known.key), "stock wing", ink.STOCK)
        )
    return labels


def _stock_at_edge(axes: Axes, result: Result, points: Sequence[Design]) -> list[Text]:
    """Tell of a stock wing far below at the bottom edge, with an arrow down."""
    if not stock_far_below(result, points):
        return []
    known, (low, _) = measure(result), axes.get_ylim()
    words = f" ↓ stock wing {number_text(getattr(result.stock.numbers, known.key))} {known.unit}, far below this scale"
    return [
        ink.write(
            axes,
            result.stock.numbers.span_mm,
            low,
            words,
            color=ink.STOCK,
            va="bottom",
            ha="left",
            bbox=_patch(ink.BAND if result.band else ink.PAPER),
        )
    ]


def _values(points: Sequence[Design], key: str) -> list[float]:
    return [float(getattr(entry.numbers, key)) for entry in points]


def letter_of(index: int) -> str:
    """A to Z, then A2 and so on."""
    turn, place = divmod(index, len(ascii_uppercase))
    return ascii_uppercase[place] + (str(turn + 1) if turn else "")


def _recommended(result: Result, every: Sequence[Axes]) -> None:
    if not result.recommended:
        return
    span = result.recommended.numbers.span_mm
    for axes in every:
        axes.axvline(span, color=ink.MARK, linewidth=1.2, zorder=1, gid="recommended span")
    _ring(every[0], span, getattr(result.recommended.numbers, measure(result).key))


def _ring(axes: Axes, x: float, y: float) -> None:
    axes.plot(
        [x],
        [y],
        marker="o",
        markersize=10,
        linestyle="none",
        markerfacecolor="none",
        markeredgecolor=ink.MARK,
        markeredgewidth=1.8,
        zorder=5,
        gid="recommended",
    )


def _band(axes: Axes, result: Result) -> list[Text]:
    if not result.band:
        return []
    left, right = axes.get_xlim()
    start, stop = max(result.band.low_mm, left), min(result.band.high_mm, right)
    axes.axvspan(start, stop, color=ink.BAND, zorder=0, linewidth=0, gid="flat band")
    low, high = axes.get_ylim()
    return [
        ink.write(
            axes,
            0.5 * (start + stop),
            high - 0.02 * (high - low),
            "within 2 % of the best",
            ha="center",
            va="top",
            color=ink.QUIET,
            bbox=_patch(ink.BAND),
        )
    ]


def _patch(colour: str) -> dict[str, object]:
    """A plain ground for words that a line would otherwise cross."""
    return {"facecolor": colour, "edgecolor": "none", "pad": 0.8}
