"""Room in the section for a bay that moves with the pack, and room between rods and bays.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.arrays import stacked
from tradestudy.physics.body import clearance
from tradestudy.physics.body.removed_foam import CutBox
from tradestudy.physics.body.straight_rods import RodEnds, half_spread

from . import gear
from .layout import LayoutData, StretchedWing, gear_places

_LAPPED = "lap"  # a set that has a rod across the centre
NO_ROD_THERE = 0.1  # room that is told for a rod that ends beside a bay; no limit comes near it [m]


class PackRoom(NamedTuple):
    """Room round bays, from one above and below to the rods ahead and behind."""

    clearance: Any  # room round bays, joiner and holes of equipment (..., 32 for each) [m]; None if there are none
    pack_clearance: Any  # the same for the bay that moves with the pack (..., 32) [m]; None without one
    rod_room: Any  # room between rods and bays, see ``rod_room`` (..., n) [m]; None if no rod has to stay clear


def pack_room(drawn: StretchedWing, pack_position: Any, equipment_position: Any) -> PackRoom:
    """Return the PackRoom of a StretchedWing (...). Margins are as in ``clearance.box_margins``.

    The middle of the pack is at ``pack_position`` and movable equipment at ``equipment_position``, both (...) in [m]
    behind the nose datum.
    """
    data = drawn.data
    holes = gear.gear_boxes(data.gear, gear_places(drawn, equipment_position))
    boxes = [*data.in_foam, *holes]
    fixed = len(boxes) * clearance.MARGINS_OF_BOX
    if data.pack_bay:
        boxes.append(data.pack_bay.box._replace(front=pack_position + data.pack_bay.box.front))
    margins: Any = None
    if boxes:
        margins = clearance.box_margins(clearance.box_heights(drawn.skin, boxes, drawn.marks.wall_shares), boxes)
    return PackRoom(
        clearance=margins[..., :fixed] if fixed else None,
        pack_clearance=margins[..., fixed:] if data.pack_bay else None,
        rod_room=rod_room(drawn, pack_position) if data.rod_bays else None,
    )


def clearance_count(data: LayoutData) -> int:
    """Return the number of elements of ``PackRoom.clearance``, by definition. [-]"""
    holes = sum(one.size is not None for one in data.gear)
    return (len(data.in_foam) + holes) * clearance.MARGINS_OF_BOX


def rod_room_count(data: LayoutData) -> int:
    """Return the number of elements of ``PackRoom.rod_room``, by definition. [-]"""
    return sum(4 if data.rods[bay.of_set].at_centre == _LAPPED else 2 for bay in data.rod_bays)


def rod_room(drawn: StretchedWing, pack_position: Any) -> Any:
    """Return the room (..., n) between the rods of each set and a bay ahead of them or behind them. [m]

    The arguments are as for ``pack_room``. There are two elements for each line of a set: at the inner and at the outer
    side of the bay, or at the end of a rod between them. Where no rod is, it is NO_ROD_THERE. Geometry, no source.
    """
    ends = drawn.marks.rods
    gaps, crossed = [], []
    for bay in drawn.data.rod_bays:
        index = bay.of_set
        rods, line, across = drawn.rods[index], drawn.rod_lines[index], drawn.transverse_lines[index]
        half = 0.5 * rods.diameter + half_spread(RodEnds(*(field.T[index].T for field in ends)), line, rods.pairs)
        front = bay.front + (pack_position if bay.follows else 0.0)
        wall = front + bay.length + half if bay.is_ahead else front - half
        for one in (line, across) if across else (line,):
            # numbers of complex steps are compared by their real parts first
            first = np.maximum(one.inner_y, bay.inner - 0.5 * rods.diameter)
            last = np.minimum(one.outer_y, bay.outer + 0.5 * rods.diameter)
            places = [one.inner_x + one.slope * (y - one.inner_y) for y in (first, last)]
            gaps += [x - wall if bay.is_ahead else wall - x for x in places]
            crossed += [last.real > first.real] * 2
    return np.where(stacked(crossed), stacked(gaps), NO_ROD_THERE)


def cut_boxes(data: LayoutData, pack_position: float) -> list[CutBox]:
    """Return every box cut out of the foam of a design with its pack at ``pack_position`` [m]. Bookkeeping."""
    return [*data.cuts.boxes, *([data.pack_bay.cut_at(pack_position)] if data.pack_bay else [])]
