"""One stretched wing as the user requests it. Quantities are read from text with units."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any

from tradestudy.errors import CommandError, near_match
from tradestudy.quantities import short_with_unit, with_unit
from tradestudy.quantities.design_inputs import (
    COUNT_INPUTS,
    PROPELLER_INPUT,
    QUANTITY_INPUTS,
    input_words_and_unit,
)

if TYPE_CHECKING:
    from tradestudy.study.schema.study import Study


@dataclass(frozen=True)
class RequestedWing:
    """The requested values of one stretched wing, SI. None means that it is as recommended."""

    span: float | None = None
    sweep: float | None = None
    washout: float | None = None
    tip_chord: float | None = None
    static_margin: float | None = None
    cruise_speed: float | None = None
    parallel: int | None = None
    rod_diameter: float | None = None
    rod_pairs: int | None = None
    propeller: str | None = None

    @property
    def words(self) -> str:
        """The requested values in one phrase, such as "span 1300 mm, cells in parallel 3"."""
        given = ((each.name, getattr(self, each.name)) for each in fields(self))
        return ", ".join(_phrase(name, value) for name, value in given if value is not None)


def _phrase(name: str, value: Any) -> str:
    words, unit = input_words_and_unit(name)
    return f"{words} {short_with_unit(value, unit) if unit else value}"


def requested_wing(given: dict[str, Any], spelling: Callable[[str], str] = str) -> RequestedWing:
    """Return the wing requested by names and values. ``spelling`` returns a name as the user wrote it.

    Raises CommandError for values that cannot be read, or that are impossible for these wings.
    """
    known = [each.name for each in fields(RequestedWing)]
    for name in given:
        if name not in known:
            raise CommandError(f"{spelling(name)} is not known.{near_match(name, known)} Known are {', '.join(known)}.")
    return RequestedWing(
        **{name: _value(name, value, spelling(name)) for name, value in given.items() if value is not None}
    )


def _value(name: str, value: Any, spelled: str) -> Any:
    """Return one value, SI. Raises CommandError if it cannot be read or is impossible."""
    from tradestudy.study.schema.key_types import propeller_lengths

    if name in COUNT_INPUTS:
        least, most = COUNT_INPUTS[name].least, COUNT_INPUTS[name].most
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            raise CommandError(f"{spelled} is {value}; a whole number from {least} to {most} is wanted.")
        return value
    if not isinstance(value, str):
        example = "10x6" if name == PROPELLER_INPUT else f"{value} {QUANTITY_INPUTS[name].unit}"
        raise CommandError(f'{spelled} is {value}; text is wanted, with its unit, such as "{example}".')
    if name == PROPELLER_INPUT:
        try:
            propeller_lengths(value)
        except ValueError as error:
            raise CommandError(f"{spelled} {error}") from None
        return value
    try:
        number = QUANTITY_INPUTS[name].read(value)
    except ValueError as error:
        raise CommandError(f"{spelled} {error}.") from None
    if not QUANTITY_INPUTS[name].allows(number):
        raise CommandError(f'{spelled} "{value}" is beyond what these wings can be.')
    return number


def refuse_tip_chord(study: Study, tip_chord: float, spelled: str) -> None:
    """Raise CommandError if wings of a study cannot have a foam chord of ``tip_chord`` [m] at the tip."""
    if study.stretch.scheme != "scaled":
        raise CommandError(
            f'{spelled}: {study.path} stretches by "{study.stretch.scheme}", which keeps the stock core and its tip '
            'chord. Only stretch.scheme = "scaled" draws the panel anew.'
        )
    if tip_chord > study.stock.root_chord:
        raise CommandError(
            f"{spelled} {with_unit(tip_chord, 'mm')} is wider than the root "
            f"chord of {with_unit(study.stock.root_chord, 'mm')}."
        )
