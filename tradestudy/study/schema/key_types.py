"""What one key of a study file may hold: how it is written, which values are allowed, what it means.

Every factory below returns an `Entry`. Its ``read`` turns what stands in the TOML file into an SI
value, or raises ValueError with a sentence that continues after the key: ``stock.span`` + ``is
"56 mm"; allowed is 300 mm to 4000 mm. Is that 56 in?``
"""

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from pydantic import Field
from pydantic_core import core_schema

from tradestudy.catalogue import catalogue_part
from tradestudy.errors import CatalogueError, nearest
from tradestudy.quantities import INCH, kind_of_unit, parse_quantity, split_quantity, to_si
from tradestudy.study.value_text import (
    RefusedValue,
    as_written,
    likely_value,
    number_and_unit,
    quantity_pattern,
    refusal,
    unquoted,
)

LONGEST_TEXT = 200
_LONGEST_NAME = 60
_UNSAFE_IN_NAMES = '/\\:*?"<>|'  # in the name of a folder, on one operating system or another
_MOST_CHOICES = 12
_PROPELLER_SIZE = re.compile(r"^\s*(\d+(?:\.\d+)?)\s*[xX]\s*(\d+(?:\.\d+)?)\s*$")


class ListErrors(ValueError):
    """Faults inside a list: (index counted from 0, sentence) for each."""

    def __init__(self, faults: list[tuple[int, str]]):
        self.faults = faults
        super().__init__("; ".join(sentence for _, sentence in faults))


@dataclass(frozen=True)
class KeyType:
    """One key: its kind, what is allowed (both for a person), its meaning, its reader, and its form in JSON Schema."""

    kind: str
    allowed: str
    meaning: str
    read: Callable[[Any], Any]
    form: dict[str, Any] = field(default_factory=lambda: {"type": "string"}, compare=False)

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        """Let a pydantic model read its field with `read`."""
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, core: Any, handler: Any) -> dict[str, Any]:
        """Let pydantic tell how the field is written, for editors."""
        return {"description": f"{self.meaning[:1].upper()}{self.meaning[1:]}. Allowed: {self.allowed}.", **self.form}


class DefaultUsed(NamedTuple):
    """One value the study did not give: where it stands, how far off it may be, and what it moves.

    ``low`` and ``high`` are written as in a study; both None where the value is the builder's own choice.
    """

    key: str
    value: str
    origin: str
    low: Any = None
    high: Any = None
    moves: str = ""
    place: tuple[str | int, ...] = ()

    @property
    def is_choice(self) -> bool:
        """True for what a builder decides rather than measures: it has no band."""
        return self.low is None

    @property
    def band(self) -> str:
        """The band for a person."""
        if self.low is None or self.high is None or self.low == self.high:
            return "yours to choose" if self.low is None and self.high is None else unquoted(self.low)
        return f"{unquoted(self.low)}{' to ' if _is_measure(self.low) else ' or '}{unquoted(self.high)}"


def _is_measure(value: Any) -> bool:
    """True for a number with or without unit, False for a name or a choice."""
    if isinstance(value, bool) or not isinstance(value, str):
        return not isinstance(value, bool)
    try:
        _, unit = split_quantity(value.removeprefix("x"))
    except ValueError:
        return False
    return not unit or kind_of_unit(unit) is not None


def default(value: Any, origin: str, shown: str = "", low: Any = None, high: Any = None, moves: str = "") -> Any:
    """Return a pydantic field whose default is written like a study value and says where it comes from.

    ``shown`` is what a person reads when the default is worked out later (``value`` is then None); empty
    when leaving the key out means that the thing is not there, so that nobody need be told. ``low`` and
    ``high``, written like values, are how far off the default may be; left out where it is a choice.
    """
    extra: Any = {
        "origin": origin, "shown": shown or ("" if value is None else unquoted(value)), "low": low, "high": high,
        "moves": moves,
    }  # fmt: skip
    return Field(default=value, validate_default=value is not None, json_schema_extra=extra)


def quantity(kind: str, low: str, high: str, meaning: str) -> KeyType:
    """A quantity written as text with its unit, read as an SI float between ``low`` and ``high``."""
    bounds = parse_quantity(low, kind), parse_quantity(high, kind)

    def read(value: Any) -> float:
        number, unit = number_and_unit(value, kind, bounds)
        result = to_si(number, unit, kind)
        if not bounds[0] <= result <= bounds[1]:
            raise refusal(
                f"is {as_written(value)}; allowed is {low} to {high}.", likely_value(number, unit, kind, bounds)
            )
        return result

    return KeyType(kind, f"{low} to {high}", meaning, read, {"type": "string", "pattern": quantity_pattern(kind)})


