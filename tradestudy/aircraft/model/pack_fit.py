"""Size of the chosen pack, where it may lie in its bay, and whether it fits at all."""

from __future__ import annotations

from tradestudy.aircraft.shape.gear_items import pack_walls
from tradestudy.physics.weights.pack_dimensions import ROOM, least_cells_across, pack_outside_size
from tradestudy.study.schema.study import Study
from tradestudy.study.schema.wing import BayTable
from tradestudy.study.value_text import mm

from .choices import ANY_THAT_FIT, CELLS_ACROSS, Choice, study_with_choice

_ROUNDING = 1e-6  # m


def pack_box(study: Study, choice: Choice) -> tuple[float, float, float]:
    """Return outside length, width and height of the chosen pack. [m]

    Where the study leaves the arrangement of its cells open, the pack is as narrow as its bay allows.
    """
    own = not choice.pack and (choice.series, choice.parallel) == (study.pack.series, study.pack.parallel)
    study = study_with_choice(study, choice)
    cell, bay = study.pack.cell_numbers, pack_bay(study)
    cells, across, high = choice.series * choice.parallel, study.pack.cells_across or 1, study.pack.cells_high
    is_open = study.pack.cells_across == ANY_THAT_FIT or any(used.key == CELLS_ACROSS for used in study.defaults_used)
    if is_open and not own:
        across = least_cells_across(cell["length"], cells, across, high, bay.length - 2 * ROOM)
    return pack_outside_size(cell["length"], cell["width"], cell["thickness"], cells, across, high)


def pack_bay(study: Study):
    """Return the bay that holds the pack."""
    return next(bay for bay in study.bay if bay.name == study.pack.bay)


def pack_reach(study: Study, choice: Choice) -> tuple[float, float]:
    """Return the foremost and rearmost position of the pack's centre in its bay, clear of things with a size. [m]"""
    length, width, _ = pack_box(study, choice)
    front, back = pack_walls(study, pack_bay(study), width)
    first, last = front + 0.5 * length + ROOM, back - 0.5 * length - ROOM
    return min(first, 0.5 * (first + last)), max(last, 0.5 * (first + last))


def pack_fault(study: Study, choice: Choice) -> str | None:
    """Return the reason why the chosen pack does not fit into its bay with room on every side, or None if it fits."""
    study = study_with_choice(study, choice)
    bay, sizes = pack_bay(study), pack_box(study, choice)
    front, back = pack_walls(study, bay, sizes[1])
    for space, size, word in zip((back - front, bay.width, bay.depth), sizes, ("long", "wide", "high"), strict=True):
        if size + 2 * ROOM > space + _ROUNDING:
            return (
                f"the {choice.series}S{choice.parallel}P pack is {mm(size)} {word} and needs {mm(ROOM)} of room on "
                f"each side, the {bay.name} bay has {mm(space)}{_after_gear(bay, space, word)}: "
                f"{mm(size + 2 * ROOM - space)} too little"
            )
    return None


def _after_gear(bay: BayTable, space: float, word: str) -> str:
    return " left by other things in it" if word == "long" and space < bay.length - _ROUNDING else ""
