"""The map of a grid of designs.

It shows the study's measure of each design, where every limit is met, and which limit is violated most elsewhere.
"""

from __future__ import annotations

from textwrap import fill
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.figure import Figure
from matplotlib.patheffects import AbstractPathEffect, withStroke
from scipy import ndimage

from tradestudy.results.grid_result import GridAxis, GridResult

from . import style

# One hue from light to dark. Lightness alone shows the value, for colour-blind readers and grey printers.
_SHADES = LinearSegmentedColormap.from_list(
    "gain", [style.STRETCHED_FILL, style.ELEVON_FILL, "#4f97ab", style.STRETCHED_LINE]
)
PLAIN = LinearSegmentedColormap.from_list("veil", [style.PAPER, style.PAPER])
_VEIL = 0.62  # share of paper colour mixed into regions where a limit is violated
PANELS = 4  # most panels, one for each value of the third axis
_SMALLEST = 0.012  # smallest region that gets its name written, as a share of the map
_LEVELS = 7
_OUTLINE: list[AbstractPathEffect] = [withStroke(linewidth=2.5, foreground=style.PAPER)]  # outline of words on the map


def grid_map(result: GridResult) -> Figure:
    """Return the figure of a grid: a curve for one axis, a map for two axes, several maps for three."""
    third = result.axes[2] if len(result.axes) == 3 else None
    if len(result.axes) == 1 or (third is None and len(result.axes[1].values) < 2):
        return _curve(result)
    return _maps(result, third, [None] if third is None else _picked(third))


def _picked(third: GridAxis) -> list[int]:
    count = len(third.values)
    return sorted({round(float(place)) for place in np.linspace(0, count - 1, min(PANELS, count))})


def _table(result: GridResult, key: str) -> np.ndarray:
    """Return the column ``key`` as an array with one dimension for each axis of the grid, nan where unknown."""
    values = [getattr(point, key) for point in result.points]
    if key not in ("limit_words",):
        values = [np.nan if value is None else float(value) for value in values]
    shape = [len(axis.values) for axis in result.axes]
    return np.array(values, dtype=object if key == "limit_words" else float).reshape(*shape, *[1] * (3 - len(shape)))


def _places(axis: GridAxis) -> np.ndarray:
    """Return the plotted positions of an axis's values: the values, or 0, 1, 2 ... for parts sold in steps."""
    return np.arange(len(axis.values), dtype=float) if axis.steps else np.array(axis.values, dtype=float)


def _name(axis: GridAxis) -> str:
    return f"{axis.words} [{axis.unit}]" if axis.unit else axis.words


def _ticks(axes: Axes, axis: GridAxis, upright: bool) -> None:
    if axis.steps:
        which = axes.yaxis if upright else axes.xaxis
        which.set_ticks(_places(axis), [f"{value:g}" if not isinstance(value, str) else value for value in axis.values])


# --- over two axes -----------------------------------------------------------------------------------------


def _maps(result: GridResult, third: GridAxis | None, picked: list[Any]) -> Figure:
    count = len(picked)
    figure, panels = style.new_figure(0.75 + 4.4 * count, [1] * count, top=0.45, gap=0.75, shared=False)
    gain = _table(result, "gain")
    finite = gain[np.isfinite(gain)]
    span = (float(finite.min()), float(finite.max())) if finite.size else (0.0, 1.0)
    for axes, index in zip(panels, picked, strict=True):
        _map(axes, result, index or 0, span)
        at = "" if third is None else f"{third.words} {third.values[index]} {third.unit}".rstrip() + ":  "
        style.name_axes(
            axes, _name(result.axes[0]), f"{at}{result.gain_words} [{result.gain_unit}] over {_name(result.axes[1])}"
        )
    return figure


def _map(axes: Axes, result: GridResult, layer: int, span: tuple[float, float]) -> None:
    along, up = result.axes[:2]
    x, y = _places(along), _places(up)
    gain, met = (_table(result, key)[:, :, layer].T for key in ("gain", "met"))
    words = _table(result, "limit_words")[:, :, layer].T
    axes.grid(False)
    axes.pcolormesh(x, y, gain, cmap=_SHADES, vmin=span[0], vmax=span[1], shading="nearest", rasterized=True)
    violated = met < 0.5
    axes.pcolormesh(x, y, np.where(violated, 1.0, np.nan), cmap=PLAIN, shading="nearest", alpha=_VEIL, rasterized=True)
    names = list(dict.fromkeys(words[violated]))
    regions = np.where(violated, np.vectorize(lambda word: names.index(word) if word in names else -1)(words), -1)
    _borders(axes, x, y, regions)
    if not along.steps and not up.steps and min(gain.shape) > 2 and np.isfinite(gain).all() and np.ptp(gain) > 0:
        lines = axes.contour(x, y, gain, _LEVELS, colors=style.INK, linewidths=0.6, alpha=0.75)
        for text in axes.clabel(lines, fontsize=style.SMALL - 1, fmt="%g"):
            text.set_path_effects([withStroke(linewidth=2.0, foreground=style.PAPER)])
    _region_names(axes, x, y, regions, names)
    _marks(axes, result, layer)
    _ticks(axes, along, False)
    _ticks(axes, up, True)


