"""Every unit, by the kind of quantity that it measures, and all conversion between units.

Inside the program every value is SI, with angles in radians. In files and printed output (study files, CSV headings,
JSON keys, plot axes) the unit is written out, often at the end of a name: ``span_mm``.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from functools import cache
from typing import Any

INCH = 0.0254  # international inch, exact
_POUND = 0.45359237  # international pound, exact
STANDARD_GRAVITY = 9.80665  # m/s2, exact; converts torques in kg cm and oz in

# A comma is a decimal comma unless three digits follow it, which may be thousands.
WRITTEN_NUMBER = r"(?:(?:\d+[ -])?\d+/[1-9]\d*|0,\d+|\d+,(?:\d{1,2}|\d{4,})(?!\d)|(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)"
_NUMBER_AND_UNIT = re.compile(rf"^\s*([+-]?{WRITTEN_NUMBER})\s*(.*?)\s*$")
# Other spellings of units, which are read as well: of lengths and weights in workshops that measure in inches.
SPELLINGS = {
    "in": ('"', "''", "\N{DOUBLE PRIME}", "\N{RIGHT DOUBLE QUOTATION MARK}", "inch", "inches"),
    "ft": ("'", "\N{PRIME}", "\N{RIGHT SINGLE QUOTATION MARK}", "foot", "feet"),
    "mi": ("mile", "miles"),
    "oz": ("ounce", "ounces"),
    "lb": ("lbs", "pound", "pounds"),
}
_SPELT = {spelling: unit for unit, spellings in SPELLINGS.items() for spelling in spellings}
_IN_TWO = {"lb": "oz", "ft": "in"}  # units that stand together, as in 3 lb 2 oz

# kind -> {unit as a person writes it: (factor, offset)}; SI value = factor * value + offset
UNITS: dict[str, dict[str, tuple[float, float]]] = {
    "length": {"mm": (1e-3, 0), "cm": (1e-2, 0), "m": (1, 0), "in": (INCH, 0), "ft": (12 * INCH, 0), "um": (1e-6, 0)},
    "distance": {"km": (1e3, 0), "m": (1, 0), "mi": (1609.344, 0)},  # flight distance; international mile, exact
    "mass": {"g": (1e-3, 0), "kg": (1, 0), "oz": (_POUND / 16, 0), "lb": (_POUND, 0)},
    "speed": {"m/s": (1, 0), "km/h": (1 / 3.6, 0), "mph": (0.44704, 0), "kn": (1852 / 3600, 0)},
    "angle": {"deg": (math.pi / 180, 0), "rad": (1, 0)},
    "fraction": {"%": (1e-2, 0), "": (1, 0)},
    "charge": {"mAh": (3.6, 0), "Ah": (3600, 0), "C": (1, 0)},
    "current": {"A": (1, 0), "mA": (1e-3, 0)},
    "voltage": {"V": (1, 0)},
    "resistance": {"ohm": (1, 0), "mohm": (1e-3, 0)},
    "power": {"W": (1, 0), "mW": (1e-3, 0)},
    "energy": {"Wh": (3600, 0), "J": (1, 0)},
    "time": {"s": (1, 0), "min": (60, 0), "h": (3600, 0)},
    "speed_constant": {"rpm/V": (2 * math.pi / 60, 0)},
    "area": {"m2": (1, 0), "cm2": (1e-4, 0), "dm2": (1e-2, 0)},
    "areal_mass": {"g/m2": (1e-3, 0), "kg/m2": (1, 0), "g/dm2": (0.1, 0)},
    "linear_mass": {"g/m": (1e-3, 0), "kg/m": (1, 0)},
    "density": {"kg/m3": (1, 0)},
    "pressure": {"Pa": (1, 0), "kPa": (1e3, 0), "MPa": (1e6, 0), "GPa": (1e9, 0), "N/mm2": (1e6, 0)},
    "temperature": {"C": (1, 273.15), "K": (1, 0), "F": (5 / 9, 459.67 * 5 / 9)},
    "rotation": {"rpm": (2 * math.pi / 60, 0)},
    "angular_rate": {"deg/s": (math.pi / 180, 0), "rad/s": (1, 0)},
    "frequency": {"Hz": (1, 0)},
    "force": {"N": (1, 0)},
    "force_per_length": {"N/m": (1, 0)},
    "mass_moment": {"g cm": (1e-5, 0), "kg m": (1, 0)},
    "volume": {"litre": (1e-3, 0), "cm3": (1e-6, 0), "m3": (1, 0)},
    "moment": {
        "N m": (1, 0),
        "N cm": (1e-2, 0),
        "kg cm": (1e-2 * STANDARD_GRAVITY, 0),
        "oz in": (_POUND / 16 * STANDARD_GRAVITY * INCH, 0),
    },
    "flexural_rigidity": {"N m2": (1, 0)},
    "energy_per_distance": {"Wh/km": (3.6, 0)},
    "charge_per_distance": {"mAh/km": (3.6e-3, 0)},
    "angle_per_length": {"deg/m": (math.pi / 180, 0), "rad/m": (1, 0)},
    "angular_slope": {"per rad": (1, 0)},
    "number": {"": (1, 0)},
}

# Units that only instruments write, in the form of `UNITS`. They are allowed in flight logs, but not in studies.
LOGGED_UNITS: dict[str, dict[str, tuple[float, float]]] = {
    "time": {"ms": (1e-3, 0), "us": (1e-6, 0)},
    "voltage": {"mV": (1e-3, 0)},
    "speed": {"cm/s": (1e-2, 0), "m/min": (1 / 60, 0), "ft/s": (12 * INCH, 0), "ft/min": (12 * INCH / 60, 0)},
    "angle": {"1e-7 deg": (1e-7 * math.pi / 180, 0)},
    "fraction": {"us": (1e-3, -1.0)},  # length of a servo pulse: 1000 us is zero, 2000 us is full
}

_FOOT, _MILE = 12 * INCH, 1609.344
# Units that are only printed, where a study asks for inches and ounces, in the form of `UNITS`.
PRINTED_UNITS: dict[str, dict[str, tuple[float, float]]] = {
    "area": {"in2": (INCH**2, 0), "ft2": (_FOOT**2, 0)},
    "volume": {"in3": (INCH**3, 0), "fl oz": (231 * INCH**3 / 128, 0)},  # US gallon of 231 cubic inches
    "number_per_distance": {"per km": (1e-3, 0), "per mi": (1 / _MILE, 0)},
    "power_per_mass": {"W/kg": (1, 0), "W/lb": (1 / _POUND, 0)},
    "area_per_volume": {"m2/litre": (1e3, 0), "ft2/qt": (_FOOT**2 / (231 * INCH**3 / 4), 0)},
    "flexural_rigidity": {"lb ft2": (_POUND * STANDARD_GRAVITY * _FOOT**2, 0)},
    "density": {"lb/ft3": (_POUND / _FOOT**3, 0)},
    "force": {"lb": (_POUND * STANDARD_GRAVITY, 0)},
    "force_per_length": {"lb/ft": (_POUND * STANDARD_GRAVITY / _FOOT, 0)},
    "areal_mass": {"oz/ft2": (_POUND / 16 / _FOOT**2, 0), "oz/yd2": (_POUND / 16 / (3 * _FOOT) ** 2, 0)},
    "moment": {"lb in": (_POUND * STANDARD_GRAVITY * INCH, 0)},
    "mass_moment": {"oz in": (_POUND / 16 * INCH, 0)},
    "energy_per_distance": {"Wh/mi": (3600 / _MILE, 0)},
    "charge_per_distance": {"mAh/mi": (3.6 / _MILE, 0)},
    "angle_per_length": {"deg/ft": (math.pi / 180 / _FOOT, 0)},
}

# End of a name -> (kind, unit of `UNITS`), as in range_km, auw_g, mah_per_km. If several ends fit, the longest is used.
ENDINGS: dict[str, tuple[str, str]] = {
    "mm": ("length", "mm"),
    "m": ("length", "m"),
    "km": ("distance", "km"),
    "dm2": ("area", "dm2"),
    "cm2": ("area", "cm2"),
    "litres": ("volume", "litre"),
    "cm3": ("volume", "cm3"),
    "g": ("mass", "g"),
    "kg": ("mass", "kg"),
    "g_dm2": ("areal_mass", "g/dm2"),
    "gcm": ("mass_moment", "g cm"),
    "kmh": ("speed", "km/h"),
    "ms": ("speed", "m/s"),
    "mph": ("speed", "mph"),
    "min": ("time", "min"),
    "s": ("time", "s"),
    "hz": ("frequency", "Hz"),
    "rpm": ("rotation", "rpm"),
    "deg": ("angle", "deg"),
    "deg_s": ("angular_rate", "deg/s"),
    "deg_per_m": ("angle_per_length", "deg/m"),
    "pct": ("fraction", "%"),
    "c": ("temperature", "C"),
    "a": ("current", "A"),
    "v": ("voltage", "V"),
    "w": ("power", "W"),
    "wh": ("energy", "Wh"),
    "mah": ("charge", "mAh"),
    "wh_per_km": ("energy_per_distance", "Wh/km"),
    "mah_per_km": ("charge_per_distance", "mAh/km"),
    "n": ("force", "N"),
    "n_per_m": ("force_per_length", "N/m"),
    "nm": ("moment", "N m"),
    "ncm": ("moment", "N cm"),
    "nm2": ("flexural_rigidity", "N m2"),
}


@cache
def unit_of_name(name: str) -> tuple[str, str]:
    """Return the kind of quantity and the unit at the end of a name.

    For a name without a unit, return ``("number", "")``.
    """
    words = name.split("_")
    ends = ("_".join(words[first:]) for first in range(len(words)))
    return next((ENDINGS[end] for end in ends if end in ENDINGS), ("number", ""))


def at_edge(**values):
    """Return SI values converted to the units at the ends of their names.

    For example, ``at_edge(span_mm=1.2)["span_mm"]`` is 1200. A numpy scalar becomes a Python float, and an array stays
    an array. None, texts, and values whose name has no unit are unchanged.
    """

    def converted(name, value):
        if value is None or isinstance(value, str | bool):
            return value
        kind, unit = unit_of_name(name)
        return _plain(from_si(value, unit, kind) if unit else value)

    return {name: converted(name, value) for name, value in values.items()}


def _plain(value):
    """Return a numpy scalar as a Python float, and any other value unchanged."""
    return float(value) if getattr(value, "shape", None) == () else value


def from_edge(name: str, value):
    """Return the SI value of ``value``, which is in the unit at the end of ``name``.

    For example, ``from_edge("span_mm", 1200)`` is 1.2.
    """
    kind, unit = unit_of_name(name)
    return to_si(value, unit, kind)


def rounded(values: dict[str, Any], digits: int) -> dict[str, Any]:
    """Return the values with every float rounded to ``digits`` decimals."""
    return {name: round(float(value), digits) if isinstance(value, float) else value for name, value in values.items()}


def to_si(value, unit: str, kind: str):
    """Return the SI value of a number or array in ``unit``, a unit of ``kind``. Raise KeyError for an unknown unit."""
    factor, offset = _factors(unit, kind)
    return value * factor + offset


def from_si(value, unit: str, kind: str):
    """Return an SI number or array in ``unit``, a unit of ``kind``. Raise KeyError for an unknown unit."""
    factor, offset = _factors(unit, kind)
    return (value - offset) / factor


def _factors(unit: str, kind: str) -> tuple[float, float]:
    found = UNITS.get(kind, {}).get(unit) or LOGGED_UNITS.get(kind, {}).get(unit)
    return found or PRINTED_UNITS.get(kind, {})[unit]


def in_unit(value, unit: str):
    """Return an SI value in ``unit``. The kind of quantity follows from the unit ("C" is a temperature).

    Raise KeyError for an unknown unit.
    """
    kind = kind_of_unit(unit)
    if kind is None:
        raise KeyError(unit)
    return _plain(from_si(value, unit, kind))


def format_in_unit(value, unit: str, decimals: int = 0) -> str:
    """Return an SI value as a number in ``unit``: ``format_in_unit(0.0125, "mm", 1)`` is "12.5"."""
    return f"{in_unit(value, unit):.{decimals}f}"


def with_unit(value, unit: str, decimals: int = 0) -> str:
    """Return an SI value as text with its unit: ``with_unit(10.0, "km/h")`` is "36 km/h"."""
    return f"{format_in_unit(value, unit, decimals)} {unit}"


def short_with_unit(value, unit: str, digits: int = 6) -> str:
    """Return an SI value as text with its unit, without trailing zeros.

    For example, ``short_with_unit(0.0125, "mm")`` is "12.5 mm".
    """
    return f"{in_unit(value, unit):.{digits}g} {unit}"


def trade_size(length: float) -> str:
    """Return the size under which a rod or tube of a diameter [m] is sold: ``"4 mm"``, or ``"1/8 in"``."""
    parts = round(32 * length / INCH)
    is_metric = abs(length / 0.5e-3 - round(length / 0.5e-3)) < 1e-6
    if is_metric or parts == 0 or abs(32 * length / INCH - parts) > 1e-6:
        return short_with_unit(length, "mm")
    whole, rest = divmod(Fraction(parts, 32), 1)
    return " ".join(str(each) for each in (whole, rest) if each) + " in"


@cache
def kind_of_unit(unit: str) -> str | None:
    """Return the kind of quantity that ``unit`` measures, or None if it is unknown. "C" is a temperature."""
    if unit == "C":
        return "temperature"
    return next((kind for kind, units in UNITS.items() if unit in units), None)


def split_quantity(text: str) -> tuple[float, str]:
    """Return number and unit of a text: ``"238 mm"`` gives 238.0 and ``"mm"``.

    Fractions, a decimal comma, other spellings and two units are read: ``1 5/8 in``, ``6 1/4"``, ``3 lb 2 oz``.

    Raise ValueError if the text does not begin with a number.
    """
    match = _NUMBER_AND_UNIT.match(text)
    if not match:
        raise ValueError(f'"{text}" does not start with a number')
    number, unit = read_number(match.group(1)), match.group(2)
    large, _, rest = re.sub(r"(?<=[a-z'\u2032\u2019])\s*(?=\d)", "\n", unit, count=1).partition("\n")
    if rest and (small := _IN_TWO.get(_unit(large))):
        more = _NUMBER_AND_UNIT.match(rest)
        if more and _unit(more.group(2)) == small:
            kind = "mass" if small == "oz" else "length"
            share = UNITS[kind][small][0] / UNITS[kind][_unit(large)][0]
            return math.copysign(abs(number) + share * read_number(more.group(1)), number), _unit(large)
    return number, _unit(unit)


def read_number(written: str) -> float:
    """Return a number as people write it: ``"1.5"``, ``"1,5"``, ``"1 5/8"`` or ``"5/8"``."""
    whole, slash, below = written.partition("/")
    if not slash:
        return float(written.replace(",", "."))
    *full, above = re.split(r"(?<=\d)[ -]", whole)
    sign = -1.0 if whole.startswith("-") else 1.0
    return sign * (abs(float(full[0]) if full else 0.0) + abs(float(above)) / float(below))


def _unit(written: str) -> str:
    """Return a unit as `UNITS` spells it, or as it is if it is unknown."""
    return _SPELT.get(written, written.replace("²", "2").replace("³", "3").replace("µ", "u"))


def parse_quantity(text: str, kind: str | None = None) -> float:
    """Return the SI value of text such as ``"52 in"``.

    If ``kind`` is given, the unit must measure that kind of quantity. The message of a ValueError is for the user.
    """
    value, unit = split_quantity(text)
    kind = kind or kind_of_unit(unit)
    if kind is None:
        raise ValueError(f'"{text}" has no known unit')
    if unit not in UNITS[kind]:
        raise ValueError(f'"{text}" needs one of: {", ".join(one for one in UNITS[kind] if one)}')
    return to_si(value, unit, kind)
