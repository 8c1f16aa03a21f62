"""Tables that describe a flight log, [log], [columns], [segments] and [flight], and the quantities of a log.

A column is written ``amps = "Curr(A)"`` if its heading states the unit, else ``amps = ["Curr", "A"]``. For a log
without headings, a whole number instead of the heading is the number of the column, counted from 1.
"""

from __future__ import annotations

import re
from typing import Annotated, Any, NamedTuple

from tradestudy.errors import near_match
from tradestudy.quantities import LOGGED_UNITS, UNITS, kind_of_unit
from tradestudy.study.value_text import UNIT_ALIASES, as_written

from .key_types import KeyType, TableModel, choice, default, quantity, sequence, whole_number

CLOCK = "clock"  # used as the unit of a time of day: hours, minutes and seconds, with or without a date
DELIMITERS = {"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|", "space": " "}
_FROM_LOG = "taken from the log"
_NOT_LOGGED = "not in the log"
_SEGMENT = whole_number(1, 9999, "number of a segment")
_LONGEST_HEADING = 80
_MOST_COLUMNS = 500
_UNIT_IN_HEADING = re.compile(r"[(\[]\s*([^()\[\]]*?)\s*[)\]]\s*$")


class Column(NamedTuple):
    """The column of one quantity: its heading or its number, counted from 1, and its unit.

    ``unit`` is None if the heading states the unit.
    """

    heading: str | int
    unit: str | None = None


class LoggedQuantity(NamedTuple):
    """One quantity of a log: its kind, its smallest and largest possible value [SI], and its smallest spike [SI].

    A smaller jump than ``spike`` is not removed. If ``spike`` is infinite, no jump is removed.
    """

    kind: str
    least: float
    most: float
    spike: float
    meaning: str


_NEVER = float("inf")
_TURN = 6.2832  # a full turn [rad]

# No small electric wing and none of its instruments can exceed these limits. They are a judgement.
LOGGED_QUANTITIES: dict[str, LoggedQuantity] = {
    "time": LoggedQuantity("time", -_NEVER, _NEVER, _NEVER, "time of each row, from any start"),
    "latitude": LoggedQuantity("angle", -_TURN / 4, _TURN / 4, _NEVER, "latitude, north is positive"),
    "longitude": LoggedQuantity("angle", -_TURN / 2, _TURN, _NEVER, "longitude, east is positive"),
    "north": LoggedQuantity("distance", -5e5, 5e5, 30.0, "distance north of any fixed point, in place of latitude"),
    "east": LoggedQuantity("distance", -5e5, 5e5, 30.0, "distance east of any fixed point, in place of longitude"),
    "ground_speed": LoggedQuantity("speed", 0.0, 100.0, 4.0, "speed over the ground"),
    "course": LoggedQuantity("angle", -_TURN, _TURN, _NEVER, "direction over the ground, clockwise from north"),
    "altitude": LoggedQuantity("length", -500.0, 9000.0, 8.0, "height above any fixed level"),
    "climb": LoggedQuantity("speed", -60.0, 60.0, 4.0, "rate of climb, up is positive"),
    "airspeed": LoggedQuantity("speed", -3.0, 100.0, 4.0, "true airspeed, where there is a sensor"),
    "volts": LoggedQuantity("voltage", 0.0, 70.0, 1.5, "voltage of the pack under load"),
    "amps": LoggedQuantity("current", -10.0, 300.0, 5.0, "current from the pack"),
    "charge_used": LoggedQuantity("charge", -1.0, 720000.0, _NEVER, "charge used since the pack was connected"),
    "throttle": LoggedQuantity("fraction", -1.1, 1.2, _NEVER, "throttle, 0 is off, 1 is full"),
    "rpm": LoggedQuantity("rotation", -1.0, 7000.0, 60.0, "rpm of the propeller"),
}


def units_of(kind: str) -> list[str]:
    """Return all units that a log may use for a kind of quantity."""
    return [*UNITS[kind], *LOGGED_UNITS.get(kind, {}), *([CLOCK] if kind == "time" else [])]


def unit_named(text: str, kind: str) -> str | None:
    """Return the unit of ``kind`` that a text from a user or a logger means, or None if it is unknown."""
    text = text.strip().replace("²", "2").replace("µ", "u")
    known = units_of(kind)
    if text in known and text:
        return text
    if UNIT_ALIASES.get(text) in known:
        return UNIT_ALIASES[text]
    same = [unit for unit in known if unit and unit.lower().replace("/", "") == text.lower().replace("/", "")]
    return same[0] if len(same) == 1 else None  # "ma" is mA; None if two units differ only by capital letters


def unit_in_heading(heading: str, kind: str) -> str | None:
    """Return the unit in brackets at the end of a heading, as in ``Curr(A)``, or None if there is none."""
    match = _UNIT_IN_HEADING.search(heading)
    return unit_named(match.group(1), kind) if match else None


