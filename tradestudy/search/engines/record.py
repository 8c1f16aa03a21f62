"""The record of earlier results, an SQLite file in the results folder. With it, interrupted work can continue.

Each row holds a hash of its contents. A row that differs from its hash is damage: it is set aside, and its result is
computed again.
"""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
import time
from collections.abc import Callable, Iterable
from contextlib import closing
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from .progress import Progress, no_progress

_LAYOUT = 2  # version of the tables; a file with another version is moved away
STUDIES = 8  # number of input texts whose results a file keeps; those used longest ago are deleted first
_PATIENCE = 30.0  # s; time to wait for another process that uses the file
_ATTEMPTS = 4  # attempts to open the file
_PAUSE = 0.2  # s; between two of them
_RUN_CONTINUES = "the run goes on, and what it finds from here on is not kept"
_DAMAGED, _OTHER_VERSION = "damaged", "other-version"  # reasons to move a file away, as written in its new name
_PRIMARY_CODE = 0xFF  # bits of an SQLite error code that name its group
# groups of errors in which the file may be whole; every other error while it is opened means damage
_NO_ACCESS = (
    sqlite3.SQLITE_PERM,
    sqlite3.SQLITE_BUSY,
    sqlite3.SQLITE_LOCKED,
    sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_FULL,
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_PROTOCOL,
    sqlite3.SQLITE_NOLFS,
)


class _OtherLayout(sqlite3.DatabaseError):
    """Error: another version of this package wrote the file."""


class _Rows(NamedTuple):
    """Results in a file for one text of inputs, and the numbers of damaged rows and of all rows."""

    known: dict[str, str]
    damaged: int
    total: int


class Record:
    """Stored results by key, for one text of inputs. Results are values that JSON can store.

    When `keep` returns, its results are on the disk and survive the end of the process. Several processes may share a
    file. Without a path, nothing is kept after the run. ``warn`` is called with a sentence if the file is damaged or
    cannot be written. A damaged file, or one of another version, is moved away, not deleted. Results in a file that
    cannot be written are used.
    """

    def __init__(self, path: Path | None, inputs: str, warn: Progress = no_progress):
        self._study = inputs_hash(inputs)
        self._path, self._warn = path, warn
        self._database: sqlite3.Connection | None = None
        self._known: dict[str, str] = {}
        self._log: int | None = None  # the file "-wal" that holds the latest results until SQLite moves them
        self.reused = 0
        if path is not None:
            self._open(path)

    def _open(self, path: Path) -> None:
        for attempt in range(_ATTEMPTS):  # another one follows if a file was moved away
            try:
                path.parent.mkdir(parents=True, exist_ok=True)
                self._database, rows = _opened(path, self._study)
            except OSError as error:
                self._warn(f"{path}: what is worked out cannot be kept there ({_reason(error)}); {_RUN_CONTINUES}.")
                return
            except (sqlite3.Error, UnicodeDecodeError) as error:  # SQLite quotes damaged names in its errors
                code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_CORRUPT) & _PRIMARY_CODE
                if code == sqlite3.SQLITE_IOERR and attempt < _ATTEMPTS - 1:  # another process makes its files anew
                    time.sleep(_PAUSE)
                    continue
                if code in _NO_ACCESS:
                    self._known = _read_only(path, self._study)
                    used = " What it holds is used." if self._known else ""
                    self._warn(
                        f"{path}: what is worked out cannot be kept there ({_reason(error)}); {_RUN_CONTINUES}.{used}"
                    )
                    return
                if not self._moved_away(path, _OTHER_VERSION if isinstance(error, _OtherLayout) else _DAMAGED):
                    return
            else:
                self._known, self._log = rows.known, _log_of(path)
                if rows.damaged:
                    are, they = ("is", "It is") if rows.damaged == 1 else ("are", "They are")
                    self._warn(
                        f"{path}: {rows.damaged} of {rows.total} kept results {are} damaged. "
                        f"{they} set aside and worked out again."
                    )
                return

    def _moved_away(self, path: Path, reason: str) -> bool:
        """Move a file away that cannot be used, and tell the user. Return whether that was possible."""
        what = "is damaged" if reason == _DAMAGED else "was written by another version of tradestudy"
        try:
            moved = _move_away(path, reason)
        except OSError as error:
            self._warn(f"{path} {what} and cannot be moved away ({_reason(error)}); {_RUN_CONTINUES}.")
            return False
        self._warn(f"{path} {what}. It was renamed {moved.name}; what it held is worked out again.")
        return True

    @property
    def folder(self) -> Path | None:
        """The folder of the file, or None if nothing is kept after the run."""
        return None if self._path is None else self._path.parent

    def known(self, key: Any) -> Any:
        """Return the result stored under a key, or None."""
        text = self._known.get(json.dumps(key))
        if text is None:
            return None
        self.reused += 1
        return json.loads(text)

    def keep(self, results: Iterable[tuple[Any, Any]]) -> None:
        """Store pairs of key and result, either all or none."""
        rows = {json.dumps(key): json.dumps(result) for key, result in results}
        self._known.update(rows)
        self._write(rows)
        if self._database is not None and self._path is not None and self._log != _log_of(self._path):
            self._warn(f"{self._path}-wal was removed while it was in use; what is known is written again.")
            self.close()
            rows = self._known
            self._open(self._path)
            self._known = {**self._known, **rows}
            self._write(self._known)

    def _write(self, rows: dict[str, str]) -> None:
        if self._database is None:
            return
        try:
            with self._database:
                self._database.executemany(
                    "insert or replace into solved values (?, ?, ?, ?)",
                    [(self._study, *row, _hash(self._study.encode(), *map(str.encode, row))) for row in rows.items()],
                )
        except (sqlite3.Error, UnicodeDecodeError) as error:
            self._warn(
                f"{self._path}: cannot be written any more ({_reason(error)}). What it holds stays; {_RUN_CONTINUES}."
            )
            self.close()

    def remembered(self, key: Any, solve: Callable[[], Any]) -> Any:
        """Return the result stored under a key. If there is none, compute it with ``solve`` and store it."""
        result = self.known(key)
        if result is None:
            result = solve()
            self.keep([(key, result)])
        return result

    def close(self) -> None:
        """Close the file."""
        if self._database is not None:
            self._database.close()
            self._database = None


