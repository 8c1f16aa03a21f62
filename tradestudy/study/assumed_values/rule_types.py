"""What a study says so far, asked for by the rules that fill in the rest, and how such a rule answers."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, NamedTuple

from tradestudy.quantities import from_si
from tradestudy.study.schema.study import TABLES, key_type
from tradestudy.study.schema.wing import COMMON_PRACTICE
from tradestudy.study.value_text import unquoted

_ROUNDING = 1e-6  # mm; a whole number of millimetres stays one


class MissingInput(Exception):
    """A key that a rule needs is missing or cannot be read."""


class Assumption(NamedTuple):
    """One value assumed: as it would stand in the file, where it comes from, how far off, and what it moves.

    ``low`` and ``high`` are written like ``value``; None where it is the builder's own choice rather than a measure.
    ``told`` is False where nothing is assumed: the value only restates what the study says in short.
    """

    value: Any
    origin: str
    low: Any = None
    high: Any = None
    moves: str = ""
    told: bool = True

    @property
    def shown(self) -> str:
        """The value for a person."""
        return ", ".join(map(unquoted, self.value)) if isinstance(self.value, list) else unquoted(self.value)


Rule = Callable[["PartialStudy", int], Assumption]  # of the tables, and which item of an array


class PartialStudy:
    """The tables of a study as they fill up. Values are asked for in SI units."""

    def __init__(self, whole: dict[str, Any], stem: str):
        self.whole, self.stem = whole, stem

    def has(self, table: str, key: str = "") -> bool:
        """True when a table, or a key of it, stands there."""
        item = self.whole.get(table)
        return item is not None and (not key or (isinstance(item, dict) and key in item))

    def value(self, table: str, key: str, index: int | None = None) -> Any:
        """Return a value in SI units, its plain default where it has one. Raises Unknown."""
        field = TABLES[table].model.model_fields[key]
        try:
            item = self.whole[table] if index is None else self.whole[table][index]
            return key_type(field).read(item[key])
        except KeyError:
            if field.is_required() or field.default is None:
                raise MissingInput from None
            default = field.default
            return key_type(field).read(default) if isinstance(default, str) else default
        except (ValueError, TypeError, IndexError):
            raise MissingInput from None


def grams(mass: float) -> str:
    """Return a mass [kg] as it stands in a study, to the gram."""
    return f"{from_si(mass, 'g', 'mass'):.0f} g"


def restated(value: Any) -> Assumption:
    """Return a value that only restates what the study says in short."""
    return Assumption(value, "", told=False)


def assumed_length(middle: float, low: float, high: float, moves: str, origin: str = COMMON_PRACTICE) -> Assumption:
    """Return a length [m] to assume, with its band in whole millimetres that do not leave it."""
    middle = round(1e3 * middle)
    least = min(math.ceil(1e3 * low - _ROUNDING), middle)
    most = max(math.floor(1e3 * high + _ROUNDING), middle)
    return Assumption(f"{middle} mm", origin, f"{least} mm", f"{most} mm", moves)
