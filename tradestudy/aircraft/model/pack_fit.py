"""Size of the chosen pack, where it may lie in its bay, and whether it fits at all."""

from __future__ import annotations

from tradestudy.physics.weights.pack_dimensions import PLAY, least_cells_across, pack_outside_size
from tradestudy.quantities import with_unit
from tradestudy.study.schema.study import Study

from .choices import ANY_THAT_FIT, CELLS_ACROSS, Choice, study_with_choice


def pack_box(study: Study, choice: Choice) -> tuple[float, float, float]:
    """Return outside length, width and height of the chosen pack. [m]"""
    study = study_with_choice(study, choice)
    cell = study.pack.cell_numbers
    cells, across, high = choice.series * choice.parallel, study.pack.cells_across or 1, study.pack.cells_high
    if study.pack.cells_across == ANY_THAT_FIT or any(used.key == CELLS_ACROSS for used in study.defaults_used):
        across = least_cells_across(cell["length"], cells, across, high, pack_bay(study).length - PLAY)
    return pack_outside_size(cell["length"], cell["width"], cell["thickness"], cells, across, high)


def pack_bay(study: Study):
    """Return the bay that holds the pack."""
    return next(bay for bay in study.bay if bay.name == study.pack.bay)


def pack_reach(study: Study, choice: Choice) -> tuple[float, float]:
    """Return the foremost and rearmost position of the pack's centre in its bay. [m]"""
    bay, (length, _, _) = pack_bay(study), pack_box(study, choice)
    return bay.from_nose + 0.5 * length, bay.from_nose + bay.length - 0.5 * length


def pack_fault(study: Study, choice: Choice) -> str | None:
    """Return the reason why the chosen pack does not fit into its bay, or None if it fits."""
    bay, sizes = pack_bay(study), pack_box(study, choice)
    for space, need, word in zip((bay.length, bay.width, bay.depth), sizes, ("long", "wide", "high"), strict=True):
        if need > space + 1e-6:
            return (
                f"the {choice.series}S{choice.parallel}P pack is {with_unit(need, 'mm')} {word}, "
                f"the {bay.name} bay {with_unit(space, 'mm')}"
            )
    return None
