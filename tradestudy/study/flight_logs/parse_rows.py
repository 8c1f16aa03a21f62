"""Splitting of a log into rows. This module handles encoding, line ends, delimiter and headings.

It does not use the meaning of a column. Every line of the file is one row, even if a quoted value continues on the next
line. So every row has a line number.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from typing import NamedTuple

LARGEST_LOG = 300_000_000  # largest size of a log in bytes; two hours of forty columns at 20 Hz need 50 million
_PREAMBLE = 80  # number of lines at the start of a log in which headings are searched
_LISTED = 3  # number of lines that a sentence names; further lines are only counted


class LogRows(NamedTuple):
    """The rows of a log: headings, values of every column as text, and line number (from 1) of each row."""

    headings: tuple[str, ...]
    columns: list[Sequence[str]]
    lines: list[int]
    notes: list[str]


class LogFormFault(ValueError):
    """An exception for text that cannot be read as a table, with the line number and a sentence."""

    def __init__(self, line: int, sentence: str):
        self.line, self.sentence = line, sentence
        super().__init__(sentence)


def counted(count: int, noun: str) -> str:
    """Return a count with its noun, such as ``1 row`` or ``2 rows``."""
    return f"{count} {noun}{'' if count == 1 else 's'}"


def on_lines(lines: list[int]) -> str:
    """Return a list of lines in words, such as ``on line 7`` or ``on lines 7, 9, 12 and 40 more``."""
    if len(lines) == 1:
        return f"on line {lines[0]}"
    listed = [str(line) for line in lines[:_LISTED]]
    if len(lines) > _LISTED:
        return f"on lines {', '.join(listed)} and {len(lines) - _LISTED} more"
    return f"on lines {', '.join(listed[:-1])} and {listed[-1]}"


def log_text(content: bytes) -> tuple[str, list[str]]:
    """Return the text of a log with line ends ``\\n``, and sentences about corrections."""
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

    The line of headings is the line that contains the most headings of ``columns``. If ``columns`` has only numbers,
    rows begin with the first line that has enough values and consists mostly of numbers. Raise LogFormFault if there
    are no such lines.
    """
    lines = text.split("\n")
    names = [name for name in columns if isinstance(name, str)]
    delimiters = [delimiter] if delimiter else [";", "\t", ",", "|"]
    head, delimiter = _headings(lines, names, delimiters) if names else _first_row(lines, columns, delimiters)
    values = _split_line(lines[head], delimiter)
    width = len(values)
    headings = tuple(values) if names else tuple(f"column {number}" for number in range(1, width + 1))
    first = head + 1 if names else head
    is_repeated = bool(names) and lines[head] in lines[first:]
    simple = None if is_repeated else _simple_columns(lines[first:], delimiter, width)
    if simple is not None:
        return LogRows(headings, simple, list(range(first + 1, first + 1 + len(simple[0]))), [])
    numbered = [(number, line) for number, line in enumerate(lines[first:], start=first + 1) if line.strip()]
    notes: list[str] = []
    if is_repeated:
        repeated = [number for number, line in numbered if line == lines[head]]
        numbered = [(number, line) for number, line in numbered if line != lines[head]]
        notes.append(f"The headings are repeated {on_lines(repeated)}; left out.")
    rows, kept, odd = _split_rows(numbered, delimiter, width)
    if not rows:
        raise _no_rows(odd, width, delimiter, head + 1)
    if odd:
        notes.append(
            f"{counted(len(odd), 'row')} {on_lines([number for number, _ in odd])} left out: "
            f"{counted(odd[0][1], 'value')}, but there are {width} headings."
        )
    return LogRows(headings, list(zip(*rows, strict=True)), kept, notes)


def listed_headings(text: str) -> list[str]:
    """Return the headings of a log whose columns nobody has named yet: the line above its first row of numbers.

    Without such a line they are the numbers of the columns, from 1. Raise LogFormFault if there is no row of numbers.
    """
    lines = text.split("\n")
    first, delimiter = _first_row(lines, [2], [";", "\t", ",", "|"])
    width = len(_split_line(lines[first], delimiter))
    above = next((_split_line(line, delimiter) for line in reversed(lines[:first]) if line.strip()), [])
    return above if len(above) == width else [str(number) for number in range(1, width + 1)]


