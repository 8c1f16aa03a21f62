"""The units in which a person reads: one setting, which all texts, tables, axes and columns follow.

Whoever formats a number gives it to `exact`, and whoever prints a text gives it to `printed`. In metric units both
return what they were given.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import fields, is_dataclass, replace
from typing import Any

from .imperial import (
    IMPERIAL,
    METRIC,
    ImperialScale,
    as_sold,
    dimensions_in_imperial,
    hidden,
    imperial_axis,
    imperial_column,
    imperial_table,
    in_imperial,
    without_hidden,
)

_system: ContextVar[str] = ContextVar("system of units", default=METRIC)


def print_in(system: str) -> None:
    """Print from now on in a system of `SYSTEMS`."""
    _system.set(system)


@contextmanager
def printed_in(system: str) -> Iterator[None]:
    """Context in which texts are printed in a system of `SYSTEMS`."""
    before = _system.set(system)
    try:
        yield
    finally:
        _system.reset(before)


def is_imperial() -> bool:
    """Return whether inches and ounces are printed."""
    return _system.get() == IMPERIAL


def exact(value: float, text: str) -> str:
    """Return the text of a rounded number, which carries the number itself where it will be converted."""
    return without_hidden(text) + hidden(value) if is_imperial() else text


def sold(size: str) -> str:
    """Return the size under which a part is sold. It stays as it is in all units."""
    return as_sold(size) if is_imperial() else size


class ExactFloat(float):
    """A float whose formatted text carries the number itself, as that of `exact`."""

    def __format__(self, form: str) -> str:
        return exact(self, float.__format__(self, form))


def exactly(value: Any) -> Any:
    """Return a result, or a part of one, whose numbers print as `exact` prints them, even within an f-string."""
    if not is_imperial():
        return value
    if is_dataclass(value) and not isinstance(value, type):
        return replace(value, **{each.name: exactly(getattr(value, each.name)) for each in fields(value) if each.init})
    if isinstance(value, dict):
        return {name: exactly(each) for name, each in value.items()}
    if hasattr(value, "_fields"):
        return type(value)(*map(exactly, value))
    if isinstance(value, list | tuple):
        return type(value)(exactly(each) for each in value)
    return ExactFloat(value) if isinstance(value, float) else value


def printed(value: Any) -> Any:
    """Return a text, or a list, tuple or dict of texts, in the units that are printed. Other values stay."""
    if not is_imperial():
        return value
    if isinstance(value, str):
        return in_imperial(value)
    if isinstance(value, dict):
        return {name: printed(each) for name, each in value.items()}
    if isinstance(value, list):
        return [printed(each) for each in value]
    if isinstance(value, tuple):
        parts = [printed(each) for each in value]
        return type(value)(*parts) if hasattr(value, "_fields") else tuple(parts)
    return value


def printed_dimensions(words: str) -> str:
    """Return the words of a drawing, whose numbers without a unit are in mm, in the units that are printed."""
    return dimensions_in_imperial(words) if is_imperial() else words


def printed_table(
    heads: Sequence[str], rows: Sequence[Sequence[str]], unit: str = ""
) -> tuple[Sequence[str], Sequence[Sequence[str]]]:
    """Return heads and rows of a table in the units that are printed. ``unit`` is that of bare numbers."""
    return imperial_table(heads, rows, unit) if is_imperial() else (heads, rows)


def printed_bare(number: str, unit: str) -> str:
    """Return the text of a number in ``unit``, which stands elsewhere, in the units that are printed."""
    return imperial_table([""], [[number]], unit)[1][0][0] if is_imperial() else number


def printed_axis(label: str) -> ImperialScale | None:
    """Return the scale of an axis in the units that are printed, or None if it stays as it is."""
    return imperial_axis(label) if is_imperial() else None


def printed_column(name: str) -> ImperialScale | None:
    """Return the scale of a column in the units that are printed, or None if it stays as it is."""
    return imperial_column(name) if is_imperial() else None
