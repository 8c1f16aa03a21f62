"""The picture of a grid of designs: a map of two variables, several maps of three, or lines.

Where every limit is met, a map shows the study's measure by shade and labelled contours, and the parts by letters.
Elsewhere it shows which limit is violated most. Every cell is one design: nothing is drawn between designs but
contours, and those only between designs that meet every limit.
"""

from __future__ import annotations

from string import ascii_uppercase
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.figure import Figure
from matplotlib.patheffects import AbstractPathEffect, withStroke
from matplotlib.ticker import MaxNLocator

from tradestudy.quantities import exact, printed_axis, without_hidden
from tradestudy.report.figures import style
from tradestudy.results.grid_result import GridAxis, GridResult, GridStock

from .grid_legend import (
    Entry,
    LimitLook,
    draw_legend,
    legend_layout,
    letter_handle,
    limit_entries,
    limit_looks,
    marker_handle,
)
from .grid_lines import axis_name, axis_places, grid_table_of, line_figure, set_ticks

# One hue from light to dark. Lightness alone shows the value, for colour-blind readers and grey printers.
_SHADES = LinearSegmentedColormap.from_list("gain", ["#eef5f6", style.STRETCHED_FILL, style.ELEVON_FILL, "#4f97ab"])
PANELS = 4  # most panels, one for each value of the third axis
_LEVELS = 7
_LEAST_STEP = 0.005  # share of the measure; parts whose designs differ by less get no contours
_MOST_NUMBERS = 60  # cells of a map of parts in which the number is written
_FEW = 4  # so many values of a second axis read better as lines than as a map
_OUTLINE: list[AbstractPathEffect] = [withStroke(linewidth=2.5, foreground=style.PAPER)]  # outline of words on the map


def grid_map(result: GridResult, width: float = style.WIDTH) -> Figure:
    """Return the figure of a grid, ``width`` inches wide.

    It has lines for one axis, or for two of which one has few values or parts; else a map, or a map for each of several
    values of the third axis.
    """
    if len(result.axes) == 1 or (len(result.axes) == 2 and _reads_as_lines(result.axes)):
        return line_figure(result, width)
    third = result.axes[2] if len(result.axes) == 3 else None
    picked: list[Any] = [None] if third is None else _picked(third)
    looks, letters = limit_looks(result), _letters(result)
    entries = [*_mark_entries(result, third), *limit_entries(looks, "closed by: ")]
    entries += [
        Entry(letter_handle(letter), f"built with {words}: {_from_to(result, words)}")
        for words, letter in letters.items()
    ]
    entries, columns, tall = legend_layout(entries, width)
    count, each = len(picked), min(4.4, 0.72 * width)
    figure, panels = style.new_figure(
        0.85 + each * count + 0.3 * (count - 1) + tall,
        [1] * count,
        left=0.62,
        right=0.2,
        top=0.45,
        bottom=0.5 + tall,
        gap=0.75,
        shared=False,
        width=width,
    )
    met = [point.gain for point in result.points if point.met and point.gain is not None]
    span = (min(met), max(met)) if met else (0.0, 1.0)
    for axes, index in zip(panels, picked, strict=True):
        _map(axes, result, index or 0, span, looks, letters)
        at = "" if third is None else f"{third.words} {third.values[index]} {third.unit}".rstrip() + ": "
        up = result.axes[1]
        words = f"{at}{axis_name(up)}; contours: {result.gain_words} [{result.gain_unit}]"
        style.name_axes(axes, axis_name(result.axes[0]), words)
        axes.yaxis.set_label_coords(-0.5 / (width - 0.82), 1.02)
    draw_legend(figure, entries, columns)
    return figure


def _reads_as_lines(axes: list[GridAxis]) -> bool:
    """Return whether lines say more than a map: one axis has few values or is of parts, the other is a variable."""
    return any(axis.steps or len(axis.values) <= _FEW for axis in axes) and not all(axis.steps for axis in axes)


def _picked(third: GridAxis) -> list[int]:
    count = len(third.values)
    return sorted({round(float(place)) for place in np.linspace(0, count - 1, min(PANELS, count))})


def _letters(result: GridResult) -> dict[str, str]:
    """Return a letter for each set of parts of designs that meet every limit; none if parts differ along an axis."""
    best_first = sorted((point for point in result.points if point.met), key=lambda point: -(point.gain or 0.0))
    names = list(dict.fromkeys(point.parts for point in best_first))
    if any(axis.steps for axis in result.axes) or not 0 < len(names) <= len(ascii_uppercase):
        return {}
    return dict(zip(names, ascii_uppercase, strict=False))


def _from_to(result: GridResult, parts: str) -> str:
    """Return the least and the most of the study's measure with some parts, in words."""
    gains = [point.gain for point in result.points if point.met and point.parts == parts and point.gain is not None]
    low, high = (exact(gain, f"{gain:.0f}") for gain in (min(gains), max(gains)))
    return f"{low if without_hidden(low) == without_hidden(high) else f'{low} to {high}'} {result.gain_unit}"


