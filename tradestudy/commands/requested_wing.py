"""One stretched design as a person asks for it, and how that is read: lengths and the like as text with their unit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import Any

from tradestudy.errors import CommandError, near_match
from tradestudy.quantities.design_inputs import COUNT_INPUTS, PROPELLER_INPUT, QUANTITY_INPUTS


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
    from tradestudy.study.schema.key_types import propeller_lengths

    known = [each.name for each in fields(Wanted)]
    read: dict[str, Any] = {}
    for name, value in asked.items():
        if name not in known:
            raise CommandError(f"{called(name)} is not known.{near_match(name, known)} Known are {', '.join(known)}.")
        read[name] = value
        if value is None:
            continue
        if name in COUNT_INPUTS:
            least, most = COUNT_INPUTS[name].least, COUNT_INPUTS[name].most
            if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
                raise CommandError(f"{called(name)} is {value}; a whole number from {least} to {most} is wanted.")
            continue
        if not isinstance(value, str):
            example = "10x6" if name == PROPELLER_INPUT else f"{value} {QUANTITY_INPUTS[name].unit}"
            raise CommandError(f'{called(name)} is {value}; text is wanted, with its unit, such as "{example}".')
        if name == PROPELLER_INPUT:
            try:
                propeller_lengths(value)
            except ValueError as error:
                raise CommandError(f"{called(name)} {error}") from None
            continue
        try:
            read[name] = QUANTITY_INPUTS[name].read(value)
        except ValueError as error:
            raise CommandError(f"{called(name)} {error}.") from None
        if not QUANTITY_INPUTS[name].allows(read[name]):
            raise CommandError(f'{called(name)} "{value}" is beyond what these wings can be.')
    return Wanted(**read)