def _opened(path: Path, study: str) -> tuple[sqlite3.Connection, _Rows]:
    """Return the open file and its results for one text of inputs. Raises sqlite3.Error if it cannot be used."""
    database = sqlite3.connect(path, timeout=_PATIENCE)
    try:
        database.text_factory = bytes  # text with a flipped bit may not be UTF-8
        # in WAL mode, writers and readers do not wait for each other; drives without it keep the default journal
        database.execute("pragma journal_mode = wal")
        database.execute("pragma synchronous = normal")
        if database.execute("pragma quick_check(1)").fetchone() != (b"ok",):
            raise sqlite3.DatabaseError("damaged")
        with database:
            database.execute("begin immediate")
            if database.execute("pragma user_version").fetchone()[0] not in (0, _LAYOUT):
                raise _OtherLayout("laid out otherwise")
            database.execute(f"pragma user_version = {_LAYOUT}")
            database.execute(_TABLE.format("solved"))
            database.execute("create table if not exists studies (turn integer primary key, study text unique)")
            database.execute("insert or replace into studies (study) values (?)", (study,))
            rows = _checked_rows(database, study)
            if rows.damaged:
                _set_aside(database)
            gone = "(select study from studies order by turn desc limit -1 offset ?)"
            database.execute(f"delete from solved where study in {gone}", (STUDIES,))
            database.execute(f"delete from studies where study in {gone}", (STUDIES,))
        return database, rows
    except BaseException:
        database.close()
        raise


_TABLE = (
    "create table if not exists {} (study text, key text, answer text, hash text, primary key (study, key)) "
    "without rowid"
)


def _hash(*parts: bytes) -> str:
    """Return the hash of a row: of its study, key and answer. None of them holds a zero byte."""
    return hashlib.sha256(b"\0".join(parts)).hexdigest()


def _is_sound(row: tuple[Any, ...]) -> bool:
    *parts, written = row
    return all(isinstance(part, bytes) for part in row) and _hash(*parts).encode() == written


def _checked_rows(database: sqlite3.Connection, study: str) -> _Rows:
    """Return the sound results for one text of inputs. Rows of every text are checked."""
    known, damaged, total = {}, 0, 0
    for row in database.execute("select study, key, answer, hash from solved"):
        total += 1
        if not _is_sound(row):
            damaged += 1
        elif row[0] == study.encode():
            known[row[1].decode()] = row[2].decode()
    return _Rows(known, damaged, total)


def _set_aside(database: sqlite3.Connection) -> None:
    """Move damaged rows to the table ``damaged``.

    All others move to a table in their place, since rows with a damaged key stand in the wrong order.
    """
    rows = database.execute("select study, key, answer, hash from solved").fetchall()
    database.execute("create table if not exists damaged (study, key, answer, hash)")
    database.execute(_TABLE.format("sound"))
    database.executemany("insert into damaged values (?, ?, ?, ?)", [row for row in rows if not _is_sound(row)])
    sound = [tuple(part.decode() for part in row) for row in rows if _is_sound(row)]
    database.executemany("insert or replace into sound values (?, ?, ?, ?)", sound)
    database.execute("drop table solved")
    database.execute("alter table sound rename to solved")


def _read_only(path: Path, study: str) -> dict[str, str]:
    """Return the sound results in a file that cannot be written, as far as it can be read."""
    try:
        # ``immutable`` needs no companion files, which a folder without permission cannot hold
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?immutable=1", uri=True)) as database:
            database.text_factory = bytes
            return _checked_rows(database, study).known
    except (sqlite3.Error, UnicodeDecodeError):
        return {}


def _move_away(path: Path, reason: str) -> Path:
    """Rename a file and SQLite's companion files to a free name that holds the reason. Return the new path."""
    number = 1
    while (moved := path.with_name(f"{path.name}.{reason}-{number}")).exists():
        number += 1
    path.rename(moved)
    for ending in ("-wal", "-shm"):
        companion = path.with_name(path.name + ending)
        if companion.exists():
            companion.rename(moved.with_name(moved.name + ending))
    return moved


def _log_of(path: Path) -> int | None:
    """Return the number by which the system knows the file "-wal" beside an open database, or None without one."""
    try:
        return os.stat(os.path.realpath(path) + "-wal").st_ino
    except OSError:
        return None


def _reason(error: Exception) -> str:
    return getattr(error, "strerror", None) or str(error)


def inputs_hash(inputs: str) -> str:
    """Return the hash of everything that results depend on: a text of inputs and the code of this package."""
    return hashlib.sha256((code_fingerprint() + inputs).encode()).hexdigest()


@cache
def code_fingerprint() -> str:
    """Return a hash of this package's code and data. Results of other code are not reused."""
    root = Path(__file__).parents[2]  # the package
    digest = hashlib.sha256()
    for path in sorted(root.rglob("*")):
        shows = {"report", "cli", "page_server"} & set(path.parts)  # rooms that compute no result
        if path.suffix in (".py", ".toml") and not shows:
            digest.update(path.read_bytes())
    return digest.hexdigest()
