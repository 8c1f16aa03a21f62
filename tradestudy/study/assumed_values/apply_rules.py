"""Fill in the keys that a study leaves open, so that a builder can start with tape, scale and calipers.

Each `Rule` is for one key. It returns the assumed value, its band, and the results that the value changes. It uses the
given keys, and writes the value as a builder would. The reader then checks the filled tables like those of a file.

A given key is never changed. Weight, balance and set-back have no rule. A default that is the same for every wing is
not a rule, but is declared with its key in `study.schema`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

from tradestudy.study.line_numbers import Place, dotted
from tradestudy.study.schema.key_types import DefaultUsed
from tradestudy.study.schema.study import STUDY_TABLES, KeyLine, key_lines

from .gear_rules import GEAR_PLACE_RULES, LINKAGE_RULES
from .pack_rules import BAY_RULES, PACK_LAYOUT_RULES, PACK_PLACE_RULES
from .power_rules import LATE_MOTOR_RULES, POWER_RULES
from .rule_types import MissingInput, PartialStudy, Rule
from .wing_rules import BALANCE_RULES, JOINER_RULES, ROD_CENTRE_RULES, WING_RULES, fins_are_assumed

SINGLE_TABLE_ALLOWED = ("rods",)  # arrays that may also be written as a single [table]
# The order matters, since later rules use the values of earlier rules.
ALL_RULES: list[tuple[str, dict[str, Rule]]] = [
    *WING_RULES.items(),
    ("stock", BALANCE_RULES),
    *POWER_RULES.items(),
    ("motor", LATE_MOTOR_RULES),
    ("pack", PACK_LAYOUT_RULES),
    ("bay", BAY_RULES),
    ("rods", ROD_CENTRE_RULES),
    ("joiner", JOINER_RULES),
    ("pack", PACK_PLACE_RULES),
    ("equipment", GEAR_PLACE_RULES),
    ("linkage", LINKAGE_RULES),
]
# the balance is never assumed: it is only told from one datum or the other
ASSUMABLE = frozenset((table, key) for table, rules in ALL_RULES for key in rules if rules is not BALANCE_RULES)
# array -> function; if the study has no table of the array and the function returns True, one table is assumed
_ASSUMED_ARRAYS: dict[str, Callable[[PartialStudy], bool]] = {
    "fin": fins_are_assumed,
    **dict.fromkeys(("drag_item", "bay", "equipment"), lambda study: True),
}


class FilledStudy(NamedTuple):
    """The tables of a study after all rules were applied, and the list of assumed values."""

    raw: dict[str, Any]
    assumed: list[DefaultUsed]


def fill_in(raw: dict[str, Any], path: Path) -> FilledStudy:
    """Return the tables of a study after all rules were applied. ``raw`` itself is not changed."""
    study = PartialStudy({name: _copy(name, table) for name, table in raw.items()}, path.stem)
    assumed = []
    for table, rules in ALL_RULES:
        for index, item in _items(table, study):
            for key in [key for key in rules if key not in item]:
                place: Place = (table, key) if index is None else (table, index, key)
                try:
                    value = rules[key](study, index or 0)
                except MissingInput:
                    continue  # a key that the rule needs is missing or wrong, which the reader reports
                item[key] = value.value
                if value.reported:
                    band = (value.low, value.high, value.moves)
                    assumed.append(DefaultUsed(dotted(place), value.shown, value.origin, *band, place))
    tables = {name: table for name, table in study.tables.items() if table != {} or name in raw}
    return FilledStudy(tables, assumed)


def all_key_lines() -> list[KeyLine]:
    """Return all keys of a study file like `schema.study.key_lines`. A key with a rule has the text of the rule."""
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
    """Yield (index, keys) for every table of this name. The index is None if the table is not an array.

    A table that does not exist but may be assumed is added to the study.
    """
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
