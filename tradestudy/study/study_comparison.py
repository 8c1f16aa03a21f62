"""The differences between two study files, key by key. Equal values in different units are no difference."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from tradestudy.study.schema.key_types import KeyType
from tradestudy.study.schema.study import STUDY_TABLES

from .value_text import value_as_text

_NOT_GIVEN = "not given"
ASSUMED = " (assumed)"


class KeyDifference(NamedTuple):
    """One key whose values differ: both values as written in the files, and the meaning of the key."""

    key: str
    first: str
    second: str
    meaning: str


class _Value(NamedTuple):
    raw: Any
    assumed: bool


_Values = dict[str, dict[str, _Value]]  # label of a table such as "rods[main]" -> key -> value


def study_differences(
    first: str, second: str, open_first: Mapping[str, str], open_second: Mapping[str, str]
) -> list[KeyDifference]:
    """Return the differences between the TOML texts of two studies, in the order of their tables and keys.

    ``open_first`` and ``open_second`` are dicts of key -> assumed value for the keys that each study leaves open. Such
    a key is written ``rods[1].splice``. Tables of an array are matched by name if all names differ, else by number.
    """
    one, other = _values(first, open_first), _values(second, open_second)
    order = list(STUDY_TABLES)
    labels = sorted(
        dict.fromkeys([*one, *other]),
        key=lambda label: order.index(_table_name(label)) if _table_name(label) in order else len(order),
    )
    differences: list[KeyDifference] = []
    for label in labels:
        name = _table_name(label)
        if label not in one or label not in other:
            first_text, second_text = (_table_text(side.get(label)) for side in (one, other))
            meaning = (STUDY_TABLES[name].model.__doc__ or "") if name in STUDY_TABLES else ""
            differences.append(KeyDifference(label, first_text, second_text, meaning))
            continue
        for key in dict.fromkeys([*one[label], *other[label]]):
            kind, value, changed = _key_type(name, key), one[label].get(key), other[label].get(key)
            if not _same(kind, value, changed):
                meaning = kind.meaning if kind else ""
                differences.append(KeyDifference(f"{label}.{key}", _value_text(value), _value_text(changed), meaning))
    return differences


def _values(text: str, assumed: Mapping[str, str]) -> _Values:
    """Return a dict of table -> key -> value. Raise ValueError if the text is not valid TOML."""
    values: _Values = {}
    labels: dict[str, str] = {}
    for name, table in tomllib.loads(text).items():
        for label, place, keys in _tables(name, table):
            labels[place] = label
            if keys:
                values[label] = {key: _Value(value, False) for key, value in keys.items()}
    for path, value in assumed.items():
        place, _, key = path.rpartition(".")
        values.setdefault(labels.get(place, place), {}).setdefault(key, _Value(value, True))
    return values


def _tables(name: str, table: Any) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Yield (label, place, keys) for a table, or for each table of an array."""
    if isinstance(table, dict):
        yield name, name, table
    elif isinstance(table, list):
        items = [item for item in table if isinstance(item, dict)]
        names = [item.get("name") for item in items]
        by_name = all(isinstance(each, str) for each in names) and len(set(map(str, names))) == len(names)
        for number, item in enumerate(items, start=1):
            keys = {key: value for key, value in item.items() if not (by_name and key == "name")}
            yield f"{name}[{item['name'] if by_name else number}]", f"{name}[{number}]", keys


def _table_text(table: dict[str, _Value] | None) -> str:
    """Return all values of a table as one phrase. If no value is given, the phrase lists the assumed values."""
    if table is None:
        return _NOT_GIVEN
    given = {key: value for key, value in table.items() if not value.assumed}
    text = ", ".join(f"{key} {_value_text(value).removesuffix(ASSUMED)}" for key, value in (given or table).items())
    return text if given else text + ASSUMED


def _value_text(value: _Value | None) -> str:
    if value is None:
        return _NOT_GIVEN
    return value_as_text(value.raw) + (ASSUMED if value.assumed else "")


def _same(kind: KeyType | None, one: _Value | None, other: _Value | None) -> bool:
    if one is None or other is None:
        return one is other
    try:
        return kind is not None and _equal(kind.read(one.raw), kind.read(other.raw))
    except (ValueError, TypeError):  # an assumption in words, or a value that is not allowed
        return str(one.raw) == str(other.raw)


def _equal(one: Any, other: Any) -> bool:
    if isinstance(one, tuple) and isinstance(other, tuple):
        return len(one) == len(other) and all(map(_equal, one, other))
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-9)  # equal values in different units differ only by rounding
    return bool(one == other)


def _table_name(label: str) -> str:
    return label.partition("[")[0]


def _key_type(table: str, key: str) -> KeyType | None:
    spec = STUDY_TABLES.get(table)
    return spec.key_type(key) if spec and key in spec.model.model_fields else None
