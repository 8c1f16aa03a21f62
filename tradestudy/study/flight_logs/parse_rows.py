"""Split the text of a log into rows: encoding, line ends, delimiter, headings.

The meaning of a column does not matter here. One line of the file is one row, whatever quotes it holds, so that every
row keeps its line number.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from typing import NamedTuple

LARGEST_LOG = 300_000_000  # bytes; two hours at 20 Hz of forty columns have 50 million
_PREAMBLE = 80  # lines in which the headings are searched
_LISTED = 3  # line numbers that a sentence names; the others are counted


class LogRows(NamedTuple):
    """Headings, the values of every column as text, and the line of each row, counted from 1."""

    headings: tuple[str, ...]
    columns: list[Sequence[str]]
    lines: list[int]
    notes: list[str]


class LogFormFault(ValueError):
    """The text cannot be read as a table: the line, and a sentence about it."""

    def __init__(self, line: int, sentence: str):
        self.line, self.sentence = line, sentence
        super().__init__(sentence)


def counted(count: int, noun: str) -> str:
    """Return ``1 row`` or ``2 rows``."""
    return f"{count} {noun}{'' if count == 1 else 's'}"


def on_lines(lines: list[int]) -> str:
    """Return ``on line 7`` or ``on lines 7, 9, 12 and 40 more``."""
    if len(lines) == 1:
        return f"on line {lines[0]}"
    listed = [str(line) for line in lines[:_LISTED]]
    if len(lines) > _LISTED:
        return f"on lines {', '.join(listed)} and {len(lines) - _LISTED} more"
    return f"on lines {', '.join(listed[:-1])} and {listed[-1]}"


def log_text(content: bytes) -> tuple[str, list[str]]:
    """Return the text of a log, line ends as ``\\n``, and sentences on what was corrected."""
    notes = []
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        text = content.decode("utf-16", errors="replace")
    else:
        try:
            text = content.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = content.decode("cp1252", errors="replace")
            notes.append("The log is not UTF-8; it was read as Windows text (cp1252).")
    if "\0" in text:
        empty = counted(text.count("\0"), "empty byte")
        text = text.replace("\0", "")
        notes.append(f"{empty} left out; a logger writes them when it loses power.")
    return text.replace("\r\n", "\n").replace("\r", "\n"), notes


def log_rows(text: str, columns: list[str | int], delimiter: str | None = None) -> LogRows:
    """Return the rows below the headings. ``columns`` are headings, or numbers of columns counted from 1.

    The headings are the first line that holds most of those in ``columns``. Where all are numbers, rows begin with the
    first line of at least that many values of which most are numbers. Raises LogFormFault.
    """
    lines = text.split("\n")
    names = [name for name in columns if isinstance(name, str)]
    head, mark = _headings(lines, names, delimiter) if names else _first_row(lines, columns, delimiter)
    cells = _cells(lines[head], mark)
    headings = tuple(cells) if names else tuple(f"column {place}" for place in range(1, len(cells) + 1))
    first = head + 1 if names else head
    again = bool(names) and lines[head] in lines[first:]
    simple = None if again else _simple_columns(lines[first:], mark, len(cells))
    if simple is not None:
        return LogRows(headings, simple, list(range(first + 1, first + 1 + len(simple[0]))), [])
    numbered = [(number, line) for number, line in enumerate(lines[first:], start=first + 1) if line.strip()]
    notes: list[str] = []
    if again:
        repeated = [number for number, line in numbered if line == lines[head]]
        numbered = [(number, line) for number, line in numbered if line != lines[head]]
        notes.append(f"The headings are repeated {on_lines(repeated)}; left out.")
    rows, kept, odd = _split(numbered, mark, len(cells))
    if not rows:
        _no_rows(numbered, odd, len(cells), mark, head + 1)
    if odd:
        notes.append(
            f"{counted(len(odd), 'row')} {on_lines([number for number, _ in odd])} left out: "
            f"{odd[0][1]} values, but there are {len(cells)} headings."
        )
    return LogRows(headings, list(zip(*rows, strict=True)), kept, notes)


def _simple_columns(lines: list[str], mark: str, width: int) -> list[Sequence[str]] | None:
    """Return the columns of rows that all have the right width and no quotes, which is 3 times as fast; else None."""
    while lines and not lines[-1]:
        lines.pop()
    joined = mark.join(lines)
    if not lines or mark == " " or '"' in joined or any(line.count(mark) != width - 1 for line in lines):
        return None
    values = joined.split(mark)
    return [values[place::width] for place in range(width)]


def _no_rows(numbered: list[tuple[int, str]], odd: list[tuple[int, int]], width: int, mark: str, head: int) -> None:
    if odd and mark == "," and odd[0][1] > 1.3 * width:
        raise LogFormFault(
            odd[0][0],
            f"The row has {odd[0][1]} values, but there are {width} headings: decimal commas cannot be told from "
            "commas between values. Export the log with semicolons.",
        )
    if odd:
        raise LogFormFault(odd[0][0], f"No row has {width} values, as the headings have; this one has {odd[0][1]}.")
    raise LogFormFault(head, "There is no row below the headings.")


def _split(
    numbered: list[tuple[int, str]], mark: str, width: int
) -> tuple[list[list[str]], list[int], list[tuple[int, int]]]:
    """Return rows of the right width, their lines, and (line, width) of all others."""
    rows, kept, odd = [], [], []
    for number, line in numbered:
        row = line.split(mark) if '"' not in line and mark != " " else _cells(line, mark)
        if len(row) == width + 1 and not row[-1].strip():
            row = row[:-1]  # a delimiter at the end of every row but not of the headings
        if len(row) == width:
            rows.append(row)
            kept.append(number)
        else:
            odd.append((number, len(row)))
    return rows, kept, odd


def _cells(line: str, mark: str) -> list[str]:
    """Return the values of one line, without quotes and surrounding blanks."""
    if mark == " ":
        return line.split()
    try:
        row = next(csv.reader([line], delimiter=mark, skipinitialspace=True), [])
    except csv.Error:  # a value longer than the library allows
        row = line.split(mark)
    return [cell.strip() for cell in row]


def same_heading(one: str, other: str) -> bool:
    """Return whether headings differ in capitals and blanks at most."""
    return "".join(one.split()).casefold() == "".join(other.split()).casefold()


def _headings(lines: list[str], names: list[str], delimiter: str | None) -> tuple[int, str]:
    best = (0, 0, ",")
    for mark in [delimiter] if delimiter else [";", "\t", ",", "|"]:
        for place, line in enumerate(lines[:_PREAMBLE]):
            cells = _cells(line, mark)
            score = sum(any(same_heading(name, cell) for cell in cells) for name in names)
            if score > best[0]:
                best = score, place, mark
    if not best[0]:
        raise LogFormFault(
            1,
            f"The first {_PREAMBLE} lines hold none of the headings named in the measurements file ({names[0]}, ...).",
        )
    return best[1], best[2]


def _first_row(lines: list[str], columns: list[str | int], delimiter: str | None) -> tuple[int, str]:
    width = max(number for number in columns if isinstance(number, int))
    for place, line in enumerate(lines[:_PREAMBLE]):
        for mark in [delimiter] if delimiter else [";", "\t", ",", "|"]:
            cells = _cells(line, mark)
            if len(cells) >= width and sum(_is_number(cell) for cell in cells) > 0.5 * len(cells):
                return place, mark
    raise LogFormFault(1, f"The first {_PREAMBLE} lines hold no row of numbers with at least {width} columns.")


def _is_number(text: str) -> bool:
    try:
        float(text.replace(",", "."))
    except ValueError:
        return False
    return True
