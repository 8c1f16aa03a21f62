"""Types of keys: how the value of a key is written, which values are allowed, and what it means.

Every function below that is named after a type returns a `KeyType`. Its ``read`` converts the value in the TOML file
to SI. For a wrong value it raises ValueError. The complete message is the key followed by the text of the ValueError:
``stock.span`` + ``is "56 mm"; allowed is 300 mm to 4000 mm. Is that 56 in?``
"""

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from pydantic import BaseModel, ConfigDict, Field
from pydantic_core import core_schema

from tradestudy.catalogue import catalogue_part
from tradestudy.errors import CatalogueError, nearest
from tradestudy.quantities import INCH, parse_quantity, to_si
from tradestudy.study.value_text import (
    RefusedValue,
    as_written,
    is_quantity_text,
    likely_value,
    number_and_unit,
    quantity_pattern,
    refused_value,
    unquoted,
)

COMMON_PRACTICE = "common practice, no source"
JUDGEMENT = "judgement, no source"
LONGEST_TEXT = 200
_LONGEST_NAME = 60
_UNSAFE_IN_NAMES = '/\\:*?"<>|'  # characters that some operating system does not allow in the name of a folder
# names of devices, which Windows gives to no folder, with whatever ending
_DEVICE = re.compile(r"(con|prn|aux|nul|conin\$|conout\$|(com|lpt)[0-9\u00b9\u00b2\u00b3])\s*(\..*)?", re.IGNORECASE)
_MOST_CHOICES = 12
_PROPELLER_SIZE = re.compile(r"^\s*(\d+(?:\.\d+)?)\s*[xX]\s*(\d+(?:\.\d+)?)\s*$")


class ListErrors(ValueError):
    """An exception for errors inside a list. ``faults`` has (index from 0, sentence) for each error."""

    def __init__(self, faults: list[tuple[int, str]]):
        self.faults = faults
        super().__init__("; ".join(sentence for _, sentence in faults))


class TableModel(BaseModel):
    """Base class for one table of a file. Its objects are frozen, and an unknown key is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid")


@dataclass(frozen=True)
class KeyType:
    """The type of one key.

    ``kind``, ``allowed`` and ``meaning`` are words for the user: kind of value, allowed values, and meaning of the key.
    ``read`` converts a value from TOML, and ``form`` is the JSON Schema of the value.
    """

    kind: str
    allowed: str
    meaning: str
    read: Callable[[Any], Any]
    form: dict[str, Any] = field(default_factory=lambda: {"type": "string"}, compare=False)

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        """Return a pydantic schema that reads the field with `read`."""
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, core: Any, handler: Any) -> dict[str, Any]:
        """Return the JSON Schema of the field, for editors."""
        return {"description": f"{self.meaning[:1].upper()}{self.meaning[1:]}. Allowed: {self.allowed}.", **self.form}


class DefaultUsed(NamedTuple):
    """One value that the study did not give: its key, value, origin and band, and the results that it changes.

    ``low`` and ``high`` are the ends of its band, written as in a study. Both are None if the builder decides the
    value freely.
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
        """Return True if the builder decides the value and does not measure it. Such a value has no band."""
        return self.low is None

    @property
    def band(self) -> str:
        """Return the band of the value as text for the user."""
        if self.low is None:
            return "yours to choose"
        if self.high is None or self.low == self.high:
            return unquoted(self.low)
        return f"{unquoted(self.low)}{' to ' if is_quantity_text(self.low) else ' or '}{unquoted(self.high)}"


def default(value: Any, origin: str, shown: str = "", low: Any = None, high: Any = None, moves: str = "") -> Any:
    """Return a pydantic field with a default and its origin. The default is written as in a study.

    If ``value`` is None, the default is computed later, and ``shown`` is the text about it for the user. If ``shown``
    is empty too, a missing key means that the thing does not exist, and the default is not reported. ``low`` and
    ``high`` are the band of the default, written as in a study. They are None if the builder decides the value.
    """
    extra: Any = {
        "origin": origin, "shown": shown or ("" if value is None else unquoted(value)), "low": low, "high": high,
        "moves": moves,
    }  # fmt: skip
    return Field(default=value, validate_default=value is not None, json_schema_extra=extra)


