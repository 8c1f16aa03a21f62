"""What a study leaves open, filled in from what it gives: so that tape, scale and calipers are enough for a start.

Each `Rule` knows one key: the value to assume, how far off that may be, and what it moves. Values are worked out from
the keys that are given and written as text, as a builder would write them; the reader then checks the whole as if it
had stood in the file. A key that is given is never touched. Weight, balance and set-back have no rule. The rules
stand in `wing_rules` and `power_rules`; a default that is the same for every wing stands beside its key in
`study.schema`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, NamedTuple

from tradestudy.study.line_numbers import Place, dotted
from tradestudy.study.schema.key_types import DefaultUsed
from tradestudy.study.schema.study import TABLES, KeyLine, key_lines

from . import power_rules, wing_rules
from .rule_types import MissingInput, PartialStudy, Rule

SINGLE_TABLE_ALLOWED = ("rods",)  # of these arrays a single [table] is taken for one [[table]]
# in this order, since later rules ask for what earlier ones found
ALL_RULES: list[tuple[str, dict[str, Rule]]] = [
    *wing_rules.RULES.items(),
    *power_rules.RULES.items(),
    *power_rules.LATE_RULES.items(),
    ("bay", wing_rules.BAY_RULES),
    *power_rules.LAST_RULES.items(),
]
ASSUMABLE = frozenset((table, key) for table, rules in ALL_RULES for key in rules)
# arrays of tables of which one is assumed where the study has none, if that function agrees
_ASSUMED_ARRAYS: dict[str, Callable[[PartialStudy], bool]] = {
    "fin": wing_rules.fins_are_assumed,
    **dict.fromkeys(("drag_item", "bay", "equipment"), lambda bench: True),
}


class FilledStudy(NamedTuple):
    """A study with nothing left open that has a rule, and what was assumed."""

    raw: dict[str, Any]
    assumed: list[DefaultUsed]


def fill_in(raw: dict[str, Any], path: Path) -> FilledStudy:
    """Return the tables of a study with every rule applied; the tables given are left as they are."""
    whole = {name: _copied(name, table) for name, table in raw.items()}
    bench, assumed = PartialStudy(whole, path.stem), []
    for table, rules in ALL_RULES:
        for index, item in _items(table, whole, bench):
            place: Place = (table,) if index is None else (table, index)
            for key, rule in rules.items():
                if key in item:
                    continue
                try:
                    guess = rule(bench, index or 0)
                except MissingInput:
                    continue  # what the rule needs is missing or wrong, and the reader says so
                item[key] = guess.value
                if guess.told:
                    assumed.append(
                        DefaultUsed(
                            dotted((*place, key)),
                            guess.shown,
                            guess.origin,
                            guess.low,
                            guess.high,
                            guess.moves,
                            (*place, key),
                        )
                    )
    for table in [name for name, item in whole.items() if item == {} and name not in raw]:
        del whole[table]  # no rule had an answer: the table is missing
    return FilledStudy(whole, assumed)


def all_key_lines() -> list[KeyLine]:
    """Return every key of a study file as `schema.key_lines` does, with the rules of those that have one."""
    words = {
        f"{table}{'[]' if TABLES[table].is_array else ''}.{key}": (rule.__doc__ or "").strip().rstrip(".")
        for table, rules in ALL_RULES
        for key, rule in rules.items()
    }
    return [
        line._replace(required=False, default=words[line.key], origin="assumed") if line.key in words else line
        for line in key_lines()
    ]


def _copied(name: str, table: Any) -> Any:
    if isinstance(table, dict):
        return [dict(table)] if name in SINGLE_TABLE_ALLOWED else dict(table)
    if isinstance(table, list):
        return [dict(item) if isinstance(item, dict) else item for item in table]
    return table


def _items(table: str, whole: dict[str, Any], bench: PartialStudy) -> Iterable[tuple[int | None, dict[str, Any]]]:
    """Yield (index, keys) of every item of a table, made if it is not there and may be assumed."""
    if TABLES[table].is_array:
        if table not in whole and table in _ASSUMED_ARRAYS and _ASSUMED_ARRAYS[table](bench):
            whole[table] = [{}]
        items = whole.get(table, [])
        if isinstance(items, list):
            yield from ((index, item) for index, item in enumerate(items) if isinstance(item, dict))
        return
    item = whole.setdefault(table, {})
    if isinstance(item, dict):
        yield None, item
