"""The built wings of a study by name: their parts and shape, and their weight and balance as weighed.

They stand in ``heron.wings.toml`` beside ``heron.toml``, one table ``[wing.NAME]`` each.
"""

from __future__ import annotations

import datetime
import json
import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tradestudy.errors import Fault, LogbookError
from tradestudy.files import locked, write_atomically
from tradestudy.quantities import short_with_unit
from tradestudy.study.line_numbers import Place, dotted, line_of, locate
from tradestudy.study.reader import read_text, toml_tables
from tradestudy.study.schema.key_types import quantity
from tradestudy.study.value_text import as_written

_NAME = re.compile(r"[a-z0-9][a-z0-9_-]{0,39}")
_WEIGHT = quantity("mass", "100 g", "15 kg", "weight ready to fly, as weighed")
_BALANCE = quantity("length", "5 mm", "1500 mm", "balance point behind the nose, as measured")
_KEYS = ("built", "load_tested", "choice", "variables", "weight", "balance_from_nose", "note")
_DATES = ("built", "load_tested")


@dataclass(frozen=True)
class BuiltWing:
    """One built wing. ``choice`` and ``variables`` are named as in the results of ``assess``, in their units."""

    name: str
    choice: dict[str, Any]
    variables: dict[str, float]
    built: datetime.date | None = None
    weight: float | None = None  # ready to fly, as weighed [kg]
    balance_from_nose: float | None = None  # as measured [m]
    note: str = ""
    load_tested: datetime.date | None = None  # the day on which it passed its load test
    line: int = field(default=0, compare=False)  # line of its table in the file


def wings_path(study_path: Path) -> Path:
    """Return the path of the file of built wings beside a study: ``heron.wings.toml`` for ``heron.toml``."""
    return study_path.with_name(f"{study_path.stem}.wings.toml")


def wing_name_fault(name: str) -> str:
    """Return the end of a sentence if a built wing cannot have this name, else an empty text."""
    if name == "stock":
        return 'is "stock", which is the wing of the study; give another name.'
    if not _NAME.fullmatch(name):
        return f'is {as_written(name)}; use small letters, digits and hyphens, such as "long-one".'
    return ""


def built_wings(study_path: Path) -> dict[str, BuiltWing]:
    """Return a dict of name -> built wing. It is empty if there is no such file.

    Raises
    ------
    LogbookError
        The file has errors. The exception holds all of them, each with its line.
    """
    path = wings_path(study_path)
    if not path.exists():
        return {}
    text = read_text(path, "give the file of the built wings")
    if not text.strip():
        return {}
    raw = toml_tables(path, text, "The file names no wing; a wing is a table [wing.NAME].")
    places, faults = locate(text), list[Fault]()

    def refuse(place: Place, sentence: str) -> None:
        faults.append(Fault(line_of(places, place), dotted(place), f"{dotted(place)} {sentence}"))

    for name in raw:
        if name != "wing":
            refuse((name,), "is not known; a wing is a table [wing.NAME].")
    listed = raw.get("wing", {})
    if not isinstance(listed, dict):
        refuse(("wing",), "is no table; a wing is a table [wing.NAME].")
        listed = {}
    wings: dict[str, BuiltWing] = {}
    for name, table in listed.items():
        place: Place = ("wing", name)
        if sentence := wing_name_fault(name):
            refuse(place, sentence)
        elif not isinstance(table, dict):
            refuse(place, "is no table; write [wing.NAME] with choice and variables.")
        else:
            wings[name] = _wing(name, table, place, line_of(places, place), refuse)
    if faults:
        raise LogbookError(str(path), faults)
    return wings


def _wing(name: str, table: dict[str, Any], place: Place, line: int, refuse: Any) -> BuiltWing:
    values: dict[str, Any] = {}
    for key, value in table.items():
        at = (*place, key)
        if key not in _KEYS:
            refuse(at, f"is not known; known are {', '.join(_KEYS)}.")
        elif key in _DATES:
            if isinstance(value, datetime.date):
                values[key] = value
            else:
                refuse(at, f"is {as_written(value)}; write a date without quotes, such as 2026-05-17.")
        elif key in ("choice", "variables"):
            if isinstance(value, dict):
                values[key] = value
            else:
                refuse(at, f"is {as_written(value)}; write a table such as [wing.{name}.{key}].")
        elif key == "note":
            values[key] = str(value)
        else:
            try:
                values[key] = (_WEIGHT if key == "weight" else _BALANCE).read(value)
            except ValueError as fault:
                refuse(at, str(fault))
    for key in ("choice", "variables"):
        if key not in table:
            refuse(place, f"has no {key}; tradestudy note --wing {name} writes it.")
    return BuiltWing(name, values.pop("choice", {}), values.pop("variables", {}), line=line, **values)


def write_wing(study_path: Path, wing: BuiltWing) -> Path:
    """Append a built wing to the file beside a study, and return the path of the file.

    Raise LogbookError if the file has errors, or already holds a wing of this name.
    """
    path = wings_path(study_path)
    with locked(path):
        known = built_wings(study_path)
        if wing.name in known:
            raise LogbookError(
                str(path), [Fault(known[wing.name].line, wing.name, f"wing.{wing.name} stands here already.")]
            )
        text = path.read_text(encoding="utf-8-sig") if path.exists() else ""
        text = f"{text.rstrip()}\n\n{_table_text(wing)}".lstrip()
        return write_atomically(path, text.encode("utf-8"))


def _table_text(wing: BuiltWing) -> str:
    rows = [f"[wing.{wing.name}]"]
    for key in _DATES:
        if day := getattr(wing, key):
            rows.append(f"{key} = {day.isoformat()}")
    if wing.weight is not None:
        rows.append(f'weight = "{short_with_unit(wing.weight, "g")}"')
    if wing.balance_from_nose is not None:
        rows.append(f'balance_from_nose = "{short_with_unit(wing.balance_from_nose, "mm")}"')
    if wing.note:
        rows.append(f"note = {_toml(wing.note)}")
    for key in ("choice", "variables"):
        rows += [f"[wing.{wing.name}.{key}]", *(f"{name} = {_toml(one)}" for name, one in getattr(wing, key).items())]
    return "\n".join(rows) + "\n"


def _toml(value: Any) -> str:
    """Return a text or a number as TOML."""
    return json.dumps(value, ensure_ascii=False) if isinstance(value, str) else repr(value)
