"""Fill in what a study leaves open, so that tape, scale and calipers are enough for a start.

Each `Rule` is for one key: it gives the value to assume, its band, and the results it moves. It works from the keys
that are given and writes the value as text, as a builder would; the reader then checks the filled tables like a file.
A key that is given is never changed. Weight, balance and set-back have no rule. A default that is the same for every
wing stands with its key in `study.schema`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

from tradestudy.study.line_numbers import Place, dotted
from tradestudy.study.schema.key_types import DefaultUsed
from tradestudy.study.schema.study import STUDY_TABLES, KeyLine, key_lines

from .pack_rules import BAY_RULES, PACK_LAYOUT_RULES, PACK_PLACE_RULES
from .power_rules import LATE_MOTOR_RULES, POWER_RULES
from .rule_types import MissingInput, PartialStudy, Rule
from .wing_rules import WING_RULES, fins_are_assumed

SINGLE_TABLE_ALLOWED = ("rods",)  # arrays for which a single [table] is read as one [[table]]
# in this order, since later rules use the values of earlier ones
ALL_RULES: list[tuple[str, dict[str, Rule]]] = [
    *WING_RULES.items(),
    *POWER_RULES.items(),
    ("motor", LATE_MOTOR_RULES),
    ("pack", PACK_LAYOUT_RULES),
    ("bay", BAY_RULES),
    ("pack", PACK_PLACE_RULES),
]
ASSUMABLE = frozenset((table, key) for table, rules in ALL_RULES for key in rules)
# arrays of which one table is assumed where the study has none and the function returns True
_ASSUMED_ARRAYS: dict[str, Callable[[PartialStudy], bool]] = {
    "fin": fins_are_assumed,
    **dict.fromkeys(("drag_item", "bay", "equipment"), lambda study: True),
}


class FilledStudy(NamedTuple):
    """The tables of a study after all rules were applied, and the values that were assumed."""

    raw: dict[str, Any]
    assumed: list[DefaultUsed]


def fill_in(raw: dict[str, Any], path: Path) -> FilledStudy:
    """Return the tables of a study with every rule applied; the given tables are not changed."""
    study = PartialStudy({name: _copy(name, table) for name, table in raw.items()}, path.stem)
    assumed = []
    for table, rules in ALL_RULES:
        for index, item in _items(table, study):
            for key in [key for key in rules if key not in item]:
                place: Place = (table, key) if index is None else (table, index, key)
                try:
                    value = rules[key](study, index or 0)
                except MissingInput:
                    continue  # what the rule needs is missing or wrong, and the reader reports it
                item[key] = value.value
                if value.reported:
                    band = (value.low, value.high, value.moves)
                    assumed.append(DefaultUsed(dotted(place), value.shown, value.origin, *band, place))
    tables = {name: table for name, table in study.tables.items() if table != {} or name in raw}
    return FilledStudy(tables, assumed)


def all_key_lines() -> list[KeyLine]:
    """Return every key of a study file like `schema.study.key_lines`, with the text of its rule where it has one."""
    texts = {
        f"{table}{'[]' if STUDY_TABLES[table].is_array else ''}.{key}": (rule.__doc__ or "").strip().rstrip(".")
        for table, rules in ALL_RULES
        for key, rule in rules.items()
    }
    return [
        line._replace(required=False, default=texts[line.key], origin="assumed") if line.key in texts else line
        for line in key_lines()
    ]


def _copy(name: str, table: Any) -> Any:
    """Return a copy of a table or an array of tables."""
    if isinstance(table, dict):
        return [dict(table)] if name in SINGLE_TABLE_ALLOWED else dict(table)
    if isinstance(table, list):
        return [dict(item) if isinstance(item, dict) else item for item in table]
    return table


def _items(table: str, study: PartialStudy) -> Iterator[tuple[int | None, dict[str, Any]]]:
    """Yield (index, keys) of every item of a table; an item that may be assumed is added where there is none."""
    if STUDY_TABLES[table].is_array:
        if table not in study.tables and table in _ASSUMED_ARRAYS and _ASSUMED_ARRAYS[table](study):
            study.tables[table] = [{}]
        items = study.tables.get(table, [])
        if isinstance(items, list):
            yield from ((index, item) for index, item in enumerate(items) if isinstance(item, dict))
        return
    item = study.tables.setdefault(table, {})
    if isinstance(item, dict):
        yield None, item
