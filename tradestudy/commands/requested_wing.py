"""One stretched design as a person asks for it, and how that is read: lengths and the like as text with their unit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import Any

from tradestudy.errors import CommandError, near_match

# kind of quantity, least and most these wings can be [SI]
BETWEEN = {"span": ("length", 0.3, 6.0), "sweep": ("angle", 0.0, 0.8), "washout": ("angle", -0.06, 0.25),
           "static_margin": ("fraction", 0.0, 0.4), "cruise_speed": ("speed", 3.0, 80.0),
           "rod_diameter": ("length", 0.0005, 0.02)}
USUAL = {"length": "mm", "angle": "deg", "fraction": "%", "speed": "km/h"}  # unit to show how text is written
MOST = {"parallel": 12, "rod_pairs": 4}


@dataclass(frozen=True)
class Wanted:
    """One stretched design asked for by hand; what is None follows the study. SI."""

    span: float | None = None
    sweep: float | None = None
    washout: float | None = None
    static_margin: float | None = None
    cruise_speed: float | None = None
    parallel: int | None = None
    rod_diameter: float | None = None
    rod_pairs: int | None = None
    propeller: str | None = None


def wanted(asked: dict[str, Any], called: Callable[[str], str] = str) -> Wanted:
    """Return the design asked for, quantities still as text; ``called`` spells a name as whoever asked wrote it.

    Raises CommandError for what cannot be read, or what these wings cannot be.
    """
    from tradestudy.quantities import parse_quantity
    from tradestudy.study.schema.key_types import propeller_lengths

    known = [each.name for each in fields(Wanted)]
    read: dict[str, Any] = {}
    for name, value in asked.items():
        if name not in known:
            raise CommandError(f"{called(name)} is not known.{near_match(name, known)} Known are {', '.join(known)}.")
        read[name] = value
        if value is None:
            continue
        if name in MOST:
            if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= MOST[name]:
                raise CommandError(f"{called(name)} is {value}; a whole number from 1 to {MOST[name]} is wanted.")
            continue
        if not isinstance(value, str):
            example = "10x6" if name == "propeller" else f"{value} {USUAL[BETWEEN[name][0]]}"
            raise CommandError(f'{called(name)} is {value}; text is wanted, with its unit, such as "{example}".')
        if name == "propeller":
            try:
                propeller_lengths(value)
            except ValueError as error:
                raise CommandError(f"{called(name)} {error}") from None
            continue
        kind, low, high = BETWEEN[name]
        try:
            read[name] = parse_quantity(value, kind)
        except ValueError as error:
            raise CommandError(f"{called(name)} {error}.") from None
        if not low <= read[name] <= high:
            raise CommandError(f'{called(name)} "{value}" is beyond what these wings can be.')
    return Wanted(**read)
