"""The keys of a study, or of a measurements file, as JSON Schema, with which editors complete and check TOML.

What an editor finds wrong is wrong. The reverse does not hold: ranges of quantities, which are text with a unit, and
rules across keys are only told in words there, and `tradestudy check` has the last word.
"""

from __future__ import annotations

from typing import Any

from tradestudy.study.assumed_values.apply_rules import SINGLE_TABLE_ALLOWED, all_key_lines
from tradestudy.study.schema.study import TABLES, TableSpec, key_type, shown_default, units_of_kind

DRAFT = "http://json-schema.org/draft-07/schema#"  # what editors of TOML understand
# the tables and keys that every study holds itself; the others may be told in short elsewhere, or be assumed
ALWAYS_GIVEN = {
    "stock": ("span", "root_chord", "tip_chord", "tip_set_back", "flying_weight", "balance_from_nose"),
    "stretch": ("scheme",),
}


def study_schema() -> dict[str, Any]:
    """Return the JSON Schema of a study file."""
    assumed = {line.key.replace("[]", ""): line.default for line in all_key_lines() if line.origin == "assumed"}
    return _schema("A study: the wing that flies, what may change and what must hold", TABLES, ALWAYS_GIVEN, assumed)


def measurements_schema(tables: dict[str, TableSpec]) -> dict[str, Any]:
    """Return the JSON Schema of a measurements file with the given tables (`measurements.TABLES`)."""
    always = {
        name: tuple(key for key, field in table.model.model_fields.items() if field.is_required())
        for name, table in tables.items()
        if table.fewest
    }
    return _schema("Measurements: how to read a flight log, and what was weighed and flown", tables, always, {})


def _schema(
    title: str, tables: dict[str, TableSpec], always: dict[str, tuple[str, ...]], assumed: dict[str, str]
) -> dict[str, Any]:
    return {
        "$schema": DRAFT,
        "title": title,
        "type": "object",
        "additionalProperties": False,
        "properties": {name: _table(name, table, always.get(name, ()), assumed) for name, table in tables.items()},
        "required": list(always),
    }


def _table(name: str, table: TableSpec, required: tuple[str, ...], assumed: dict[str, str]) -> dict[str, Any]:
    raw = table.model.model_json_schema()
    properties = {}
    for key, field in table.model.model_fields.items():
        shown, origin = ("", "") if field.is_required() else shown_default(field)
        shown, origin = (assumed[f"{name}.{key}"], "assumed") if f"{name}.{key}" in assumed else (shown, origin)
        properties[key] = _property(raw["properties"][key], key_type(field).kind, shown, origin)
    found: dict[str, Any] = {
        "type": "object",
        "description": raw["description"],
        "properties": properties,
        "additionalProperties": False,
    }
    if required:
        found["required"] = list(required)
    if not table.is_array:
        return found
    several = {"type": "array", "description": raw["description"], "items": found, "maxItems": table.most}
    return {"anyOf": [several, found]} if name in SINGLE_TABLE_ALLOWED else several


def _property(raw: dict[str, Any], kind: str, shown: str, origin: str) -> dict[str, Any]:
    """Return one key: what pydantic tells of it without what only we read, and in words what leaving it out means."""
    own = {"title", "origin", "shown", "low", "high", "moves"}
    kept = _older(value={name: value for name, value in raw.items() if name not in own})
    if kept.get("default", 0) is None:
        del kept["default"]  # TOML has no word for nothing
    left_out = f" Left out: {shown} ({origin})." if shown else f" Left out: {origin}." if origin else ""
    units = units_of_kind(kind)
    written = f" Units: {', '.join(units)}." if units else ""
    return {**kept, "description": f"{kept['description']}{written}{left_out}"}


def _older(value: Any) -> Any:
    """Return a schema in the words of draft 7: a list with an own schema for each place is told by ``items``."""
    if isinstance(value, dict):
        return {"items" if name == "prefixItems" else name: _older(inner) for name, inner in value.items()}
    return [_older(inner) for inner in value] if isinstance(value, list) else value
