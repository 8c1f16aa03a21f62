"""How people write quantities, and words that answer a slip: which units are fine, what was likely meant."""

import re
from typing import Any

from tradestudy.errors import nearest
from tradestudy.quantities import UNITS, from_si, kind_of_unit, split_quantity, to_si

# Units offered to a person, likeliest slip first; more are understood (see quantities.UNITS).
_OFFERED_UNITS = {
    "length": ("in", "mm", "cm", "m", "ft"),
    "mass": ("oz", "g", "kg", "lb"),
    "speed": ("km/h", "m/s", "mph", "kn"),
    "temperature": ("F", "C", "K"),
}
UNIT_ALIASES = {
    '"': "in",
    "''": "in",
    "inch": "in",
    "inches": "in",
    "feet": "ft",
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
    """A value that cannot be used. ``suggestion`` is the value that was probably meant, or empty."""

    def __init__(self, sentence: str, suggestion: str = ""):
        self.suggestion = suggestion
        super().__init__(sentence)


def as_written(value: Any) -> str:
    """Return a value as a person wrote it, cut short when it is long."""
    if isinstance(value, list | dict):
        return "a list" if isinstance(value, list) else "a table"
    text = f'"{value}"' if isinstance(value, str) else unquoted(value)
    text = "".join(letter if letter.isprintable() else "?" for letter in text)
    return text if len(text) <= 40 else text[:36] + "..." + ('"' if isinstance(value, str) else "")


def mm(length: float) -> str:
    """Return a length [m] in millimetres, for a person."""
    return f"{round(from_si(length, 'mm', 'length'), 1):g} mm"


def offered_units(kind: str) -> str:
    """Return the units a person may write for ``kind``, as words."""
    units = _OFFERED_UNITS.get(kind) or [unit for unit in UNITS[kind] if unit]
    *most, last = sorted(units, key=list(UNITS[kind]).index)
    return f"{', '.join(most)} or {last}" if most else last


def quantity_pattern(kind: str) -> str:
    """Return the pattern of text that is a number with a unit of ``kind``, as editors check it."""
    units = {unit for unit in UNITS[kind] if unit}
    units |= {unit.replace("2", "²").replace("3", "³") for unit in units} | {"µm" for unit in units if unit == "um"}
    return rf"^\s*[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?\s*({'|'.join(sorted(units))})\s*$"


def unquoted(value: Any) -> str:
    """Return a value without quotes, true and false as TOML spells them."""
    if isinstance(value, bool):
        return "true" if value else "false"
    try:
        return str(value)
    except ValueError:  # an integer of thousands of digits
        return "a number of thousands of digits"


def number_and_unit(value: Any, kind: str, bounds: tuple[float, float]) -> tuple[float, str]:
    """Split what was written into number and a unit of ``kind``, or raise ValueError saying what is wrong."""
    what, units = _KIND_WORDS.get(kind, f"a {kind}"), offered_units(kind)
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise ValueError(f"is {as_written(value)}; {what} is wanted, in quotes with its unit ({units}).")
    try:
        found, unit = split_quantity(value) if isinstance(value, str) else (float(value), "")
    except OverflowError:
        raise ValueError(f"is {as_written(value)}, far out of range; {what} in {units} is wanted, in quotes.") from None
    except ValueError:
        raise ValueError(f"is {as_written(value)}; {what} starts with a number and ends with {units}.") from None
    if re.match(r",\d", unit):
        point = str(value).replace(",", ".", 1)
        raise RefusedValue(f"is {as_written(value)}; write a decimal point, not a comma: {as_written(point)}.", point)
    if not unit:
        raise refusal(
            f"is {as_written(value)}, without a unit; write it in quotes with {units}.",
            likely_value(found, unit, kind, bounds),
        )
    if unit not in UNITS[kind]:
        other = kind_of_unit(unit)
        if other:
            found_kind = _KIND_WORDS.get(other, f"a {other}")
            raise ValueError(f"is {as_written(value)}, {found_kind}; {what} is wanted, in {units}.")
        sentence, meant = f'is {as_written(value)}; "{unit[:20]}" is no unit here, use {units}.', _near(unit, kind)
        raise (
            RefusedValue(f"{sentence} Did you mean {meant}?", f"{found:.10g} {meant}")
            if meant
            else RefusedValue(sentence)
        )
    return found, unit


def refusal(sentence: str, meant: str) -> RefusedValue:
    """Return what refuses a value, with the question whether something else was meant where there is a guess."""
    return RefusedValue(f"{sentence} Is that {meant}?" if meant else sentence, meant)


def _near(unit: str, kind: str) -> str:
    """Return the unit that was probably meant, or an empty string."""
    meant = UNIT_ALIASES.get(unit)
    if meant not in UNITS[kind]:
        meant = next((known for known in UNITS[kind] if known.lower() == unit.lower()), None)
    return meant or nearest(unit, [known for known in UNITS[kind] if known])


def likely_value(found: float, unit: str, kind: str, bounds: tuple[float, float]) -> str:
    """Return the number with the first other unit that brings it into range, such as ``56 in``, or an empty string."""
    if kind == "fraction" and not unit and abs(found) <= 1:
        return f"{100 * found:.6g} %"
    written = f"{found:.6g}"
    for other in _OFFERED_UNITS.get(kind) or UNITS[kind]:
        if other and other not in (unit, "ft") and bounds[0] <= to_si(found, other, kind) <= bounds[1]:
            return f"{written} {other}"
    if unit and bounds[0] <= to_si(-found, unit, kind) <= bounds[1]:
        return f"{-found:.6g} {unit}"
    return ""
