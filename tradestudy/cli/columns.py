"""Sentences and tables that fit the terminal: wrapped between words, never clipped.

A terminal tells its own width; into a file or a pipe everything is 80 columns wide and plain.
"""

from __future__ import annotations

import re
import shutil
import sys
import textwrap
from collections.abc import Sequence
from itertools import zip_longest
from typing import Any

PIPE_WIDTH = 80  # columns, where no terminal tells its own
NARROWEST = 40  # columns; in less nothing can be read
SENTENCE_WIDTH = 100  # columns; longer lines of prose are hard to follow
GAP = 2  # columns between two columns of a table
# marks in a text before it is broken into lines; letters that steer a terminal, so none is left in it then
HELD = "\x1f"  # a blank at which no line is broken
FILLER = "\x1e"  # stands behind a letter that is two columns wide
NO_BREAK = "\N{NO-BREAK SPACE}"

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
    for part in words.split("\n"):
        lines += _wrapped(
            _held(part),
            wide,
            initial_indent=hanging if lines else indent,
            subsequent_indent=hanging,
            break_long_words=False,
        )
    return lines


def error_lines(message: str) -> list[str]:
    """Return a message of one or more lines as a terminal shows it; what goes on stands under its fault."""
    lines = []
    for line in message.split("\n"):
        head = re.match(r"\s*(line\s+\d+\s+)?", line)
        indent = head.group() if head else ""
        lines += sentence_lines(line[len(indent) :], _terminal_width(), indent, " " * len(indent))
    return lines


def print_table(heads: Sequence[str], rows: Rows, wide: int | None = None) -> None:
    """Print rows under their heads (bold in a terminal), no wider than asked, or else than there is room."""
    from typer import echo, style

    lines, head_lines = table_lines(heads, rows, wide or width())
    for index, line in enumerate(lines):
        echo(style(line, bold=True) if index < head_lines else line)  # echo leaves the style out of a file or a pipe


def table_lines(heads: Sequence[str], rows: Rows, wide: int) -> tuple[list[str], int]:
    """Return a table as lines of at most ``wide`` columns, and how many of them are heads.

    Blanks that lead every cell of the first column indent the whole table.
    """
    body = [[_held(cell) for cell in row] for row in ([heads, *rows] if any(heads) else rows)]
    if not body:
        return [], 0
    blanks = min(len(row[0]) - len(row[0].lstrip(" ")) for row in body)
    body = [[row[0][blanks:], *row[1:]] for row in body]
    widths = column_widths(body, wide - blanks)
    lines, head_lines = [], 0
    for number, row in enumerate(body):
        cells = [_wrapped(cell, room) for cell, room in zip(row, widths, strict=True)]
        for level in zip_longest(*cells, fillvalue=""):
            padded = [text + " " * (room - _shown(text)) for text, room in zip(level, widths, strict=True)]
            lines.append((" " * blanks + (" " * GAP).join(padded)).rstrip())
        head_lines = len(lines) if number == 0 and any(heads) else head_lines
    return lines, head_lines


def column_widths(body: Rows, wide: int) -> list[int]:
    """Return the width of each column such that all fit: room over the longest words goes to where most text is.

    Where not even the longest words fit side by side, the widest columns are levelled and words are broken.
    """
    columns = list(zip(*body, strict=True))
    room = wide - GAP * (len(columns) - 1)
    most = [max(1, *map(_shown, column)) for column in columns]
    if sum(most) <= room:
        return most
    least = [max((1, *(_shown(word) for cell in column for word in cell.split(" ")))) for column in columns]
    while sum(least) > room and max(least) > 1:
        least[least.index(max(least))] -= 1
    over = [sum(max(0, _shown(cell) - low) for cell in column) for column, low in zip(columns, least, strict=True)]
    share = (room - sum(least)) / max(1, sum(over))
    return [low + int(share * much) for low, much in zip(least, over, strict=True)]


def _held(text: str) -> str:
    """Return text as one line that cannot steer a terminal; blanks at which it is not to be broken are HELD."""
    if not text.isprintable():
        text = "".join(letter if letter.isprintable() else HELD if letter == NO_BREAK else " " for letter in text)
    return _IN_BRACKETS.sub(lambda found: found.group().replace(" ", HELD), _BEFORE_UNIT.sub(HELD, text))


def _wrapped(text: str, wide: int, **how: Any) -> list[str]:
    """Return text that is `_held` in lines, broken between words or, where need be and may be, within one."""
    if not text.isascii():
        from rich.cells import chop_cells

        if how.get("break_long_words", True):
            words = text.replace(HELD, NO_BREAK).split(" ")
            parts = [part for word in words for part in (chop_cells(word, wide) if _shown(word) > wide else [word])]
            text = " ".join(parts).replace(NO_BREAK, HELD)
        text = "".join(letter + FILLER * (_shown(letter) - 1) for letter in text)
    lines = textwrap.wrap(text, wide, break_on_hyphens=False, **how) or [""]
    return [line.replace(FILLER, "").replace(HELD, " ").rstrip() for line in lines]


def _shown(text: str) -> int:
    """Return how many columns a terminal takes for text."""
    if text.isascii():
        return len(text)
    from rich.cells import cell_len

    return cell_len(text.replace(HELD, " "))