def _map(
    axes: Axes,
    result: GridResult,
    layer: int,
    span: tuple[float, float],
    looks: dict[str, LimitLook],
    letters: dict[str, str],
) -> None:
    along, up = result.axes[:2]
    x, y = axis_places(along), axis_places(up)
    gain, met, words, parts = (
        grid_table_of(result, key)[:, :, layer].T for key in ("gain", "met", "limit_words", "parts")
    )
    is_met = met.astype(float) > 0.5
    inside = np.where(is_met, gain.astype(float), np.nan)
    if scale := printed_axis(f"[{result.gain_unit}]"):
        inside, span = scale.there(inside), (scale.there(span[0]), scale.there(span[1]))
    axes.grid(False)
    axes.pcolormesh(x, y, inside, cmap=_SHADES, vmin=span[0], vmax=span[1], shading="nearest", rasterized=True)
    edge_x, edge_y = _edges(x), _edges(y)
    for name, look in looks.items():
        cells = [
            [
                (edge_x[i], edge_y[j]),
                (edge_x[i + 1], edge_y[j]),
                (edge_x[i + 1], edge_y[j + 1]),
                (edge_x[i], edge_y[j + 1]),
            ]
            for j, i in zip(*np.nonzero(~is_met & (words == name)), strict=True)
        ]
        if cells:
            axes.add_collection(
                PolyCollection(
                    cells,
                    facecolor=look.fill,
                    edgecolor=look.dark,
                    hatch=look.hatch,
                    linewidth=0.0,
                    gid=f"limit {name}",
                )
            )
    regions = np.array(
        [
            [-1 if ok else list(looks).index(name) for ok, name in zip(*row, strict=True)]
            for row in zip(is_met, words, strict=True)
        ]
    )
    _borders(axes, edge_x, edge_y, regions, "met", "between")
    marked = _marks(axes, result, layer)
    if letters:
        built = np.array(
            [
                [ord(letters[name]) if ok else -1 for ok, name in zip(*row, strict=True)]
                for row in zip(is_met, parts, strict=True)
            ]
        )
        _borders(axes, edge_x, edge_y, built, "", "parts")
        marked += _region_letters(axes, x, y, built)
    if not along.steps and not up.steps:
        known = inside[np.isfinite(inside)]
        levels = MaxNLocator(_LEVELS + 1, min_n_ticks=1).tick_values(known.min(), known.max()) if known.size else []
        for name in dict.fromkeys(parts[is_met]):  # no contour joins wings with different parts
            marked += _contours(axes, x, y, np.where(parts == name, inside, np.nan), levels, marked)
    elif inside.size <= _MOST_NUMBERS:
        for j, i in zip(*np.nonzero(is_met), strict=True):
            text = style.write(axes, x[i], y[j], f"{inside[j, i]:.0f}", ha="center", va="center")
            text.set_path_effects(_OUTLINE)
    axes.set_xlim(edge_x[0], edge_x[-1])
    axes.set_ylim(edge_y[0], edge_y[-1])
    set_ticks(axes, along, False)
    set_ticks(axes, up, True)


def _contours(
    axes: Axes, x: np.ndarray, y: np.ndarray, inside: np.ndarray, levels: Any, marked: list[tuple[float, float]]
) -> list[tuple[float, float]]:
    """Draw contours between designs that meet every limit and are built alike; ``inside`` is nan elsewhere.

    The number of each is written at its place farthest from what is ``marked`` on the map. Return these places.
    """
    known = inside[np.isfinite(inside)]
    if known.size < 4 or min(inside.shape) < 2 or np.ptp(known) < _LEAST_STEP * known.max():
        return []
    crossed = [level for level in levels if known.min() < level < known.max()]
    if not crossed:  # then between two levels of the whole map: levels of its own
        finer = MaxNLocator(3).tick_values(known.min(), known.max())
        crossed = [level for level in finer if known.min() < level < known.max()]
    lines = axes.contour(x, y, np.ma.masked_invalid(inside), crossed, colors=style.INK, linewidths=0.9)
    lines.set_gid("contours")
    wide = np.array([np.ptp(x), np.ptp(y)])
    places: list[tuple[float, float]] = []
    for path in lines.get_paths():
        vertices = np.asarray(path.vertices)
        if len(vertices) < 3:
            continue
        ways = np.array([*marked, *places]).reshape(-1, 1, 2)
        gaps = np.hypot(*np.moveaxis((vertices - ways) / wide, -1, 0)) if len(ways) else np.zeros((1, 1))
        place = vertices[int(gaps.min(axis=0).argmax())]
        places.append((float(place[0]), float(place[1])))
    for text in axes.clabel(lines, fontsize=style.SMALL - 0.5, fmt="%g", inline_spacing=3, manual=places):
        text.set_path_effects([withStroke(linewidth=2.0, foreground=style.PAPER)])
    return places


