"""Headings, paragraphs and tables that fill a sheet, above and beside any check square, then continue on the next."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence

from tradestudy.quantities import printed, printed_table
from tradestudy.report.figures import style

from .paper import BODY, CHECK_STRIP, GAP, HEAD, NOTE_SIZE, Box, Sheet, line_height, text_width, wrapped

_CELL = 2.2  # mm between columns
_TICK = 3.2  # mm, side of a tick box
_MOST_SIGNS = 250  # most characters in a cell; a name in a study has at most 200
_ROOM_TO_GO_ON = 0.4  # share of a sheet that must be free for another section to begin on it
_LINES_APART = 8.0  # mm between the ruled lines for notes
Sketch = Callable[[Sheet, Box], None]


def cut_short(words: str) -> str:
    """Return the words, cut to the most characters that a cell may hold."""
    return words if len(words) <= _MOST_SIGNS else words[:_MOST_SIGNS] + "…"


def lines_to_write_on(sheet: Sheet, box: Box) -> None:
    """Draw ruled lines for handwritten notes into a check square."""
    sheet.words(box.left + 3.0, box.top - 5.0, "Notes", NOTE_SIZE, bold=True)
    height = box.top - _LINES_APART - 4.0
    while height > box.bottom + 6.0:
        sheet.stroke([(box.left + 3.0, height), (box.right - 3.0, height)], style.FAINT, 0.6)
        height -= _LINES_APART


class TextSheets:
    """Sheets filled from the top: the full width, or above a check square and then in the column beside it.

    Each sheet carries the ``warning``.
    """

    def __init__(self, paper: str, warning: str = ""):
        self.paper, self.warning, self.sheets = paper, printed(warning), []  # type: tuple[str, str, list[Sheet]]
        self._boxes: list[Box] = []
        self._top, self._title, self._plain = 0.0, "", False

    def start(self, title: str, sketch: Sketch | None = None, own_sheet: bool = False) -> None:
        """Begin a sheet. The function ``sketch`` draws into its check square; without one there are check lines.

        Without a sketch, text goes on below that of the last sheet if enough of it is free, unless ``own_sheet`` is
        set.
        """
        title = printed(title)
        self._title = title
        if sketch is None and not own_sheet and self._has_room():
            self._top -= 3.0
            self._rule(self._boxes[0], style.STRETCHED_LINE)
            self._top -= line_height(HEAD + 2.5) + 1.0
            place = self._boxes[0].left, self._top + 1.5
            self._sheet.words(*place, title, HEAD + 2.5, bold=True, colour=style.STRETCHED_LINE)
            self._sheet.title += f"; {title[:1].lower()}{title[1:]}"
            return
        self._begin(title, sketch)

    def _has_room(self) -> bool:
        """Return whether the last sheet has no check square, and room for more than a few lines."""
        if not self.sheets or not self._plain:
            return False
        box = self._boxes[0]
        return self._top - box.bottom > _ROOM_TO_GO_ON * box.height

    def _begin(self, title: str, sketch: Sketch | None = None) -> None:
        self._plain = sketch is None
        sheet = Sheet(title, self.paper, warning=self.warning, check_lines=sketch is None)
        inside, square = sheet.inside, sheet.square
        self.sheets.append(sheet)
        if sketch is None:
            self._boxes = [inside._replace(left=inside.left + CHECK_STRIP, bottom=inside.bottom + CHECK_STRIP)]
        else:
            sketch(sheet, square)
            self._boxes = [
                Box(inside.left, square.top + GAP, inside.right, inside.top),
                Box(inside.left, inside.bottom, square.left - GAP, square.top),
            ]
        self._top = self._boxes[0].top

    @property
    def _sheet(self) -> Sheet:
        return self.sheets[-1]

    def _next(self) -> None:
        """Move on to the column beside the check square, or from there to a new sheet."""
        if len(self._boxes) > 1:
            self._boxes.pop(0)
            self._top = self._boxes[0].top
        else:
            self._begin(f"{self._title}, continued")

    def _room(self, height: float) -> Box:
        """Return the current box if it has the ``height`` left, or else the next one. [mm]"""
        fresh = 0
        while self._top - height < self._boxes[0].bottom and fresh < 3:
            self._next()
            fresh += 1
        return self._boxes[0]

    def head(self, words: str, keep: float = 12.0) -> None:
        """Write a heading where at least ``keep`` mm are left below it for its text."""
        words = printed(words)
        tall = line_height(HEAD) + 2.0
        box = self._room(tall + keep)
        self._top -= tall
        self._sheet.words(box.left, self._top + 1.2, words, HEAD, bold=True)

    def paragraph(self, words: str, size: float = BODY, tick: bool = False) -> None:
        """Write a paragraph across the box, after a tick box if ``tick`` is set."""
        self._lines(printed(words), size, tick)

    def _lines(self, words: str, size: float, tick: bool = False) -> None:
        indent = _TICK + 2.0 if tick else 0.0
        step = line_height(size)
        box = self._room(2 * step)
        lines = wrapped(words, box.width - indent, size)
        for index, line in enumerate(lines):
            if self._top - step < self._boxes[0].bottom:
                self._next()
                rest = " ".join(lines[index:])
                self._lines(rest, size)
                return
            self._top -= step
            if tick and index == 0:
                self._tick(box.left, self._top)
            self._sheet.words(self._boxes[0].left + indent, self._top + 0.6, line, size)
        self._top -= 0.35 * step

    def _tick(self, left: float, bottom: float) -> None:
        self._sheet.stroke(
            [(left, bottom), (left + _TICK, bottom), (left + _TICK, bottom + _TICK), (left, bottom + _TICK)],
            width=0.7,
            closed=True,
        )

    def table(
        self,
        heads: Sequence[str],
        rows: Sequence[Sequence[str]],
        tick: bool = False,
        size: float = BODY,
        title: str = "",
    ) -> None:
        """Write a table of rows under column heads, and a title above it. With ``tick`` each row has a tick box.

        A column too narrow for its words is left empty.
        """
        titled = "mm" if re.search(r"\[mm\]$|all in mm$", title) else ""
        heads, rows = printed_table(heads, rows, titled)
        rows = [[cut_short(cell) for cell in row] for row in rows]
        indent = _TICK + 2.0 if tick else 0.0
        above = line_height(HEAD) + 2.0 if title else 0.0
        while rows:
            box = self._room(above + 3.2 * line_height(size) + 2)
            if len(self._boxes) > 1 or self._top < box.top:
                needed = above + _head_height(heads, rows, box.width - indent, size) + 2 * line_height(size)
                box = self._room(needed)
            if box.width < self._widest and not words_fit(heads, rows, box.width - indent, size):
                self._next()
                box = self._boxes[0]
            if title:
                self.head(title, 0.0)
                title, above = "", 0.0
            widths = column_widths(heads, rows, box.width - indent, size)
            self._row(heads, widths, box.left + indent, size, bold=True)
            self._rule(box, style.INK)
            # near the top of a box, write even a row that does not fit
            first = self._top > box.top - 6 * line_height(size)
            while rows:
                lines = max(len(wrapped(cell, width, size)) or 1 for cell, width in zip(rows[0], widths, strict=True))
                if self._top - lines * line_height(size) - 0.8 < box.bottom and not first:
                    self._next()
                    break
                top, first = self._top, False
                self._row(rows.pop(0), widths, box.left + indent, size)
                if tick:
                    self._tick(box.left, top - line_height(size) - 0.1)
                self._rule(box, style.FAINT)
        self._top -= 2.5

    @property
    def _widest(self) -> float:
        """Width of the widest column of a sheet. [mm]"""
        return self._sheet.inside.width - CHECK_STRIP - 1.0

    def _row(self, cells: Sequence[str], widths: Sequence[float], left: float, size: float, bold: bool = False) -> None:
        step = line_height(size)
        columns = [wrapped(cell, width, size, bold) for cell, width in zip(cells, widths, strict=True)]
        for column, width in zip(columns, widths, strict=True):
            for index, line in enumerate(column):
                self._sheet.words(left, self._top - (index + 1) * step + 0.6, line, size, bold=bold)
            left += width + _CELL
        self._top -= max(len(column) for column in columns) * step

    def _rule(self, box: Box, colour: str) -> None:
        self._sheet.stroke([(box.left, self._top - 0.4), (box.right, self._top - 0.4)], colour, 0.5)
        self._top -= 0.8


def _head_height(heads: Sequence[str], rows: Sequence[Sequence[str]], width: float, size: float) -> float:
    """Return the height of the heads of a table. [mm]"""
    widths = column_widths(heads, rows, width, size)
    return max(len(wrapped(head, wide, size, True)) for head, wide in zip(heads, widths, strict=True)) * line_height(
        size
    )


def words_fit(heads: Sequence[str], rows: Sequence[Sequence[str]], width: float, size: float) -> bool:
    """Return whether a table of a ``width`` [mm] needs to break no word."""
    widths = column_widths(heads, rows, width, size)
    return all(
        text_width(word, size, bold) <= wide
        for wide, *cells in zip(widths, heads, *rows, strict=True)
        for bold, cell in zip((True, *([False] * len(rows))), cells, strict=True)
        for word in cell.split()
    )


def column_widths(heads: Sequence[str], rows: Sequence[Sequence[str]], width: float, size: float) -> list[float]:
    """Return the width of each column; their sum is at most ``width``. [mm]

    If all cells fit on one line, the room that is left goes to the heads. If not, each column is as wide as its
    longest word, but no more than an equal share. The room that is left goes to the columns with most text.
    """
    columns = list(zip(*rows, strict=True))
    room = width - _CELL * (len(heads) - 1) - 0.01 * len(heads)

    def longest(words: Iterable[str], bold: bool = False) -> float:
        return max((text_width(word, size, bold) for word in words), default=0.0)

    head_words = [longest(head.split(), bold=True) for head in heads]
    least = [max(longest(column), word) for column, word in zip(columns, head_words, strict=True)]
    excess = [max(longest([head], bold=True) - low, 0.0) for head, low in zip(heads, least, strict=True)]
    if sum(least) > room:
        words = [longest(word for cell in column for word in cell.split()) for column in columns]
        least = [min(max(pair), room / len(heads)) for pair in zip(words, head_words, strict=True)]
        excess = [
            sum(max(text_width(cell, size) - low, 0.0) for cell in column)
            for column, low in zip(columns, least, strict=True)
        ]
    share = min((room - sum(least)) / max(sum(excess), 1e-6), 1.0)
    return [low + share * more + 0.01 for low, more in zip(least, excess, strict=True)]
