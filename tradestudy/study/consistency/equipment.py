"""Rules for equipment and sets of equipment, and functions that select the equipment on board."""

from __future__ import annotations

from tradestudy.errors import near_match
from tradestudy.study.line_numbers import Place
from tradestudy.study.schema.equipment import (
    CARBON,
    EQUIPMENT_KINDS,
    KEPT_APART_PARTS,
    POWER_LEADS,
    EquipmentSetTable,
    EquipmentTable,
    KeepApartTable,
)
from tradestudy.study.schema.power import ControllerTable
from tradestudy.study.schema.wing import BayTable
from tradestudy.study.value_text import mm

from .shared import LENGTH_TOLERANCE, Faults, repeated_names

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


def _sides_are_given(equipment: tuple[EquipmentTable, ...], controller: ControllerTable) -> Faults:
    """Yield an error if a thing off the centre line has no side, or one on it has a side."""
    tables: list[tuple[Place, EquipmentTable | ControllerTable]] = [
        (("equipment", index), thing) for index, thing in enumerate(equipment)
    ]
    for table, thing in [*tables, (("controller",), controller)]:
        if thing.from_centre > 0 and thing.side is None:
            allowed = '"left" or "right"' + ("" if table == ("controller",) else ', or "both" for one in each half')
            yield (*table, "from_centre"), f"is {mm(thing.from_centre)}, but no side is given: write side = {allowed}."
        if thing.side is not None and thing.from_centre <= 0:
            yield (
                (*table, "side"),
                f'is "{thing.side}", but from_centre is not given; give that too, or leave this out.',
            )


def _bays_of_equipment_exist(equipment: tuple[EquipmentTable, ...], bay: tuple[BayTable, ...]) -> Faults:
    """Yield an error if equipment names a bay that does not exist, or a bay that is not among its bays."""
    names = [one.name for one in bay]
    for index, thing in enumerate(equipment):
        for key, given in (("bay", (thing.bay,) if thing.bay else ()), ("bays", thing.bays or ())):
            for name in (one for one in given if one not in names):
                yield (
                    ("equipment", index, key),
                    f'names "{name}"; no [[bay]] has that name.{near_match(name, names)} Bays: {", ".join(names)}.',
                )
        if thing.bays and thing.bay and thing.bay not in thing.bays:
            yield ("equipment", index, "bay"), f'is "{thing.bay}", which is not among its bays; add it there.'
        if thing.bays and thing.may_move:
            yield ("equipment", index, "bays"), "and may_move are both given; give one of them."


def _places_are_in_their_bays(equipment: tuple[EquipmentTable, ...], bay: tuple[BayTable, ...]) -> Faults:
    """Yield an error if the middle of a thing is outside the bay that it names."""
    known = {one.name: one for one in bay}
    for index, thing in enumerate(equipment):
        one = known.get(thing.bay or (thing.bays or ("",))[0])
        if one is None:
            continue
        front, back = one.from_nose, one.from_nose + one.length
        if not front - LENGTH_TOLERANCE <= thing.from_nose <= back + LENGTH_TOLERANCE:
            yield (
                ("equipment", index, "from_nose"),
                f"is {mm(thing.from_nose)}, outside the bay {one.name} ({mm(front)} to {mm(back)} behind the nose). "
                "Move it, or leave out the bay.",
            )


def _things_kept_apart_exist(keep_apart: tuple[KeepApartTable, ...], equipment: tuple[EquipmentTable, ...]) -> Faults:
    """Yield an error if [[keep_apart]] names nothing that is known, or the same thing twice, or a pair twice."""
    names = [*EQUIPMENT_KINDS, *(thing.name for thing in equipment), CARBON, POWER_LEADS, *KEPT_APART_PARTS]
    pairs: list[frozenset[str]] = []
    for index, one in enumerate(keep_apart):
        place = ("keep_apart", index, "between")
        for name in (each for each in one.between if each not in names):
            kinds = ", ".join(EQUIPMENT_KINDS)
            yield (
                place,
                f'names "{name}", which is no kind and no name of equipment.{near_match(name, names)} Kinds: {kinds}; '
                f"also {CARBON}, {POWER_LEADS}, {', '.join(KEPT_APART_PARTS)}.",
            )
        if one.between[0] == one.between[1]:
            yield place, f'names "{one.between[0]}" twice; write two different things.'
        if frozenset(one.between) in pairs:
            yield place, "names a pair of an earlier table; give one distance for each pair."
        pairs.append(frozenset(one.between))


EQUIPMENT_CHECKS = (
    _sides_are_given,
    _bays_of_equipment_exist,
    _places_are_in_their_bays,
    _things_kept_apart_exist,
    _set_names_differ,
    _one_set_was_flown,
    _sets_exist,
    _equipment_names_differ,
)
