"""What the figures of the body share: the look of each kind of part, and words at places along a line."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from tradestudy.report.body_views import FlatShape

from . import style

_LETTER_WIDTH = 0.56  # mean width of a letter over the font size, for DejaVu Sans
_BETWEEN = 6.0  # points of type between words of one row


class Look(NamedTuple):
    """Colours of a part, and its order: parts of a higher order cover those of a lower one."""

    edge: str
    face: str
    order: float
    width: float = 0.9


LOOKS = {
    "bay": Look(style.QUIET, style.PAPER, 3.0),
    "pocket": Look(style.QUIET, style.PAPER, 3.0),
    "slot": Look(style.QUIET, style.PAPER, 3.0),
    "channel": Look(style.QUIET, style.PAPER, 3.4, 0.6),
    "lid": Look(style.INK, style.ELEVON_FILL, 3.2, 0.7),
    "board": Look(style.INK, style.BAND, 3.3, 0.7),
    "pack": Look(style.MARK, style.PACK_FILL, 4.0),
    "joiner": Look(style.INK, style.STOCK_FILL, 4.2),
    "rod": Look(style.LIMIT, style.LIMIT, 4.3, 0.6),
    "elevon": Look(style.STRETCHED_LINE, style.ELEVON_FILL, 2.2, 0.7),
    "strip": Look(style.STRETCHED_LINE, style.ELEVON_FILL, 2.2, 0.7),
}
_OTHER = Look(style.STRETCHED_LINE, style.STOCK_FILL, 3.8, 0.7)


def draw_shapes(axes: Axes, shapes: Iterable[FlatShape], foam: Polygon | None = None) -> None:
    """Draw every outline in the look of its kind. Its name identifies it in the SVG file.

    Holes that reach out of the skin are drawn inside the ``foam`` only.
    """
    for shape in shapes:
        look = LOOKS.get(shape.kind, _OTHER)
        patch = Polygon(
            shape.points,
            closed=True,
            facecolor=look.face,
            edgecolor=look.edge,
            linewidth=look.width,
            zorder=look.order,
            joinstyle="miter",
            gid=f"part {shape.name}",
        )
        axes.add_patch(patch)
        if shape.is_open and foam is not None:
            patch.set_clip_path(foam)


def draw_skin(axes: Axes, upper: np.ndarray, lower: np.ndarray) -> Polygon:
    """Fill the space between upper and lower skin, each of shape (n, 2), with foam, and return that shape."""
    foam = Polygon(
        np.concatenate([upper, lower[::-1]]),
        closed=True,
        facecolor=style.STRETCHED_FILL,
        edgecolor=style.STRETCHED_LINE,
        linewidth=1.4,
        zorder=2.0,
        gid="skin",
    )
    axes.add_patch(foam)
    return foam


def word_width(words: str, size: float = style.SMALL) -> float:
    """Return about how wide a line of words is. [points of type]"""
    return _LETTER_WIDTH * size * len(words)


class WordsPlace(NamedTuple):
    """Words for a place along a line. ``row`` counts away from the line, and ``rightward`` tells where they extend."""

    x: float
    words: str
    row: int
    rightward: bool


def in_rows(named: Sequence[tuple[float, str]], point: float, left: float, right: float) -> list[WordsPlace]:
    """Return where to write the words of places (x, words), so that no words cross others or their lines.

    A thin line leads from each place to its row. ``point`` is one point of type. ``left`` and ``right`` are the ends
    of the space, all in the unit of x.
    """
    order = sorted(named)
    ends = [x + (word_width(words) + _BETWEEN) * point for x, words in order]
    turned = [end > right for end in ends]
    for index in range(len(order) - 1, -1, -1):
        # words that would cross the line of turned words are turned too
        turned[index] |= any(turned[one] and order[one][0] < ends[index] for one in range(index + 1, len(order)))
    # words that would leave the space on the left are written to the right, above all others
    highest = [index for index in range(len(order)) if turned[index] and 2 * order[index][0] - ends[index] < left]
    turned = [each and index not in highest for index, each in enumerate(turned)]
    rows: dict[int, int] = {}
    ahead = [index for index in range(len(order)) if not turned[index] and index not in highest]
    for index in reversed(ahead):
        x = order[index][0]
        rows[index] = 1 + max((rows[one] for one in rows if x - 2 * point < order[one][0] < ends[index]), default=-1)
    for index in (one for one in range(len(order)) if turned[one]):
        x = order[index][0]
        start = 2 * x - ends[index]
        reached = (one for one in rows if order[one][0] < x + 2 * point and (ends[one] > start or turned[one]))
        rows[index] = 1 + max((rows[one] for one in reached), default=-1)
    for index in reversed(highest):
        rows[index] = 1 + max(rows.values(), default=-1)
    return [WordsPlace(*order[index], rows[index], not turned[index]) for index in range(len(order))]