def _simple_columns(lines: list[str], delimiter: str, width: int) -> list[Sequence[str]] | None:
    """Return the columns of a log if all rows have ``width`` values and no quotes, else None.

    This is 3 times as fast as reading row by row.
    """
    while lines and not lines[-1]:
        lines.pop()
    joined = delimiter.join(lines)
    if not lines or delimiter == " " or '"' in joined or any(line.count(delimiter) != width - 1 for line in lines):
        return None
    values = joined.split(delimiter)
    return [values[place::width] for place in range(width)]


def _split_rows(
    numbered: list[tuple[int, str]], delimiter: str, width: int
) -> tuple[list[list[str]], list[int], list[tuple[int, int]]]:
    """Return the rows with ``width`` values, their line numbers, and (line number, number of values) of other rows."""
    rows, kept, odd = [], [], []
    for number, line in numbered:
        is_simple = '"' not in line and delimiter != " "
        row = line.split(delimiter) if is_simple else _split_line(line, delimiter)
        if len(row) == width + 1 and not row[-1].strip():
            row = row[:-1]  # rows end in a delimiter, but the headings do not
        if len(row) == width:
            rows.append(row)
            kept.append(number)
        else:
            odd.append((number, len(row)))
    return rows, kept, odd


def _no_rows(odd: list[tuple[int, int]], width: int, delimiter: str, head: int) -> LogFormFault:
    """Return the error for a log in which no row has ``width`` values.

    ``odd`` is the list of other rows that `_split_rows` returns. ``head`` is the line number of the headings.
    """
    if not odd:
        return LogFormFault(head, "There is no row below the headings.")
    line, values = odd[0]
    if delimiter == "," and values > 1.3 * width:
        sentence = (
            f"The row has {values} values, but there are {width} headings: decimal commas cannot be told from commas "
            "between values. Export the log with semicolons."
        )
    else:
        sentence = f"No row has {width} values, as the headings have; this one has {values}."
    return LogFormFault(line, sentence)


def _split_line(line: str, delimiter: str) -> list[str]:
    """Return the values of one line, without quotes and without blanks around them."""
    if delimiter == " ":
        return line.split()
    try:
        row = next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
    except csv.Error:  # a value is longer than the csv library allows
        row = line.split(delimiter)
    return [value.strip() for value in row]


def same_heading(one: str, other: str) -> bool:
    """Return whether two headings are the same except for capital letters and blanks."""
    return "".join(one.split()).casefold() == "".join(other.split()).casefold()


def _headings(lines: list[str], names: list[str], delimiters: list[str]) -> tuple[int, str]:
    """Return the index of the line with the headings, and the delimiter."""
    best = (0, 0, ",")
    for delimiter in delimiters:
        for place, line in enumerate(lines[:_PREAMBLE]):
            values = _split_line(line, delimiter)
            score = sum(any(same_heading(name, value) for value in values) for name in names)
            if score > best[0]:
                best = score, place, delimiter
    if not best[0]:
        sentence = f"The first {_PREAMBLE} lines hold none of the headings named in the measurements file"
        raise LogFormFault(1, f"{sentence} ({names[0]}, ...).")
    return best[1:]


def _first_row(lines: list[str], columns: list[str | int], delimiters: list[str]) -> tuple[int, str]:
    """Return the index of the first row of numbers, and the delimiter."""
    width = max(number for number in columns if isinstance(number, int))
    for place, line in enumerate(lines[:_PREAMBLE]):
        for delimiter in delimiters:
            values = _split_line(line, delimiter)
            if len(values) >= width and sum(map(_is_number, values)) > 0.5 * len(values):
                return place, delimiter
    raise LogFormFault(1, f"The first {_PREAMBLE} lines hold no row of numbers with at least {width} columns.")


def _is_number(text: str) -> bool:
    try:
        float(text.replace(",", "."))
    except ValueError:
        return False
    return True
