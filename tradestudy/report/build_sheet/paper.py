"""A sheet of paper measured in mm: its frame, title and check square, and lines and words on it.

Places are in mm from the lower left corner, and one mm of the file is one mm of the paper. A check square of 100 mm, or
two check lines of that length, show on every sheet whether the printer has kept the scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
from matplotlib import font_manager
from matplotlib.backends.backend_pdf import FigureCanvasPdf
from matplotlib.figure import Figure
from matplotlib.ft2font import LoadFlags
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from tradestudy.quantities import in_unit, is_imperial
from tradestudy.report.figures import style

MM_PER_INCH = 25.4
POINTS_PER_INCH = 72.0
SIZES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # mm; ISO 216, and 8.5 x 11 inches
MARGIN = 12.0  # mm; a little more than most printers need
TITLE, FOOT = 13.0, 6.0  # mm, heights of the strips at top and bottom
SQUARE = 100.0  # mm, side of the check square
GAP = 5.0  # mm between the square and the text beside it
CHECK_STRIP = 7.0  # mm, width of the strips of the check lines
BODY, NOTE_SIZE, HEAD = 9.0, 7.5, 10.5  # font sizes in points
_WARNING_SIZES = (
    13.0,
    11.0,
    9.5,
    8.0,
)  # font sizes in points; used is the largest that fits a warning into _MOST_WARNING_LINES, or else the last
_MOST_WARNING_LINES = 2
_WARNING_EDGE = 1.8  # mm between a warning and the edge of its band
_UNKNOWN_SIGN = "\N{REPLACEMENT CHARACTER}"
_FOOT_WORDS = (
    'Print at 100 %, not "fit to page", and measure first: check square or check lines, {}. Estimates, no '
    "proof of airworthiness."
)


def check_size() -> str:
    """Return the side of the check square as a ruler shows it. Inches are right to a hundredth of a mm."""
    return "3 15/16 in" if is_imperial() else "100 mm"


class Box(NamedTuple):
    """A rectangle on the paper with sides parallel to its edges. [mm]"""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        """Return the width. [mm]"""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Return the height. [mm]"""
        return self.top - self.bottom


def _font(bold: bool) -> Any:
    font = font_manager.get_font(font_manager.findfont(_letter(bold)))
    font.set_size(100.0, POINTS_PER_INCH)  # each time: matplotlib draws with the same font in other sizes
    return font


@lru_cache(maxsize=2)
def _letter(bold: bool) -> font_manager.FontProperties:
    # the font that comes with matplotlib, so that a sheet is the same everywhere
    return font_manager.FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal")


@lru_cache(maxsize=1024)
def _advance(sign: str, bold: bool) -> float:
    """Return the width of a character divided by the font size."""
    return _font(bold).load_char(ord(sign), flags=LoadFlags.NO_HINTING).linearHoriAdvance / 65536 / 100.0


@lru_cache(maxsize=1024)
def _printable(sign: str) -> str:
    if sign.isspace() or not sign.isprintable():
        return " "
    return sign if _font(False).get_char_index(ord(sign)) else _UNKNOWN_SIGN


def printable(words: str) -> str:
    """Return the words on one line, with a replacement sign for each character that the font lacks."""
    return "".join(map(_printable, words))


def text_width(words: str, size: float = BODY, bold: bool = False) -> float:
    """Return the width of a line of words. [mm]"""
    return sum(_advance(sign, bold) for sign in printable(words)) * size * MM_PER_INCH / POINTS_PER_INCH


def line_height(size: float) -> float:
    """Return the distance between lines of a font size [points]. [mm]"""
    return 1.32 * size * MM_PER_INCH / POINTS_PER_INCH


def shortened(words: str, width: float, size: float = BODY, bold: bool = False) -> str:
    """Return the words, cut to fit a width [mm] and ended by an ellipsis if they are too long."""
    words = printable(words)[:300]
    if text_width(words, size, bold) <= width:
        return words
    while words and text_width(words + "…", size, bold) > width:
        words = words[:-1]
    return words.rstrip() + "…"


def wrapped(words: str, width: float, size: float = BODY, bold: bool = False) -> list[str]:
    """Return the words as lines no wider than a width [mm]. A single word that is wider is cut into parts."""
    lines: list[str] = []
    for word in (part for whole in printable(words).split() for part in _parts(whole, width, size, bold)):
        wider = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(wider, size, bold) <= width:
            lines[-1] = wider
        else:
            lines.append(word)
    return lines


