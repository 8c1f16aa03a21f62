"""A study with some keys set, as if its file had been edited: `edited_study`."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

import tomlkit
from tomlkit.items import AoT

from tradestudy.errors import Fault, StudyFileError
from tradestudy.study.line_numbers import Place, dotted, locate
from tradestudy.study.reader import study_from_tables
from tradestudy.study.schema.key_types import KeyType, ListErrors
from tradestudy.study.schema.study import STUDY_TABLES, Edit, Study
from tradestudy.study.value_text import unquoted, value_as_text

from .named_key import UnknownKey, items_of, place_of
from .typed_value import file_value

Changes = Mapping[str, Any]
_LEFT_OUT = "left out"


class EditRefused(StudyFileError):
    """An exception that lists all errors of a study with edited keys. The file itself was read without errors."""


def edited_study(study: Study, changes: Changes, request_words: Callable[[str, Any], str] | None = None) -> Study:
    """Return a copy of a study with some keys set. Its file stays as it is.

    The text of the copy is that of the study with these keys edited; comments and layout are kept. It is checked like a
    file, and keys that it leaves open are assumed again.

    Parameters
    ----------
    study
        The study to start from.
    changes
        Dotted key -> value: see `named_key.place_of` and `typed_value.file_value`. None leaves the key out, so that it
        is assumed again or means that there is no such thing.
    request_words
        Returns the words by which the user asked for a change, such as ``--set fly.wind=3 m/s``. Messages begin with
        them.

    Raises
    ------
    EditRefused
        A key is unknown, a value is not allowed, or the edited study contradicts itself. It lists all errors.
    """
    if not changes:
        return study
    words = request_words or (lambda key, value: f"{key} = {'None' if value is None else unquoted(value)}")
    faults: list[Fault] = []
    values: dict[Place, Any] = {}
    origins: dict[Place, str] = {}
    for name, value in changes.items():
        origin = words(name, value)
        try:
            place = place_of(study, name)
            if place in values:
                raise UnknownKey(f"{dotted(place)} is set twice.")
            values[place], origins[place] = _value_at(study, place, value), origin
        except UnknownKey as error:
            faults.append(Fault(0, name, f"{origin}: {error}"))
        except ListErrors as error:
            faults += [Fault(0, name, f"{origin}: {dotted((*place, at))} {each}") for at, each in error.faults]
        except ValueError as error:
            faults.append(Fault(0, name, f"{origin}: {dotted(place)} {error}"))
    if faults:
        raise EditRefused(_title(study), faults)
    text = edited_text(study.text, values)
    try:
        made = study_from_tables(tomllib.loads(text), study.path, text)
    except StudyFileError as error:
        own_lines = {dotted(place): line for place, line in locate(study.file_text or study.text).items()}
        requested = {dotted(place): origin for place, origin in origins.items()}
        raise EditRefused(_title(study), [_explained(each, requested, own_lines) for each in error.faults]) from None
    return replace(made, edits=_edits(study, values), file_text=study.file_text or study.text)


def _title(study: Study) -> str:
    return f"{study.path}, with keys that were set"


def _explained(fault: Fault, requested: Mapping[str, str], own_lines: Mapping[str, int]) -> Fault:
    """Return an error of an edited study with the line in its file, or with the words that asked for the change."""
    if fault.key in requested:
        return Fault(0, fault.key, f"{requested[fault.key]}: {fault.message}")
    return replace(fault, line=own_lines.get(fault.key, 0))


def _value_at(study: Study, place: Place, value: Any) -> Any:
    """Return a value for a place as a study file writes it. Raise ValueError if it is not allowed."""
    if value is None:
        if isinstance(place[-1], int):
            raise ValueError(f"is one value of a list, and cannot be left out; set all of {dotted(place[:-1])}.")
        if _raw_value(study.text, place) is None:
            raise ValueError("is not given in the file, so there is nothing to leave out.")
        return None
    *_, key = (step for step in place if isinstance(step, str))
    kind = STUDY_TABLES[str(place[0])].key_type(key)
    if isinstance(place[-1], str):
        return file_value(kind, value)
    values = _raw_value(study.text, place[:-1])
    if not isinstance(values, list) or not 0 <= place[-1] < len(values):
        raise ValueError(f"is no value of a list in the file; set all of {dotted(place[:-1])}.")
    before, after = values[: place[-1]], values[place[-1] + 1 :]
    form = kind.form.get("items", {})
    return file_value(
        KeyType(kind.kind, kind.allowed, kind.meaning, lambda each: kind.read([*before, each, *after]), form), value
    )


def _raw_value(text: str, place: Place) -> Any:
    """Return the value at a place as the text of a study writes it, or None if it is not there."""
    found: Any = tomllib.loads(text)
    for step in place:
        if isinstance(step, int) and isinstance(found, dict) and step == 0:
            continue  # an array that is written as a single table
        try:
            found = found[step]
        except (KeyError, IndexError, TypeError):
            return None
    return found


def _edits(study: Study, values: Mapping[Place, Any]) -> tuple[Edit, ...]:
    """Return all edits of a study, earlier ones first, with the value of the file for each key."""
    assumed = {used.key: f"{used.value}, assumed" for used in study.defaults_used}
    edits = {edit.key: edit for edit in study.edits}
    for place, value in values.items():
        key, raw = dotted(place), _raw_value(study.text, place)
        was = value_as_text(raw) if raw is not None else assumed.get(key, "not given")
        items = items_of(study, str(place[0])) if isinstance(place[1], int) else ()
        item = items[place[1]] if isinstance(place[1], int) and place[1] < len(items) else None
        name = str(getattr(item, "name", None) or "")
        shown = _LEFT_OUT if value is None else value_as_text(value)
        edits[key] = Edit(key, shown, edits[key].was if key in edits else was, name)
    return tuple(edits.values())


def edited_text(text: str, values: Mapping[Place, Any]) -> str:
    """Return the TOML text of a study with the values at some places set. Comments and layout are kept.

    Tables and items of arrays that are missing are added behind all others. None removes a key.
    """
    document = tomlkit.parse(text)
    for place, value in values.items():
        table, steps = str(place[0]), list(place[1:])
        if isinstance(steps[0], int):
            holder, steps = _item(document, table, steps[0]), steps[1:]
        else:
            holder = document.setdefault(table, tomlkit.table())
        key, *index = steps
        if value is None:
            del holder[key]
        elif index:
            holder[key][index[0]] = value
        else:
            holder[key] = value
    return tomlkit.dumps(document)


def _item(document: tomlkit.TOMLDocument, table: str, number: int) -> Any:
    """Return an item of an array of tables. Items that are missing are added."""
    items = document.setdefault(table, tomlkit.aot())
    if isinstance(items, dict):  # an array that is written as a single table
        if number == 0:
            return items
        several = tomlkit.aot()
        several.append(_as_table(document.pop(table)))
        document[table] = items = several
    while len(items) <= number:
        items.append(tomlkit.table() if isinstance(items, AoT) else tomlkit.inline_table())
    return items[number]


def _as_table(items: Mapping[str, Any]) -> Any:
    table = tomlkit.table()
    table.update(items)
    return table
