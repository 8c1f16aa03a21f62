"""Sentences and tables that fit the terminal: wrapped between words, never clipped.

A terminal tells its own width; into a file or a pipe everything is 80 columns wide and plain.
"""

from __future__ import annotations

import re
import shutil
import sys
from collections.abc import Callable, Sequence
from functools import cache
from itertools import permutations

PIPE_WIDTH = 80  # columns, where no terminal tells its own
NARROWEST = 40  # columns; in less nothing can be read
SENTENCE_WIDTH = 100  # columns; longer lines of prose are hard to follow
GAP = 2  # columns between two columns of a table

# what is not torn apart: blanks that lead a line with its first word, a number with its unit, a unit in brackets
_WORDS = re.compile(r"^ +[^ ]+|[^ ]*\[[^]]{1,14}\][^ ]*|"
                    r"[^ ]*\d (?:[mck]?m|k?g|deg|[mk]?W|m?A|V|Wh|mAh|k?N|s|min|%|km/h|m/s|m?ohm|mph|C)(?!\w)[^ ]*|"
                    r"[^ ]+")

Rows = Sequence[Sequence[str]]


def width() -> int:
    """Return how many columns there are to write in."""
    if not sys.stdout.isatty():
        return PIPE_WIDTH
    return max(shutil.get_terminal_size((PIPE_WIDTH, 24)).columns, NARROWEST)


def say(words: str, indent: str = "", hanging: str | None = None) -> None:
    """Print a sentence broken into lines, after ``indent``; lines but the first after ``hanging``."""
    print("\n".join(sentence_lines(words, min(width(), SENTENCE_WIDTH), indent, hanging)))


def sentence_lines(words: str, wide: int, indent: str = "", hanging: str | None = None) -> list[str]:
    """Return a sentence in lines no longer than ``wide`` unless one word is; line ends in it are kept."""
    hanging = indent if hanging is None else hanging
    lines = []
    for part in words.split("\n"):
        room = (wide - _shown(indent), wide - _shown(hanging))
        parts = _wrapped(_printable(part), *room, False)
        lines += [(hanging if index else indent) + line for index, line in enumerate(parts)]
    return [line.rstrip() for line in lines]


def error_lines(message: str) -> list[str]:
    """Return a message of one or more lines as a terminal shows it; what goes on stands under its fault."""
    wide = max(shutil.get_terminal_size((PIPE_WIDTH, 24)).columns, NARROWEST)
    lines = []
    for line in message.split("\n"):
        head = re.match(r"\s*(line\s+\d+\s+)?", line)
        indent = head.group() if head else ""
        lines += sentence_lines(line[len(indent):], wide, indent, " " * len(indent))
    return lines


def print_table(heads: Sequence[str], rows: Rows, wide: int | None = None) -> None:
    """Print rows under their heads (bold in a terminal), no wider than asked, or else than there is room."""
    lines, head_lines = table_lines(heads, rows, wide or width())
    if not sys.stdout.isatty():
        print("\n".join(lines))
        return
    from rich.console import Console
    from rich.text import Text

    console = Console(highlight=False, width=max(map(_shown, lines), default=1) + 1)
    for index, line in enumerate(lines):
        console.print(Text(line, style="bold" if index < head_lines else ""))


def table_lines(heads: Sequence[str], rows: Rows, wide: int) -> tuple[list[str], int]:
    """Return a table as lines of at most ``wide`` columns, and how many of them are heads.

    Blanks that lead every cell of the first column indent the whole table.
    """
    body = [[_printable(cell) for cell in row] for row in ([heads, *rows] if any(heads) else rows)]
    if not body:
        return [], 0
    blanks = min(len(row[0]) - len(row[0].lstrip()) for row in body)
    body = [[row[0][blanks:], *row[1:]] for row in body]
    widths = column_widths(body, wide - blanks)
    lines, head_lines = [], 0
    for number, row in enumerate(body):
        cells = [_wrapped(cell, room, room, True) for cell, room in zip(row, widths, strict=True)]
        for level in range(max(map(len, cells))):
            at_level = [cell[level] if level < len(cell) else "" for cell in cells]
            padded = [text + " " * (room - _shown(text)) for text, room in zip(at_level, widths, strict=True)]
            lines.append((" " * blanks + (" " * GAP).join(padded)).rstrip())
        head_lines = len(lines) if number == 0 and any(heads) else head_lines
    return lines, head_lines


