"""Read a logbook: the flights of a study's wings in a CSV file that a person may edit.

Every row keeps its text as written, so that writing the logbook again changes only what has changed.
"""

from __future__ import annotations

import csv
import hashlib
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import NamedTuple

from tradestudy.errors import CommandError, Fault, LogbookError, near_match, nearest
from tradestudy.study.flight_logs.parse_rows import log_text
from tradestudy.study.reader import read_limited

from .flights import COLUMNS, STOCK, Flight, flight_of_cells
from .wings_file import built_wings

_LARGEST = 20_000_000  # largest size of a logbook in bytes
_DELIMITERS = (";", "\t", ",")
_LETTERS = "abcdefghjkmnpqrstuvwxyz"
_REQUIRED = ("wing", "minutes")


class BookRow(NamedTuple):
    """One row: its line in the file, its text as written, and its cells. A blank line or comment has no cells."""

    line: int
    text: str
    cells: tuple[str, ...]
    id: str  # as written, or made from the cells if a person left it empty; empty without cells


@dataclass(frozen=True)
class Logbook:
    """The rows and flights of one logbook. ``columns`` are the names of the header in small letters."""

    path: Path
    columns: tuple[str, ...] = COLUMNS
    rows: tuple[BookRow, ...] = ()
    flights: tuple[Flight, ...] = ()
    header: str = ",".join(COLUMNS)  # as written
    header_line: int = 1
    delimiter: str = ","
    line_end: str = "\n"
    byte_order_mark: bool = False
    content: bytes = b""

    @property
    def counted(self) -> tuple[Flight, ...]:
        """The flights that are not set aside, in the order of the logbook."""
        return tuple(flight for flight in self.flights if not flight.counts)

    def cells(self, row: BookRow) -> dict[str, str]:
        """Return a dict of column -> text for one row."""
        return {name: cell.strip() for name, cell in zip(self.columns, row.cells, strict=False)}


def logbook_path(study_path: Path) -> Path:
    """Return the path of the logbook beside a study: ``heron.logbook.csv`` for ``heron.toml``."""
    return study_path.with_name(f"{study_path.stem}.logbook.csv")


def read_logbook(study_path: Path) -> Logbook:
    """Return the logbook beside a study. It is empty if there is no such file.

    Raises
    ------
    LogbookError
        The logbook has errors. The exception holds all of them, each with its line and column.
    """
    path = logbook_path(study_path)
    if not path.exists():
        return Logbook(path)
    content = read_limited(path, "give a logbook", _LARGEST, ".csv")
    if len(content) > _LARGEST:
        raise CommandError(f"{path} holds more than {_LARGEST // 10**6} MB; a logbook has one line for each flight.")
    return parse_logbook(content, path, (STOCK, *built_wings(study_path)))


def parse_logbook(content: bytes, path: Path, wings: tuple[str, ...] | None = None) -> Logbook:
    """Return the logbook in the content of a file. ``wings`` are the known names; None allows any name."""
    text, corrections = log_text(content)
    lines = text.removeprefix("\ufeff").split("\n")
    head = next((place for place, line in enumerate(lines) if line.strip() and not _is_comment(line)), None)
    if head is None:
        if content.strip():
            raise LogbookError(str(path), [Fault(1, "", f"There is no header row; it names {', '.join(COLUMNS)}.")])
        return replace(Logbook(path), content=content)
    header = lines[head]
    delimiter = max(_DELIMITERS, key=header.count)
    names, _ = _cells(path, [header], 0, delimiter)
    columns = tuple(re.sub(r"[\s-]+", "_", name.strip().lower()) for name in names)
    faults = list(_header_faults(columns, head + 1))
    if faults:
        raise LogbookError(str(path), faults)
    records = [BookRow(place + 1, lines[place], (), "") for place in range(head)]
    records += _records(path, lines, head + 1, delimiter)
    book = Logbook(
        path,
        columns,
        header=header,
        header_line=head + 1,
        delimiter=delimiter,
        line_end="\r\n" if b"\r\n" in content else "\n",
        byte_order_mark=bool(corrections) or content[:2] in (b"\xef\xbb", b"\xff\xfe", b"\xfe\xff"),
        content=content,
    )
    rows = tuple(_with_ids(book, records))
    flights, faults = _flights(book, rows, wings)
    if faults:
        raise LogbookError(str(path), faults)
    return replace(book, rows=rows, flights=tuple(flights))


def _is_comment(line: str) -> bool:
    return line.lstrip().startswith("#")


