"""What rules for assumed values have in common: the study they read, the answer they give, and the usual kinds of rule.

The docstring of a rule is its text in ``tradestudy keys``: it states the value that is assumed.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, NamedTuple

from tradestudy.quantities import from_si
from tradestudy.study.schema.key_types import COMMON_PRACTICE
from tradestudy.study.schema.study import STUDY_TABLES, key_type
from tradestudy.study.value_text import unquoted

_ROUNDING = 1e-6  # mm; a whole number of millimetres stays one


class MissingInput(Exception):
    """A key that a rule needs is missing or cannot be read."""


class Assumption(NamedTuple):
    """One assumed value, written as in the file, with its origin, its band, and the results it moves.

    ``low`` and ``high`` are written like ``value``; None where it is the builder's own choice rather than a measure.
    ``reported`` is False where nothing is assumed: the value only restates a short form.
    """

    value: Any
    origin: str
    low: Any = None
    high: Any = None
    moves: str = ""
    reported: bool = True

    @property
    def shown(self) -> str:
        """The value for a person."""
        return ", ".join(map(unquoted, self.value)) if isinstance(self.value, list) else unquoted(self.value)


Rule = Callable[["PartialStudy", int], Assumption]  # takes the tables, and the index of the item of an array


class PartialStudy:
    """The tables of a study while its open keys are filled in, and the name of its file without suffix."""

    def __init__(self, tables: dict[str, Any], stem: str):
        self.tables, self.stem = tables, stem

    def has(self, table: str, key: str = "") -> bool:
        """Return whether a table, or a key of it, is given."""
        item = self.tables.get(table)
        return item is not None and (not key or (isinstance(item, dict) and key in item))

    def value(self, table: str, key: str, index: int | None = None) -> Any:
        """Return a value in SI units, or its constant default. Raises MissingInput."""
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
        """Return a value as the study writes it, of a key without a constant default. Raises MissingInput."""
        self.value(table, key)
        return self.tables[table][key]


def grams(mass: float) -> str:
    """Return a mass [kg] as it is written in a study, to the gram."""
    return f"{from_si(mass, 'g', 'mass'):.0f} g"


def restated(value: Any) -> Assumption:
    """Return a value that only restates a short form."""
    return Assumption(value, "", reported=False)


def assumed_length(middle: float, low: float, high: float, moves: str, origin: str = COMMON_PRACTICE) -> Assumption:
    """Return a length [m] to assume, with its band in whole millimetres inside the given one."""
    middle = round(1e3 * middle)
    least = min(math.ceil(1e3 * low - _ROUNDING), middle)
    most = max(math.floor(1e3 * high + _ROUNDING), middle)
    return Assumption(f"{middle} mm", origin, f"{least} mm", f"{most} mm", moves)


def constant(value: Any, low: Any, high: Any, moves: str, text: str = "") -> Rule:
    """Return the rule that assumes one value by common practice."""

    def rule(study: PartialStudy, index: int) -> Assumption:
        return Assumption(value, COMMON_PRACTICE, low, high, moves)

    rule.__doc__ = text or value
    return rule


def restated_key(table: str, key: str, text: str = "") -> Rule:
    """Return the rule that restates the value of another key."""

    def rule(study: PartialStudy, index: int) -> Assumption:
        return restated(study.written(table, key))

    rule.__doc__ = text or f"{table}.{key}"
    return rule
