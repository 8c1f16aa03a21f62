"""A grid of designs as lines: over one axis, and over two if one of them has few values.

Lines are solid where every limit is met, and faint where one is broken. A marker says which limit ends a line.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from tradestudy.quantities import exact
from tradestudy.report.figures import style
from tradestudy.results.grid_result import GridAxis, GridResult, GridStock

from .grid_legend import Entry, LimitLook, draw_legend, legend_layout, limit_entries, limit_looks, marker_handle

_LEAST_SPAN = 0.2  # least extent of the upright axis, as a share of its largest value
_COLOURS = (style.STRETCHED_LINE, style.MARK, style.LIMIT, "#3f7d4e", "#8a7300", style.STOCK_LINE)
_LINES = ("-", "--", "-.", (0, (5, 1, 1, 1, 1, 1)), (0, (1, 1)), (0, (7, 2)))


def grid_table_of(result: GridResult, key: str) -> np.ndarray:
    """Return the column ``key`` as an array (n1, n2, n3), nan where unknown; axes that a grid lacks have length 1."""
    values = [getattr(point, key) for point in result.points]
    is_text = key in ("limit_words", "parts")
    if not is_text:
        values = [np.nan if value is None else float(value) for value in values]
    shape = [len(axis.values) for axis in result.axes]
    return np.array(values, dtype=object if is_text else float).reshape(*shape, *[1] * (3 - len(shape)))


def axis_places(axis: GridAxis) -> np.ndarray:
    """Return the plotted positions of an axis's values: the values, or 0, 1, 2 ... for parts sold in steps."""
    return np.arange(len(axis.values), dtype=float) if axis.steps else np.array(axis.values, dtype=float)


def axis_name(axis: GridAxis) -> str:
    """Return the name of an axis with its unit."""
    return f"{axis.words} [{axis.unit}]" if axis.unit else axis.words


def set_ticks(axes: Axes, axis: GridAxis, upright: bool) -> None:
    """Name the values of an axis of parts."""
    if axis.steps:
        which = axes.yaxis if upright else axes.xaxis
        which.set_ticks(axis_places(axis), [_value(value) for value in axis.values])


def _value(value: object) -> str:
    return value if isinstance(value, str) else f"{value:g}"


def line_figure(result: GridResult, width: float = style.WIDTH) -> Figure:
    """Return the figure of a grid of one axis, or of two as one line for each value of the second."""
    along, across, swapped = _roles(result)
    looks = limit_looks(result)
    entries = [*_wing_entries(result, along), *limit_entries(looks, "ends here: ", as_markers=True)]
    entries, columns, tall = legend_layout(entries, width)
    figure, (axes,) = style.new_figure(
        0.55 * width + 0.5 + tall, left=0.62, right=0.2, top=0.45, bottom=0.5 + tall, width=width
    )
    x = axis_places(along)
    tables = {key: grid_table_of(result, key)[:, :, 0] for key in ("gain", "met", "limit_words")}
    if swapped:
        tables = {key: table.T for key, table in tables.items()}
    gain = tables["gain"]
    known = gain[np.isfinite(gain)]
    room = 0.2 if across is not None else 0.02
    axes.set_xlim(*style.axis_limits(x, 0.03))
    axes.set_xlim(axes.get_xlim()[0], axes.get_xlim()[1] + room * np.ptp(x))
    axes.set_ylim(*_limits(known))
    labels = []
    for column in range(gain.shape[1]):
        name = "" if across is None else f"{across.words} {_value(across.values[column])} {across.unit}".rstrip()
        line = gain[:, column], tables["met"][:, column] > 0.5, tables["limit_words"][:, column]
        _line(axes, x, *line, column, name, looks)
        there = np.flatnonzero(np.isfinite(line[0]) & line[1])
        if name and there.size:
            end = int(there[-1])
            colour = _COLOURS[column % len(_COLOURS)]
            labels.append(style.Label(float(x[end]), float(line[0][end]), name, colour))
    _wings(axes, result, along, swapped)
    axes.set_xticks([tick for tick in axes.get_xticks() if x[0] - 0.03 * np.ptp(x) <= tick <= x[-1] + 0.03 * np.ptp(x)])
    set_ticks(axes, along, False)
    style.name_axes(axes, axis_name(along), f"{result.gain_words} [{result.gain_unit}], faint where a limit is broken")
    axes.yaxis.set_label_coords(-0.5 / (width - 0.82), 1.02)
    style.label_points(axes, labels)
    draw_legend(figure, entries, columns)
    return figure