def quantity(kind: str, low: str, high: str, meaning: str) -> KeyType:
    """Return the type of a quantity. It is text with a unit and is read as an SI float from ``low`` to ``high``."""
    bounds = parse_quantity(low, kind), parse_quantity(high, kind)

    def read(value: Any) -> float:
        number, unit = number_and_unit(value, kind, bounds)
        result = to_si(number, unit, kind)
        if not bounds[0] <= result <= bounds[1]:
            suggestion = likely_value(number, unit, kind, bounds)
            raise refused_value(f"is {as_written(value)}; allowed is {low} to {high}.", suggestion)
        return result

    return KeyType(kind, f"{low} to {high}", meaning, read, {"type": "string", "pattern": quantity_pattern(kind)})


def number(low: float, high: float, meaning: str) -> KeyType:
    """Return the type of a number without a unit, from ``low`` to ``high``."""

    def read(value: Any) -> float:
        sentence = f"is {as_written(value)}; write a number without a unit, from {low:g} to {high:g}."
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise ValueError(sentence)
        if not low <= value <= high:  # this form also refuses NaN
            others = [-value, value / 100 if abs(value) < 1e6 else math.nan]
            raise refused_value(sentence, next((f"{other:g}" for other in others if low <= other <= high), ""))
        return float(value)

    form = {"type": "number", "minimum": low, "maximum": high}
    return KeyType("number", f"{low:g} to {high:g}", meaning, read, form)


class LeastCruise(NamedTuple):
    """The slowest cruise: a multiple of the stall speed [-], and a speed [m/s] or 0."""

    over_stall: float
    speed: float = 0.0


def least_cruise_key(over_stall: KeyType, speed: KeyType, bare: float, meaning: str) -> KeyType:
    """Return the type of the slowest cruise: a multiple of the stall speed, or a speed.

    A cruise that is given as a speed stays ``bare`` times above the stall as well.
    """
    allowed = f"{over_stall.allowed} times the stall speed, or a speed, {speed.allowed}"

    def read(value: Any) -> LeastCruise:
        return LeastCruise(bare, speed.read(value)) if isinstance(value, str) else LeastCruise(over_stall.read(value))

    return KeyType("number or speed", allowed, meaning, read, {"anyOf": [over_stall.form, speed.form]})


