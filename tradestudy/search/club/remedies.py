"""What lets a member of a club fly who would break a limit: the cheapest first.

Balance mark, place of the pack, movable equipment and the parts of the choices are no remedies: each search has them
free. What costs next is lead, then a lower throttle cap, then a pair of rods more for all wings, whose cores are alike.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import NamedTuple

from tradestudy.aircraft.model.limit_bounds import MET_ABOVE
from tradestudy.quantities import from_edge, with_unit
from tradestudy.quantities.limit_remedies import REMEDIES
from tradestudy.search.search_space import SearchSpace
from tradestudy.search.search_task import SearchResult
from tradestudy.study.schema.equipment import EquipmentTable
from tradestudy.study.schema.study import Study

from .members import ClubMember, changed

BALLAST, RODS = "ballast", "one pair of rods more in every wing"
_GRAMS = (30.0, 60.0, 120.0)  # sizes that are tried; judgement
_CAPS = (0.9, 0.8, 0.7)  # of full throttle; judgement


class ClubRemedy(NamedTuple):
    """One remedy: ``limits`` are the names of those that it may help, ``apply`` returns a member's changed space."""

    words: str
    limits: tuple[str, ...]
    apply: Callable[[SearchSpace], SearchSpace]
    for_all: bool = False


def remedied(members: list[ClubMember], ranked: list[list[SearchResult]]) -> list[ClubMember] | None:
    """Return the members with the next remedy for the one that misses its limits by most, or None if none is left.

    ``ranked`` holds the results of each, best first.
    """
    places = [place for place, results in enumerate(ranked) if results and not results[0].feasible]
    if not places:
        return None
    place = min(places, key=lambda each: ranked[each][0].worst_margin)
    member, known = members[place], members[place].remedy
    missed = {name for name, value in ranked[place][0].margins.items() if float(value.min()) < MET_ABOVE}
    first = member.before or member.space
    later = [one for one in remedies(first.study) if missed & set(one.limits)]
    names = [one.words for one in later]
    later = later[names.index(known) + 1 :] if known in names else later
    if not later:
        return None
    remedy = later[0]
    helped = list(members)
    for each, other in enumerate(members):
        if each == place or remedy.for_all:
            base = other.before or other.space
            space = changed(base, remedy.apply(base), f"{other.name}, {remedy.words}")
            helped[each] = replace(other, space=space, remedy=remedy.words, before=base)
    return helped


def remedies(study: Study) -> list[ClubRemedy]:
    """Return all remedies for wings of a study, the cheapest first."""
    capped = tuple(name for name, remedy in REMEDIES.items() if "throttle_cap" in remedy.parts)
    rods = tuple(name for name, remedy in REMEDIES.items() if "rod_pairs" in remedy.parts)
    front = min([bay.from_nose for bay in study.bay], default=0.0)
    back = max([study.motor.from_nose, *(bay.from_nose + bay.length for bay in study.bay)])
    found = []
    for grams in _GRAMS:
        for place, limit in ((front, "pack_forward"), (back, "pack_aft")):
            words = f"{BALLAST} of {grams:.0f} g, {with_unit(place, 'mm')} behind the nose"
            found.append(ClubRemedy(words, (limit,), _with_ballast(grams, place)))
    found += [ClubRemedy(f"throttle no higher than {with_unit(cap, '%')}", capped, _with_cap(cap)) for cap in _CAPS]
    return [*found, ClubRemedy(RODS, rods, _with_rods, for_all=True)]


def _with_ballast(grams: float, place: float) -> Callable[[SearchSpace], SearchSpace]:
    def apply(space: SearchSpace) -> SearchSpace:
        lead = EquipmentTable.model_validate(
            {"name": BALLAST, "mass": with_unit(from_edge("g", grams), "g"), "from_nose": with_unit(place, "mm")}
        )
        return space.of_study(replace(space.study, equipment=(*space.study.equipment, lead)))

    return apply


def _with_cap(cap: float) -> Callable[[SearchSpace], SearchSpace]:
    def apply(space: SearchSpace) -> SearchSpace:
        lower = [replace(choice, throttle_cap=min(cap, choice.throttle_cap or 1.0)) for choice in space.choices]
        return replace(space.of_study(space.study), choices=list(dict.fromkeys(lower)))

    return apply


def _with_rods(space: SearchSpace) -> SearchSpace:
    more = [replace(choice, rod_pairs=choice.rod_pairs + 1) for choice in space.choices]
    return replace(space.of_study(space.study), choices=list(dict.fromkeys([*space.choices, *more])))
