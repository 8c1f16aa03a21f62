"""Sentences and tables on the terminal: wrapped between words and never clipped.

A terminal reports its own width. In a file or a pipe everything is 80 columns wide and plain.
"""

from __future__ import annotations

import io
import re
import shutil
import sys
import textwrap
from collections.abc import Sequence

_PIPE_WIDTH = 80  # columns
_NARROWEST = 40  # columns; nothing narrower is readable
_SENTENCE_WIDTH = 100  # columns; longer lines of prose are hard to read
_GAP = 2  # columns between the columns of a table
_NO_BREAK = "\N{NO-BREAK SPACE}"
# letters of private use, which no text holds and at which no library breaks a line
_JOINER = "\ue000"  # for a blank at which no line is broken; rich breaks lines at a no-break space
_FILLER = "\ue001"  # behind a letter that is two columns wide

# blanks at which no line is broken: between a number and its unit, and within a unit in brackets
_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:[mck]?m|k?g|deg|[mk]?W|m?A|V|Wh|mAh|k?N|s|min|%|km/h|m/s|m?ohm|mph|C)(?!\w))")
_IN_BRACKETS = re.compile(r"\[[^]]{1,14}\]")


def say(words: str, indent: str = "", hanging: str | None = None) -> None:
    """Print a sentence in lines, with ``indent`` before the first and ``hanging`` (or the same) before the others."""
    print("\n".join(sentence_lines(words, min(_width(), _SENTENCE_WIDTH), indent, hanging)))


def sentence_lines(words: str, width: int, indent: str = "", hanging: str | None = None) -> list[str]:
    """Return a sentence in lines of at most ``width`` columns, unless one word is longer. Its line ends are kept."""
    hanging = indent if hanging is None else hanging
    lines: list[str] = []
    for part in words.split("\n"):
        # a letter that is two columns wide counts as two letters
        text = "".join(letter + _FILLER * (_cells(letter) - 1) for letter in _printable(part))
        lines += textwrap.wrap(
            text,
            width,
            initial_indent=hanging if lines else indent,
            subsequent_indent=hanging,
            break_long_words=False,
            break_on_hyphens=False,
        ) or [""]
    return [line.replace(_FILLER, "").replace(_JOINER, " ").rstrip() for line in lines]


def error_lines(message: str) -> list[str]:
    """Return a message in lines for a terminal. Each fault is indented under its line number."""
    lines = []
    for line in message.split("\n"):
        head = re.match(r"\s*(line\s+\d+\s+)?", line)
        indent = head.group() if head else ""
        lines += sentence_lines(line[len(indent) :], _terminal_width(), indent, " " * len(indent))
    return lines


def print_table(heads: Sequence[str], rows: Sequence[Sequence[str]], indent: int = 0) -> None:
    """Print rows under their heads, which are bold in a terminal. Empty heads are not printed."""
    print(*table_lines(heads, rows, _width(), indent, bold_heads=sys.stdout.isatty()), sep="\n")


def table_lines(
    heads: Sequence[str], rows: Sequence[Sequence[str]], width: int, indent: int = 0, bold_heads: bool = False
) -> list[str]:
    """Return a table as lines of at most ``width`` columns.

    Where the table is too wide, the columns with the most text are wrapped. A word is broken only where the longest
    words of all columns do not fit in one line.
    """
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    console = Console(file=io.StringIO(), width=width - indent, force_terminal=bold_heads, highlight=False)
    body = [[_printable(cell) for cell in row] for row in (heads, *rows)]
    table = Table(box=None, pad_edge=False, padding=(0, _GAP, 0, 0), show_header=any(heads), header_style="bold")
    for head, column_width in zip(body[0], _column_widths(body, console.width), strict=True):
        table.add_column(Text(head), overflow="fold", width=column_width)
    for row in body[1:]:
        table.add_row(*map(Text, row))
    with console.capture() as capture:
        console.print(table)
    return [" " * indent + line.replace(_JOINER, " ").rstrip() for line in capture.get().splitlines()]


def _column_widths(body: list[list[str]], width: int) -> list[int | None]:
    """Return the width of each column where the longest words fit but not all text; None leaves it to the table.

    Room beyond the longest words is shared in proportion to the text that needs it.
    """
    columns = list(zip(*body, strict=True))
    room = width - _GAP * (len(columns) - 1)
    least = [max((1, *(_cells(word) for cell in column for word in cell.split()))) for column in columns]
    if sum(least) > room or sum(max(map(_cells, column)) for column in columns) <= room:
        return [None] * len(columns)
    excess = [sum(max(0, _cells(cell) - low) for cell in column) for column, low in zip(columns, least, strict=True)]
    share = (room - sum(least)) / sum(excess)
    return [low + int(share * more) for low, more in zip(least, excess, strict=True)]


def _width() -> int:
    return _terminal_width() if sys.stdout.isatty() else _PIPE_WIDTH


def _terminal_width() -> int:
    return max(shutil.get_terminal_size((_PIPE_WIDTH, 24)).columns, _NARROWEST)


def _cells(text: str) -> int:
    """Return how many columns of a terminal a text takes."""
    if text.replace(_JOINER, " ").isascii():
        return len(text)
    from rich.cells import cell_len  # slow to import, and seldom needed

    return cell_len(text)


def _printable(text: str) -> str:
    """Return text as one line without letters that steer a terminal, with `_JOINER` for blanks that stay unbroken."""
    text = "".join(letter if letter.isprintable() else _JOINER if letter == _NO_BREAK else " " for letter in text)
    return _IN_BRACKETS.sub(lambda found: found.group().replace(" ", _JOINER), _BEFORE_UNIT.sub(_JOINER, text))
