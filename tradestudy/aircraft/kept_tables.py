"""Tables that take tenths of a second to make. A process makes each of them once, and hands them to its workers."""

from __future__ import annotations

import threading
from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar

Made = TypeVar("Made")
Tables = dict[str, dict[tuple, Any]]  # name of the function that makes them -> arguments -> table

_kept: Tables = {}
_changing = threading.Lock()  # a page makes tables in several threads


def kept_tables(most: int) -> Callable[[Callable[..., Made]], Callable[..., Made]]:
    """Return a decorator of a function of simple values. The last ``most`` tables that it made are kept."""

    def kept(make: Callable[..., Made]) -> Callable[..., Made]:
        name = f"{make.__module__}.{make.__qualname__}"
        known = _kept.setdefault(name, {})

        @wraps(make)
        def table(*key: Any) -> Made:
            if key not in known:
                made = make(*key)
                with _changing:
                    known.setdefault(key, made)
                    for first in list(known)[:-most]:
                        del known[first]
                return made
            return known[key]

        return table

    return kept


def tables_in_use() -> Tables:
    """Return all tables that this process keeps, for another process."""
    with _changing:
        return {name: dict(known) for name, known in _kept.items()}


def take_over(tables: Tables) -> None:
    """Keep the tables of another process, so that this one need not make them."""
    with _changing:
        for name, known in tables.items():
            mine = _kept.setdefault(name, {})
            for key, table in known.items():
                mine.setdefault(key, table)