def whole_number(low: int, high: int, meaning: str) -> KeyType:
    """Return the type of a whole number from ``low`` to ``high``."""

    def read(value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise ValueError(f"is {as_written(value)}; write a whole number from {low} to {high}.")
        return value

    form = {"type": "integer", "minimum": low, "maximum": high}
    return KeyType("whole number", f"{low} to {high}", meaning, read, form)


def choice(options: tuple[str, ...], meaning: str) -> KeyType:
    """Return the type of a word that must be one of ``options``."""
    allowed = " or ".join(f'"{option}"' for option in options)

    def read(value: Any) -> str:
        if value not in options:
            meant = nearest(value, list(options)) if isinstance(value, str) else ""
            hint = f" Did you mean {meant}?" if meant else ""
            raise RefusedValue(f"is {as_written(value)}; allowed is {allowed}.{hint}", meant)
        return value

    return KeyType("choice", allowed, meaning, read, {"enum": list(options)})


def flag(meaning: str) -> KeyType:
    """Return the type of a value that is true or false."""

    def read(value: Any) -> bool:
        if not isinstance(value, bool):
            raise ValueError(f"is {as_written(value)}; write true or false, without quotes.")
        return value

    return KeyType("true or false", "true or false", meaning, read, {"type": "boolean"})


def free_text(meaning: str, fewest: int = 1, most: int = LONGEST_TEXT) -> KeyType:
    """Return the type of free text with ``fewest`` to ``most`` characters."""

    def read(value: Any) -> str:
        text = _text(value)
        if not fewest <= len(text.strip()) <= most:
            state = f"{len(text)} characters long" if text.strip() else "empty"
            raise ValueError(f"is {state}; write {fewest} to {most} characters.")
        if not text.replace("\n", " ").isprintable():
            raise ValueError(f"is {as_written(text)}; it holds characters that cannot be printed.")
        return text

    form = {"type": "string", "minLength": fewest, "maxLength": most}
    return KeyType("text", f"{fewest} to {most} characters", meaning, read, form)


def _text(value: Any, content: str = "text") -> str:
    """Return a value if it is text, else raise ValueError."""
    if not isinstance(value, str):
        raise ValueError(f"is {as_written(value)}; write {content} in quotes.")
    return value


def file_name(meaning: str) -> KeyType:
    """Return the type of short text that every operating system accepts as the name of a folder."""
    allowed = f"1 to {_LONGEST_NAME} characters, none of {_UNSAFE_IN_NAMES}"

    def read(value: Any) -> str:
        text = _text(value)
        tidy = text == text.strip(" .") and 1 <= len(text) <= _LONGEST_NAME
        if not tidy or not text.isprintable() or any(letter in text for letter in _UNSAFE_IN_NAMES):
            raise ValueError(
                f"is {as_written(text)}; it is also the name of the results folder: write {allowed}, and no space or "
                "full stop at either end."
            )
        if _DEVICE.fullmatch(text):
            raise ValueError(
                f"is {as_written(text)}; it is also the name of the results folder, and some systems keep that name "
                "for a device. Choose another."
            )
        return text

    form = {
        "type": "string",
        "minLength": 1,
        "maxLength": _LONGEST_NAME,
        "pattern": f"^[^{re.escape(_UNSAFE_IN_NAMES)}]+$",
    }
    return KeyType("text", allowed, meaning, read, form)


def part_name(catalogue: str, meaning: str) -> KeyType:
    """Return the type of the name of a part in the catalogue ``catalogue``."""
    allowed = f"a name from the catalogue of {catalogue}"

    def read(value: Any) -> str:
        text = _text(value, allowed)
        try:
            catalogue_part(catalogue, text[:_LONGEST_NAME])
        except CatalogueError as error:
            raise ValueError(f"cannot be used: {error}") from None
        return text

    return KeyType("part", allowed, meaning, read)


def propeller_size(meaning: str) -> KeyType:
    """Return the type of a propeller size such as "12x6". The value remains text; see `propeller_lengths`."""
    allowed = "3x2 to 20x20, diameter x pitch in inches"

    def read(value: Any) -> str:
        try:
            diameter, pitch = propeller_lengths(value)
        except (TypeError, ValueError):
            raise ValueError(f'is {as_written(value)}; write diameter x pitch in inches, such as "12x6".') from None
        if not (3 * INCH <= diameter <= 20 * INCH and 2 * INCH <= pitch <= 20 * INCH):
            raise ValueError(f"is {as_written(value)}; allowed is {allowed}.")
        return value

    form = {"type": "string", "pattern": _PROPELLER_SIZE.pattern}
    return KeyType("propeller size", allowed, meaning, read, form)


def propeller_lengths(size: str) -> tuple[float, float]:
    """Return diameter and pitch [m] of a propeller size such as "12x6". Raise ValueError for any other text."""
    match = _PROPELLER_SIZE.fullmatch(size)
    if not match:
        raise ValueError(f'"{size}" is not diameter x pitch')
    return float(match.group(1)) * INCH, float(match.group(2)) * INCH


def value_range(each: KeyType, meaning: str) -> KeyType:
    """Return the type of a range. It is a list of two values, the smaller first, and is read as a tuple."""

    def read(value: Any) -> tuple[Any, Any]:
        low, high = _read_list(value, each.read, 2, 2, f"write two in brackets, the smaller first: each {each.allowed}")
        if low > high:
            raise ValueError(
                f"runs from {as_written(value[0])} down to {as_written(value[1])}; write the smaller first."
            )
        return low, high

    form = {"type": "array", "items": each.form, "minItems": 2, "maxItems": 2}
    return KeyType(f"two values, {each.kind}", f"each {each.allowed}", meaning, read, form)


def distinct_values(each: KeyType, meaning: str) -> KeyType:
    """Return the type of a list whose values are all different. It is read as a tuple."""

    def read(value: Any) -> tuple[Any, ...]:
        advice = f"write 1 to {_MOST_CHOICES} in brackets: each {each.allowed}"
        values = _read_list(value, each.read, 1, _MOST_CHOICES, advice)
        repeated = [index for index, item in enumerate(values) if item in values[:index]]
        if repeated:
            raise ListErrors([(index, f"repeats {as_written(value[index])}; name each once.") for index in repeated])
        return values

    form = {"type": "array", "items": each.form, "minItems": 1, "maxItems": _MOST_CHOICES, "uniqueItems": True}
    return KeyType(f"list, {each.kind}", f"each {each.allowed}", meaning, read, form)


def one_or_more(each: KeyType, meaning: str) -> KeyType:
    """Return the type of one value, or of a list of different values. Both are read as a tuple."""
    several = distinct_values(each, meaning)

    def read(value: Any) -> tuple[Any, ...]:
        return several.read(value if isinstance(value, list) else [value])

    form = {"anyOf": [each.form, several.form]}
    return KeyType(f"one or more, {each.kind}", each.allowed, meaning, read, form)


def or_none(each: KeyType) -> KeyType:
    """Return the type of a list that may also be the word "none", which is read as an empty tuple."""

    def read(value: Any) -> tuple[Any, ...]:
        return () if value == "none" else each.read(value)

    form = {"anyOf": [each.form, {"enum": ["none"]}]}
    return KeyType(each.kind, f'{each.allowed}, or "none"', each.meaning, read, form)


def sequence(each: KeyType, fewest: int, most: int, meaning: str) -> KeyType:
    """Return the type of an ordered list in which values may repeat. It is read as a tuple."""

    def read(value: Any) -> tuple[Any, ...]:
        return _read_list(value, each.read, fewest, most, f"write {fewest} to {most} in brackets: each {each.allowed}")

    form = {"type": "array", "items": each.form, "minItems": fewest, "maxItems": most}
    return KeyType(f"list, {each.kind}", f"each {each.allowed}", meaning, read, form)


def points(along: KeyType, across: KeyType, fewest: int, most: int, meaning: str) -> KeyType:
    """Return the type of a list of points. A point is a list of two values, and all are read as a tuple of pairs."""
    names = f"[{along.meaning}, {across.meaning}]"

    def read_point(value: Any) -> tuple[Any, Any]:
        if not isinstance(value, list) or len(value) != 2:
            raise ValueError(f"is {as_written(value)}; write two values in brackets, {names}.")
        return along.read(value[0]), across.read(value[1])

    def read(value: Any) -> tuple[tuple[Any, Any], ...]:
        return _read_list(value, read_point, fewest, most, f"write {fewest} to {most} points in brackets, each {names}")

    point = {"type": "array", "prefixItems": [along.form, across.form], "minItems": 2, "maxItems": 2}
    form = {"type": "array", "items": point, "minItems": fewest, "maxItems": most}
    return KeyType(f"list of points, {along.kind}", f"{along.allowed}, {across.allowed}", meaning, read, form)


def _read_list(value: Any, read: Callable[[Any], Any], fewest: int, most: int, advice: str) -> tuple[Any, ...]:
    """Return a tuple with every value of a list after ``read``.

    Raise ValueError if the length is wrong, and ListErrors if values are wrong.
    """
    if not isinstance(value, list):
        raise ValueError(f"is {as_written(value)}; {advice}.")
    if not fewest <= len(value) <= most:
        raise ValueError(f"has {len(value)} value{'' if len(value) == 1 else 's'}; {advice}.")
    result, faults = [], []
    for index, item in enumerate(value):
        try:
            result.append(read(item))
        except ValueError as error:
            faults.append((index, str(error)))
    if faults:
        raise ListErrors(faults)
    return tuple(result)
