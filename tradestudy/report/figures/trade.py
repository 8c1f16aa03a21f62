"""Figures of the study's measure against span and against weight, with the parts of each wing."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import groupby
from textwrap import fill

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Text

from tradestudy.report.words.phrases import (
    choice_words,
    complete_designs,
    letter_of,
    number_text,
    violated_limit_words,
)
from tradestudy.report.words.purpose import front_axes, knee_wing, measure
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from . import style

_SAME_PLACE = 15.0  # points of type; wings of the front drawn closer together share a label
# A stock wing that lies below all others by more than this many ranges (largest minus smallest) is named at the edge.
_STOCK_WITHIN = 2.0
_LEAST_SPAN = 0.2  # least extent of an axis, as a share of its largest value: 2 % must not look like a cliff
_LINE, _SHORT_LINE = 34, 24  # letters in a line of a label; in a figure for a phone
_BRACKETED = re.compile(r" \([^()]*\)")


def span_trade_figure(result: Result, width: float = style.WIDTH) -> Figure | None:
    """Return the figure of the span trade, or None with fewer than two points.

    It shows the study's measure, weight and stall speed against span. Every pack has a line of its own, with its name.
    """
    known = measure(result)
    points = complete_designs(result.span_trade, "span_mm", known.key, "auw_g", "stall_speed_kmh")
    if len(points) < 2:
        return None
    figure, panels = style.new_figure(6.2, (2.6, 1, 1), left=0.62, top=0.4, gap=0.36, width=width)
    top = panels[0]
    span = _values(points, "span_mm")
    recommended = [wing for wing in (result.recommended,) if wing]
    top.set_xlim(*style.axis_limits(_values([*points, result.stock, *recommended], "span_mm"), 0.05))
    stock_span = result.stock.numbers.span_mm
    for axes, key, name in zip(
        panels,
        (known.key, "auw_g", "stall_speed_kmh"),
        (f"{known.axis} [{known.unit}]", "flying weight [g]", "stall speed [km/h]"),
        strict=True,
    ):
        values, stock_value = _values(points, key), getattr(result.stock.numbers, key)
        style.curve(axes, span, values, style.STRETCHED_LINE, f"points {key}", "none", marker="o", markersize=5)
        for wings in _with_one_pack(points):
            style.curve(axes, _values(wings, "span_mm"), _values(wings, key), style.STRETCHED_LINE, f"line {key}")
        style.mark(axes, stock_span, stock_value, "s", 6, style.STOCK_LINE, f"stock {key}")
        shown = [*values, *_values(recommended, key)]
        if axes is not top or not stock_far_below(result, points):
            shown.append(stock_value)
        low, high = style.axis_limits(shown, 0.15, least_span=_LEAST_SPAN)
        # the top panel is higher to hold the name of the band
        axes.set_ylim(low, high + (0.14 * (high - low) if axes is top else 0.0))
        style.name_axes(axes, up=name)
        if axes is not top:
            axes.locator_params(axis="y", nbins=4)
    written = [*_band(top, result), *_stock_at_edge(top, result, points)]
    if result.recommended:
        for axes in panels:
            axes.axvline(result.recommended.numbers.span_mm, color=style.MARK, linewidth=1.2, zorder=1,
                         gid="recommended span")  # fmt: skip
        _ring(top, result.recommended.numbers.span_mm, getattr(result.recommended.numbers, known.key))
    style.label_points(top, [*_trade_labels(result, points), *_pack_labels(points, known.key)], avoid=written)
    style.name_axes(panels[-1], along="span [mm]")
    return figure


def _with_one_pack(points: Sequence[Design]) -> list[list[Design]]:
    """Return groups of neighbouring wings with the same pack. No curve joins two groups, as no pack lies between."""
    packs = groupby(points, key=lambda wing: (wing.choices.series, wing.choices.parallel, wing.choices.pack))
    return [list(wings) for _, wings in packs]


def _pack_labels(points: Sequence[Design], key: str) -> list[style.Label]:
    """Return the name of the pack at the middle wing of every line."""
    labels = []
    for wings in _with_one_pack(points):
        middle = wings[len(wings) // 2].numbers
        words = _short(choice_words(wings[0]).partition(", ")[0])
        if words:
            labels.append(style.Label(middle.span_mm, float(getattr(middle, key)), words, style.STRETCHED_LINE, -1))
    return labels


def _short(words: str) -> str:
    """Return words without what stands in brackets, such as how the cells are laid. The table tells it."""
    return _BRACKETED.sub("", words)


def weight_range_figure(result: Result, width: float = style.WIDTH) -> Figure | None:
    """Return the figure of the front, such as range against flying weight, or None without a front.

    Its wings have letters and the parts in which they differ. Steps join them, since nothing lies between two of them.
    Other wings are grey, and those that break a limit are hollow and crossed.
    """
    up, along = front_axes(result)
    points = complete_designs(result.front, along.key, up.key)
    if len(points) < 2:
        return None
    figure, (axes,) = style.new_figure(5.4, left=0.62, top=0.4, width=width)
    across, height = _values(points, along.key), _values(points, up.key)
    steps = complete_designs(result.steps, along.key, up.key)
    others = complete_designs(result.alternatives, along.key, up.key)
    single = complete_designs([wing for wing in (result.stock, result.recommended) if wing], along.key, up.key)
    shown = [*points, *steps, *single, *others]
    axes.set_xlim(*style.axis_limits(_values(shown, along.key), 0.1, least_span=_LEAST_SPAN))
    axes.set_ylim(*style.axis_limits(_values(shown, up.key), 0.14, least_span=_LEAST_SPAN))
    fewer_is_better = result.traded is None or result.traded.against.sense < 0
    axes.step(across, height, where="post" if fewer_is_better else "pre", color=style.STRETCHED_LINE, linewidth=1.4,
              gid="front steps")  # fmt: skip
    style.curve(axes, across, height, style.STRETCHED_LINE, "front", "none", marker="o", markersize=5)

    def place(design: Design) -> tuple[float, float]:
        return getattr(design.numbers, along.key), getattr(design.numbers, up.key)

    def label(design: Design, name: str, colour: str, side: int = 0) -> style.Label:
        x, y = place(design)
        words = f"{name} {number_text(x)} {along.unit}, {number_text(y)} {up.unit}"
        return style.Label(x, y, words, colour, side)

    labels = []
    for other in others:
        style.mark(axes, *place(other), "o", 4, style.STOCK_FILL, "other wing", zorder=1)
    if others and width >= style.WIDTH:  # on a phone, the caption names them
        labels.append(style.Label(*place(others[-1]), "other wings", style.QUIET, -1))
    if result.stock in single:
        style.mark(axes, *place(result.stock), "s", 6, style.STOCK_LINE, f"point {result.stock.label}", zorder=4)
        labels.append(label(result.stock, "stock wing", style.STOCK_LINE))
    for step in steps:
        broken = violated_limit_words(step)
        style.mark(axes, *place(step), "D", 7, style.LIMIT, f"point {step.label}", zorder=4,
                   markerfacecolor="none" if broken else style.LIMIT)  # fmt: skip
        if broken:
            style.mark(axes, *place(step), "x", 9, style.LIMIT, f"breaks {step.label}", zorder=4)
        why = "\nbreaks " + fill(broken[0], _LINE if width >= style.WIDTH else _SHORT_LINE) if broken else ""
        each = label(step, step.label, style.LIMIT, -1 if broken else 0)
        labels.append(each._replace(words=each.words + why))
    bend = knee_wing(result)
    if bend and bend in points:
        style.mark(axes, *place(bend), "o", 9, style.STRETCHED_LINE, "knee")
        labels.insert(0, label(bend, "knee", style.STRETCHED_LINE, 1))
    if result.recommended and result.recommended in single:
        _ring(axes, *place(result.recommended))
        labels.insert(0, label(result.recommended, "recommended", style.MARK, 1))
    style.label_points(axes, [*labels, *_letter_labels(axes, points, across, height)])
    style.name_axes(axes, along=along.named(), up=up.named())
    return figure


def _letter_labels(
    axes: Axes, points: Sequence[Design], across: Sequence[float], up: Sequence[float]
) -> list[style.Label]:
    """Return a label with letter and parts for every point.

    Points that are close together share one label, such as A-D. Parts that all points have are not named, nor those of
    the label before.
    """
    places = axes.transData.transform(list(zip(across, up, strict=True))) * 72 / axes.figure.dpi
    parts = _differing_parts(points)
    groups: list[list[int]] = []
    for index, place in enumerate(places):
        near = groups and np.hypot(*(place - places[groups[-1][0]])) < _SAME_PLACE
        if near and parts[index] == parts[groups[-1][0]]:
            groups[-1].append(index)
        else:
            groups.append([index])
    labels, last = [], ""
    for group in groups:
        middle = group[len(group) // 2]
        words = letter_of(group[0]) + (f"–{letter_of(group[-1])}" if len(group) > 1 else "")
        if parts[middle] and parts[middle] != last:
            words, last = f"{words}: {parts[middle]}", parts[middle]
        labels.append(style.Label(across[middle], up[middle], words, style.STRETCHED_LINE, -1))
    return labels


def _differing_parts(points: Sequence[Design]) -> list[str]:
    """Return the parts of each wing that not all of them have, in words."""
    all_parts = [choice_words(point).split(", ") for point in points]
    return [_short(", ".join(each for each in parts if not all(each in other for other in all_parts)))
            for parts in all_parts]  # fmt: skip


def stock_far_below(result: Result, points: Sequence[Design]) -> bool:
    """Return whether the stock wing is so far below that including it would squeeze the curve flat."""
    key = measure(result).key
    values = _values(points, key)
    spread = max(max(values) - min(values), 1e-6)
    return min(values) - getattr(result.stock.numbers, key) > _STOCK_WITHIN * spread


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