def number(low: float, high: float, meaning: str) -> KeyType:
    """A plain number without a unit."""

    def read(value: Any) -> float:
        wanted = f"a plain number from {low:g} to {high:g} is wanted"
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise ValueError(f"is {as_written(value)}; {wanted}.")
        if not low <= value <= high:  # also refuses nan
            tries = [-value, value / 100 if abs(value) < 1e6 else math.nan]
            fits = [other for other in tries if low <= other <= high]
            raise refusal(f"is {as_written(value)}; {wanted}.", f"{fits[0]:g}" if fits else "")
        return float(value)

    form = {"type": "number", "minimum": low, "maximum": high}
    return KeyType("number", f"{low:g} to {high:g}", meaning, read, form)


def whole_number(low: int, high: int, meaning: str) -> KeyType:
    """A whole number."""

    def read(value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise ValueError(f"is {as_written(value)}; a whole number from {low} to {high} is wanted.")
        return value

    form = {"type": "integer", "minimum": low, "maximum": high}
    return KeyType("whole number", f"{low} to {high}", meaning, read, form)


def choice(options: tuple[str, ...], meaning: str) -> KeyType:
    """One of a few words."""
    allowed = " or ".join(f'"{option}"' for option in options)

    def read(value: Any) -> str:
        if value not in options:
            meant = nearest(value, list(options)) if isinstance(value, str) else ""
            hint = f" Did you mean {meant}?" if meant else ""
            raise RefusedValue(f"is {as_written(value)}; allowed is {allowed}.{hint}", meant)
        return value

    return KeyType("choice", allowed, meaning, read, {"enum": list(options)})


def flag(meaning: str) -> KeyType:
    """True or false."""

    def read(value: Any) -> bool:
        if not isinstance(value, bool):
            raise ValueError(f"is {as_written(value)}; write true or false, without quotes.")
        return value

    return KeyType("true or false", "true or false", meaning, read, {"type": "boolean"})


def free_text(meaning: str, fewest: int = 1) -> KeyType:
    """Free text."""

    def read(value: Any) -> str:
        if not isinstance(value, str):
            raise ValueError(f"is {as_written(value)}; text in quotes is wanted.")
        if not fewest <= len(value.strip()) <= LONGEST_TEXT:
            what = f"{len(value)} characters long" if value.strip() else "empty"
            raise ValueError(f"is {what}; {fewest} to {LONGEST_TEXT} characters are wanted.")
        if not value.replace("\n", " ").isprintable():
            raise ValueError(f"is {as_written(value)}; it holds characters that cannot be printed.")
        return value

    form = {"type": "string", "minLength": fewest, "maxLength": LONGEST_TEXT}
    return KeyType("text", f"{fewest} to {LONGEST_TEXT} characters", meaning, read, form)


def file_name(meaning: str) -> KeyType:
    """Short text that every operating system takes as the name of a folder."""
    allowed = f"1 to {_LONGEST_NAME} characters, none of {_UNSAFE_IN_NAMES}"

    def read(value: Any) -> str:
        if not isinstance(value, str):
            raise ValueError(f"is {as_written(value)}; text in quotes is wanted.")
        tidy = value == value.strip(" .") and 1 <= len(value) <= _LONGEST_NAME
        if not tidy or not value.isprintable() or any(letter in value for letter in _UNSAFE_IN_NAMES):
            raise ValueError(
                f"is {as_written(value)}; it also names the results folder, so {allowed} are wanted, "
                "and no space or point at either end."
            )
        return value

    form = {
        "type": "string",
        "minLength": 1,
        "maxLength": _LONGEST_NAME,
        "pattern": f"^[^{re.escape(_UNSAFE_IN_NAMES)}]+$",
    }
    return KeyType("text", allowed, meaning, read, form)


def part_name(catalogue: str, meaning: str) -> KeyType:
    """The name of a part in one of the catalogues."""

    def read(value: Any) -> str:
        if not isinstance(value, str):
            raise ValueError(f"is {as_written(value)}; a name from the catalogue of {catalogue} is wanted, in quotes.")
        try:
            catalogue_part(catalogue, value[:_LONGEST_NAME])
        except CatalogueError as error:
            raise ValueError(f"cannot be used: {error}") from None
        return value

    return KeyType("part", f"a name from the catalogue of {catalogue}", meaning, read)


def propeller_size(meaning: str) -> KeyType:
    """Propeller diameter and pitch in inches, as in "12x6"; kept as text, see `propeller_lengths`."""
    allowed = "3x2 to 20x20, diameter x pitch in inches"

    def read(value: Any) -> str:
        try:
            diameter, pitch = propeller_lengths(value)
        except (TypeError, ValueError):
            raise ValueError(f'is {as_written(value)}; diameter x pitch in inches is wanted, as in "12x6".') from None
        if not (3 * INCH <= diameter <= 20 * INCH and 2 * INCH <= pitch <= 20 * INCH):
            raise ValueError(f"is {as_written(value)}; allowed is {allowed}.")
        return value

    form = {"type": "string", "pattern": _PROPELLER_SIZE.pattern}
    return KeyType("propeller size", allowed, meaning, read, form)


def propeller_lengths(size: str) -> tuple[float, float]:
    """Return diameter and pitch [m] of a size such as "12x6". Raises ValueError when it is not one."""
    match = _PROPELLER_SIZE.fullmatch(size)
    if not match:
        raise ValueError(f'"{size}" is not diameter x pitch')
    return float(match.group(1)) * INCH, float(match.group(2)) * INCH


def value_range(entry: KeyType, meaning: str) -> KeyType:
    """Two values, the smaller first, read as a tuple."""

    def read(value: Any) -> tuple[Any, Any]:
        if not isinstance(value, list) or len(value) != 2:
            found = _length(value) if isinstance(value, list) else f"is {as_written(value)}"
            raise ValueError(f"{found}; two are wanted in brackets, smallest first: each {entry.allowed}.")
        low, high = _read_each(entry, value)
        if low > high:
            raise ValueError(
                f"runs from {as_written(value[0])} down to {as_written(value[1])}; write the smaller first."
            )
        return low, high

    form = {"type": "array", "items": entry.form, "minItems": 2, "maxItems": 2}
    return KeyType(f"two values, {entry.kind}", f"each {entry.allowed}", meaning, read, form)


def distinct_values(entry: KeyType, meaning: str) -> KeyType:
    """A list of values, each different, read as a tuple."""

    def read(value: Any) -> tuple[Any, ...]:
        if not isinstance(value, list) or not 1 <= len(value) <= _MOST_CHOICES:
            found = _length(value) if isinstance(value, list) else f"is {as_written(value)}"
            raise ValueError(f"{found}; 1 to {_MOST_CHOICES} are wanted in brackets: each {entry.allowed}.")
        result = _read_each(entry, value)
        repeated = [index for index, item in enumerate(result) if item in result[:index]]
        if repeated:
            raise ListErrors([(index, f"repeats {as_written(value[index])}; name each once.") for index in repeated])
        return tuple(result)

    form = {"type": "array", "items": entry.form, "minItems": 1, "maxItems": _MOST_CHOICES, "uniqueItems": True}
    return KeyType(f"list, {entry.kind}", f"each {entry.allowed}", meaning, read, form)


def sequence(entry: KeyType, fewest: int, most: int, meaning: str) -> KeyType:
    """A list of values in order, which may repeat, read as a tuple."""

    def read(value: Any) -> tuple[Any, ...]:
        if not isinstance(value, list) or not fewest <= len(value) <= most:
            found = _length(value) if isinstance(value, list) else f"is {as_written(value)}"
            raise ValueError(f"{found}; {fewest} to {most} are wanted in brackets: each {entry.allowed}.")
        return tuple(_read_each(entry, value))

    form = {"type": "array", "items": entry.form, "minItems": fewest, "maxItems": most}
    return KeyType(f"list, {entry.kind}", f"each {entry.allowed}", meaning, read, form)


def points(along: KeyType, across: KeyType, fewest: int, most: int, meaning: str) -> KeyType:
    """A list of points, each of two values in brackets, read as a tuple of pairs."""
    wanted = f"each [{along.meaning}, {across.meaning}]"

    def read(value: Any) -> tuple[tuple[Any, Any], ...]:
        if not isinstance(value, list) or not fewest <= len(value) <= most:
            found = _length(value) if isinstance(value, list) else f"is {as_written(value)}"
            raise ValueError(f"{found}; {fewest} to {most} points are wanted in brackets, {wanted}.")
        result, faults = [], []
        for index, item in enumerate(value):
            try:
                if not isinstance(item, list) or len(item) != 2:
                    raise ValueError(f"is {as_written(item)}; two values are wanted in brackets, {wanted[5:]}.")
                result.append((along.read(item[0]), across.read(item[1])))
            except ValueError as error:
                faults.append((index, str(error)))
        if faults:
            raise ListErrors(faults)
        return tuple(result)

    point = {"type": "array", "prefixItems": [along.form, across.form], "minItems": 2, "maxItems": 2}
    form = {"type": "array", "items": point, "minItems": fewest, "maxItems": most}
    return KeyType(f"list of points, {along.kind}", f"{along.allowed}, {across.allowed}", meaning, read, form)


def _length(values: list[Any]) -> str:
    return f"has {len(values)} value{'' if len(values) == 1 else 's'}"


def _read_each(entry: KeyType, values: list[Any]) -> list[Any]:
    result, faults = [], []
    for index, value in enumerate(values):
        try:
            result.append(entry.read(value))
        except ValueError as error:
            faults.append((index, str(error)))
    if faults:
        raise ListErrors(faults)
    return result
