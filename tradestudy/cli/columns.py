"""Sentences and tables that fit the terminal: wrapped between words, never clipped.

A terminal tells its own width; into a file or a pipe everything is 80 columns wide and plain.
"""

from __future__ import annotations

import re
import shutil
import sys
import textwrap
from collections.abc import Sequence

PIPE_WIDTH = 80  # columns, where no terminal tells its own
NARROWEST = 40  # columns; in less nothing can be read
SENTENCE_WIDTH = 100  # columns; longer lines of prose are hard to follow
GAP = 2  # columns between two columns of a table
HELD = "\ue000"  # stands for a blank at which no line is broken, until the lines are made; of no alphabet
FILLER = "\ue001"  # stands behind a letter that is two columns wide, likewise

# blanks that are held: before a unit behind a number, within a unit in brackets
_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:[mck]?m|k?g|deg|[mk]?W|m?A|V|Wh|mAh|k?N|s|min|%|km/h|m/s|m?ohm|mph|C)(?!\w))")
_IN_BRACKETS = re.compile(r"\[[^]]{1,14}\]")

Rows = Sequence[Sequence[str]]


def width() -> int:
    """Return how many columns there are to write in."""
    return _terminal_width() if sys.stdout.isatty() else PIPE_WIDTH


def _terminal_width() -> int:
    return max(shutil.get_terminal_size((PIPE_WIDTH, 24)).columns, NARROWEST)


def say(words: str, indent: str = "", hanging: str | None = None) -> None:
    """Print a sentence broken into lines, after ``indent``; lines but the first after ``hanging``."""
    print("\n".join(sentence_lines(words, min(width(), SENTENCE_WIDTH), indent, hanging)))


def sentence_lines(words: str, wide: int, indent: str = "", hanging: str | None = None) -> list[str]:
    """Return a sentence in lines no longer than ``wide`` unless one word is; line ends in it are kept."""
    hanging = indent if hanging is None else hanging
    lines: list[str] = []
    for part in map(_held, words.split("\n")):
        if not part.isascii():
            from rich.cells import cell_len

            part = "".join(letter + FILLER * (cell_len(letter) - 1) for letter in part)
        lines += textwrap.wrap(part, wide, initial_indent=hanging if lines else indent, subsequent_indent=hanging,
                               break_long_words=False, break_on_hyphens=False) or [""]
    return [line.replace(FILLER, "").replace(HELD, " ").rstrip() for line in lines]


def error_lines(message: str) -> list[str]:
    """Return a message of one or more lines as a terminal shows it; what goes on stands under its fault."""
    lines = []
    for line in message.split("\n"):
        head = re.match(r"\s*(line\s+\d+\s+)?", line)
        indent = head.group() if head else ""
        lines += sentence_lines(line[len(indent):], _terminal_width(), indent, " " * len(indent))
    return lines


def print_table(heads: Sequence[str], rows: Rows, wide: int | None = None) -> None:
    """Print rows under their heads (bold in a terminal), no wider than asked, or else than there is room."""
    print("\n".join(table_lines(heads, rows, wide or width(), sys.stdout.isatty())))


def table_lines(heads: Sequence[str], rows: Rows, wide: int, in_terminal: bool = False) -> list[str]:
    """Return a table as lines of at most ``wide`` columns, the heads in bold for a terminal.

    Blanks that lead every cell of the first column indent the whole table.
    """
    from rich.console import Console
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    body = [[_held(cell) for cell in row] for row in ([heads, *rows] if any(heads) else rows)]
    if not body:
        return []
    blanks = min(len(row[0]) - len(row[0].lstrip()) for row in body)
    table = Table(box=None, show_header=any(heads), header_style="bold", pad_edge=False, padding=(0, GAP, 0, 0))
    for head, room in zip(body[0], column_widths(body, wide - blanks), strict=True):
        table.add_column(Text(head.lstrip()), width=room, overflow="fold")
    for row in body[any(heads):]:
        table.add_row(*map(Text, (row[0][blanks:], *row[1:])))
    console = Console(width=wide, highlight=False, force_terminal=in_terminal)
    with console.capture() as lines:
        console.print(Padding(table, (0, 0, 0, blanks)))
    return [line.replace(HELD, " ").rstrip() for line in lines.get().splitlines()]


def column_widths(body: Rows, wide: int) -> list[int]:
    """Return the width of each column such that all fit: room over the longest words goes to where most text is.

    Where not even the longest words fit side by side, the widest columns are levelled and words are broken.
    """
    from rich.cells import cell_len

    columns = list(zip(*body, strict=True))
    room = wide - GAP * (len(columns) - 1)
    most = [max(1, *map(cell_len, column)) for column in columns]
    if sum(most) <= room:
        return most
    least = [max((1, *(cell_len(word) for cell in column for word in cell.split()))) for column in columns]
    while sum(least) > room and max(least) > 1:
        least[least.index(max(least))] -= 1
    over = [sum(max(0, cell_len(cell) - low) for cell in column) for column, low in zip(columns, least, strict=True)]
    share = (room - sum(least)) / max(1, sum(over))
    return [low + int(share * much) for low, much in zip(least, over, strict=True)]


def _held(text: str) -> str:
    """Return text of one line that cannot steer a terminal; blanks at which it is not to be broken are HELD."""
    text = "".join(letter if letter.isprintable() else HELD if letter == "\N{NO-BREAK SPACE}" else " "
                   for letter in text)
    return _IN_BRACKETS.sub(lambda found: found.group().replace(" ", HELD), _BEFORE_UNIT.sub(HELD, text))
