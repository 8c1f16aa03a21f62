"""The JSON Schema of summary.json, computed from the dataclasses: type, unit and description of every field.

``python -m tradestudy.results.schema`` writes it to summary.schema.json in the folder of this module.
"""

from __future__ import annotations

import json
from dataclasses import is_dataclass
from pathlib import Path
from types import NoneType, UnionType
from typing import Any, get_args, get_origin

from .field_specs import field_specs
from .result import Result

FILE = Path(__file__).with_name("summary.schema.json")
_JSON_TYPES = {str: "string", float: "number", int: "integer", bool: "boolean", NoneType: "null"}


def schema() -> dict[str, Any]:
    """Return the JSON Schema of the text that `Result.to_json` writes."""
    parts: dict[str, Any] = {}
    result = _part(Result, parts)
    result["properties"] |= {
        "success": {"type": "boolean", "description": "Whether every limit is met."},
        "message": {"type": "string", "description": "One sentence on whether every limit is met."},
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "summary.json of a trade study",
        **result,
        "$defs": dict(sorted(parts.items())),
    }


def text() -> str:
    """Return the text of the file summary.schema.json."""
    return json.dumps(schema(), indent=1, ensure_ascii=False) + "\n"


def _part(kind: type, parts: dict[str, Any]) -> dict[str, Any]:
    properties = {}
    for fact in field_specs(kind):
        unit = {"unit": fact.unit} if fact.unit else {}
        properties[fact.name] = {**_type(fact.type, parts), "description": fact.description, **unit}
    return {
        "type": "object",
        "description": (kind.__doc__ or "").partition("\n")[0],
        "properties": properties,
        "required": [fact.name for fact in field_specs(kind)],
    }


def _type(kind: Any, parts: dict[str, Any]) -> dict[str, Any]:
    if kind in _JSON_TYPES:
        return {"type": _JSON_TYPES[kind]}
    if is_dataclass(kind):
        name = kind.__name__  # type: ignore[union-attr]
        if name not in parts:
            parts[name] = {}
            parts[name] = _part(kind, parts)  # type: ignore[arg-type]
        return {"$ref": f"#/$defs/{name}"}
    origin, inner = get_origin(kind), get_args(kind)
    if origin is UnionType:
        return {"anyOf": [_type(one, parts) for one in inner]}
    if origin is list:
        return {"type": "array", "items": _type(inner[0], parts)}
    return {"type": "object", "additionalProperties": _type(inner[1], parts)}


if __name__ == "__main__":
    FILE.write_text(text(), encoding="utf-8")
