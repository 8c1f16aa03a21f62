"""Write a logbook so that nothing is lost: under a lock, merged with what others wrote, and with a history.

The file is read again under the lock. Rows that others added or changed since stay. The text before and after each
writing is kept in ``heron.logbook.history``, and the new text replaces the file in one step.
"""

from __future__ import annotations

import csv
import datetime
import hashlib
import io
import secrets
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from tradestudy.errors import RunFailed
from tradestudy.files import locked, write_atomically
from tradestudy.quantities import short_with_unit

from .flights import COLUMNS, Flight, cells_of_flight
from .read_logbook import BookRow, Logbook, parse_logbook

_ATTEMPTS = 5
_TIME = "%Y-%m-%dT%H-%M-%S-%f"  # of a text in the history


class Written(NamedTuple):
    """A logbook as written, the flights that were added or changed, and sentences on conflicts."""

    book: Logbook
    flights: tuple[Flight, ...]
    notes: tuple[str, ...]


def history_folder(path: Path) -> Path:
    """Return the folder of the earlier texts of a logbook: ``heron.logbook.history`` for ``heron.logbook.csv``."""
    return path.with_name(f"{path.stem}.history")


def write_logbook(book: Logbook, changed: Sequence[Flight]) -> Written:
    """Add flights to a logbook, or change flights in it, and write it.

    ``book`` is the logbook as it was read. A flight of ``changed`` with an empty id is new, and gets an id. A flight
    with the id of a row changes this row. If another person has changed the same row since, both are kept. The second
    gets an id of its own, and a sentence names it.

    Raises
    ------
    LogbookError
        The file now has errors. Nothing is written.
    RunFailed
        Another process holds the lock.
    """
    for _ in range(_ATTEMPTS):
        with locked(book.path) as still_locked:
            now = parse_logbook(book.path.read_bytes(), book.path) if book.path.exists() else Logbook(book.path)
            gone = _gone(now)
            merged = _merged(book, now, changed)
            content = _content(merged.book)
            if now.content:
                keep_text(book.path, now.content)
            keep_text(book.path, content)
            if not still_locked():  # another process has taken this lock for one left behind
                continue
            write_atomically(book.path, content)
            written = parse_logbook(content, book.path)
            ids = {flight.id for flight in merged.flights}
            return Written(written, tuple(one for one in written.flights if one.id in ids), (*gone, *merged.notes))
    raise RunFailed(f"{book.path} could not be locked; nothing was written. Try again.")


def keep_text(path: Path, content: bytes) -> Path:
    """Keep one text of a logbook in its history, unless it is the latest there. Return the path of its copy.

    Its name sorts after all earlier ones, also where the clock has been set back.
    """
    mark = hashlib.sha256(content).hexdigest()[:12]
    latest = latest_text(path)
    if latest and latest.stem.endswith(mark):
        return latest
    when = datetime.datetime.now(datetime.UTC).replace(tzinfo=None)
    if latest:
        with suppress(ValueError):  # a file that someone else has put there
            earlier = datetime.datetime.strptime(latest.stem.rpartition("_")[0], _TIME)
            when = max(when, earlier + datetime.timedelta(microseconds=1))
    return write_atomically(history_folder(path) / f"{when.strftime(_TIME)}_{mark}.csv", content)


def latest_text(path: Path) -> Path | None:
    """Return the path of the latest text in the history of a logbook, or None."""
    return max(history_folder(path).glob("*_*.csv"), default=None)


def missing_flights(book: Logbook) -> tuple[tuple[Flight, ...], Path | None]:
    """Return the flights of the latest text in the history that are no longer in the logbook, and that text's path.

    Someone has deleted them, or has saved an older copy of the file over it.
    """
    latest = latest_text(book.path)
    if latest is None:
        return (), None
    ids = {row.id for row in book.rows}
    earlier = parse_logbook(latest.read_bytes(), latest)
    return tuple(flight for flight in earlier.flights if flight.id not in ids), latest


def _gone(now: Logbook) -> tuple[str, ...]:
    """Return a sentence on flights that have left the logbook since it was last written here, if any."""
    missing, text = missing_flights(now)
    if not missing or text is None:
        return ()
    first = missing[0]
    words = f"{first.wing}, {first.date or 'no date'}, {short_with_unit(first.time, 'min', 3)}"
    count = "1 flight is" if len(missing) == 1 else f"{len(missing)} flights are"
    place = f"{text.parent.name}/{text.name}"
    return (f"{now.path.name}: {count} gone since it was last written, first {first.id} ({words}); {place} holds it.",)


