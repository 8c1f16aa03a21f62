"""What must fit between equipment and the sets it belongs to."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from tradestudy.errors import near_match
from tradestudy.study.line_numbers import Place
from tradestudy.study.schema.power import EquipmentSetTable, EquipmentTable

Broken = Iterator[tuple[Place, str]]

# what the table of weights calls the rest of the wing
TAKEN = ("foam", "covering", "elevons", "fins", "wiring", "not listed", "pack", "motor", "controller", "propeller",
         "joiner")  # fmt: skip


def set_names_differ(equipment_set: tuple[EquipmentSetTable, ...]) -> Broken:
    """Two sets do not share a name."""
    for (_, first), (index, second) in combinations(enumerate(equipment_set), 2):
        if first.name == second.name:
            yield ("equipment_set", index, "name"), f'is "{second.name}" a second time; names tell them apart.'


def one_set_was_flown(equipment_set: tuple[EquipmentSetTable, ...]) -> Broken:
    """The stock wing was weighed and flown with one set."""
    flown = [index for index, one in enumerate(equipment_set) if one.flown_today]
    for index in flown[1:]:
        yield (
            ("equipment_set", index, "flown_today"),
            (f"is true, as in equipment_set[{flown[0] + 1}]; the stock wing was weighed and flown with one set."),
        )


def sets_exist(equipment: tuple[EquipmentTable, ...], equipment_set: tuple[EquipmentSetTable, ...]) -> Broken:
    """Equipment belongs to a set that there is."""
    names = [one.name for one in equipment_set]
    for index, thing in enumerate(equipment):
        if thing.set is None or thing.set in names:
            continue
        place = ("equipment", index, "set")
        if not names:
            yield place, f'is "{thing.set}", but the study has no [[equipment_set]].'
            continue
        known = ", ".join(dict.fromkeys(names))
        yield (
            place,
            (
                f'is "{thing.set}"; no [[equipment_set]] has that name.{near_match(thing.set, names)} '
                f"There are: {known}."
            ),
        )


def names_differ_aboard(equipment: tuple[EquipmentTable, ...]) -> Broken:
    """On one wing no two things share a name, and none has that of another part: its weight would be lost."""
    for index, thing in enumerate(equipment):
        if thing.name in TAKEN:
            yield ("equipment", index, "name"), f'is "{thing.name}", as another part is called; take another name.'
        for earlier in equipment[:index]:
            together = earlier.set is None or thing.set is None or earlier.set == thing.set
            if together and earlier.name == thing.name:
                yield (
                    ("equipment", index, "name"),
                    (f'is "{thing.name}" a second time on one wing; names tell them apart.'),
                )
                break


RULES = (set_names_differ, one_set_was_flown, sets_exist, names_differ_aboard)


def stock_equipment_set(sets: tuple[EquipmentSetTable, ...]) -> str | None:
    """Return the name of the set the stock wing was weighed and flown with; None where there are no sets."""
    return next((one.name for one in sets if one.flown_today), sets[0].name if sets else None)


def equipment_on_board(equipment: tuple[EquipmentTable, ...], name: str | None) -> tuple[EquipmentTable, ...]:
    """Return what a wing with the set ``name`` carries: that set, and what belongs to every wing."""
    return tuple(thing for thing in equipment if thing.set is None or thing.set == name)