def _borders(axes: Axes, x: np.ndarray, y: np.ndarray, regions: np.ndarray) -> None:
    """Draw the borders between regions of the map.

    The border of the region where all limits are met is strong. Borders between regions of violated limits are faint.
    """
    edge_x, edge_y = _edges(x), _edges(y)
    for upright in (True, False):
        field = regions if upright else regions.T
        for row, column in zip(*np.nonzero(field[:, 1:] != field[:, :-1]), strict=True):
            free = -1 in (field[row, column], field[row, column + 1])
            across = (edge_x if upright else edge_y)[column + 1]
            ends = (edge_y if upright else edge_x)[row : row + 2]
            line = ([across, across], ends) if upright else (ends, [across, across])
            axes.plot(
                *line,
                color=style.LIMIT,
                linewidth=1.8 if free else 0.6,
                solid_capstyle="round",
                gid="met" if free else "between",
            )


def _edges(places: np.ndarray) -> np.ndarray:
    """Return the positions of cell borders, halfway between the grid points ``places``."""
    if len(places) == 1:
        return places[0] + np.array([-0.5, 0.5])
    middle = 0.5 * (places[1:] + places[:-1])
    return np.concatenate([[2 * places[0] - middle[0]], middle, [2 * places[-1] - middle[-1]]])


def _region_names(axes: Axes, x: np.ndarray, y: np.ndarray, regions: np.ndarray, names: list[str]) -> None:
    """Write the name of each limit into the largest region where it is the most violated limit."""
    for index, words in enumerate(names):
        pieces, count = ndimage.label(np.pad(regions == index, 1))
        if not count:
            continue
        sizes = ndimage.sum_labels(np.ones_like(pieces), pieces, np.arange(1, count + 1))
        largest = pieces == int(np.argmax(sizes)) + 1
        if sizes.max() < _SMALLEST * regions.size:
            continue
        depth = ndimage.distance_transform_edt(largest, sampling=(1 / len(y), 2 / len(x)))[1:-1, 1:-1]
        row, column = np.unravel_index(int(np.argmax(depth)), depth.shape)
        place, side = _label_place(axes, float(x[column]))
        text = style.write(axes, place, y[row], _folded(words), color=style.LIMIT, ha=side, va="center", zorder=5)
        text.set_path_effects(_OUTLINE)


def _label_place(axes: Axes, x: float) -> tuple[float, str]:
    """Return the horizontal position and alignment with which words near ``x`` stay inside the axes."""
    low, high = axes.get_xlim()
    share = (x - low) / (high - low)
    if share < 0.12:
        return low + 0.01 * (high - low), "left"
    return (high - 0.01 * (high - low), "right") if share > 0.88 else (x, "center")


def _folded(words: str) -> str:
    return fill(words, 18, break_long_words=False, break_on_hyphens=False)


def _marks(axes: Axes, result: GridResult, layer: int) -> None:
    """Mark the best design that meets every limit, and the stock wing if it lies on the map."""
    along, up = result.axes[:2]
    best, third = result.best, result.axes[2] if len(result.axes) == 3 else None
    if best is not None and (third is None or best.values[2] == third.values[layer]):
        pairs = zip((along, up), best.values, strict=False)
        x, y = (float(_places(axis)[axis.values.index(value)]) for axis, value in pairs)
        style.mark(axes, x, y, "o", 7, style.MARK, "best", markeredgecolor=style.PAPER)
        _mark_words(axes, x, y, f"  best {best.gain:.0f} {result.gain_unit}  ", style.MARK, "bottom")
    if not along.steps and not up.steps and third is None and None not in result.stock.values:
        x, y = result.stock.values
        if min(along.values) <= x <= max(along.values) and min(up.values) <= y <= max(up.values):
            style.mark(axes, x, y, "s", 6, style.STOCK_LINE, "stock", markeredgecolor=style.PAPER, clip_on=False)
            _mark_words(axes, x, y, "  stock  ", style.STOCK_LINE, "center")


def _mark_words(axes: Axes, x: float, y: float, words: str, colour: str, va: str) -> None:
    """Write the name of a marker on whichever side has more room."""
    side = "left" if x < np.mean(axes.get_xlim()) else "right"
    text = style.write(axes, x, y, words, color=colour, va=va, ha=side)
    text.set_path_effects(_OUTLINE)


# --- over one axis -----------------------------------------------------------------------------------------


def _curve(result: GridResult) -> Figure:
    axis = result.axes[0]
    figure, (axes,) = style.new_figure(3.8)
    x = _places(axis)
    gain, met = (_table(result, key)[:, 0, 0] for key in ("gain", "met"))
    words = _table(result, "limit_words")[:, 0, 0]
    axes.plot(x, gain, color=style.STRETCHED_LINE, linewidth=1.0, linestyle="--", gid="all")
    axes.plot(
        x,
        np.where(met > 0.5, gain, np.nan),
        color=style.STRETCHED_LINE,
        linewidth=2.2,
        marker="o",
        markersize=4,
        gid="met",
    )
    known = gain[np.isfinite(gain)]
    axes.set_ylim(*style.axis_limits(known if known.size else [0.0], 0.15))
    edges = _edges(x)
    first = 0
    for index in range(1, len(x) + 1):
        if index < len(x) and (met[index], words[index]) == (met[first], words[first]):
            continue
        if met[first] < 0.5:
            axes.axvspan(edges[first], edges[index], color=style.LIMIT, alpha=0.12, linewidth=0)
            style.write(
                axes,
                0.5 * (edges[first] + edges[index]),
                axes.get_ylim()[1],
                _folded(words[first]),
                va="top",
                ha="center",
                color=style.LIMIT,
            )
        first = index
    if result.best is not None:
        place = float(x[axis.values.index(result.best.values[0])])
        style.mark(axes, place, float(result.best.gain or 0.0), "o", 7, style.MARK, "best")
    _ticks(axes, axis, False)
    style.name_axes(axes, _name(axis), f"{result.gain_words} [{result.gain_unit}]; dashed where a limit is broken")
    return figure
