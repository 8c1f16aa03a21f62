"""The record of earlier results, an SQLite file in the results folder. With it, interrupted work can continue."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Callable, Iterable
from functools import cache
from pathlib import Path
from typing import Any

from .progress import Progress, no_progress

_LAYOUT = 1  # version of the tables; a file with another version is moved away
STUDIES = 8  # number of input texts whose results a file keeps; those used longest ago are deleted first
_PATIENCE = 30.0  # s; time to wait for another process that uses the file
_RUN_CONTINUES = "the run goes on, and what it finds from here on is not kept"


class Record:
    """Stored results by key, for one text of inputs. Results are values that JSON can store.

    When `keep` returns, its results are on the disk and survive the end of the process. Several processes may share a
    file. Without a path, nothing is kept after the run. ``warn`` is called with a sentence if the file is damaged or
    cannot be written. A damaged file is moved away, not deleted.
    """

    def __init__(self, path: Path | None, inputs: str, warn: Progress = no_progress):
        self._study = hashlib.sha256((code_fingerprint() + inputs).encode()).hexdigest()
        self._path, self._warn = path, warn
        self._database: sqlite3.Connection | None = None
        self._known: dict[str, str] = {}
        self.reused = 0
        if path is not None:
            self._open(path)

    def _open(self, path: Path) -> None:
        for _ in range(2):  # the second attempt follows if a damaged file was moved away
            try:
                path.parent.mkdir(parents=True, exist_ok=True)
                self._database, self._known = _opened(path, self._study)
                return
            except (OSError, sqlite3.OperationalError) as error:
                self._warn(f"{path}: what is worked out cannot be kept there ({_reason(error)}); {_RUN_CONTINUES}.")
                return
            except sqlite3.DatabaseError:
                try:
                    moved = _move_away(path)
                except OSError as error:
                    self._warn(f"{path} is damaged and cannot be moved away ({_reason(error)}); {_RUN_CONTINUES}.")
                    return
                self._warn(f"{path} is damaged. It was renamed {moved.name}; what it held is worked out again.")

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
        rows = [(json.dumps(key), json.dumps(result)) for key, result in results]
        self._known.update(rows)
        if self._database is None:
            return
        try:
            with self._database:
                self._database.executemany(
                    "insert or replace into solved values (?, ?, ?)", [(self._study, *row) for row in rows]
                )
        except sqlite3.Error as error:
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


def _opened(path: Path, study: str) -> tuple[sqlite3.Connection, dict[str, str]]:
    """Return the open file and its results for one text of inputs. Raises sqlite3.DatabaseError if it is damaged."""
    database = sqlite3.connect(path, timeout=_PATIENCE)
    try:
        # in WAL mode, writers and readers do not wait for each other; drives without it keep the default journal
        database.execute("pragma journal_mode = wal")
        database.execute("pragma synchronous = normal")
        if database.execute("pragma quick_check(1)").fetchone() != ("ok",):
            raise sqlite3.DatabaseError("damaged")
        with database:
            database.execute("begin immediate")
            if database.execute("pragma user_version").fetchone()[0] not in (0, _LAYOUT):
                raise sqlite3.DatabaseError("laid out otherwise")
            database.execute(f"pragma user_version = {_LAYOUT}")
            database.execute(
                "create table if not exists solved (study text, key text, answer text, "
                "primary key (study, key)) without rowid"
            )
            database.execute("create table if not exists studies (turn integer primary key, study text unique)")
            database.execute("insert or replace into studies (study) values (?)", (study,))
            gone = "(select study from studies order by turn desc limit -1 offset ?)"
            database.execute(f"delete from solved where study in {gone}", (STUDIES,))
            database.execute(f"delete from studies where study in {gone}", (STUDIES,))
        return database, dict(database.execute("select key, answer from solved where study = ?", (study,)).fetchall())
    except BaseException:
        database.close()
        raise


def _move_away(path: Path) -> Path:
    """Rename a damaged file and SQLite's companion files to a free name. Return the new path."""
    number = 1
    while (moved := path.with_name(f"{path.name}.damaged-{number}")).exists():
        number += 1
    path.rename(moved)
    for ending in ("-wal", "-shm"):
        companion = path.with_name(path.name + ending)
        if companion.exists():
            companion.rename(moved.with_name(moved.name + ending))
    return moved


def _reason(error: Exception) -> str:
    return getattr(error, "strerror", None) or str(error)


@cache
def code_fingerprint() -> str:
    """Return a hash of this package's code and data. Results of other code are not reused."""
    root = Path(__file__).parents[2]  # the package
    digest = hashlib.sha256()
    for path in sorted(root.rglob("*")):
        if path.suffix in (".py", ".toml") and "report" not in path.parts and "cli" not in path.parts:
            digest.update(path.read_bytes())
    return digest.hexdigest()
