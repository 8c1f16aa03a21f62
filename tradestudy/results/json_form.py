"""Conversion of results to JSON and back. A result that is read equals the result that was written."""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass
from types import NoneType, UnionType
from typing import Any, TypeVar, get_args, get_origin

from tradestudy.errors import CommandError

from .field_specs import field_specs

_Part = TypeVar("_Part")
# type of a field -> types of a value that is read from JSON
_JSON_VALUES = {float: (float, int), int: (int,), str: (str,), bool: (bool,)}


def json_text(data: dict[str, Any]) -> str:
    """Return JSON data as text."""
    return json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False)


def json_data(value: Any) -> Any:
    """Return a part of a result as JSON data: dicts, lists, texts and numbers."""
    if value is None or type(value) in _JSON_VALUES:  # most values, so they are looked at first
        return value
    if is_dataclass(value):
        return {each.name: json_data(getattr(value, each.name)) for each in fields(value)}
    if isinstance(value, dict):
        return {name: json_data(each) for name, each in value.items()}
    if isinstance(value, list):
        return [*value] if value and type(value[0]) in _JSON_VALUES else [json_data(each) for each in value]
    return value


def part_from_json(kind: type[_Part], value: Any, place: str = "") -> _Part:
    """Return a part of a result from JSON data. Raise CommandError if another version wrote the data.

    A missing field takes its default, and an unknown name is ignored. Earlier versions wrote some dataclasses as
    lists, so a list is read as values in the order of the fields. An empty dict for an optional part gives None.
    """
    return _read(kind, value, place)


def _read(kind: Any, value: Any, place: str) -> Any:
    if kind in _JSON_VALUES and type(value) in _JSON_VALUES[kind]:  # most values, so they are looked at first
        return value
    if is_dataclass(kind):
        return _read_part(kind, value, place)
    origin = get_origin(kind)
    if origin is UnionType:
        return _read_one_of(kind, value, place)
    if origin is list and isinstance(value, list):
        (inner,) = get_args(kind)
        if inner in _JSON_VALUES and all(type(each) in _JSON_VALUES[inner] for each in value):
            return [*value]
        return [_read(inner, each, f"{place}/{index}") for index, each in enumerate(value)]
    if origin is dict and isinstance(value, dict):
        inner = get_args(kind)[1]
        return {name: _read(inner, each, f"{place}/{name}") for name, each in value.items()}
    raise _refused(place)


def _read_one_of(kind: Any, value: Any, place: str) -> Any:
    kinds = get_args(kind)
    if value is None and NoneType in kinds:
        return None
    if type(value) in kinds:
        return value
    (inner,) = (one for one in kinds if one is not NoneType) if len(kinds) == 2 else (float,)
    return None if is_dataclass(inner) and value == {} else _read(inner, value, place)


def _read_part(kind: Any, value: Any, place: str) -> Any:
    specs = field_specs(kind)
    if isinstance(value, list) and len(value) == len(specs):
        value = dict(zip((spec.name for spec in specs), value, strict=True))
    if not isinstance(value, dict):
        raise _refused(place)
    values = {}
    for spec in specs:
        name = spec.name if spec.name in value else spec.old_name
        if name in value:
            values[spec.name] = _read(spec.type, value[name], f"{place}/{spec.name}")
        elif spec.required:
            raise _refused(f"{place}/{spec.name}")
    return kind(**values)


def _refused(place: str) -> CommandError:
    return CommandError(
        f"This result was written by another version: {place.lstrip('/') or 'all of it'} has another form now. "
        "Compute it again from its study file."
    )
