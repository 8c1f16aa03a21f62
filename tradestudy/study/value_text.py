"""Values as text: reading of quantities as people write them, allowed units, and suggestions for wrong values."""

import re
from typing import Any

from tradestudy.errors import nearest
from tradestudy.quantities import SPELLINGS, UNITS, WRITTEN_NUMBER, from_si, kind_of_unit, split_quantity, to_si

# Units that messages suggest, in the order of the most likely mistake. All units of quantities.UNITS are understood.
_OFFERED_UNITS = {
    "length": ("in", "mm", "cm", "m", "ft"),
    "mass": ("oz", "g", "kg", "lb"),
    "speed": ("km/h", "m/s", "mph", "kn"),
    "temperature": ("F", "C", "K"),
}
UNIT_ALIASES = {
    "gram": "g",
    "grams": "g",
    "gr": "g",
    "kph": "km/h",
    "kmh": "km/h",
    "knots": "kn",
    "kt": "kn",
    "kts": "kn",
    "°": "deg",
    "degrees": "deg",
    "°C": "C",
    "°F": "F",
    "Ω": "ohm",
    "mΩ": "mohm",
    "Kv": "rpm/V",
    "kv": "rpm/V",
    "KV": "rpm/V",
    "percent": "%",
    "amps": "A",
    "watts": "W",
    "gsm": "g/m2",
}
_KIND_WORDS = {
    "fraction": "a percentage",
    "angle": "an angle",
    "energy": "an energy",
    "area": "an area",
    "areal_mass": "a mass per area",
    "speed_constant": "a motor speed constant",
}


class RefusedValue(ValueError):
    """An exception for a value that cannot be used.

    ``suggestion`` is the value that was probably meant. It is empty if none is known.
    """

    def __init__(self, sentence: str, suggestion: str = ""):
        self.suggestion = suggestion
        super().__init__(sentence)


def as_written(value: Any) -> str:
    """Return a value as the user wrote it. A long value is shortened."""
    if isinstance(value, list | dict):
        return "a list" if isinstance(value, list) else "a table"
    text = f'"{value}"' if isinstance(value, str) else unquoted(value)
    text = "".join(letter if letter.isprintable() else "?" for letter in text)
    return text if len(text) <= 40 else text[:36] + "..." + ('"' if isinstance(value, str) else "")


def mm(length: float) -> str:
    """Return a length [m] as text in millimetres."""
    return f"{round(from_si(length, 'mm', 'length'), 1):g} mm"


def degrees(angle: float) -> str:
    """Return an angle [rad] as text in degrees."""
    return f"{from_si(angle, 'deg', 'angle'):.1f} deg"


def _offered_units(kind: str) -> str:
    """Return the suggested units of a kind of quantity as text."""
    units = _OFFERED_UNITS.get(kind, UNITS[kind])
    *most, last = sorted(filter(None, units), key=list(UNITS[kind]).index)
    return f"{', '.join(most)} or {last}" if most else last


def quantity_pattern(kind: str) -> str:
    """Return a regular expression for a number with a unit of ``kind``. Editors check values with it."""
    units = {re.escape(unit) for unit in UNITS[kind] if unit}
    units |= {re.escape(each) for unit in UNITS[kind] for each in SPELLINGS.get(unit, ())}
    units |= {unit.replace("2", "²").replace("3", "³") for unit in units} | {"µm" for unit in units if unit == "um"}
    two = {"length": ("ft", "in"), "mass": ("lb", "oz")}.get(kind)
    first = rf"({_spellings(two[0])})\s*{WRITTEN_NUMBER}\s*({_spellings(two[1])})" if two else ""
    ends = "|".join([*([first] if first else []), *sorted(units)])
    return rf"^\s*[+-]?{WRITTEN_NUMBER}\s*({ends})\s*$"


def _spellings(unit: str) -> str:
    return "|".join(map(re.escape, (unit, *SPELLINGS[unit])))


