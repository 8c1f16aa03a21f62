"""Every unit once, by the kind of quantity it measures.

Conversion between units happens here and nowhere else. Inside, everything is SI with angles in
radians; at the edges (study files, CSV headings, JSON keys, plot axes) the unit is spelt.
"""

from __future__ import annotations

import math
import re
from functools import cache
from typing import Any

INCH = 0.0254  # international inch, exact
POUND = 0.45359237  # international pound, exact
GRAVITY = 9.80665  # standard, exact: what turns kg cm and oz in into a torque

_NUMBER_AND_UNIT = re.compile(r"^\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*?)\s*$")

# kind -> {unit as a person writes it: (factor to SI, offset added after the factor)}
UNITS: dict[str, dict[str, tuple[float, float]]] = {
    "length": {"mm": (1e-3, 0), "cm": (1e-2, 0), "m": (1, 0), "in": (INCH, 0), "ft": (12 * INCH, 0), "um": (1e-6, 0)},
    "distance": {"km": (1e3, 0), "m": (1, 0), "mi": (1609.344, 0)},  # of flights; the international mile, exact
    "mass": {"g": (1e-3, 0), "kg": (1, 0), "oz": (POUND / 16, 0), "lb": (POUND, 0)},
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
    "volume": {"litre": (1e-3, 0), "m3": (1, 0)},
    "moment": {
        "N m": (1, 0),
        "N cm": (1e-2, 0),
        "kg cm": (1e-2 * GRAVITY, 0),
        "oz in": (POUND / 16 * GRAVITY * INCH, 0),
    },
    "flexural_rigidity": {"N m2": (1, 0)},
    "energy_per_distance": {"Wh/km": (3.6, 0)},
    "charge_per_distance": {"mAh/km": (3.6e-3, 0)},
    "angle_per_length": {"deg/m": (math.pi / 180, 0), "rad/m": (1, 0)},
    "angular_slope": {"per rad": (1, 0)},
    "number": {"": (1, 0)},
}

# units that only instruments write, by the same kinds: understood in flight logs, not in studies
LOGGED_UNITS: dict[str, dict[str, tuple[float, float]]] = {
    "time": {"ms": (1e-3, 0), "us": (1e-6, 0)},
    "voltage": {"mV": (1e-3, 0)},
    "speed": {"cm/s": (1e-2, 0), "m/min": (1 / 60, 0), "ft/s": (12 * INCH, 0), "ft/min": (12 * INCH / 60, 0)},
    "angle": {"1e-7 deg": (1e-7 * math.pi / 180, 0)},
    "fraction": {"us": (1e-3, -1.0)},  # a servo pulse: 1000 us is none, 2000 us all
}

