"""What a flight log may hold: each quantity once, with what is possible for a small wing, and how its column is named.

A column is told as ``amps = "Curr(A)"`` where the heading itself spells the unit, else as ``amps = ["Curr", "A"]``. A
whole number instead of the heading counts columns from 1, for a log without headings.
"""

from __future__ import annotations

import re
from typing import Any, NamedTuple

from tradestudy.errors import near_match
from tradestudy.quantities import LOGGED_UNITS, UNITS, kind_of_unit
from tradestudy.study.schema.key_types import KeyType
from tradestudy.study.value_text import UNIT_ALIASES, as_written

CLOCK = "clock"  # instead of a unit of time: hours, minutes and seconds of the day, with or without the date
LONGEST_HEADING = 80
MOST_COLUMNS = 500
_UNIT_IN_HEADING = re.compile(r"[(\[]\s*([^()\[\]]*?)\s*[)\]]\s*$")


class Column(NamedTuple):
    """Where one quantity stands in the log: its heading, or its number counted from 1; its unit where told."""

    heading: str | int
    unit: str | None = None


class LoggedQuantity(NamedTuple):
    """One quantity a log may hold: what it measures, the least and most that is possible [SI], and the smallest
    excursion worth calling a spike [SI]; infinite where a jump is no spike."""

    kind: str
    least: float
    most: float
    spike: float
    meaning: str


_NEVER = float("inf")
_TURN = 6.2832  # rad, a full turn

# The limits are what no small electric wing or its instruments can do; judgement.
LOGGED_QUANTITIES: dict[str, LoggedQuantity] = {
    "time": LoggedQuantity("time", -_NEVER, _NEVER, _NEVER, "of each row; any start will do"),
    "latitude": LoggedQuantity("angle", -_TURN / 4, _TURN / 4, _NEVER, "north is positive"),
    "longitude": LoggedQuantity("angle", -_TURN / 2, _TURN, _NEVER, "east is positive"),
    "north": LoggedQuantity("distance", -5e5, 5e5, 30.0, "position from any fixed point, in place of latitude"),
    "east": LoggedQuantity("distance", -5e5, 5e5, 30.0, "position from any fixed point, in place of longitude"),
    "ground_speed": LoggedQuantity("speed", 0.0, 100.0, 4.0, "speed over the ground"),
    "course": LoggedQuantity("angle", -_TURN, _TURN, _NEVER, "way over the ground, clockwise from north"),
    "altitude": LoggedQuantity("length", -500.0, 9000.0, 8.0, "above any fixed level"),
    "climb": LoggedQuantity("speed", -60.0, 60.0, 4.0, "rate of climb, up is positive"),
    "airspeed": LoggedQuantity("speed", -3.0, 100.0, 4.0, "true airspeed, where there is a sensor"),
    "volts": LoggedQuantity("voltage", 0.0, 70.0, 1.5, "of the pack under load"),
    "amps": LoggedQuantity("current", -10.0, 300.0, 5.0, "out of the pack"),
    "charge_used": LoggedQuantity("charge", -1.0, 720000.0, _NEVER, "since the pack was plugged in"),
    "throttle": LoggedQuantity("fraction", -1.1, 1.2, _NEVER, "0 is off, 1 is full"),
    "rpm": LoggedQuantity("rotation", -1.0, 7000.0, 60.0, "of the propeller"),
}


def units_of(kind: str) -> list[str]:
    """Return every unit that a log may give a kind of quantity in."""
    return [*UNITS[kind], *LOGGED_UNITS.get(kind, {}), *([CLOCK] if kind == "time" else [])]


def unit_named(text: str, kind: str) -> str | None:
    """Return the unit of ``kind`` that a person or a logger wrote, or None."""
    text = text.strip().replace("²", "2").replace("µ", "u")
    known = units_of(kind)
    if text in known and text:
        return text
    if UNIT_ALIASES.get(text) in known:
        return UNIT_ALIASES[text]
    same = [unit for unit in known if unit and unit.lower().replace("/", "") == text.lower().replace("/", "")]
    return same[0] if len(same) == 1 else None  # "ma" is mA; nothing is guessed where two units differ by case only


def unit_in_heading(heading: str, kind: str) -> str | None:
    """Return the unit that a heading spells in brackets at its end, as in ``Curr(A)``, or None."""
    found = _UNIT_IN_HEADING.search(heading)
    return unit_named(found.group(1), kind) if found else None


def column(name: str) -> KeyType:
    """The column of the log in which the quantity ``name`` stands, read as a Column."""
    logged = LOGGED_QUANTITIES[name]
    units = [unit or '""' for unit in units_of(logged.kind)]
    listed = f"{', '.join(units[:-1])} or {units[-1]}" if len(units) > 1 else units[0]
    wanted = (
        f'the heading of a column is wanted, as in "{name} ({units[0]})", or heading and unit in brackets, '
        f'as in ["{name}", "{units[0]}"]'
    )

    def heading(value: Any) -> str | int:
        if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= MOST_COLUMNS:
            return value
        if isinstance(value, str) and 1 <= len(value.strip()) <= LONGEST_HEADING:
            return value.strip()
        raise ValueError(f"is {as_written(value)}; {wanted}.")

    def read(value: Any) -> Column:
        if not isinstance(value, list):
            found = heading(value)
            if isinstance(found, str) and unit_in_heading(found, logged.kind):
                return Column(found)
            raise ValueError(
                f'is {as_written(value)}, which spells no unit in brackets; write [{as_written(found)}, "unit"] with {listed}.'
            )
        if len(value) != 2 or not isinstance(value[1], str):
            raise ValueError(f"is {as_written(value)}; {wanted}.")
        found, unit = heading(value[0]), unit_named(value[1], logged.kind)
        if value[1] == "" and logged.kind == "fraction":
            return Column(found, "")
        if unit is None:
            other = kind_of_unit(value[1])
            hint = "" if other else near_match(value[1], units)
            raise ValueError(f"has the unit {as_written(value[1])}; allowed is {listed}.{hint}")
        return Column(found, unit)

    heads = [
        {"type": "string", "minLength": 1, "maxLength": LONGEST_HEADING},
        {"type": "integer", "minimum": 1, "maximum": MOST_COLUMNS},
    ]
    pair = {"type": "array", "prefixItems": [{"anyOf": heads}, {"type": "string"}], "minItems": 2, "maxItems": 2}
    form = {"anyOf": [heads[0], pair]}
    return KeyType("column", f"heading, or [heading, unit]; unit {listed}", logged.meaning, read, form)
