"""The rows of a log as text: encoding, line ends, what parts the values, where the headings stand.

Nothing here knows what a column means. One line of the file is one row, whatever quotes it holds, so that every row
keeps its line number.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from typing import NamedTuple

LARGEST_LOG = 300_000_000  # bytes; two hours at 20 Hz of forty columns have 50 million
PREAMBLE = 80  # lines in which the headings are looked for
LISTED = 3  # line numbers that a sentence names before it counts the rest


class LogRows(NamedTuple):
    """Headings, the values of every column as text, and the line on which each row stands, counted from 1."""

    headings: tuple[str, ...]
    columns: list[Sequence[str]]
    lines: list[int]
    notes: list[str]


class LogFormFault(ValueError):
    """The text is no table that could be read: the line, and a sentence about it."""

    def __init__(self, line: int, sentence: str):
        self.line, self.sentence = line, sentence
        super().__init__(sentence)


def on_lines(lines: list[int]) -> str:
    """Return ``on line 7`` or ``on lines 7, 9, 12 and 40 more``."""
    if len(lines) == 1:
        return f"on line {lines[0]}"
    listed = [str(line) for line in lines[:LISTED]]
    if len(lines) > LISTED:
        return f"on lines {', '.join(listed)} and {len(lines) - LISTED} more"
    return f"on lines {', '.join(listed[:-1])} and {listed[-1]}"


def log_text(content: bytes) -> tuple[str, list[str]]:
    """Return the text of a log and what was done to get at it; line ends are ``\\n``."""
    notes = []
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        text = content.decode("utf-16", errors="replace")
    else:
        try:
            text = content.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = content.decode("cp1252", errors="replace")
            notes.append("The log is not UTF-8; it was read as Windows text.")
    if "\0" in text:
        empty = text.count("\0")
        text = text.replace("\0", "")
        notes.append(f"{empty} empty bytes were left out, as a logger leaves them when its power goes.")
    return text.replace("\r\n", "\n").replace("\r", "\n"), notes


def log_rows(text: str, wanted: list[str | int], delimiter: str | None = None) -> LogRows:
    """Return the rows below the headings. ``wanted`` are headings, or numbers of columns counted from 1.

    The headings are the first line that holds most of those wanted. Where only numbers are wanted, rows begin with
    the first line of at least that many values of which most are numbers. Raises LogFormFault.
    """
    lines = text.split("\n")
    names = [name for name in wanted if isinstance(name, str)]
    head, mark = _headings(lines, names, delimiter) if names else _first_row(lines, wanted, delimiter)
    cells = _cells(lines[head], mark)
    headings = tuple(cells) if names else tuple(f"column {place}" for place in range(1, len(cells) + 1))
    first = head + 1 if names else head
    again = bool(names) and lines[head] in lines[first:]
    plain = None if again else _plain_columns(lines[first:], mark, len(cells))
    if plain is not None:
        return LogRows(headings, plain, list(range(first + 1, first + 1 + len(plain[0]))), [])
    numbered = [(number, line) for number, line in enumerate(lines[first:], start=first + 1) if line.strip()]
    notes: list[str] = []
    if again:
        repeated = [number for number, line in numbered if line == lines[head]]
        numbered = [(number, line) for number, line in numbered if line != lines[head]]
        notes.append(f"The headings stand again {on_lines(repeated)}; passed over.")
    rows, kept, odd = _split(numbered, mark, len(cells))
    if not rows:
        _no_rows(numbered, odd, len(cells), mark, head + 1)
    if odd:
        notes.append(
            f"{len(odd)} row{'s' if len(odd) > 1 else ''} {on_lines([number for number, _ in odd])} left out: "
            f"not {len(cells)} values as in the headings but {odd[0][1]}."
        )
    return LogRows(headings, list(zip(*rows, strict=True)), kept, notes)


def _plain_columns(lines: list[str], mark: str, width: int) -> list[Sequence[str]] | None:
    """Return the columns of rows without quotes that all have the right width, in a third of the time; else None."""
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
            f"The row has {odd[0][1]} values where the headings are {width}: decimal commas "
            "between commas cannot be told apart. Export it with semicolons.",
        )
    if odd:
        raise LogFormFault(odd[0][0], f"No row has {width} values as the headings do; this one has {odd[0][1]}.")
    raise LogFormFault(head, "No row stands below the headings.")


def _split(
    numbered: list[tuple[int, str]], mark: str, width: int
) -> tuple[list[list[str]], list[int], list[tuple[int, int]]]:
    """Return rows of the right width, their lines, and (line, width) of all others."""
    rows, kept, odd = [], [], []
    for number, line in numbered:
        row = line.split(mark) if '"' not in line and mark != " " else _cells(line, mark)
        if len(row) == width + 1 and not row[-1].strip():
            row = row[:-1]  # a mark at the end of every row but not of the headings
        if len(row) == width:
            rows.append(row)
            kept.append(number)
        else:
            odd.append((number, len(row)))
    return rows, kept, odd


def _cells(line: str, mark: str) -> list[str]:
    """Return the values of one line without their quotes and the blanks around them."""
    if mark == " ":
        return line.split()
    try:
        row = next(csv.reader([line], delimiter=mark, skipinitialspace=True), [])
    except csv.Error:  # a value longer than the library takes
        row = line.split(mark)
    return [cell.strip() for cell in row]


def same_heading(one: str, other: str) -> bool:
    """True for headings that differ in capitals and blanks at most."""
    return "".join(one.split()).casefold() == "".join(other.split()).casefold()


def _headings(lines: list[str], names: list[str], delimiter: str | None) -> tuple[int, str]:
    best = (0, 0, ",")
    for mark in [delimiter] if delimiter else [";", "\t", ",", "|"]:
        for place, line in enumerate(lines[:PREAMBLE]):
            cells = _cells(line, mark)
            score = sum(any(same_heading(name, cell) for cell in cells) for name in names)
            if score > best[0]:
                best = score, place, mark
    if not best[0]:
        raise LogFormFault(
            1,
            f"None of the headings named in the measurements file ({names[0]}, ...) stands in the "
            f"first {PREAMBLE} lines.",
        )
    return best[1], best[2]


def _first_row(lines: list[str], wanted: list[str | int], delimiter: str | None) -> tuple[int, str]:
    width = max(number for number in wanted if isinstance(number, int))
    for place, line in enumerate(lines[:PREAMBLE]):
        for mark in [delimiter] if delimiter else [";", "\t", ",", "|"]:
            cells = _cells(line, mark)
            if len(cells) >= width and sum(_is_number(cell) for cell in cells) > 0.5 * len(cells):
                return place, mark
    raise LogFormFault(1, f"The first {PREAMBLE} lines hold no row of numbers with at least {width} columns.")


def _is_number(text: str) -> bool:
    try:
        float(text.replace(",", "."))
    except ValueError:
        return False
    return True