# how a name at the edge ends -> (kind, unit of `UNITS`): range_km, auw_g, mah_per_km; the longest ending counts
ENDINGS: dict[str, tuple[str, str]] = {
    "mm": ("length", "mm"),
    "m": ("length", "m"),
    "km": ("distance", "km"),
    "dm2": ("area", "dm2"),
    "cm2": ("area", "cm2"),
    "litres": ("volume", "litre"),
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

# unit of `UNITS` as a person of metric habits reads it -> the one that a person of imperial habits reads
IMPERIAL = {"mm": "in", "cm": "in", "m": "ft", "km": "mi", "g": "oz", "kg": "lb", "km/h": "mph"}


@cache
def unit_of_name(name: str) -> tuple[str, str]:
    """Return the kind of quantity and the unit that a name at the edge ends in; ``("number", "")`` without one."""
    words = name.split("_")
    for first in range(len(words)):
        found = ENDINGS.get("_".join(words[first:]))
        if found:
            return found
    return "number", ""


def at_edge(**values):
    """Return SI values under names that end in a unit, in those units: ``at_edge(span_mm=1.2)["span_mm"]`` is 1200.

    Numbers of numpy come out as plain floats, arrays as arrays; None, texts and names without a unit stay.
    """

    def converted(name, value):
        if value is None or isinstance(value, str | bool):
            return value
        kind, unit = unit_of_name(name)
        told = from_si(value, unit, kind) if unit else value
        return float(told) if getattr(told, "shape", None) == () else told

    return {name: converted(name, value) for name, value in values.items()}


def from_edge(name: str, value):
    """Return the SI value of what stands under a name that ends in its unit: ``from_edge("span_mm", 1200)`` is 1.2."""
    kind, unit = unit_of_name(name)
    return to_si(value, unit, kind)


def to_edge(name: str, value):
    """Return an SI value in the unit that a name ends in: ``to_edge("span_mm", 1.2)`` is 1200; None stays None."""
    return at_edge(**{name: value})[name]


def rounded(values: dict[str, Any], digits: int) -> dict[str, Any]:
    """Return values by their names, floats as plain ones of so many places; all else as it is."""
    return {name: round(float(value), digits) if isinstance(value, float) else value for name, value in values.items()}


def to_si(value, unit: str, kind: str):
    """Convert ``value`` (scalar or array) in ``unit`` of the given ``kind`` to SI. Raises KeyError for an unknown unit."""
    factor, offset = UNITS[kind].get(unit) or LOGGED_UNITS.get(kind, {})[unit]
    return value * factor + offset


def from_si(value, unit: str, kind: str):
    """Convert an SI ``value`` (scalar or array) to ``unit``. Raises KeyError for an unknown unit."""
    factor, offset = UNITS[kind].get(unit) or LOGGED_UNITS.get(kind, {})[unit]
    return (value - offset) / factor


def format_in_unit(value, unit: str, decimals: int = 0) -> str:
    """Return an SI value in ``unit`` as the text of a number: ``figure(0.0125, "mm", 1)`` is 12.5."""
    return f"{in_unit(value, unit):.{decimals}f}"


def with_unit(value, unit: str, decimals: int = 0) -> str:
    """Return an SI value with its unit, as a sentence tells it: ``with_unit(10.0, "km/h")`` is 36 km/h."""
    return f"{format_in_unit(value, unit, decimals)} {unit}"


def short_text(value, unit: str, digits: int = 6) -> str:
    """Return an SI value with its unit and no more digits than it has: ``short(0.0125, "mm")`` is 12.5 mm."""
    return f"{in_unit(value, unit):.{digits}g} {unit}"


def in_unit(value, unit: str) -> float:
    """Return one SI value in ``unit``, whose kind of quantity it tells by itself ("C" is a temperature)."""
    kind = kind_of_unit(unit)
    if kind is None:
        raise KeyError(unit)
    return float(from_si(value, unit, kind))


@cache
def kind_of_unit(unit: str) -> str | None:
    """Return the kind of quantity that ``unit`` measures, or None for an unknown unit ("C" is a temperature)."""
    if unit == "C":
        return "temperature"
    return next((kind for kind, units in UNITS.items() if unit in units), None)


def split_quantity(text: str) -> tuple[float, str]:
    """Split ``"238 mm"`` into 238.0 and ``"mm"``. Raises ValueError when no number leads the text."""
    match = _NUMBER_AND_UNIT.match(text)
    if not match:
        raise ValueError(f'"{text}" does not start with a number')
    return float(match.group(1)), match.group(2).replace("²", "2").replace("³", "3").replace("µ", "u")


def parse_quantity(text: str, kind: str | None = None) -> float:
    """Return the SI value of text such as ``"52 in"``.

    With ``kind`` given, the unit must measure that kind; without it any known unit will do. Raises
    ValueError with a sentence for a person.
    """
    value, unit = split_quantity(text)
    found = kind or kind_of_unit(unit)
    if found is None or unit not in UNITS[found]:
        allowed = ", ".join(u for u in UNITS[found] if u) if found else "a unit this project knows"
        raise ValueError(f'"{text}" needs one of: {allowed}' if found else f'"{text}" has no known unit')
    return to_si(value, unit, found)
