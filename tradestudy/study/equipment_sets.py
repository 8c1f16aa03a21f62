"""Whose equipment is on board: a club builds one airframe, and each member carries a set of one's own."""

from __future__ import annotations

from tradestudy.study.schema_power import Equipment, EquipmentSet


def flown_set(sets: tuple[EquipmentSet, ...]) -> str | None:
    """Return the name of the set the stock wing was weighed and flown with; None where there are no sets."""
    return next((one.name for one in sets if one.flown_today), sets[0].name if sets else None)


def aboard(equipment: tuple[Equipment, ...], name: str | None) -> tuple[Equipment, ...]:
    """Return what a wing with the set ``name`` carries: that set, and what belongs to every wing."""
    return tuple(thing for thing in equipment if thing.set is None or thing.set == name)
