"""Types and functions for all rules: the study that a rule reads, the assumption that it returns, and common rules.

The docstring of a rule is printed by ``tradestudy keys``. It states the assumed value.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, NamedTuple

from tradestudy.quantities import from_si
from tradestudy.study.schema.key_types import COMMON_PRACTICE
from tradestudy.study.schema.study import STUDY_TABLES, key_type
from tradestudy.study.value_text import unquoted

_ROUNDING = 1e-6  # mm; tolerance for lengths that are a whole number of millimetres before rounding


class MissingInput(Exception):
    """An exception for a key that a rule needs and that is missing or cannot be read."""


class Assumption(NamedTuple):
    """One assumed value, written as in the file, with its origin, its band, and the results that it changes.

    ``low`` and ``high`` are the ends of its band, written like ``value``. They are None if the builder decides the
    value freely. ``reported`` is False if the value only repeats a short form, so nothing is assumed.
    """

    value: Any
    origin: str
    low: Any = None
    high: Any = None
    moves: str = ""
    reported: bool = True

    @property
    def shown(self) -> str:
        """Return the value as text for the user."""
        return ", ".join(map(unquoted, self.value)) if isinstance(self.value, list) else unquoted(self.value)


Rule = Callable[["PartialStudy", int], Assumption]  # (study, index of the table in an array) -> value


class PartialStudy:
    """The tables of a study while its open keys are filled in. ``stem`` is the name of its file without suffix."""

    def __init__(self, tables: dict[str, Any], stem: str):
        self.tables, self.stem = tables, stem

    def has(self, table: str, key: str = "") -> bool:
        """Return whether a table exists. If ``key`` is not empty, return whether the table has this key."""
        item = self.tables.get(table)
        return item is not None and (not key or (isinstance(item, dict) and key in item))

    def value(self, table: str, key: str, index: int | None = None) -> Any:
        """Return the value of a key in SI units, or its constant default. Raise MissingInput if there is neither."""
        field = STUDY_TABLES[table].model.model_fields[key]
        try:
            item = self.tables[table] if index is None else self.tables[table][index]
            return key_type(field).read(item[key])
        except KeyError:
            if field.is_required() or field.default is None:
                raise MissingInput from None
            return key_type(field).read(field.default) if isinstance(field.default, str) else field.default
        except (ValueError, TypeError, IndexError):
            raise MissingInput from None

    def written(self, table: str, key: str) -> Any:
        """Return the value of a key as the study writes it. Raise MissingInput if it is missing or wrong.

        The key must not have a constant default.
        """
        self.value(table, key)
        return self.tables[table][key]


def grams(mass: float) -> str:
    """Return a mass [kg] as text in grams, rounded to a whole number."""
    return f"{from_si(mass, 'g', 'mass'):.0f} g"


def restated(value: Any) -> Assumption:
    """Return the Assumption for a value that only repeats a short form."""
    return Assumption(value, "", reported=False)


def assumed_length(middle: float, low: float, high: float, moves: str, origin: str = COMMON_PRACTICE) -> Assumption:
    """Return the Assumption for a length [m], rounded to whole millimetres.

    Its band is rounded inward, so that it lies within ``low`` to ``high``.
    """
    middle = round(1e3 * middle)
    least = min(math.ceil(1e3 * low - _ROUNDING), middle)
    most = max(math.floor(1e3 * high + _ROUNDING), middle)
    return Assumption(f"{middle} mm", origin, f"{least} mm", f"{most} mm", moves)


def constant(value: Any, low: Any, high: Any, moves: str, text: str = "") -> Rule:
    """Return a rule that always assumes the same value, by common practice."""

    def rule(study: PartialStudy, index: int) -> Assumption:
        return Assumption(value, COMMON_PRACTICE, low, high, moves)

    rule.__doc__ = text or value
    return rule


def restated_key(table: str, key: str, text: str = "") -> Rule:
    """Return a rule that repeats the value of another key."""

    def rule(study: PartialStudy, index: int) -> Assumption:
        return restated(study.written(table, key))

    rule.__doc__ = text or f"{table}.{key}"
    return rule