def _roles(result: GridResult) -> tuple[GridAxis, GridAxis | None, bool]:
    """Return the axis along which lines run, the one with a value for each line, and whether they are swapped."""
    if len(result.axes) == 1:
        return result.axes[0], None, False
    first, second = result.axes
    swapped = first.steps or (not second.steps and len(second.values) > len(first.values))
    return (second, first, True) if swapped else (first, second, False)


def _line(
    axes: Axes,
    x: np.ndarray,
    gain: np.ndarray,
    met: np.ndarray,
    words: np.ndarray,
    column: int,
    name: str,
    looks: dict[str, LimitLook],
) -> None:
    """Draw one line, and a marker on each first design beyond an end of its part that meets every limit."""
    colour, dashes = _COLOURS[column % len(_COLOURS)], _LINES[column % len(_LINES)]
    suffix = f" {name}" if name else ""
    axes.plot(x, gain, color=colour, linewidth=0.9, alpha=0.4, linestyle=dashes, gid=f"all{suffix}")
    held = np.where(met, gain, np.nan)
    axes.plot(x, held, color=colour, linewidth=2.0, linestyle=dashes, marker="o", markersize=3.5, gid=f"met{suffix}")
    for index in range(len(x)):
        near = [other for other in (index - 1, index + 1) if 0 <= other < len(x)]
        if met[index] or not np.isfinite(gain[index]) or not any(met[other] for other in near):
            continue
        look = looks[words[index]]
        style.mark(axes, x[index], gain[index], look.marker, 7, look.dark, f"ends{suffix}", zorder=5)


def _marked(result: GridResult) -> list[tuple[str, str, str, GridStock]]:
    found = [("recommended", "*", style.MARK, result.recommended), ("stock", "s", style.STOCK_LINE, result.stock)]
    return [(name, marker, colour, wing) for name, marker, colour, wing in found if wing is not None]


def _at(along: GridAxis, wing: GridStock, swapped: bool) -> float | None:
    """Return the place of a wing along the lines, or None if it lies beyond them."""
    value, places = wing.values[1 if swapped else 0], axis_places(along)
    if value is None:  # a key that the study does not hold
        return None
    if along.steps:
        return float(places[along.values.index(value)]) if value in along.values else None
    return float(value) if places[0] <= float(value) <= places[-1] else None


def _limits(gains: Iterable[float]) -> tuple[float, float]:
    """Return the ends of the upright axis. A small difference of the gains looks small on it."""
    known = [float(gain) for gain in gains]
    return style.axis_limits(known, 0.1, least_span=_LEAST_SPAN) if known else (0.0, 1.0)


def _wings(axes: Axes, result: GridResult, along: GridAxis, swapped: bool) -> None:
    low, high = axes.get_ylim()
    for name, marker, colour, wing in _marked(result):
        place = _at(along, wing, swapped)
        if place is not None and low <= wing.gain <= high:
            style.mark(axes, place, wing.gain, marker, 12 if marker == "*" else 6, colour, name, zorder=6)


def _wing_entries(result: GridResult, along: GridAxis) -> list[Entry]:
    swapped = _roles(result)[2]
    low, high = _limits([point.gain for point in result.points if point.gain is not None])
    return [
        Entry(
            marker_handle(marker, colour, 10 if marker == "*" else 6),
            f"{name} wing, {exact(wing.gain, f'{wing.gain:.0f}')} {result.gain_unit}",
        )
        for name, marker, colour, wing in _marked(result)
        if _at(along, wing, swapped) is not None and low <= wing.gain <= high
    ]
