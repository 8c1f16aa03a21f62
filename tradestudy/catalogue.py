"""Parts and materials, each with its source, from ``data/*.toml``.

Every file has one table for each part. Text that starts with a number is a quantity and is returned in SI; other text
is returned unchanged, and so are plain numbers.
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
    """Return all parts of a kind ("rods", "foams", "cells" ...) as name -> {field: SI value or text}."""
    with open(DATA / f"{kind}.toml", "rb") as file:
        raw = tomllib.load(file)
    return {name: {field: _value(field, entry) for field, entry in fields.items()} for name, fields in raw.items()}


def catalogue_part(kind: str, name: str) -> dict[str, Any]:
    """Return one part. Raises CatalogueError with the nearest name where it is not in the catalogue."""
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