def _merged(base: Logbook, now: Logbook, changed: Sequence[Flight]) -> Written:
    """Return the logbook to write. Its rows have the texts that the file will hold."""
    before = {row.id: row for row in base.rows if row.cells}
    flown = {flight.id: flight for flight in base.flights}
    more = [name for name in _needed(changed) if name not in now.columns]
    book = replace(now, columns=(*now.columns, *more), header=now.delimiter.join([now.header, *more]))
    rows = {number: _with_id(book, row) for number, row in enumerate(now.rows)}
    places = {row.id: number for number, row in rows.items() if row.cells}
    taken, added, notes, flights = set(places) | set(before), list[BookRow](), list[str](), list[Flight]()
    for flight in changed:
        old, place = before.get(flight.id) if flight.id else None, places.get(flight.id)
        if old is not None and place is not None and _same(base, old, now, now.rows[place]):
            cells = book.cells(rows[place]) | _changed_cells(flown[flight.id], flight, book)
            rows[place] = _row(book, cells, flight.id)
            flights.append(flight)
            continue
        own = flight
        if not flight.id or flight.id in taken and (old is None or place is not None):
            own = replace(flight, id=_new_id(taken))
        if flight.id and own.id != flight.id:
            notes.append(
                f"{book.path.name}: flight {flight.id} was changed by someone else since it was read; both are kept, "
                f"this one as {own.id}."
            )
        taken.add(own.id)
        kept = base.cells(old) if old else {}
        added.append(_row(book, kept | cells_of_flight(own, book.delimiter == ";"), own.id))
        flights.append(own)
    return Written(replace(book, rows=(*rows.values(), *added)), tuple(flights), tuple(notes))


def _needed(changed: Sequence[Flight]) -> list[str]:
    """Return the columns that the flights need."""
    used = {name for flight in changed for name, text in cells_of_flight(flight).items() if text}
    return [name for name in COLUMNS if name in used or name == "id"]


def _same(base: Logbook, old: BookRow, now: Logbook, row: BookRow) -> bool:
    """Return whether a row has the same cells as when it was read. Empty cells, and the id, do not matter."""

    def known(book: Logbook, one: BookRow) -> dict[str, str]:
        return {name: cell for name, cell in book.cells(one).items() if cell and name != "id"}

    return known(base, old) == known(now, row)


def _changed_cells(before: Flight, after: Flight, book: Logbook) -> dict[str, str]:
    """Return the cells that differ between two states of a flight, so that all others stay as a person wrote them."""
    comma = book.delimiter == ";"
    old, new = cells_of_flight(before, comma), cells_of_flight(after, comma)
    return {name: text for name, text in new.items() if text != old[name]}


def _with_id(book: Logbook, row: BookRow) -> BookRow:
    """Return a row with its id written out, if a person left it empty."""
    if not row.cells or book.cells(row).get("id") == row.id:
        return row
    return _row(book, book.cells(row), row.id)


def _row(book: Logbook, cells: dict[str, str], own_id: str) -> BookRow:
    values = [_plain(cells.get(name, "")) if name != "id" else own_id for name in book.columns]
    return BookRow(0, _text(book, values), tuple(values), own_id)


def _plain(text: str) -> str:
    """Return a cell that a spreadsheet does not take for a formula. Reading removes the blank again."""
    return f" {text}" if text[:1] in ("=", "+", "@") else text


def _text(book: Logbook, values: list[str]) -> str:
    """Return one row of the file, without line end."""
    out = io.StringIO()
    csv.writer(out, delimiter=book.delimiter, lineterminator="\r\n").writerow(values)  # it quotes line ends in a cell
    return out.getvalue().removesuffix("\r\n")


def _content(book: Logbook) -> bytes:
    above = sum(0 < row.line < book.header_line for row in book.rows)  # blank lines and comments above the header
    texts = [row.text for row in book.rows]
    lines = [*texts[:above], book.header, *texts[above:]]
    text = "".join(line.replace("\n", book.line_end) + book.line_end for line in lines)
    return text.encode("utf-8-sig" if book.byte_order_mark else "utf-8")


def _new_id(taken: set[str]) -> str:
    while True:
        own = "".join(secrets.choice("abcdefghjkmnpqrstuvwxyz") for _ in range(6))
        if own not in taken:
            return own