def _borders(axes: Axes, edge_x: np.ndarray, edge_y: np.ndarray, regions: np.ndarray, free: str, other: str) -> None:
    """Draw the borders between regions of the map, whose numbers are -1 on one side of a border named ``free``.

    The border of the region where all limits are met is strong, that between parts dotted, others are faint. Borders
    without a name are not drawn.
    """
    for upright in (True, False):
        field = regions if upright else regions.T
        for row, column in zip(*np.nonzero(field[:, 1:] != field[:, :-1]), strict=True):
            name = free if -1 in (field[row, column], field[row, column + 1]) else other
            if not name:
                continue
            across = (edge_x if upright else edge_y)[column + 1]
            ends = (edge_y if upright else edge_x)[row : row + 2]
            line = ([across, across], ends) if upright else (ends, [across, across])
            axes.plot(
                *line,
                color=style.INK,
                linewidth={"met": 1.8, "parts": 1.2}.get(name, 0.5),
                linestyle=":" if name == "parts" else "-",
                solid_capstyle="round",
                gid=name,
            )


def _edges(places: np.ndarray) -> np.ndarray:
    """Return the positions of cell borders, halfway between the grid points ``places``."""
    if len(places) == 1:
        return places[0] + np.array([-0.5, 0.5])
    middle = 0.5 * (places[1:] + places[:-1])
    return np.concatenate([[2 * places[0] - middle[0]], middle, [2 * places[-1] - middle[-1]]])


def _region_letters(axes: Axes, x: np.ndarray, y: np.ndarray, built: np.ndarray) -> list[tuple[float, float]]:
    """Write the letter of each set of parts into its largest region, and return the places of the letters."""
    from scipy import ndimage  # here alone, so that a page without a map loads none of it

    places = []
    for code in np.unique(built[built >= 0]):
        pieces, count = ndimage.label(np.pad(built == code, 1))
        sizes = ndimage.sum_labels(np.ones_like(pieces), pieces, np.arange(1, count + 1))
        largest = pieces == int(np.argmax(sizes)) + 1
        depth = ndimage.distance_transform_edt(largest, sampling=(1 / len(y), 1 / len(x)))[1:-1, 1:-1]
        row, column = np.unravel_index(int(np.argmax(depth)), depth.shape)
        text = style.write(
            axes, x[column], y[row], chr(code), ha="center", va="center", fontweight="bold", fontsize=11, zorder=5
        )
        text.set_path_effects(_OUTLINE)
        places.append((float(x[column]), float(y[row])))
    return places


def _marked(result: GridResult, third: GridAxis | None) -> list[tuple[str, str, str, GridStock]]:
    """Return the marked wings: name, marker, colour, and the wing on the axes of the grid."""
    best = result.best
    found = [] if best is None else [("best", "o", style.MARK, GridStock(best.values, 0.0, best.gain or 0.0, 0.0))]
    if result.recommended is not None:
        found.append(("recommended", "*", style.MARK, result.recommended))
    found.append(("stock", "s", style.STOCK_LINE, result.stock))
    return [one for one in found if third is None or one[0] == "best"]


_MARK_WORDS = {"best": "best design of the map", "recommended": "recommended wing", "stock": "stock wing"}


def _mark_entries(result: GridResult, third: GridAxis | None) -> list[Entry]:
    entries = []
    for name, marker, colour, wing in _marked(result, third):
        if name == "best" or _place(result, wing) is not None:
            words = f"{_MARK_WORDS[name]}, {exact(wing.gain, f'{wing.gain:.0f}')} {result.gain_unit}"
            entries.append(Entry(marker_handle(marker, colour, 11 if marker == "*" else 7), words))
    return entries


def _place(result: GridResult, wing: GridStock) -> tuple[float, float] | None:
    """Return the place of a wing on the map, or None if it lies outside."""
    place = []
    for axis, value in zip(result.axes[:2], wing.values, strict=False):
        places = axis_places(axis)
        if value is None:  # a key that the study does not hold
            return None
        if axis.steps:
            if value not in axis.values:
                return None
            place.append(float(places[axis.values.index(value)]))
            continue
        edges = _edges(places)
        if not edges[0] <= float(value) <= edges[-1]:
            return None
        place.append(float(value))
    return place[0], place[1]


def _marks(axes: Axes, result: GridResult, layer: int) -> list[tuple[float, float]]:
    """Mark the best design that meets every limit, the recommended and the stock wing, if they lie on the map.

    Return their places.
    """
    places = []
    third = result.axes[2] if len(result.axes) == 3 else None
    for name, marker, colour, wing in _marked(result, third):
        place = _place(result, wing)
        if place is None or (third is not None and wing.values[2] != third.values[layer]):
            continue
        size = 13 if marker == "*" else 7
        style.mark(axes, *place, marker, size, colour, name, markeredgecolor=style.PAPER, clip_on=False, zorder=6)
        places.append(place)
    return places