def column_widths(body: Rows, wide: int) -> list[int]:
    """Return the width of each column such that all fit and the table grows least in height.

    No column is narrower than its longest word, unless they do not even fit like that: then words are broken.
    """
    columns = list(zip(*body, strict=True))
    room = wide - GAP * (len(columns) - 1)
    widths = [max(1, *(max(_shown(line) for line in cell.split("\n")) for cell in column)) for column in columns]
    least = [max(1, *(_shown(word) for cell in column for word in _WORDS.findall(cell))) if any(column) else 1
             for column in columns]
    while sum(least) > room and max(least) > 1:
        widest = least.index(max(least))
        least[widest] -= 1
    widths = [min(one, room - sum(least) + low) for one, low in zip(widths, least, strict=True)]

    @cache
    def heights(index: int, at: int) -> tuple[int, ...]:
        return tuple(len(_wrapped(cell, at, at, True)) for cell in columns[index])

    def height(tried: list[int]) -> int:
        return sum(map(max, zip(*(heights(index, at) for index, at in enumerate(tried)), strict=True)))

    while sum(widths) > room:
        step = max(1, (sum(widths) - room) // 6)
        narrower = [[*widths[:index], max(at - step, least[index]), *widths[index + 1:]]
                    for index, at in enumerate(widths) if at > least[index]]
        # of equals the one that takes from the widest column
        widths = min(narrower, key=lambda tried: (height(tried), max(tried)))
    return _evened(widths, least, height)


def _evened(widths: list[int], least: list[int], height: Callable[[list[int]], int]) -> list[int]:
    """Return widths after room went from column to column for as long as that makes the table lower."""
    known = height(widths)
    for count in (8, 4, 2, 1):
        for taken, given in permutations(range(len(widths)), 2):
            tried = list(widths)
            tried[taken] -= count
            tried[given] += count
            if tried[taken] >= least[taken] and height(tried) < known:
                widths, known = tried, height(tried)
    return widths


def _wrapped(text: str, first: int, later: int, may_break: bool) -> list[str]:
    """Return text in lines between words; a word too long for a line is broken only where it may be."""
    lines: list[str] = []
    line = ""
    for word in _WORDS.findall(text):
        room = later if lines else first
        joined = f"{line} {word}" if line else word
        if _shown(joined) <= room:
            line = joined
            continue
        if line:
            lines.append(line)
        while may_break and _shown(word) > (later if lines else first):
            cut = _fitting(word, later if lines else first)
            lines.append(word[:cut])
            word = word[cut:]
        line = word
    lines += [line] if line or not lines else []
    return [line.replace("\N{NO-BREAK SPACE}", " ") for line in lines]


def _fitting(word: str, room: int) -> int:
    """Return how many letters of a word fit; where there is one, after a point, slash or line below."""
    count = 1
    while count < len(word) and _shown(word[: count + 1]) <= room:
        count += 1
    joint = max(word.rfind(mark, 0, count) for mark in "._/,-=") + 1
    return joint if joint > count // 2 else count


def _shown(text: str) -> int:
    """Return how many columns a terminal takes for text."""
    if text.isascii():
        return len(text)
    from rich.cells import cell_len

    return cell_len(text)


def _printable(text: str) -> str:
    """Return text of one line that cannot steer a terminal; its blanks that hold words together are kept."""
    kept = "\N{NO-BREAK SPACE}"
    return text if text.isprintable() else "".join(
        letter if letter.isprintable() or letter == kept else " " for letter in text)