def _header_faults(columns: tuple[str, ...], line: int) -> Iterator[Fault]:
    for name, count in Counter(columns).items():
        if name and count > 1:
            yield Fault(line, name, f"The header names {name} {count} times; keep one column.")
    missing = [name for name in COLUMNS if name not in columns]
    for place, name in enumerate(columns, start=1):
        if name not in COLUMNS and (meant := nearest(name, missing)):
            yield Fault(line, name, f'Column {place} is "{name[:30]}", which is not known. Did you mean {meant}?')
    for name in _REQUIRED:
        if name not in columns:
            yield Fault(line, name, f"The header names no column {name}; a logbook needs {' and '.join(_REQUIRED)}.")


def _records(path: Path, lines: list[str], first: int, delimiter: str) -> Iterator[BookRow]:
    """Yield every record below the header. A quoted cell may hold line ends, so a record may take several lines."""
    if lines and not lines[-1]:
        lines = lines[:-1]  # the empty text after the last line end is no row
    place = first
    while place < len(lines):
        cells: list[str] = []
        used = 1
        if not _is_comment(lines[place]) and lines[place].strip().strip(delimiter):
            cells, used = _cells(path, lines, place, delimiter)
        yield BookRow(place + 1, "\n".join(lines[place : place + used]), tuple(cells), "")
        place += used


def _cells(path: Path, lines: list[str], place: int, delimiter: str) -> tuple[list[str], int]:
    """Return the cells of the record that begins at a line (from 0), and the number of its lines."""
    following = (f"{lines[later]}\n" for later in range(place, len(lines)))
    reader = csv.reader(following, delimiter=delimiter, skipinitialspace=True, strict=True)
    try:
        return next(reader), reader.line_num
    except csv.Error:
        sentence = (
            'A quote (") is opened on this line and not closed, or stands within a quoted text; write it twice there.'
        )
        raise LogbookError(str(path), [Fault(place + 1, "", sentence)]) from None


def _with_ids(book: Logbook, records: list[BookRow]) -> Iterator[BookRow]:
    """Yield rows with ids. An empty id is made from the cells, so that every reader makes the same one.

    A row that was copied with its id, and then changed, is another flight. It gets an id of its own.
    """
    seen: dict[str, dict[str, str]] = {}
    for row in records:
        if not row.cells:
            yield row
            continue
        cells = book.cells(row)
        own = cells.pop("id", "")
        if not own or own in seen and seen[own] != cells:
            own = id_of_cells(cells, seen)
        seen.setdefault(own, cells)
        yield row._replace(id=own)


def id_of_cells(cells: dict[str, str], taken: dict[str, dict[str, str]]) -> str:
    """Return an id made from the cells of a row, other than those in ``taken``."""
    known = "\n".join(f"{name}={cells[name]}" for name in sorted(cells) if cells[name])
    for count in range(len(taken) + 1):
        number = int.from_bytes(hashlib.sha256(f"{count}\n{known}".encode()).digest()[:8], "big")
        letters = ""
        for _ in range(6):
            number, place = divmod(number, len(_LETTERS))
            letters += _LETTERS[place]
        if letters not in taken:
            return letters
    raise AssertionError("more ids than letters")


def _flights(
    book: Logbook, rows: tuple[BookRow, ...], wings: tuple[str, ...] | None
) -> tuple[list[Flight], list[Fault]]:
    """Return the flights of all rows, and the faults of all cells."""
    flights: list[Flight] = []
    faults: list[Fault] = []
    lines_of_ids: dict[str, int] = {}
    for row in rows:
        if not row.cells:
            continue
        given = len(row.cells)
        if given > len(book.columns) and any(cell.strip() for cell in row.cells[len(book.columns) :]):
            sentence = f"There are {given} cells, but the header names {len(book.columns)} columns;"
            faults.append(Fault(row.line, "", f'{sentence} put quotes (") round a text that holds "{book.delimiter}".'))
            continue
        if row.id in lines_of_ids:
            sentence = f"repeats line {lines_of_ids[row.id]}; remove one, or empty its id if it is another flight."
            faults.append(Fault(row.line, "id", f"This row {sentence}"))
            continue
        lines_of_ids[row.id] = row.line
        flight, wrong = flight_of_cells(book.cells(row) | {"id": row.id}, row.line, book.delimiter == ";")
        for fault in wrong:
            faults.append(Fault(row.line, fault.column, f"{_place(book, fault.column)} {fault.sentence}"))
        if flight and wings is not None and flight.wing not in wings:
            sentence = f'is "{flight.wing[:40]}", which is no built wing; known are {", ".join(wings)}.'
            sentence += near_match(flight.wing, list(wings))
            faults.append(Fault(row.line, "wing", f"{_place(book, 'wing')} {sentence}"))
        if flight:
            flights.append(flight)
    return flights, faults


def _place(book: Logbook, column: str) -> str:
    """Return a column in words, such as ``Column 5, minutes,``."""
    return f"Column {book.columns.index(column) + 1}, {column},"
