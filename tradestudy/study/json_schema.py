"""The keys of a study or a measurements file as JSON Schema. Editors use it to complete and check TOML.

Every error that an editor shows is an error, but an editor does not find all errors. JSON Schema cannot check the
range of a quantity, which is text with a unit, or compare several keys. `tradestudy check` finds all errors.
"""

from __future__ import annotations

from typing import Any

from tradestudy.study.assumed_values.apply_rules import SINGLE_TABLE_ALLOWED, all_key_lines
from tradestudy.study.schema.measured import MEASUREMENT_TABLES
from tradestudy.study.schema.study import STUDY_TABLES, TableSpec, key_type, shown_default, units_of_kind

_DRAFT = "http://json-schema.org/draft-07/schema#"  # version of JSON Schema that TOML editors support
# tables and keys that every study must give; all others have a short form, may be assumed or told in another way
ALWAYS_GIVEN = {
    "stock": ("span", "root_chord", "tip_chord", "tip_set_back", "root_thickness", "flying_weight"),
    "stretch": ("scheme",),
}


def study_schema() -> dict[str, Any]:
    """Return the JSON Schema of a study file."""
    assumed = {line.key.replace("[]", ""): line.default for line in all_key_lines() if line.origin == "assumed"}
    return _schema("A study: the stock wing, what may change and what must hold", STUDY_TABLES, ALWAYS_GIVEN, assumed)


def measurements_schema() -> dict[str, Any]:
    """Return the JSON Schema of a measurements file."""
    return _schema("Measurements: how to read a flight log, and what was weighed and flown", MEASUREMENT_TABLES, {}, {})


def _schema(
    title: str, tables: dict[str, TableSpec], always: dict[str, tuple[str, ...]], assumed: dict[str, str]
) -> dict[str, Any]:
    return {
        "$schema": _DRAFT,
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
    schema: dict[str, Any] = {
        "type": "object",
        "description": raw["description"],
        "properties": properties,
        "additionalProperties": False,
    }
    if required:
        schema["required"] = list(required)
    if not table.is_array:
        return schema
    several = {"type": "array", "description": raw["description"], "items": schema, "maxItems": table.most}
    return {"anyOf": [several, schema]} if name in SINGLE_TABLE_ALLOWED else several


def _property(raw: dict[str, Any], kind: str, shown: str, origin: str) -> dict[str, Any]:
    """Return the schema of one key.

    It is the schema of pydantic without the entries of this project. Its description also states units and default.
    """
    own = {"title", "origin", "shown", "low", "high", "moves"}
    kept = _draft_7(value={name: value for name, value in raw.items() if name not in own})
    if kept.get("default", 0) is None:
        del kept["default"]  # TOML has no null
    left_out = f" Left out: {shown} ({origin})." if shown else f" Left out: {origin}." if origin else ""
    units = units_of_kind(kind)
    written = f" Units: {', '.join(units)}." if units else ""
    return {**kept, "description": f"{kept['description']}{written}{left_out}"}


def _draft_7(value: Any) -> Any:
    """Return a schema in the form of draft 7: a list of schemas, one for each item, is called ``items``."""
    if isinstance(value, dict):
        return {"items" if name == "prefixItems" else name: _draft_7(inner) for name, inner in value.items()}
    return [_draft_7(inner) for inner in value] if isinstance(value, list) else value
