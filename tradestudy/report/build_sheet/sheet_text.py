"""Heads, paragraphs and tables that run down a sheet, beside its check square, and on to the next sheet."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tradestudy.report.figures import style

from .paper import BODY, GAP, HEAD, SMALL, Box, Sheet, line_height, text_width, wrapped

CELL = 2.2  # mm between columns
NARROWEST = 13.0  # mm of a column whose words are wrapped
TICK = 3.2  # mm, side of a box to tick
_MOST_SIGNS = 250  # in a cell; the longest name a study may give has 200
_LINES_APART = 8.0  # mm between lines to write on
Sketch = Callable[[Sheet, Box], None]


def cut_short(words: str) -> str:
    """Return words with dots for what is too long for a cell."""
    return words if len(words) <= _MOST_SIGNS else words[:_MOST_SIGNS] + "…"


def lines_to_write_on(sheet: Sheet, box: Box) -> None:
    """Rule a check square for notes."""
    sheet.words(box.left + 3.0, box.top - 5.0, "Notes", SMALL, bold=True)
    height = box.top - _LINES_APART - 4.0
    while height > box.bottom + 6.0:
        sheet.stroke([(box.left + 3.0, height), (box.right - 3.0, height)], style.FAINT, 0.6)
        height -= _LINES_APART


class TextSheets:
    """Sheets filled from the top: full width above the check square, then the column beside it.

    A ``warning`` stands on each of them.
    """

    def __init__(self, paper: str, warning: str = ""):
        self.paper, self.warning, self.sheets = paper, warning, []  # type: tuple[str, str, list[Sheet]]
        self._boxes: list[Box] = []
        self._top = 0.0

    def start(self, title: str, sketch: Sketch | None = None) -> None:
        """Begin a sheet; ``sketch`` draws into its square."""
        sheet = Sheet(title, self.paper, warning=self.warning)
        inside, square = sheet.inside, sheet.square
        (sketch or lines_to_write_on)(sheet, square)
        self.sheets.append(sheet)
        self._boxes = [Box(inside.left, square.top + GAP, inside.right, inside.top),
                       Box(inside.left, inside.bottom, square.left - GAP, square.top)]  # fmt: skip
        self._top = self._boxes[0].top

    @property
    def _sheet(self) -> Sheet:
        return self.sheets[-1]

    def _next(self) -> None:
        """Go on beside the square, or on another sheet."""
        if len(self._boxes) > 1:
            self._boxes.pop(0)
            self._top = self._boxes[0].top
        else:
            self.start(self._sheet.title.removesuffix(", continued") + ", continued")

    def _room(self, height: float) -> Box:
        """Return the box to write into, with so much height left, or a fresh one. [mm]"""
        fresh = 0
        while self._top - height < self._boxes[0].bottom and fresh < 3:
            self._next()
            fresh += 1
        return self._boxes[0]

    def head(self, words: str, keep: float = 12.0) -> None:
        """Write a head, with room for ``keep`` mm of what follows below it."""
        tall = line_height(HEAD) + 2.0
        box = self._room(tall + keep)
        self._top -= tall
        self._sheet.words(box.left, self._top + 1.2, words, HEAD, bold=True)

    def paragraph(self, words: str, size: float = BODY, tick: bool = False) -> None:
        """Write a paragraph, as wide as there is room; ``tick`` puts a box to tick before it."""
        indent = TICK + 2.0 if tick else 0.0
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
        self._sheet.stroke([(left, bottom), (left + TICK, bottom), (left + TICK, bottom + TICK),
                            (left, bottom + TICK)], width=0.7, closed=True)  # fmt: skip

    def table(self, heads: Sequence[str], rows: Sequence[Sequence[str]], tick: bool = False,
              size: float = BODY) -> None:  # fmt: skip
        """Write rows under their heads; ``tick`` puts a box to tick at the start of each."""
        rows = [[cut_short(cell) for cell in row] for row in rows]
        while rows:
            box = self._room(3.2 * line_height(size) + 2)
            indent = TICK + 2.0 if tick else 0.0
            widths = column_widths(heads, rows, box.width - indent, size)
            self._row(heads, widths, box.left + indent, size, bold=True)
            self._rule(box, style.INK)
            first = self._top > box.top - 6 * line_height(size)  # a row that does not even fit here fits nowhere
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
            left += width + CELL
        self._top -= max(len(column) for column in columns) * step

    def _rule(self, box: Box, colour: str) -> None:
        self._sheet.stroke([(box.left, self._top - 0.4), (box.right, self._top - 0.4)], colour, 0.5)
        self._top -= 0.8

    def gap(self, height: float = 2.0) -> None:
        """Leave some air. [mm]"""
        self._top -= height


def column_widths(heads: Sequence[str], rows: Sequence[Sequence[str]], width: float, size: float) -> list[float]:
    """Return how wide each column is: as its words ask where there is room, else the widest wrapped. [mm]"""
    longest_word = [max(text_width(word, size, True) for word in (head.split() or [""])) for head in heads]
    asked = [max(longest, *(text_width(row[index], size) for row in rows))
             for index, longest in enumerate(longest_word)]  # fmt: skip
    room = width - CELL * (len(heads) - 1)
    while sum(asked) > room + 1e-6:
        widest = max(asked)
        if widest <= NARROWEST:
            return [room / len(asked)] * len(asked)
        below = max([one for one in asked if one < widest - 1e-6], default=NARROWEST)
        tied = [index for index, one in enumerate(asked) if one > widest - 1e-6]
        target = max(below, NARROWEST, widest - (sum(asked) - room) / len(tied))
        for index in tied:
            asked[index] = target
    spare = room - sum(asked)  # heads are wrapped less where there is room left
    wants = [max(text_width(head, size, True) - one, 0.0) for head, one in zip(heads, asked, strict=True)]
    share = min(1.0, spare / sum(wants)) if sum(wants) > 0 else 0.0
    return [one + share * want + 0.01 for one, want in zip(asked, wants, strict=True)]
