"""Rules for the speed card, the parts of a mission, the prices, and the motors and packs to compare."""

from __future__ import annotations

from typing import Any

from tradestudy.errors import near_match
from tradestudy.study.schema.flight import (
    MISSION_KEYS,
    PRICED_AT_ONCE,
    CardTable,
    MissionPartTable,
    PriceTable,
)
from tradestudy.study.schema.power import MotorChoiceTable, PackChoiceTable
from tradestudy.study.schema.search import ChoicesTable

from .shared import Faults, repeated_names

_MOST_WINDS = 2  # largest number of winds on a card in addition to still air; each wind takes three lines


def _winds_fit_the_card(card: CardTable) -> Faults:
    """Yield an error if the speed card has too few lines for its winds."""
    winds = sum(wind > 0 for wind in card.winds)
    if winds > _MOST_WINDS:
        yield (
            ("card", "winds"),
            f"holds {winds} winds above zero; a card of 20 lines has room for {_MOST_WINDS}, and still air.",
        )


def _mission_parts_are_complete(mission: tuple[MissionPartTable, ...]) -> Faults:
    """Yield an error if a part of a mission lacks a key that its kind needs, or has a key without effect."""
    for index, part in enumerate(mission):
        needed, allowed = MISSION_KEYS[part.kind]
        for key in needed:
            if key not in part.model_fields_set:
                yield ("mission", index, "kind"), f'is "{part.kind}", which needs {key}.'
        for key in sorted(part.model_fields_set - {"kind", "name", *needed, *allowed}):
            yield ("mission", index, key), f'has no effect in a part of kind "{part.kind}". Leave it out.'


def _launch_is_first(mission: tuple[MissionPartTable, ...]) -> Faults:
    """Yield an error for every launch that is not the first part of the mission."""
    for index, part in enumerate(mission):
        if part.kind == "launch" and index:
            yield ("mission", index, "kind"), 'is "launch", which can only be the first part.'


def _compared_names_differ(
    motor_choice: tuple[MotorChoiceTable, ...], pack_choice: tuple[PackChoiceTable, ...]
) -> Faults:
    """Yield an error if two motors, or two packs, to compare have the same name."""
    yield from repeated_names("motor_choice", motor_choice)
    yield from repeated_names("pack_choice", pack_choice)


def _choices_are_described(
    choices: ChoicesTable, motor_choice: tuple[MotorChoiceTable, ...], pack_choice: tuple[PackChoiceTable, ...]
) -> Faults:
    """Yield an error if a motor or pack to try has no table that describes it."""
    tables: tuple[tuple[str, tuple[Any, ...]], ...] = (("motor", motor_choice), ("pack", pack_choice))
    for key, items in tables:
        names = [item.name for item in items]
        for index, name in enumerate(getattr(choices, key) or ()):
            if name not in names:
                listed = f"Listed: {', '.join(names)}." if names else "None is listed."
                yield (
                    ("choices", key, index),
                    f'is "{name}"; no [[{key}_choice]] has that name.{near_match(name, names)} {listed}',
                )


def _prices_are_of_different_parts(price: tuple[PriceTable, ...]) -> Faults:
    """Yield an error for a price of a part that has one already, and for a name that has no effect."""
    for index, one in enumerate(price):
        if one.part in PRICED_AT_ONCE and one.which is not None:
            yield ("price", index, "which"), f"has no effect on {one.part}, whose price is that of all. Leave it out."
        if (one.part, one.which) in [(other.part, other.which) for other in price[:index]]:
            of = one.part if one.which is None else f'{one.part} "{one.which}"'
            yield ("price", index, "part"), f"is {of}, which has a price already; give each part one price."


MISSION_CHECKS = (
    _winds_fit_the_card,
    _mission_parts_are_complete,
    _launch_is_first,
    _compared_names_differ,
    _choices_are_described,
    _prices_are_of_different_parts,
)
