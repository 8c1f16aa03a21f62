"""Room in the section for a bay that moves with the pack, and room between rods and bays.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.arrays import stacked, unstacked
from tradestudy.physics.body import clearance
from tradestudy.physics.body.removed_foam import CutBox
from tradestudy.physics.body.straight_rods import PlanLine, RodEnds, half_spread, x_at

from .layout import LayoutData, StretchedWing, transverse_line

_LAPPED = "lap"  # a set that has a rod across the centre
NO_ROD_THERE = 0.1  # room that is told for a rod that ends beside a bay; no limit comes near it [m]


class PackRoom(NamedTuple):
    """Room round bays, from one above and below to the rods ahead and behind."""

    pack_clearance: Any  # as ``DesignShape.clearance`` (..., 32) [m]; None if no bay moves with the pack
    rod_room: Any  # room between rods and bays, see ``rod_room`` (..., n) [m]; None if no rod has to stay clear


def pack_room(drawn: StretchedWing, pack_position: Any) -> PackRoom:
    """Return the PackRoom of a StretchedWing (...) with the middle of its pack at ``pack_position`` (...) [m].

    The position is behind the nose datum. Margins are as in ``clearance.box_margins``.
    """
    rods = rod_room(drawn, pack_position) if drawn.data.rod_bays else None
    return PackRoom(_clearance(drawn, pack_position), rods)


def rod_room_count(data: LayoutData) -> int:
    """Return the number of elements of ``PackRoom.rod_room``, by definition. [-]"""
    return sum(4 if data.rods[bay.of_set].at_centre == _LAPPED else 2 for bay in data.rod_bays)


def rod_room(drawn: StretchedWing, pack_position: Any) -> Any:
    """Return the room (..., n) between the rods of each set and a bay ahead of them or behind them. [m]

    The arguments are as for ``pack_room``. There are two elements for each line of a set: at the inner and at the outer
    side of the bay, or at the end of a rod between them. Where no rod is, it is NO_ROD_THERE. Geometry, no source.
    """
    rooms = []
    for bay in drawn.data.rod_bays:
        rods, line = drawn.rods[bay.of_set], drawn.rod_lines[bay.of_set]
        ends = RodEnds(*(unstacked(field)[bay.of_set] for field in drawn.marks.rods))
        half = 0.5 * rods.diameter + half_spread(ends, line, rods.pairs)
        front = bay.front + (pack_position if bay.follows else 0.0)
        across = transverse_line(rods, line)
        for one in (line, *([across] if across else [])):
            first, last = _over(one, bay.inner - 0.5 * rods.diameter, bay.outer + 0.5 * rods.diameter)
            x = x_at(one, stacked([first, last]))
            room = x - (half + front + bay.length)[..., None] if bay.is_ahead else (front - half)[..., None] - x
            rooms.append(np.where((last.real > first.real)[..., None], room, NO_ROD_THERE))
    return np.concatenate(rooms, axis=-1)


def _over(line: PlanLine, inner: Any, outer: Any) -> tuple[Any, Any]:
    """Return the stations (...) between which a line lies between two sides (...); turned round if it does not. [m]"""
    first = np.where(np.real(line.inner_y) > np.real(inner), line.inner_y, inner)
    last = np.where(np.real(line.outer_y) < np.real(outer), line.outer_y, outer)
    return first, last


def _clearance(drawn: StretchedWing, pack_position: Any) -> Any:
    if drawn.data.pack_bay is None:
        return None
    box = drawn.data.pack_bay.box
    boxes = [box._replace(front=pack_position + box.front)]
    shares = drawn.marks.wall_shares[..., -2:, :]
    return clearance.box_margins(clearance.box_heights(drawn.skin, boxes, shares), boxes)


def cut_boxes(data: LayoutData, pack_position: float) -> list[CutBox]:
    """Return every box cut out of the foam of a design with its pack at ``pack_position`` [m]. Bookkeeping."""
    return [*data.cuts.boxes, *([data.pack_bay.cut_at(pack_position)] if data.pack_bay else [])]
