"""What must hold of a mission's parts, and of motors and packs that are compared."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import Any

from tradestudy.errors import near_match
from tradestudy.study.line_numbers import Place
from tradestudy.study.schema.flight import MISSION_KEYS, CardTable, MissionPartTable, MotorChoiceTable, PackChoiceTable
from tradestudy.study.schema.search import ChoicesTable

Broken = Iterator[tuple[Place, str]]

ALWAYS = ("kind", "name")
MOST_BLOWING = 2  # winds on a card besides none: each takes three of its lines


def winds_fit_the_card(card: CardTable) -> Broken:
    """No more winds than the card has lines for."""
    blowing = sum(wind > 0 for wind in card.winds)
    if blowing > MOST_BLOWING:
        yield (
            ("card", "winds"),
            (f"holds {blowing} winds that blow; {MOST_BLOWING} and none at all fit on a card of 20 lines."),
        )


def mission_parts_are_whole(mission: tuple[MissionPartTable, ...]) -> Broken:
    """Each part has the keys that its kind needs, and none that say nothing of it."""
    for index, part in enumerate(mission):
        needed, allowed = MISSION_KEYS[part.kind]
        for key in needed:
            if key not in part.model_fields_set:
                yield ("mission", index, "kind"), f'is "{part.kind}", which needs {key}.'
        for key in sorted(part.model_fields_set - {*ALWAYS, *needed, *allowed}):
            yield ("mission", index, key), f'says nothing of a part of the kind "{part.kind}". Leave it out.'


def mission_begins_on_the_ground(mission: tuple[MissionPartTable, ...]) -> Broken:
    """There is one launch at most, and it comes first."""
    for index, part in enumerate(mission):
        if part.kind == "launch" and index:
            yield ("mission", index, "kind"), 'is "launch", which can only come first.'


def compared_names_differ(
    motor_choice: tuple[MotorChoiceTable, ...], pack_choice: tuple[PackChoiceTable, ...]
) -> Broken:
    """No two motors, or packs, share a name."""
    tables: tuple[tuple[str, tuple[Any, ...]], ...] = (("motor_choice", motor_choice), ("pack_choice", pack_choice))
    for table, items in tables:
        for (_, first), (index, second) in combinations(enumerate(items), 2):
            if first.name == second.name:
                yield (table, index, "name"), f'is "{second.name}" a second time; names tell them apart.'


def choices_name_what_is_listed(
    choices: ChoicesTable, motor_choice: tuple[MotorChoiceTable, ...], pack_choice: tuple[PackChoiceTable, ...]
) -> Broken:
    """A motor or pack to try is one that is described."""
    tables: tuple[tuple[str, tuple[Any, ...]], ...] = (("motor", motor_choice), ("pack", pack_choice))
    for key, items in tables:
        names = [item.name for item in items]
        for index, name in enumerate(getattr(choices, key) or ()):
            if name not in names:
                listed = f"Listed: {', '.join(names)}." if names else "None is listed."
                yield (
                    ("choices", key, index),
                    (f'is "{name}", which no [[{key}_choice]] is called.{near_match(name, names)} {listed}'),
                )


RULES = (
    winds_fit_the_card,
    mission_parts_are_whole,
    mission_begins_on_the_ground,
    compared_names_differ,
    choices_name_what_is_listed,
)
