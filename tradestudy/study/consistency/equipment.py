"""Rules for equipment and the sets it belongs to, and which of it is on board."""

from __future__ import annotations

from tradestudy.errors import near_match
from tradestudy.study.schema.power import EquipmentSetTable, EquipmentTable

from .shared import Faults, repeated_names

# what the table of weights calls the other parts
_OTHER_PARTS = ("foam", "covering", "elevons", "fins", "wiring", "not listed", "pack", "motor", "controller",
                "propeller", "joiner")  # fmt: skip


def stock_equipment_set(sets: tuple[EquipmentSetTable, ...]) -> str | None:
    """Return the name of the set with which the stock wing was weighed and flown; None where there are no sets."""
    return next((one.name for one in sets if one.flown_today), sets[0].name if sets else None)


def equipment_on_board(equipment: tuple[EquipmentTable, ...], name: str | None) -> tuple[EquipmentTable, ...]:
    """Return what a wing with the set ``name`` carries: that set, and what belongs to every wing."""
    return tuple(thing for thing in equipment if thing.set is None or thing.set == name)


def _set_names_differ(equipment_set: tuple[EquipmentSetTable, ...]) -> Faults:
    """Two sets do not share a name."""
    return repeated_names("equipment_set", equipment_set)


def _one_set_was_flown(equipment_set: tuple[EquipmentSetTable, ...]) -> Faults:
    """The stock wing was weighed and flown with one set."""
    flown = [index for index, one in enumerate(equipment_set) if one.flown_today]
    for index in flown[1:]:
        yield (
            ("equipment_set", index, "flown_today"),
            f"is true, as in equipment_set[{flown[0] + 1}]; the stock wing was weighed and flown with one set only.",
        )


def _sets_exist(equipment: tuple[EquipmentTable, ...], equipment_set: tuple[EquipmentSetTable, ...]) -> Faults:
    """Equipment belongs to a set that there is."""
    names = [one.name for one in equipment_set]
    for index, thing in enumerate(equipment):
        if thing.set is None or thing.set in names:
            continue
        place = ("equipment", index, "set")
        if names:
            known = ", ".join(dict.fromkeys(names))
            hint = near_match(thing.set, names)
            yield place, f'is "{thing.set}"; no [[equipment_set]] has that name.{hint} Sets: {known}.'
        else:
            yield place, f'is "{thing.set}", but the study has no [[equipment_set]].'


def _equipment_names_differ(equipment: tuple[EquipmentTable, ...]) -> Faults:
    """On one wing no two things share a name, and none has that of another part: its weight would be lost."""
    for index, thing in enumerate(equipment):
        place = ("equipment", index, "name")
        if thing.name in _OTHER_PARTS:
            yield place, f'is "{thing.name}", the name of another part; choose another name.'
        on_one_wing = (one for one in equipment[:index] if None in (one.set, thing.set) or one.set == thing.set)
        if any(one.name == thing.name for one in on_one_wing):
            yield place, f'is "{thing.name}", like an earlier one on the same wing; each needs its own name.'


EQUIPMENT_CHECKS = (_set_names_differ, _one_set_was_flown, _sets_exist, _equipment_names_differ)
