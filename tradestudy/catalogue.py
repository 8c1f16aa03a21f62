"""The catalogue of parts and materials in ``data/*.toml``. Each part has its source.

Every file has one table for each part. A text that starts with a number is a quantity and is returned in SI. Other
texts, and numbers, are returned unchanged.
"""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from tradestudy.errors import CatalogueError, near_match
from tradestudy.quantities import parse_quantity

DATA = Path(__file__).parent / "data"


@cache
def catalogue_parts(kind: str) -> dict[str, dict[str, Any]]:
    """Return a dict of name -> {field: SI value or text} for all parts of a kind ("rods", "foams", "cells" ...)."""
    with open(DATA / f"{kind}.toml", "rb") as file:
        raw = tomllib.load(file)
    return {name: {field: _value(field, entry) for field, entry in fields.items()} for name, fields in raw.items()}


def catalogue_part(kind: str, name: str) -> dict[str, Any]:
    """Return one part as {field: SI value or text}.

    If it is not in the catalogue, raise CatalogueError that suggests the most similar name.
    """
    known = catalogue_parts(kind)
    if name not in known:
        hint = near_match(name, list(known))
        raise CatalogueError(f'"{name}" is not in the catalogue of {kind}.{hint} Known: {", ".join(known)}.')
    return known[name]


def _value(field: str, entry: Any) -> Any:
    if isinstance(entry, str) and field not in ("source", "note", "band") and entry[:1] in "+-.0123456789":
        return parse_quantity(entry)
    if isinstance(entry, list):
        return [_value(field, item) for item in entry]
    return entry
