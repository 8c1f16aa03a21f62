"""Room in a wing: round bays and holes, between rods and bays, and at the tips of a panel that is drawn anew.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.arrays import stacked, unstacked
from tradestudy.physics.body import clearance
from tradestudy.physics.body.removed_foam import CutBox
from tradestudy.physics.body.straight_rods import RodEnds, half_spread

from . import gear
from .layout import LayoutData, StretchedWing, WingChoice, gear_places

_LAPPED = "lap"  # a set that has a rod across the centre
NO_ROD_THERE = 0.1  # room that is told for a rod that ends beside a bay; no limit comes near it [m]
LEAST_FOAM = 0.002  # foam left between a pair of rods, or under a pocket; common practice, no source [m]


class Room(NamedTuple):
    """Room inside the skin of a design. Lengths are in [m]."""

    clearance: Any  # round bays, joiner and holes of equipment (..., 32 for each); None if there are none
    pack_clearance: Any  # round the bay that moves with the pack (..., 32); None without one
    rod_room: Any  # between rods and bays, see ``rod_room`` (..., n); None if no rod has to stay clear
    tip_room: Any  # for every fin, set of rods and pocket at the tips (..., n); None where no panel is drawn anew


def room(drawn: StretchedWing, pack_position: Any, equipment_position: Any, lack: np.ndarray) -> Room:
    """Return the Room of a StretchedWing (...). Geometry, no source needed.

    The middle of the pack is at ``pack_position`` and movable equipment at ``equipment_position``, both (...) in [m]
    behind the nose datum. Margins of boxes are as in ``clearance.box_margins``. What has too little room at the tips of
    the stock wing flies so, and needs only as much as it has there: ``lack`` (n,) is ``stock_lack`` [m].
    """
    data = drawn.data
    boxes = [*data.in_foam, *gear.gear_boxes(data.gear, gear_places(drawn, equipment_position))]
    fixed = len(boxes) * clearance.MARGINS_OF_BOX
    if data.pack_bay:
        boxes.append(data.pack_bay.box._replace(front=pack_position + data.pack_bay.box.front))
    tips = _thin_places(drawn)
    heights = _heights(drawn, tips, boxes)
    margins: Any = None
    if boxes:
        margins = clearance.box_margins(clearance.heights_by_box(heights[..., len(tips) :, :, :]), boxes)
    return Room(
        clearance=margins[..., :fixed] if fixed else None,
        pack_clearance=margins[..., fixed:] if data.pack_bay else None,
        rod_room=rod_room(drawn, pack_position) if data.rod_bays else None,
        tip_room=_tip_room(drawn, tips, heights) - lack if tip_room_count(data) else None,
    )


def stock_lack(data: LayoutData) -> np.ndarray:
    """Return how much room the stock wing lacks at each element of ``Room.tip_room`` (n,). [m]

    It is 0 or less, and the same for all designs of a study. Geometry, no source needed.
    """
    if not tip_room_count(data):
        return np.zeros(0)
    stock, diameter = data.stock, data.rods[0].diameter if data.rods else 0.0
    choice = WingChoice(0.0, stock.sweep, stock.washout, diameter, 1.0)
    drawn = StretchedWing(data._replace(fins_rule="keep", keep="set_back"), choice)
    tips = _thin_places(drawn)
    return np.minimum(_tip_room(drawn, tips, _heights(drawn, tips, [])), 0.0)


class _ThinPlace(NamedTuple):
    """What needs a thickness at a tip: a set of rods at its end, or a pocket at both ends. Fields are (...) in [m]."""

    front: Any  # distance of its front behind the nose datum
    length: float  # 0 for rods
    needed: Any


def _thin_places(drawn: StretchedWing) -> list[_ThinPlace]:
    """Return all sets of rods and all pockets, where a panel is drawn anew."""
    if drawn.data.scheme != "scaled":
        return []
    sets = zip(drawn.rods, drawn.rod_lines, strict=True)
    pockets = zip(drawn.data.cuts.pockets, drawn.pockets, strict=True)
    return [
        *(_ThinPlace(line.outer_x, 0.0, one.run.rods_per_place * one.diameter + LEAST_FOAM) for one, line in sets),
        *(_ThinPlace(x - 0.5 * one.length, one.length, one.depth + LEAST_FOAM) for one, (_, x) in pockets),
    ]


def _heights(drawn: StretchedWing, tips: list[_ThinPlace], boxes: list[clearance.FoamBox]) -> Any:
    """Return the ``clearance.wall_heights`` (..., n, 2, 4) at ``tips``, then at both walls of each box. [m]"""
    zero, shares = 0.0 * drawn.outline.semi_span, drawn.marks.shares
    walls: list[Any] = [*tips, *(box for box in boxes for _ in range(2))]
    if not walls:
        return np.zeros((0, 2, len(clearance.PLACES)))
    # marks begin with rods and pockets, and end with boxes
    first = 0 if tips else shares.shape[-2] - len(walls)
    front, length = stacked([one.front + zero for one in walls]), np.array([one.length for one in walls])
    return clearance.wall_heights(drawn.skin, shares[..., first : first + len(walls), :], front, length)


def _tip_room(drawn: StretchedWing, tips: list[_ThinPlace], heights: Any) -> Any:
    """Return the room (..., n) of every fin, set of rods and pocket. [m]"""
    wing, zero, n_set = drawn.outline, 0.0 * drawn.outline.semi_span, len(drawn.rods)
    chord = wing.chord.T
    feet = [chord[one.stands_on].T - one.behind_leading_edge - one.root_chord + zero for one in drawn.fins]
    ends = heights[..., : len(tips), :, ::3]  # at the front and at the back
    needed = stacked([one.needed + zero for one in tips])[..., None] if tips else 0.0
    inside = ends[..., 0, :] - ends[..., 1, :] - needed
    left = unstacked(inside.reshape(*inside.shape[:-2], -1))
    return stacked([*feet, *left[: 2 * n_set : 2], *left[2 * n_set :]])


def tip_room_count(data: LayoutData) -> int:
    """Return the number of elements of ``Room.tip_room``, by definition; 0 where no panel is drawn anew. [-]

    They are one for each fin, one for each set of rods, and two for each pocket.
    """
    return len(data.fins) + len(data.rods) + 2 * len(data.cuts.pockets) if data.scheme == "scaled" else 0


def clearance_count(data: LayoutData) -> int:
    """Return the number of elements of ``Room.clearance``, by definition. [-]"""
    holes = sum(one.size is not None for one in data.gear)
    return (len(data.in_foam) + holes) * clearance.MARGINS_OF_BOX


def rod_room_count(data: LayoutData) -> int:
    """Return the number of elements of ``Room.rod_room``, by definition. [-]"""
    return sum(4 if data.rods[bay.of_set].at_centre == _LAPPED else 2 for bay in data.rod_bays)


def rod_room(drawn: StretchedWing, pack_position: Any) -> Any:
    """Return the room (..., n) between the rods of each set and a bay ahead of them or behind them. [m]

    The arguments are as for ``room``. There are two elements for each line of a set: at the inner and at the outer
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
