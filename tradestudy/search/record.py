"""What has been solved already, kept in SQLite beside the results: interrupted work goes on where it stopped."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Callable
from contextlib import suppress
from dataclasses import asdict
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from .optimum import Answer
from .problem import Choice


class Record:
    """Solved answers by key, for one text of inputs. Without a path nothing is kept beyond the run."""

    def __init__(self, path: Path | None, inputs: str):
        self._study = hashlib.sha256((code_fingerprint() + inputs).encode()).hexdigest()
        opened = None
        if path is not None:
            with suppress(OSError, sqlite3.Error):  # a folder that cannot be written costs the memory, not the run
                path.parent.mkdir(parents=True, exist_ok=True)
                opened = self._opened(path)
        self._database = opened or self._prepared(sqlite3.connect(":memory:"))
        self.reused = 0

    def _opened(self, path: Path) -> sqlite3.Connection:
        try:
            return self._prepared(sqlite3.connect(path))
        except sqlite3.OperationalError:  # another run holds it, or it cannot be written: leave it alone
            raise
        except sqlite3.DatabaseError:  # not a database, or a torn one: start afresh
            path.unlink()
            return self._prepared(sqlite3.connect(path))

    def _prepared(self, database: sqlite3.Connection) -> sqlite3.Connection:
        try:
            database.execute("create table if not exists solved (study text, key text, answer text, "
                             "primary key (study, key))")
            database.execute("delete from solved where study != ?", (self._study,))
            database.commit()
        except sqlite3.Error:
            database.close()
            raise
        return database

    def remembered(self, key: tuple, solve: Callable[[], Answer]) -> Answer:
        """Return the answer kept under ``key``, or solve it now and keep it."""
        text = json.dumps(key)
        row = self._database.execute("select answer from solved where study = ? and key = ?",
                                     (self._study, text)).fetchone()
        if row:
            self.reused += 1
            return _answer(json.loads(row[0]))
        found = solve()
        with suppress(sqlite3.Error):  # disk full, or another run at the same file: the answer is still good
            self._database.execute("insert or replace into solved values (?, ?, ?)",
                                   (self._study, text, json.dumps(_plain(found))))
            self._database.commit()
        return found

    def close(self) -> None:
        """Let go of the file."""
        self._database.close()


@cache
def code_fingerprint() -> str:
    """Return a hash of this package's code and data: answers of other code are not reused."""
    root = Path(__file__).parents[1]
    digest = hashlib.sha256()
    for path in sorted(root.rglob("*")):
        if path.suffix in (".py", ".toml") and "report" not in path.parts and "cli" not in path.parts:
            digest.update(path.read_bytes())
    return digest.hexdigest()


def _plain(answer: Answer) -> dict[str, Any]:
    return {**asdict(answer), "choice": asdict(answer.choice),
            "margins": {name: np.asarray(value).tolist() for name, value in answer.margins.items()}}


def _answer(raw: dict[str, Any]) -> Answer:
    margins = {name: np.asarray(value) for name, value in raw["margins"].items()}
    return Answer(**{**raw, "choice": Choice(**raw["choice"]), "margins": margins})