def column(name: str) -> KeyType:
    """Return the type of the key for the column of the quantity ``name``. Its value is read as a Column."""
    logged = LOGGED_QUANTITIES[name]
    units = [unit or '""' for unit in units_of(logged.kind)]
    listed = f"{', '.join(units[:-1])} or {units[-1]}" if len(units) > 1 else units[0]
    advice = (
        f'write the heading of a column, such as "{name} ({units[0]})", or heading and unit in brackets, '
        f'such as ["{name}", "{units[0]}"]'
    )

    def heading(value: Any) -> str | int:
        if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= _MOST_COLUMNS:
            return value
        if isinstance(value, str) and 1 <= len(value.strip()) <= _LONGEST_HEADING:
            return value.strip()
        raise ValueError(f"is {as_written(value)}; {advice}.")

    def read(value: Any) -> Column:
        if not isinstance(value, list):
            place = heading(value)
            if isinstance(place, str) and unit_in_heading(place, logged.kind):
                return Column(place)
            raise ValueError(
                f'is {as_written(value)}, which has no unit in brackets; write [{as_written(place)}, "unit"], '
                f"the unit one of {listed}."
            )
        if len(value) != 2 or not isinstance(value[1], str):
            raise ValueError(f"is {as_written(value)}; {advice}.")
        place, unit = heading(value[0]), unit_named(value[1], logged.kind)
        if value[1] == "" and logged.kind == "fraction":
            unit = ""
        if unit is None:
            hint = "" if kind_of_unit(value[1]) else near_match(value[1], units)
            raise ValueError(f"has the unit {as_written(value[1])}; allowed is {listed}.{hint}")
        return Column(place, unit)

    heads = [
        {"type": "string", "minLength": 1, "maxLength": _LONGEST_HEADING},
        {"type": "integer", "minimum": 1, "maximum": _MOST_COLUMNS},
    ]
    pair = {"type": "array", "prefixItems": [{"anyOf": heads}, {"type": "string"}], "minItems": 2, "maxItems": 2}
    form = {"anyOf": [heads[0], pair]}
    return KeyType("column", f"heading, or [heading, unit]; unit {listed}", logged.meaning, read, form)


class LogTable(TableModel):
    """The format of the log, for what cannot be seen from the file itself."""

    delimiter: Annotated[str | None, choice(tuple(DELIMITERS), "character between two values")] = default(
        None, _FROM_LOG
    )
    decimal: Annotated[str | None, choice(("point", "comma"), "character before decimals")] = default(None, _FROM_LOG)


class ColumnsTable(TableModel):
    """The column of the log for each quantity, and its unit."""

    time: Annotated[Column, column("time")]
    latitude: Annotated[Column | None, column("latitude")] = default(None, _NOT_LOGGED)
    longitude: Annotated[Column | None, column("longitude")] = default(None, _NOT_LOGGED)
    north: Annotated[Column | None, column("north")] = default(None, _NOT_LOGGED)
    east: Annotated[Column | None, column("east")] = default(None, _NOT_LOGGED)
    ground_speed: Annotated[Column | None, column("ground_speed")] = default(None, _NOT_LOGGED)
    course: Annotated[Column | None, column("course")] = default(None, _NOT_LOGGED)
    altitude: Annotated[Column | None, column("altitude")] = default(None, _NOT_LOGGED)
    climb: Annotated[Column | None, column("climb")] = default(None, _NOT_LOGGED)
    airspeed: Annotated[Column | None, column("airspeed")] = default(None, _NOT_LOGGED)
    volts: Annotated[Column | None, column("volts")] = default(None, _NOT_LOGGED)
    amps: Annotated[Column | None, column("amps")] = default(None, _NOT_LOGGED)
    charge_used: Annotated[Column | None, column("charge_used")] = default(None, _NOT_LOGGED)
    throttle: Annotated[Column | None, column("throttle")] = default(None, _NOT_LOGGED)
    rpm: Annotated[Column | None, column("rpm")] = default(None, _NOT_LOGGED)


class SegmentsTable(TableModel):
    """The steady segments of the log that are used. Their numbers are counted from 1."""

    leave_out: Annotated[tuple[int, ...] | None, sequence(_SEGMENT, 1, 400, "segments that are not used")] = default(
        None, "all are used"
    )
    use_only: Annotated[tuple[int, ...] | None, sequence(_SEGMENT, 1, 400, "the only segments that are used")] = (
        default(None, "all are used")
    )


class FlightTable(TableModel):
    """Facts about the wing that flew the log. They serve to detect the log of another wing."""

    flying_weight: Annotated[float | None, quantity("mass", "150 g", "15 kg", "all-up weight on this flight")] = (
        default(None, "not weighed")
    )
    charge_put_back: Annotated[
        float | None,
        quantity("charge", "50 mAh", "200 Ah", "charge put back after the flight of the first log"),
    ] = default(None, "not measured")
    stall_speed: Annotated[float | None, quantity("speed", "2 m/s", "40 m/s", "slowest level flight")] = default(
        None, "not known"
    )
    full_throttle_speed: Annotated[float | None, quantity("speed", "5 m/s", "90 m/s", "fastest level flight")] = (
        default(None, "not known")
    )