def unquoted(value: Any) -> str:
    """Return a value as text without quotes. True and False become "true" and "false", as in TOML."""
    if isinstance(value, bool):
        return "true" if value else "false"
    try:
        return str(value)
    except ValueError:  # Python refuses to print an integer with thousands of digits
        return "a number of thousands of digits"


def value_as_text(raw: Any) -> str:
    """Return a value of a file as text without quotes and brackets."""
    return ", ".join(map(unquoted, raw)) if isinstance(raw, list) else unquoted(raw)


def number_and_unit(value: Any, kind: str, bounds: tuple[float, float]) -> tuple[float, str]:
    """Return the number and the unit of a value of ``kind``.

    Raise ValueError with a sentence that says what is wrong.
    """
    what, units, state = _KIND_WORDS.get(kind, f"a {kind}"), _offered_units(kind), f"is {as_written(value)}"
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise ValueError(f"{state}; write {what} in quotes with its unit ({units}).")
    try:
        number, unit = split_quantity(value) if isinstance(value, str) else (float(value), "")
    except OverflowError:
        raise ValueError(f"{state}, far out of range; write {what} in quotes with its unit ({units}).") from None
    except ValueError:
        raise ValueError(f"{state}; write {what} as a number and its unit ({units}).") from None
    if re.match(r",\d", unit):
        point = str(value).replace(",", ".", 1)
        raise RefusedValue(f"{state}; write a decimal point, not a comma: {as_written(point)}.", point)
    if not unit:
        suggestion = likely_value(number, unit, kind, bounds)
        raise refused_value(f"{state}, without a unit; write it in quotes with {units}.", suggestion)
    if unit not in UNITS[kind]:
        if other := kind_of_unit(unit):
            raise ValueError(f"{state}, {_KIND_WORDS.get(other, f'a {other}')}; give {what}, in {units}.")
        sentence = f'{state}; "{unit[:20]}" is not a known unit; use {units}.'
        if meant := _near(unit, kind):
            raise RefusedValue(f"{sentence} Did you mean {meant}?", f"{number:.10g} {meant}")
        raise RefusedValue(sentence)
    return number, unit


def refused_value(sentence: str, suggestion: str) -> RefusedValue:
    """Return the exception for a wrong value. Its message asks whether ``suggestion`` was meant, unless it is empty."""
    return RefusedValue(f"{sentence} Is that {suggestion}?" if suggestion else sentence, suggestion)


def _near(unit: str, kind: str) -> str:
    """Return the known unit that was probably meant, or an empty string."""
    meant = UNIT_ALIASES.get(unit)
    if meant not in UNITS[kind]:
        meant = next((known for known in UNITS[kind] if known.lower() == unit.lower()), None)
    return meant or nearest(unit, [known for known in UNITS[kind] if known])


def likely_value(number: float, unit: str, kind: str, bounds: tuple[float, float]) -> str:
    """Return a value that was probably meant, such as ``56 in``, or an empty string.

    It is the same number with the first other unit that gives a value within ``bounds`` (SI).
    """
    if kind == "fraction" and not unit and abs(number) <= 1:
        return f"{100 * number:.6g} %"
    for other in _OFFERED_UNITS.get(kind, UNITS[kind]):
        if other and other not in (unit, "ft") and bounds[0] <= to_si(number, other, kind) <= bounds[1]:
            return f"{number:.6g} {other}"
    if unit and bounds[0] <= to_si(-number, unit, kind) <= bounds[1]:
        return f"{-number:.6g} {unit}"
    return ""


def is_quantity_text(value: Any) -> bool:
    """Return True for a number with or without unit, and False for a name or a truth value."""
    if not isinstance(value, str):
        return not isinstance(value, bool)
    try:
        unit = split_quantity(value.removeprefix("x"))[1]
    except ValueError:
        return False
    return not unit or kind_of_unit(unit) is not None
