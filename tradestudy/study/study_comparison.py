"""What differs between two study files, key by key, whatever units their values are written in."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from typing import Any, NamedTuple

from tradestudy.study.schema.study import TABLES, key_type

from .value_text import unquoted

NOT_GIVEN = "not given"
ASSUMED = " (assumed)"


class KeyDifference(NamedTuple):
    """One key whose value differs: as written in the first and in the second file, and what it means."""

    key: str
    first: str
    second: str
    meaning: str


def study_differences(
    first: str, second: str, open_first: Mapping[str, str], open_second: Mapping[str, str]
) -> list[KeyDifference]:
    """Return what differs between two studies' TOML texts, in the order of the keys.

    ``open_first`` and ``open_second``: value assumed for each key that a study left open, by its key such as
    ``rods[1].splice``. Tables of an array are matched by name where each has its own, else by their place.
    """
    sides = [_laid_out(text, assumed) for text, assumed in ((first, open_first), (second, open_second))]
    found = []
    tables = [_by_table(side) for side in sides]
    alone = tables[0].keys() ^ tables[1].keys()  # tables that only one of both has
    for item in alone:
        texts = [_together(each[item]) if item in each else NOT_GIVEN for each in tables]
        found.append(
            KeyDifference(
                item, texts[0], texts[1], TABLES[_table(item)].model.__doc__ or "" if _table(item) in TABLES else ""
            )
        )
    for label in dict.fromkeys(label for side in sides for label in side):
        one, other = (side.get(label) for side in sides)
        if label.rpartition(".")[0] not in alone and not _same(label, one, other):
            found.append(KeyDifference(label, _written(one), _written(other), _meaning(label)))
    order, places = list(TABLES), [label for side in sides for label in side]
    return sorted(
        found,
        key=lambda each: (
            order.index(_table(each.key)) if _table(each.key) in order else len(order),
            next(index for index, label in enumerate(places) if label.startswith(each.key)),
        ),
    )


class _Value(NamedTuple):
    raw: Any
    assumed: bool


def _laid_out(text: str, assumed: Mapping[str, str]) -> dict[str, _Value]:
    """Return every value of a study by its label; raises ValueError where the text is no TOML."""
    found: dict[str, _Value] = {}
    items: dict[str, str] = {}
    for name, table in tomllib.loads(text).items():
        for label, place, keys in _items(name, table):
            items[place] = label
            found |= {f"{label}.{key}": _Value(value, False) for key, value in keys.items()}
    for key, value in assumed.items():
        item, _, name = key.rpartition(".")
        found.setdefault(f"{items.get(item, item)}.{name}", _Value(value, True))
    return found


def _by_table(side: dict[str, _Value]) -> dict[str, dict[str, _Value]]:
    """Return the values of each table of a study, or of each of an array."""
    found: dict[str, dict[str, _Value]] = {}
    for label, value in side.items():
        item, _, key = label.rpartition(".")
        found.setdefault(item, {})[key] = value
    return found


def _together(table: dict[str, _Value]) -> str:
    """Return a whole table in one phrase: what is given, or else what is assumed."""
    given = {key: value for key, value in table.items() if not value.assumed}
    text = ", ".join(f"{key} {_written(value).removesuffix(ASSUMED)}" for key, value in (given or table).items())
    return text if given else text + ASSUMED


def _items(name: str, table: Any) -> list[tuple[str, str, dict[str, Any]]]:
    """Return (label, place, keys) of a table, or of each of an array."""
    if not isinstance(table, list):
        return [(name, name, table)] if isinstance(table, dict) else []
    items = [item for item in table if isinstance(item, dict)]
    names = [item.get("name") for item in items]
    by_name = all(isinstance(each, str) for each in names) and len(set(map(str, names))) == len(names)
    return [
        (
            f"{name}[{names[index] if by_name else index + 1}]",
            f"{name}[{index + 1}]",
            {key: value for key, value in item.items() if not (by_name and key == "name")},
        )
        for index, item in enumerate(items)
    ]


def _same(label: str, one: _Value | None, other: _Value | None) -> bool:
    if one is None or other is None:
        return one is other
    entry = _entry(label)
    try:
        return entry is not None and _alike(entry.read(one.raw), entry.read(other.raw))
    except (ValueError, TypeError):  # words of an assumption, or a value that is not allowed
        return str(one.raw) == str(other.raw)


def _alike(one: Any, other: Any) -> bool:
    if isinstance(one, tuple) and isinstance(other, tuple):
        return len(one) == len(other) and all(map(_alike, one, other))
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-9)  # units differ by rounding only
    return bool(one == other)


def _table(label: str) -> str:
    return label.partition(".")[0].partition("[")[0]


def _entry(label: str) -> Any:
    table, key = TABLES.get(_table(label)), label.rpartition(".")[2]
    field = table.model.model_fields.get(key) if table else None
    return key_type(field) if field else None


def _meaning(label: str) -> str:
    entry = _entry(label)
    return entry.meaning if entry else ""


def _written(value: _Value | None) -> str:
    if value is None:
        return NOT_GIVEN
    raw = ", ".join(map(unquoted, value.raw)) if isinstance(value.raw, list) else unquoted(value.raw)
    return raw + (ASSUMED if value.assumed else "")
