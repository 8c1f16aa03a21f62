"""A record of records as one list of names."""

from __future__ import annotations

from typing import Any


def fields_by_name(record: Any) -> dict[str, Any]:
    """Return the fields of a NamedTuple, and of those inside it, as name -> value."""
    found: dict[str, Any] = {}
    for name, value in zip(record._fields, record, strict=True):
        found.update(fields_by_name(value) if hasattr(value, "_fields") else {name: value})
    return found
