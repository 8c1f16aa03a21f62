"""Several values of one key of a study, as an axis of a grid."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from tradestudy.errors import CommandError
from tradestudy.quantities import UNITS, from_si, split_quantity
from tradestudy.study.line_numbers import Place, dotted
from tradestudy.study.schema.key_types import KeyType
from tradestudy.study.schema.study import STUDY_TABLES, Study, units_of_kind
from tradestudy.study.value_text import value_as_text

from .named_key import UnknownKey, items_of, place_of
from .typed_value import file_value

AXIS_FORM = "An axis looks like span=1240:1740:20 (first, last, step) or parallel=2,3,4"
_UNIT = re.compile(r"(?<![A-Za-z])(?![eE][-+]?\d)[A-Za-z%][A-Za-z%/ ]*\d?\s*$")  # such as mm, km/h, g/m2
MOST_VALUES = 20_000  # largest number of values on one axis


class KeyAxis(NamedTuple):
    """An axis of a grid whose values are those of one key of the study.

    ``key`` is its name as typed. ``values`` are written as in a study file, ``shown`` are numbers in ``unit``, or text.
    ``stock`` is the value of the study itself, in the form of ``shown``. It is None if the study leaves the key out, or
    holds what is no number on an axis of numbers.
    """

    key: str
    place: Place
    values: list[Any]
    shown: list[Any]
    unit: str
    stock: Any

    @property
    def is_number(self) -> bool:
        """Whether the values are numbers that lie along a line."""
        return all(isinstance(value, int | float) for value in self.shown)


def key_axis(study: Study, key: str, text: str | Sequence[Any]) -> KeyAxis:
    """Return the axis for a key.

    ``text`` is ``first:last:step``, ``a,b,c`` or a list of values. Numbers take the unit that is typed behind the last
    one, or else the one in which `tradestudy keys` gives the range of the key.

    Raises CommandError for an unknown key, a value that is not allowed, or a range of what is no number.
    """
    try:
        place = place_of(study, key)
    except UnknownKey as error:
        raise CommandError(f"{key} cannot be an axis: {error}") from None
    kind = STUDY_TABLES[str(place[0])].key_type(next(step for step in reversed(place) if isinstance(step, str)))
    axis_text = f"{key}={text}" if isinstance(text, str) else key
    unit = _own_unit(kind)
    if not isinstance(text, str):
        given: list[Any] = list(dict.fromkeys(text))
    elif _is_numeric(kind) and not re.search(r"[A-Za-z%\"']\s*,", text):
        numbers, typed = numbers_and_unit(key, text)
        unit = typed or unit
        given = [f"{number!r} {unit}" if unit else f"{number:g}" for number in numbers]
    elif re.fullmatch(r"[^,:]*:[^,:]*:[^,:]*", text):
        raise CommandError(f"{axis_text}: {key} is no number, so it has no steps. List its values: {key}=a,b,c.")
    else:
        given = list(dict.fromkeys(part.strip() for part in text.split(",")))
    if not given:
        raise CommandError(f"{key} has no values.")
    values = []
    for value in given:
        try:
            values.append(file_value(kind, value))
        except ValueError as error:
            raise CommandError(f"{axis_text}: {key} {error}") from None
    shown, unit = _shown(kind, values, unit)
    axis = KeyAxis(key, place, values, shown, unit, None)
    held = _stock_value(study, place)
    (stock,), _ = _shown(kind, [held], unit, in_si=True)
    comparable = not axis.is_number or isinstance(stock, int | float)
    return axis if held is None or not comparable else axis._replace(stock=stock)


def _is_numeric(kind: KeyType) -> bool:
    last = kind.kind.rpartition(", ")[2]
    return last in UNITS or last in ("number", "whole number", "number or speed")


def _own_unit(kind: KeyType) -> str:
    """Return the unit in which the range of a key is given, or an empty string."""
    try:
        unit = split_quantity(kind.allowed.rpartition(" to ")[2])[1]
    except ValueError:
        unit = ""
    units = units_of_kind(kind.kind)
    return unit if unit in units else next(iter(units), "")


def _shown(kind: KeyType, values: list[Any], unit: str, in_si: bool = False) -> tuple[list[Any], str]:
    """Return values as numbers in a unit, and the unit. They are text without a unit if some are no single numbers."""
    numbers = []
    for value in values:
        number = value if in_si else kind.read(value)
        if isinstance(number, tuple) and len(set(number)) == 1:
            number = number[0]
        if isinstance(number, bool) or not isinstance(number, int | float):
            return ["" if value is None else value_as_text(value) for value in values], ""
        quantity = kind.kind.rpartition(", ")[2]
        converted = from_si(number, unit, quantity) if unit and quantity in UNITS else number
        numbers.append(round(float(converted), 9) if isinstance(number, float) else number)
    return numbers, unit


def _stock_value(study: Study, place: Place) -> Any:
    """Return the value of a key in the study itself, SI, or None."""
    table, *rest = place
    if isinstance(rest[0], int):
        items = items_of(study, str(table))
        return getattr(items[rest[0]], str(rest[1])) if rest[0] < len(items) else None
    value = getattr(getattr(study, str(table)), str(rest[0]), None)
    return value[rest[1]] if len(rest) > 1 and isinstance(value, tuple) and isinstance(rest[1], int) else value


def numbers_and_unit(name: str, text: str) -> tuple[list[float], str]:
    """Return the numbers of ``first:last:step`` or ``a,b,c``, and the unit after them, which may be empty.

    Raise CommandError if they cannot be read.
    """
    match = _UNIT.search(text)
    head, unit = (text[: match.start()], match[0].strip()) if match else (text, "")
    try:
        if ":" not in head:
            return sorted({float(part) for part in head.split(",")}), unit
        first, last, step = (float(part) for part in head.split(":"))
    except ValueError:
        raise CommandError(f"{name}={text} cannot be read. {AXIS_FORM}.") from None
    if not step > 0 or not last >= first or not (last - first) / step < MOST_VALUES:
        raise CommandError(f"{name}={text}: first, last and step do not lead from one to the other. {AXIS_FORM}.")
    count = int((last - first) / step + 1e-9) + 1
    return [round(first + index * step, 9) for index in range(count)], unit


def refuse_twice(study: Study, axes: Iterable[KeyAxis]) -> None:
    """Raise CommandError if two axes are the same key, or if a key is set as well."""
    seen: dict[Any, str] = {}
    already = {edit.key for edit in study.edits}
    for axis in axes:
        if axis.place in seen:
            raise CommandError(f"{axis.key} and {seen[axis.place]} are the same key, {dotted(axis.place)}.")
        if dotted(axis.place) in already:
            raise CommandError(f"{axis.key} is an axis of the grid and set as well; leave out one of the two.")
        seen[axis.place] = axis.key
