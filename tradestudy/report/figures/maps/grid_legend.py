"""The legend of maps: the look of each limit that closes a region, letters for parts, and marked wings."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from textwrap import wrap
from typing import Any, NamedTuple

from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from tradestudy.quantities import printed
from tradestudy.report.figures import style
from tradestudy.results.grid_result import GridResult

OTHER_LIMITS = "another limit"
_LINE = 0.155  # inches; one line of the legend
_LETTERS_AN_INCH = 16.0  # of small type, on average
_WITH_UNIT = re.compile(r"(?<=\d) (?=(?:mm|km|g|deg|x)\b)|(?<=\dx) | (?=propeller)")


class LimitLook(NamedTuple):
    """The look of one limit: the fill and hatching of its region, a darker colour, and a marker on lines."""

    fill: str
    hatch: str
    dark: str
    marker: str


# The hues are those of M. Okabe and K. Ito, Color Universal Design, 2008 (from memory), paled for fills. Each has a
# hatching of its own, for colour-blind readers and grey printers.
_LOOKS = (
    LimitLook("#f3d9c6", "////", "#b4470c", "X"),
    LimitLook("#e6d3e0", "....", "#7b2a63", "P"),
    LimitLook("#f4ebb8", "\\\\\\\\", "#7d6a00", "^"),
    LimitLook("#cfe0f0", "xxxx", "#28588c", "v"),
    LimitLook("#d3e6d6", "----", "#2c6b3f", "<"),
    LimitLook("#e3ddd3", "oo", "#5e4b33", ">"),
)
_OTHER = LimitLook("#e2e4e2", "||||", style.QUIET, "d")


def limit_looks(result: GridResult) -> dict[str, LimitLook]:
    """Return the look of each limit that is broken on a grid, the most frequent first; rare ones share one."""
    counts = Counter(point.limit_words for point in result.points if not point.met)
    names = sorted(counts, key=lambda words: (-counts[words], words))
    if len(names) <= len(_LOOKS):
        return dict(zip(names, _LOOKS, strict=False))
    first = len(_LOOKS) - 1
    return dict(zip(names, _LOOKS[:first], strict=False)) | dict.fromkeys(names[first:], _OTHER)


class Entry(NamedTuple):
    """One entry of a legend: its handle and its words."""

    handle: Any
    words: str


def limit_entries(looks: dict[str, LimitLook], head: str, as_markers: bool = False) -> list[Entry]:
    """Return the entries of the limits; the words of the first begin with ``head``."""
    shown: dict[str, LimitLook] = {}
    for words, look in looks.items():
        shown.setdefault(OTHER_LIMITS if look is _OTHER else words, look)
    entries = []
    for words, look in shown.items():
        handle: Any = Patch(facecolor=look.fill, edgecolor=look.dark, hatch=look.hatch, linewidth=0.0)
        if as_markers:
            handle = marker_handle(look.marker, look.dark)
        entries.append(Entry(handle, f"{head}{words}"))
    return entries


def marker_handle(marker: str, colour: str, size: float = 7) -> Line2D:
    """Return the handle of a marker."""
    return Line2D([], [], linestyle="none", marker=marker, markersize=size, color=colour, markeredgecolor=style.PAPER)


def letter_handle(letter: str) -> Line2D:
    """Return the handle of a letter on the map."""
    return Line2D([], [], linestyle="none", marker=f"${letter}$", markersize=7, color=style.INK, markeredgewidth=0.3)


def legend_layout(entries: Sequence[Entry], width: float) -> tuple[list[Entry], int, float]:
    """Return the entries with folded words, the number of columns, and the height of the legend in inches."""
    columns = 2 if width > 6 else 1
    entries = [Entry(each.handle, printed(each.words)) for each in entries]
    letters = int((width / columns - 0.55) * _LETTERS_AN_INCH)
    folded = [
        Entry(each.handle, "\n".join(wrap(_WITH_UNIT.sub("\N{NO-BREAK SPACE}", each.words), letters)))
        for each in entries
    ]
    rows = -(-len(folded) // columns)
    by_column = [folded[first : first + rows] for first in range(0, len(folded), rows)] if folded else []
    lines = max((sum(each.words.count("\n") + 1 for each in column) for column in by_column), default=0)
    return folded, columns, _LINE * lines + 0.05 * rows + 0.1


def draw_legend(figure: Figure, entries: Sequence[Entry], columns: int, left: float = 0.12) -> None:
    """Write the legend at the bottom of a figure."""
    width, height = figure.get_size_inches()
    legend = figure.legend(
        [each.handle for each in entries],
        [each.words for each in entries],
        loc="lower left",
        bbox_to_anchor=(left / width, 0.04 / height),
        ncols=columns,
        fontsize=style.SMALL,
        frameon=False,
        labelcolor=style.INK,
        handlelength=1.6,
        handletextpad=0.6,
        columnspacing=1.2,
        borderpad=0.1,
        borderaxespad=0.0,
        labelspacing=0.35,
    )
    for text in legend.get_texts():
        text.set_parse_math(False)
