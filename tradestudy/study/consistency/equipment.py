"""Rules for equipment and sets of equipment, and functions that select the equipment on board."""

from __future__ import annotations

from tradestudy.errors import near_match
from tradestudy.study.schema.power import EquipmentSetTable, EquipmentTable

from .shared import Faults, repeated_names

# names of the other parts in the table of weights
_OTHER_PARTS = ("foam", "covering", "elevons", "fins", "wiring", "not listed", "pack", "motor", "controller",
                "propeller", "joiner")  # fmt: skip


def stock_equipment_set(sets: tuple[EquipmentSetTable, ...]) -> str | None:
    """Return the name of the set with which the stock wing was weighed and flown, or None if there are no sets."""
    return next((one.name for one in sets if one.flown_today), sets[0].name if sets else None)


def equipment_on_board(equipment: tuple[EquipmentTable, ...], name: str | None) -> tuple[EquipmentTable, ...]:
    """Return the equipment of a wing with the set ``name``: this set, and the equipment without a set."""
    return tuple(thing for thing in equipment if thing.set is None or thing.set == name)


def _set_names_differ(equipment_set: tuple[EquipmentSetTable, ...]) -> Faults:
    """Yield an error if two sets of equipment have the same name."""
    return repeated_names("equipment_set", equipment_set)


def _one_set_was_flown(equipment_set: tuple[EquipmentSetTable, ...]) -> Faults:
    """Yield an error if more than one set is marked as the set with which the stock wing was weighed and flown."""
    flown = [index for index, one in enumerate(equipment_set) if one.flown_today]
    for index in flown[1:]:
        yield (
            ("equipment_set", index, "flown_today"),
            f"is true, as in equipment_set[{flown[0] + 1}]; the stock wing was weighed and flown with one set only.",
        )


def _sets_exist(equipment: tuple[EquipmentTable, ...], equipment_set: tuple[EquipmentSetTable, ...]) -> Faults:
    """Yield an error if equipment names a set that does not exist."""
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
    """Yield an error if two items of equipment on one wing share a name, or one has the name of another part.

    Weights are stored by name, so one of the two weights would be lost.
    """
    for index, thing in enumerate(equipment):
        place = ("equipment", index, "name")
        if thing.name in _OTHER_PARTS:
            yield place, f'is "{thing.name}", the name of another part; choose another name.'
        on_one_wing = (one for one in equipment[:index] if None in (one.set, thing.set) or one.set == thing.set)
        if any(one.name == thing.name for one in on_one_wing):
            yield place, f'is "{thing.name}", like an earlier one on the same wing; each needs its own name.'


EQUIPMENT_CHECKS = (_set_names_differ, _one_set_was_flown, _sets_exist, _equipment_names_differ)
