"""Parts of a result as JSON and back, exactly: what is read equals what was written."""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass
from types import NoneType, UnionType
from typing import Any, TypeVar, get_args, get_origin

from tradestudy.errors import CommandError

from .field_specs import field_specs

_Part = TypeVar("_Part")
_JSON_VALUES = {float: (float, int), int: (int,), str: (str,), bool: (bool,)}  # a type -> what JSON may hold for it


def json_text(plain: dict[str, Any]) -> str:
    """Return plain data as JSON text."""
    return json.dumps(plain, indent=1, ensure_ascii=False, allow_nan=False)


def json_data(value: Any) -> Any:
    """Return a part of a result as dicts, lists, texts and numbers."""
    if is_dataclass(value):
        return {each.name: json_data(getattr(value, each.name)) for each in fields(value)}
    if isinstance(value, dict):
        return {name: json_data(each) for name, each in value.items()}
    if isinstance(value, list):
        return [*value] if value and type(value[0]) in _JSON_VALUES else [json_data(each) for each in value]
    return value


def part_from_json(kind: type[_Part], value: Any, place: str = "") -> _Part:
    """Return a part of a result from plain data. Raises CommandError for data that another version wrote.

    What is not there takes its default, names that nobody knows any more are left out. A part that was a list in
    earlier results is read in the order of its fields; an empty one that may be missing is missing.
    """
    return _read(kind, value, place)


def _read(kind: Any, value: Any, place: str) -> Any:
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
    if kind in _JSON_VALUES and type(value) in _JSON_VALUES[kind]:
        return value
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
    told = field_specs(kind)
    if isinstance(value, list) and len(value) == len(told):
        value = dict(zip((fact.name for fact in told), value, strict=True))
    if not isinstance(value, dict):
        raise _refused(place)
    found = {}
    for fact in told:
        name = fact.name if fact.name in value else fact.old_name
        if name in value:
            found[fact.name] = _read(fact.type, value[name], f"{place}/{fact.name}")
        elif fact.required:
            raise _refused(f"{place}/{fact.name}")
    return kind(**found)


def _refused(place: str) -> CommandError:
    return CommandError(
        f"This result was written by another version: {place.lstrip('/') or 'all of it'} is not as it "
        "is told now. Work it out again from its study file."
    )