def _parts(word: str, width: float, size: float, bold: bool) -> list[str]:
    """Return the parts of a word, each no wider than a width [mm] or else a single character."""
    if text_width(word, size, bold) <= width:
        return [word]
    parts = [""]
    for sign in word:
        if parts[-1] and text_width(parts[-1] + sign, size, bold) > width:
            parts.append("")
        parts[-1] += sign
    return parts


class Sheet:
    """One sheet with its title. ``inside`` is the drawing area, ``square`` the check square in its lower right corner.

    A ``warning`` is written in a band below the title, which reduces the height of ``inside``. Its last words are
    repeated in a pale colour across the sheet. With ``check_lines`` there are two lines in place of the square: the
    whole width and height is free for drawings then.
    """

    def __init__(
        self, title: str, paper: str = "a4", landscape: bool = False, warning: str = "", check_lines: bool = False
    ):
        self.title = title
        short, long = SIZES[paper]
        self.width, self.height = (long, short) if landscape else (short, long)
        self.figure = Figure(figsize=(self.width / MM_PER_INCH, self.height / MM_PER_INCH), facecolor="white")
        FigureCanvasPdf(self.figure)
        self.axes = self.figure.add_axes((0.0, 0.0, 1.0, 1.0))
        self.axes.set_xlim(0, self.width)
        self.axes.set_ylim(0, self.height)
        self.axes.set_axis_off()
        self.inside = drawing_area(self.width, self.height, warning)
        self.square = Box(
            self.inside.right - SQUARE, self.inside.bottom, self.inside.right, self.inside.bottom + SQUARE
        )
        if check_lines:
            self._check_lines()
        else:
            self._check_square()
        if warning:
            self._warn(warning)

    def _check_square(self) -> None:
        box = self.square
        self.axes.add_patch(
            Rectangle(
                (box.left, box.bottom),
                SQUARE,
                SQUARE,
                fill=False,
                edgecolor=style.INK,
                linewidth=0.6,
                joinstyle="miter",
                gid="check square",
            )
        )
        self.words(
            box.right - 1.5,
            box.bottom + 1.5,
            f"{check_size()} check square",
            NOTE_SIZE,
            ha="right",
            va="bottom",
            colour=style.QUIET,
        )

    def _check_lines(self) -> None:
        """Draw a line of 100 mm along the lower edge, and one up the left edge."""
        left, bottom = self.inside.left, self.inside.bottom
        across, up = bottom + 2.0, left + 2.0
        first = left + CHECK_STRIP + 3.0
        low = bottom + CHECK_STRIP + 3.0
        self.stroke([(first, across), (first + SQUARE, across)], width=0.6)
        self.stroke([(up, low), (up, low + SQUARE)], width=0.6)
        for end in (0.0, SQUARE):
            self.stroke([(first + end, across - 1.5), (first + end, across + 1.5)], width=0.6)
            self.stroke([(up - 1.5, low + end), (up + 1.5, low + end)], width=0.6)
        self.words(
            first + SQUARE + 3.0, across - 1.0, f"both check lines: {check_size()}", NOTE_SIZE, colour=style.QUIET
        )

    def _warn(self, warning: str) -> None:
        """Write a warning in a band across the top, and its last words in a pale colour behind the drawing."""
        box = drawing_area(self.width, self.height)
        lines, size = _warning_lines(warning, box.width)
        bottom = box.top - _band_height(lines, size)
        self.axes.add_patch(
            Rectangle(
                (box.left, bottom),
                box.width,
                box.top - bottom,
                facecolor=style.WARNING,
                edgecolor="none",
                zorder=1,
                gid="warning",
            )
        )
        for index, line in enumerate(lines):
            base = box.top - _WARNING_EDGE - (index + 1) * line_height(size) + 0.3 * line_height(size)
            self.words(0.5 * (box.left + box.right), base, line, size, bold=True, colour="white", ha="center")
        across = warning.rpartition(". ")[2]
        long = 0.8 * float(np.hypot(self.inside.width, self.inside.height))
        self.words(
            0.5 * self.width,
            0.5 * (self.inside.bottom + self.inside.top),
            across,
            long / text_width(across, 1.0, True),
            bold=True,
            colour=style.WARNING_PALE,
            ha="center",
            va="center",
            rotation=in_unit(np.arctan2(self.inside.height, self.inside.width), "deg"),
            rotation_mode="anchor",
            zorder=0,
        )

    def words(
        self,
        x: float,
        y: float,
        words: str,
        size: float = BODY,
        bold: bool = False,
        colour: str = style.INK,
        ha: str = "left",
        va: str = "baseline",
        **how: Any,
    ) -> None:
        """Write one line of words at the position ``x``, ``y``. [mm]"""
        self.axes.text(
            x,
            y,
            printable(words),
            fontproperties=_letter(bold),
            fontsize=size,
            color=colour,
            ha=ha,
            va=va,
            parse_math=False,
            **how,
        )

    def stroke(
        self,
        points: Any,
        colour: str = style.INK,
        width: float = 0.7,
        dashes: Sequence[float] = (),
        clip: Box | None = None,
        fill: str | None = None,
        closed: bool = False,
    ) -> None:
        """Draw a line through points of shape (n, 2). [mm]

        ``width`` is in points. ``dashes`` are lengths of line and gap in mm.
        """
        points = np.asarray(points, float)
        points = np.concatenate([points, points[:1]]) if closed else points
        if fill:
            (patch,) = self.axes.fill(*points.T, facecolor=fill, edgecolor="none", zorder=1)
            self._clip(patch, clip)
        scale = POINTS_PER_INCH / MM_PER_INCH / width  # matplotlib measures dashes in line widths
        pattern: Any = (0, [scale * length for length in dashes]) if dashes else "-"
        line = Line2D(
            *points.T,
            color=colour,
            linewidth=width,
            linestyle=pattern,
            solid_joinstyle="miter",
            solid_capstyle="butt",
            dash_capstyle="butt",
            zorder=2,
        )
        self.axes.add_artist(line)  # as `plot` does, but without the limits of axes that are fixed
        self._clip(line, clip)

    def _clip(self, artist: Any, clip: Box | None) -> None:
        if clip:
            box = Rectangle((clip.left, clip.bottom), clip.width, clip.height, transform=self.axes.transData)
            artist.set_clip_path(box)

    def finish(self, wing: str, number: int, count: int) -> None:
        """Write the title line with the wing's name and sheet ``number`` of ``count``."""
        top, place = self.height - MARGIN, f"sheet {number} of {count}"
        left, right = self.inside.left, self.inside.right
        self.words(left, top - 4.5, self.title, HEAD + 2.5, bold=True, colour=style.STRETCHED_LINE)
        self.words(right, top - 4.5, place, HEAD, bold=True, ha="right")
        room = right - left - text_width(self.title, HEAD + 2.5, True) - text_width(place, HEAD, True) - 10
        self.words(
            right - text_width(place, HEAD, True) - 4,
            top - 4.5,
            shortened(_wing_in(wing, room), room, BODY),
            ha="right",
            colour=style.QUIET,
        )
        self.stroke([(left, top - 7.5), (right, top - 7.5)], style.STRETCHED_LINE, 1.6)
        self.words(left, MARGIN - 4.5, _FOOT_WORDS.format(check_size()), NOTE_SIZE, colour=style.QUIET)


def _wing_in(wing: str, width: float) -> str:
    """Return the words on a wing, without "stretched wing" or its span too where they do not fit a width [mm]."""
    for words in (wing, wing.replace(", stretched wing", "")):
        if text_width(printable(words), BODY) <= width:
            return words
    return wing.rpartition(", span")[0].replace(", stretched wing", "") or wing


def drawing_area(width: float, height: float, warning: str = "") -> Box:
    """Return the drawing area of paper of a given size [mm], without margins, title, foot and band of a warning."""
    box = Box(MARGIN, MARGIN + 1.0, width - MARGIN, height - MARGIN - TITLE)
    if not warning:
        return box
    return box._replace(top=box.top - _band_height(*_warning_lines(warning, box.width)) - GAP)


def _warning_lines(warning: str, width: float) -> tuple[list[str], float]:
    """Return the lines of a warning wrapped to a width [mm], and its font size. [points]"""
    for size in _WARNING_SIZES:
        lines = wrapped(warning, width - 2 * _WARNING_EDGE, size, bold=True)
        if len(lines) <= _MOST_WARNING_LINES:
            break
    return lines, size


def _band_height(lines: list[str], size: float) -> float:
    return len(lines) * line_height(size) + 2 * _WARNING_EDGE
