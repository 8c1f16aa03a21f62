"""Headings, paragraphs and tables that fill a sheet above and beside its check square, then continue on the next."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from tradestudy.report.figures import style

from .paper import BODY, GAP, HEAD, NOTE_SIZE, Box, Sheet, line_height, text_width, wrapped

_CELL = 2.2  # mm between columns
_TICK = 3.2  # mm, side of a tick box
_MOST_SIGNS = 250  # most characters in a cell; a name in a study has at most 200
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
    """Sheets filled from the top: first the full width above the check square, then the column beside it.

    Each sheet carries the ``warning``.
    """

    def __init__(self, paper: str, warning: str = ""):
        self.paper, self.warning, self.sheets = paper, warning, []  # type: tuple[str, str, list[Sheet]]
        self._boxes: list[Box] = []
        self._top = 0.0

    def start(self, title: str, sketch: Sketch | None = None) -> None:
        """Begin a sheet. The function ``sketch`` draws into its check square."""
        sheet = Sheet(title, self.paper, warning=self.warning)
        inside, square = sheet.inside, sheet.square
        (sketch or lines_to_write_on)(sheet, square)
        self.sheets.append(sheet)
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
            self.start(self._sheet.title.removesuffix(", continued") + ", continued")

    def _room(self, height: float) -> Box:
        """Return the current box if it has the ``height`` left, or else the next one. [mm]"""
        fresh = 0
        while self._top - height < self._boxes[0].bottom and fresh < 3:
            self._next()
            fresh += 1
        return self._boxes[0]

    def head(self, words: str, keep: float = 12.0) -> None:
        """Write a heading where at least ``keep`` mm are left below it for its text."""
        tall = line_height(HEAD) + 2.0
        box = self._room(tall + keep)
        self._top -= tall
        self._sheet.words(box.left, self._top + 1.2, words, HEAD, bold=True)

    def paragraph(self, words: str, size: float = BODY, tick: bool = False) -> None:
        """Write a paragraph across the box, after a tick box if ``tick`` is set."""
        indent = _TICK + 2.0 if tick else 0.0
        step = line_height(size)
        box = self._room(2 * step)
        lines = wrapped(words, box.width - indent, size)
        for index, line in enumerate(lines):
            if self._top - step < self._boxes[0].bottom:
                self._next()
                rest = " ".join(lines[index:])
                self.paragraph(rest, size)
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
        self, heads: Sequence[str], rows: Sequence[Sequence[str]], tick: bool = False, size: float = BODY
    ) -> None:
        """Write a table of rows under column heads. If ``tick`` is set, each row starts with a tick box."""
        rows = [[cut_short(cell) for cell in row] for row in rows]
        while rows:
            box = self._room(3.2 * line_height(size) + 2)
            indent = _TICK + 2.0 if tick else 0.0
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
