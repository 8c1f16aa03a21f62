"""Size of the chosen pack, where it may lie, and whether it fits into its bay at all."""

from __future__ import annotations

import math

from tradestudy.aircraft.shape.gear_items import pack_walls
from tradestudy.aircraft.shape.pack_bay import MOST_RAISED, ends_of_bay, pack_bay
from tradestudy.physics.weights.pack_dimensions import ROOM
from tradestudy.physics.weights.pack_layouts import laid_size, layouts
from tradestudy.quantities import in_unit
from tradestudy.study.schema.study import Study
from tradestudy.study.schema.wing import BayTable
from tradestudy.study.value_text import mm

from .choices import Choice, chosen_pack_size, study_with_choice

_ROUNDING = 1e-6  # m


def pack_box(study: Study, choice: Choice) -> tuple[float, float, float]:
    """Return outside length, width and height of the chosen pack, or of its half in each of two bays. [m]"""
    return chosen_pack_size(study_with_choice(study, choice), choice)


def pack_reach(study: Study, choice: Choice) -> tuple[float, float]:
    """Return the foremost and rearmost position of the pack's centre, clear of things with a size. [m]

    A bay that is cut to the pack may lie between the ends that the stock wing leaves it.
    """
    made = study_with_choice(study, choice)
    bay, (length, width, _) = pack_bay(made), chosen_pack_size(made, choice)
    if choice.layout:
        front, back = (end.place for end in ends_of_bay(study))
        middle = 0.5 * length + ROOM + study.stretch.pack_travel
        first, last = front + middle, back - bay.length + middle
    else:
        front, back = (wall.place for wall in pack_walls(made, bay, width))
        first, last = front + 0.5 * length + ROOM, back - 0.5 * length - ROOM
    return min(first, 0.5 * (first + last)), max(last, 0.5 * (first + last))


def words_at_ends(study: Study, choice: Choice) -> tuple[str, str]:
    """Return what is at the front and at the back of the room for the pack."""
    if choice.layout:
        front, back = (end.words for end in ends_of_bay(study_with_choice(study, choice)))
        return front, back
    made = study_with_choice(study, choice)
    front, back = (wall.words for wall in pack_walls(made, pack_bay(made), chosen_pack_size(made, choice)[1]))
    return front, back


def pack_fault(study: Study, choice: Choice) -> str | None:
    """Return the reason why the chosen pack does not fit into its bay with room on every side, or None if it fits."""
    made = study_with_choice(study, choice)
    bay, sizes = pack_bay(made), chosen_pack_size(made, choice)
    words = pack_words(choice)
    if choice.layout:
        front, back = (end.place for end in ends_of_bay(study))
        if bay.length <= back - front + _ROUNDING:
            return None
        return f"{words} needs a bay of {mm(bay.length)}, and there are {mm(back - front)} for it"
    front, back = (wall.place for wall in pack_walls(made, bay, sizes[1]))
    for space, size, word in zip((back - front, bay.width, bay.depth), sizes, ("long", "wide", "high"), strict=True):
        if size + 2 * ROOM > space + _ROUNDING:
            return (
                f"{words} is {mm(size)} {word} and needs {mm(ROOM)} of room on "
                f"each side, the {bay.name} bay has {mm(space)}{_after_gear(bay, space, word)}: "
                f"{mm(size + 2 * ROOM - space)} too little; {_what_would_fit(made, choice, back - front)}"
            )
    return None


def pack_words(choice: Choice) -> str:
    """Return words for the pack of a choice."""
    return f"the {choice.series}S{choice.parallel}P pack" + (f' "{choice.pack}"' if choice.pack else "")


def _what_would_fit(made: Study, choice: Choice, length: float) -> str:
    """Return a phrase on the way to lay a pack that comes nearest to fitting a bay, ``length`` [m] of which is free.

    Height counts first: a bay can be cut longer or wider, but the section sets its height.
    """
    bay, piece = pack_bay(made), made.pack.piece
    count = made.pack.pieces_in(bay.from_centre, choice.series, choice.parallel)
    needed = {way: [side + 2 * ROOM for side in laid_size(way, piece)] for way in layouts(count, piece)}

    def short(sides: list[float]) -> tuple[float, float]:
        missing = [max(0.0, side - room) for side, room in zip(sides, (length, bay.width, bay.depth), strict=True)]
        return round(missing[-1], 6), round(sum(missing), 6)

    way, sides = min(needed.items(), key=lambda each: short(each[1]))
    high, in_all = short(sides)
    if in_all <= _ROUNDING:
        return f"{way.words} it would fit"
    if high == in_all <= MOST_RAISED and not bay.through:
        lid = math.ceil(in_unit(high + (bay.raised_lid or 0.0) - _ROUNDING, "mm"))
        return f"{way.words} it would fit under a lid raised by {lid} mm (choices.raised_lid)"
    return f"{way.words} it would fit a bay of {' x '.join(mm(side).removesuffix(' mm') for side in sides)} mm"


def _after_gear(bay: BayTable, space: float, word: str) -> str:
    return " left by other things in it" if word == "long" and space < bay.length - _ROUNDING else ""
