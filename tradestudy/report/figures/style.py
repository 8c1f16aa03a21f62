"""The style of every figure: one palette, plain axes, and labels that do not overlap."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.ticker import FuncFormatter, Locator, MaxNLocator
from matplotlib.transforms import Bbox

from tradestudy.quantities import printed, printed_axis
from tradestudy.report.words.phrases import stock_and_stretched
from tradestudy.results.design import Design
from tradestudy.results.result import Result

# Dark on light. The line colours (stock, stretched, mark, limit) differ in lightness as well as hue, for
# colour-blind readers and on a grey printer (relative luminance 0.18, 0.09, 0.14, 0.07).
PAPER = "#fbfaf6"
INK = "#1f2d33"
FAINT = "#d5d8d4"
QUIET = "#69757b"  # words of minor importance
STOCK_LINE = "#6a7277"
STRETCHED_LINE = "#0a5a73"
MARK = "#b4470c"  # balance mark, recommended span, cruise point
LIMIT = "#7b2a63"
WARNING = "#b00020"
WARNING_PALE = "#f8dde0"  # for a warning behind the drawing, too pale to hide anything
STOCK_FILL = "#c9cdcd"
STRETCHED_FILL = "#dcebee"
ELEVON_FILL = "#b9d6dc"
PACK_FILL = "#e2a36f"
BAND = "#f6e6bf"

WIDTH = 7.3  # inches: 700 px at 96 dots per inch
PHONE_WIDTH = 3.6  # inches; a figure for a phone
SMALL, NORMAL = 8.5, 9.5  # font sizes in points


class DrawnWing(NamedTuple):
    """A wing with its name, and the colour and line style that it has in every figure."""

    name: str
    design: Design
    colour: str
    line: str


def wings_with_curves(result: Result, key: str) -> list[DrawnWing]:
    """Return the wings that have the curve ``key``, stock wing first."""
    looks = {"stock": (STOCK_LINE, "--"), "stretched": (STRETCHED_LINE, "-")}
    wings = [DrawnWing(name, design, *looks[name]) for name, design in stock_and_stretched(result)]
    return [wing for wing in wings if getattr(wing.design.curves, key)]


def new_figure(
    height: float,
    rows: Sequence[float] = (1,),
    left: float = 0.8,
    right: float = 0.25,
    top: float = 0.3,
    bottom: float = 0.55,
    gap: float = 0.22,
    shared: bool = True,
    width: float = WIDTH,
) -> tuple[Figure, list[Axes]]:
    """Return a figure and its axes, one for each row.

    ``rows`` holds the relative heights of the axes. Width, margins and gap are in inches.
    """
    figure = Figure(figsize=(width, height), facecolor=PAPER)
    FigureCanvasAgg(figure)
    inside = height - top - bottom - gap * (len(rows) - 1)
    axes: list[Axes] = []
    upper = height - top
    for share in rows:
        tall = inside * share / sum(rows)
        box = (left / width, (upper - tall) / height, (width - left - right) / width, tall / height)
        axes.append(figure.add_axes(box, sharex=axes[0] if axes and shared else None))
        upper -= tall + gap
    for each in axes:
        style_axes(each)
    if shared:
        for each in axes[:-1]:
            each.tick_params(labelbottom=False)
    return figure, axes


def style_axes(axes: Axes) -> None:
    """Give axes the common style: two spines, faint horizontal lines, thin ticks."""
    axes.set_facecolor(PAPER)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    for side in ("left", "bottom"):
        axes.spines[side].set_color(QUIET)
        axes.spines[side].set_linewidth(0.8)
    axes.tick_params(colors=INK, labelsize=SMALL, length=3, width=0.8, labelcolor=INK)
    axes.grid(True, axis="y", color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)


def curve(axes: Axes, x: Any, y: Any, colour: str, name: str, line: str = "-", **how: Any) -> None:
    """Draw a curve. Its ``name`` identifies it in the SVG file."""
    axes.plot(x, y, color=colour, linewidth=1.8, linestyle=line, gid=name, **how)


def mark(axes: Axes, x: float, y: float, shape: str, size: float, colour: str, name: str, **how: Any) -> None:
    """Draw one marker. Its ``name`` identifies it in the SVG file."""
    axes.plot([x], [y], marker=shape, markersize=size, color=colour, linestyle="none", gid=name, **how)


def row_names(axes: Axes, places: Sequence[float], names: Sequence[str]) -> None:
    """Name the rows of a figure with horizontal bars, and draw faint vertical grid lines."""
    axes.set_yticks(places, printed(list(names)), fontsize=NORMAL, parse_math=False)
    axes.tick_params(axis="y", length=0)
    axes.grid(False, axis="y")
    axes.grid(True, axis="x", color=FAINT, linewidth=0.6)


def name_axes(axes: Axes, along: str | None = None, up: str | None = None) -> None:
    """Write axis names with their units. The name of the vertical axis is written horizontally above it."""
    if along:
        axes.set_xlabel(_in_printed_units(axes.xaxis, along), fontsize=NORMAL, color=INK)
    if up:
        words = _in_printed_units(axes.yaxis, up)
        axes.set_ylabel(words, fontsize=NORMAL, color=INK, rotation=0, ha="left", va="bottom")
        axes.yaxis.set_label_coords(0.0, 1.02)


class _RoundTicks(Locator):
    """Ticks at round numbers of the units that are printed, on an axis of the unit of its data."""

    def __init__(self, scale: Any):
        self._scale, self._round = scale, MaxNLocator(nbins=9, steps=[1, 2, 2.5, 5, 10])

    def __call__(self) -> Any:
        assert self.axis is not None
        return self.tick_values(*self.axis.get_view_interval())

    def set_params(self, **how: Any) -> None:
        self._round.set_params(**how)

    def tick_values(self, vmin: float, vmax: float) -> Any:
        ends = sorted(map(self._scale.there, (vmin, vmax)))
        low, high = sorted((vmin, vmax))
        ticks = [self._scale.back(tick) for tick in self._round.tick_values(*ends)]
        return [tick for tick in ticks if low - 1e-9 <= tick <= high + 1e-9]


def _in_printed_units(axis: Any, label: str) -> str:
    """Return the label of an axis in the units that are printed, and give the axis ticks at round numbers of them."""
    scale = printed_axis(label)
    if scale is None:
        return str(printed(label))
    axis.set_major_locator(_RoundTicks(scale))
    axis.set_major_formatter(FuncFormatter(lambda value, _: f"{round(scale.there(value), 6):g}"))
    return scale.name


def write(axes: Axes, x: float, y: float, words: str, **how: Any) -> Text:
    """Write words at data coordinates."""
    return axes.text(x, y, printed(words), **{"fontsize": SMALL, "color": INK, "parse_math": False, **how})


def ruler(length_mm: float) -> list[tuple[float, str]]:
    """Return the ticks of a ruler that begins at zero: (place [mm], number at every fifth tick or an empty text).

    Ticks are 10 mm apart, or half an inch with a number every two inches.
    """
    scale, step = printed_axis("[mm]"), 10.0
    every = 5
    if scale:
        step, every = scale.back(0.5), 4
    count = int(length_mm / step + 1e-6)
    shown = scale.there if scale else float
    return [(step * tick, "" if tick % every else f"{shown(step * tick):.0f}") for tick in range(count + 1)]


_AROUND = ((1, 0), (1, 1), (1, -1), (-1, 0), (-1, 1), (-1, -1), (0, 1), (0, -1))
_DISTANCES = (4, 7, 13, 20, 30, 44, 60)  # distances between a point and its label that are tried, in points of type
_LEADER_FROM = 13  # points of type; a label at least this far off gets a thin line to its point
_LINE_STEP = 5.0  # dots between the boxes along a curve that labels must not cover


class Label(NamedTuple):
    """Words for a point in data coordinates.

    They are written above it if possible with ``side`` +1, below it with -1, beside it with 0.
    """

    x: float
    y: float
    words: str
    colour: str
    side: int = 0


def label_points(axes: Axes, labels: Iterable[Label], avoid: Iterable[Text] = (), size: float = SMALL) -> list[Text]:
    """Write each label near its point, where it covers no line, marker, other label or edge of the axes.

    Set the limits of the axes before. Positions around the point are tried, nearest first. A label that fits nowhere
    is put where it covers least.
    """
    renderer = axes.figure.canvas.get_renderer()  # type: ignore[attr-defined]
    inside = axes.get_window_extent(renderer)
    taken = _line_boxes(axes) + [_edges(text.get_window_extent(renderer)) for text in avoid]
    written = []
    for label in labels:
        best: tuple[float, Text, Bbox] | None = None
        around = sorted(_AROUND, key=lambda way, side=label.side: -side * way[1])  # type: ignore[misc]
        for reach, (right, up) in ((reach, way) for reach in _DISTANCES for way in around):
            text = _label(axes, label, (reach * right, reach * up), size)
            text.update_positions(renderer)
            box = Text.get_window_extent(text, renderer).padded(1.5)
            outside = box.width * box.height - _shared(box, [_edges(inside)])
            spoiled = _shared(box, taken) + 20 * outside
            if best is not None and spoiled > best[0] - 1e-6:
                text.remove()
                continue
            if best is not None:
                best[1].remove()
            best = (spoiled, text, box)
            if spoiled < 1e-6:
                break
        assert best is not None
        taken.append(_edges(best[2]))
        written.append(best[1])
    return written


def _label(axes: Axes, label: Label, offset: tuple[float, float], size: float) -> Any:
    """Write a label beside its point, with a thin line between them if the label is far off."""
    right, up = (0 if part == 0 else (1 if part > 0 else -1) for part in offset)
    leader = {"arrowstyle": "-", "color": label.colour, "linewidth": 0.5, "shrinkA": 1, "shrinkB": 3}
    return axes.annotate(
        printed(label.words),
        label[:2],
        offset,
        textcoords="offset points",
        fontsize=size,
        color=label.colour,
        linespacing=1.15,
        parse_math=False,
        ha={1: "left", 0: "center", -1: "right"}[right],
        va={1: "bottom", 0: "center", -1: "top"}[up],
        arrowprops=leader if max(map(abs, offset)) > _LEADER_FROM else None,
    )


def _line_boxes(axes: Axes) -> list[np.ndarray]:
    """Return small boxes (left, bottom, right, top) in dots along every line and on every marker."""
    boxes = []
    for line in axes.lines:
        path = np.asarray(line.get_transform().transform_path(line.get_path()).vertices)
        drawn = line.get_linestyle() != "None"
        marked = 0.5 * line.get_markersize() * axes.figure.dpi / 72 if line.get_marker() != "None" else 0.0
        boxes += [np.array([x - marked, y - marked, x + marked, y + marked]) for x, y in path if x == x and y == y]
        for start, stop in zip(path[:-1], path[1:], strict=True) if drawn else ():
            if not np.isfinite([start, stop]).all():  # a gap in the line
                continue
            count = int(np.hypot(*(stop - start)) / _LINE_STEP)
            for share in np.linspace(0, 1, count + 2):
                x, y = start + share * (stop - start)
                boxes.append(np.array([x - 1.5, y - 1.5, x + 1.5, y + 1.5]))
    return boxes


def _edges(box: Bbox) -> np.ndarray:
    return np.array([box.x0, box.y0, box.x1, box.y1])


def _shared(box: Bbox, others: Sequence[np.ndarray]) -> float:
    """Return the sum of the areas in which a box overlaps each of the others, in square dots."""
    if not len(others):
        return 0.0
    left, bottom, right, top = np.asarray(others).T
    across = np.minimum(box.x1, right) - np.maximum(box.x0, left)
    up = np.minimum(box.y1, top) - np.maximum(box.y0, bottom)
    return float((np.clip(across, 0, None) * np.clip(up, 0, None)).sum())


def interpolate(x: Sequence[float], y: Sequence[float], place: float) -> float:
    """Return y at ``place`` on the x axis by linear interpolation, or nan outside the range of x."""
    return float(np.interp(place, x, y, left=np.nan, right=np.nan))


def axis_limits(
    values: Iterable[float], share: float = 0.08, zero: bool = False, least_span: float = 0.0
) -> tuple[float, float]:
    """Return axis limits with a margin around the values. With ``zero``, they include zero.

    The limits are at least ``least_span`` apart, as a share of the largest value. A small difference then looks small.
    """
    known = [float(value) for value in values]
    low, high = (min(*known, 0.0) if zero else min(known)), max(known)
    if zero and low > -0.02 * high:
        low = 0.0  # rounding may put the end of a curve slightly below zero
    margin = share * ((high - low) or abs(high) or 1.0)
    start, end = (low if zero and low == 0 else low - margin), high + margin
    lacking = max(least_span * max(abs(low), abs(high)) - (end - start), 0.0)
    return start - 0.5 * lacking, end + 0.5 * lacking
