"""The figure of the front of several quantities: a lettered point for each build, its price, its payload and parts."""

from __future__ import annotations

from textwrap import wrap

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from tradestudy.report.builds_words import build_with_panels, front_build_axes
from tradestudy.report.words.phrases import letter_of, number_text
from tradestudy.report.words.purpose import FrontAxis
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from . import style

_PLANE, _BARS, _GAP = 3.2, 1.2, 0.72  # inches
_LINE = 0.19  # inches, height of a line of the key to the letters
_LETTERS_PER_INCH = 12.5  # of the key, in small type


def builds_figure(result: Result, width: float = style.WIDTH) -> Figure | None:
    """Return the figure, or None with fewer than two builds.

    Bars show the third quantity, if there is one, and what each build carries, if that is known of all.
    """
    points, quantities = result.builds, front_build_axes(result)
    if all(one.numbers.most_payload_g is not None for one in points):
        quantities = [*quantities, FrontAxis("most_payload_g", "carries", "g")]
    if len(points) < 2 or any(getattr(one.numbers, each.key) is None for one in points for each in quantities):
        return None
    up, along, *more = quantities
    letters = [letter_of(index) for index in range(len(points))]
    key = _key(result, points, letters, int(_LETTERS_PER_INCH * (width - 0.9)))
    heights = [_PLANE, *([_BARS] * len(more)), _LINE * len(key)]
    height = sum(heights) + _GAP * (len(heights) - 1) + 0.6
    figure, (top, *below, last) = style.new_figure(
        height, heights, left=0.62, top=0.4, bottom=0.15, gap=_GAP, shared=False, width=width
    )
    _plane(top, result, points, letters, up, along)
    for axes, quantity in zip(below, more, strict=True):
        _bars(axes, points, letters, quantity)
    last.set_axis_off()
    last.set_xlim(0, 1)
    last.set_ylim(len(key), 0)
    for place, words in enumerate(key):
        style.write(last, 0.0, place + 0.5, words, va="center", clip_on=False)
    return figure


def _key(result: Result, points: list[Design], letters: list[str], most: int) -> list[str]:
    """Return the lines that tell the parts of each build, with at most so many letters in a line."""
    lines: list[str] = []
    for letter, one in zip(letters, points, strict=True):
        knee = " (knee)" if one.label == "knee" else ""
        lines += wrap(f"{letter}{knee}: {build_with_panels(one, result)}", most, subsequent_indent="     ")
    return lines


def _plane(
    axes: Axes, result: Result, points: list[Design], letters: list[str], up: FrontAxis, along: FrontAxis
) -> None:
    """Draw the builds over two quantities, with the stock wing. The knee is a larger dot."""
    across = [float(getattr(one.numbers, along.key)) for one in points]
    height = [float(getattr(one.numbers, up.key)) for one in points]
    stock = [getattr(result.stock.numbers, quantity.key) for quantity in (along, up)]
    has_stock = None not in stock
    axes.set_xlim(*style.axis_limits([*across, *([stock[0]] if has_stock else [])], 0.08))
    axes.set_ylim(*style.axis_limits([*height, *([stock[1]] if has_stock else [])], 0.12))
    style.curve(axes, across, height, style.STRETCHED_LINE, "builds", "none", marker="o", markersize=6)
    labels = []
    for letter, one, x, y in zip(letters, points, across, height, strict=True):
        if one.label == "knee":
            style.mark(axes, x, y, "o", 10, style.STRETCHED_LINE, "knee of builds")
        labels.append(style.Label(x, y, letter, style.STRETCHED_LINE))
    if has_stock:
        style.mark(axes, float(stock[0]), float(stock[1]), "s", 6, style.STOCK_LINE, "stock wing")
        labels.append(style.Label(float(stock[0]), float(stock[1]), "stock wing", style.STOCK_LINE))
    style.label_points(axes, labels)
    style.name_axes(axes, along=along.named(), up=up.named())


def _bars(axes: Axes, points: list[Design], letters: list[str], quantity: FrontAxis) -> None:
    """Draw a bar with its number for each build."""
    values = [float(getattr(one.numbers, quantity.key)) for one in points]
    columns = list(range(len(points)))
    axes.bar(columns, values, width=0.55, color=style.PACK_FILL, gid=f"bars {quantity.key}")
    axes.set_xlim(-0.6, len(points) - 0.4)
    axes.set_ylim(min(0.0, 1.2 * min(values)), 1.2 * max(*values, 1e-9))
    digits = 0 if max(values) >= 100 or len(values) > 8 else quantity.digits
    for column, value in zip(columns, values, strict=True):
        style.write(axes, column, value, number_text(value, digits), ha="center", va="bottom")
    axes.set_xticks(columns, letters)
    axes.tick_params(axis="x", length=0)
    style.name_axes(axes, up=quantity.named())
