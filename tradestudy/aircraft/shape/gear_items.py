"""Every thing on board that a builder places: equipment and controller, with place, size, side and bay.

It imports little, so that `check` starts quickly.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, NamedTuple

from tradestudy.physics.body.buried import GEAR_COVER
from tradestudy.physics.body.plan_distance import PlanBox
from tradestudy.physics.flight import gear
from tradestudy.study.consistency.stock_geometry import leading_edge
from tradestudy.study.line_numbers import Place
from tradestudy.study.schema.equipment import kind_part
from tradestudy.study.schema.study import Study
from tradestudy.study.schema.wing import BayTable

from .rod_tracks import cover_under, stock_tracks

_SIDES = {None: (1.0,), "right": (1.0,), "left": (-1.0,), "both": (1.0, -1.0)}
CONTROLLER = "controller"


class GearItem(NamedTuple):
    """One thing on board. Lengths are those of the stock wing, in [m]."""

    name: str
    kinds: tuple[str, ...]  # what it does, and what that counts as
    mass: float  # of both together if there is one in each half [kg]
    from_nose: float
    from_centre: float
    side: str | None  # "left", "right" or "both"; None on the centre line
    size: tuple[float, float, float] | None  # length, width and height
    bay: BayTable | None  # bay that it lies in
    may_move: tuple[float, float] | None
    table: Place  # its table in the study

    @property
    def buried(self) -> bool:
        """True if it has a size and lies in a hole of its own in the foam."""
        return self.size is not None and self.bay is None

    @property
    def signs(self) -> tuple[float, ...]:
        """1 for each one in the right half or on the centre line, -1 for each one in the left half."""
        return _SIDES[self.side]

    def boxes(self, x: Any, y: Any) -> list[PlanBox]:
        """Return the boxes of the item seen from above at ``x`` behind the nose and ``y`` from the centre line. [m]"""
        length, width, _ = self.size or (0.0, 0.0, 0.0)
        return [PlanBox(x, sign * y, length, width) for sign in self.signs]


def gear_items(study: Study) -> list[GearItem]:
    """Return the equipment of a study that is on board, in order, then the controller."""
    items, listed = [], [(thing.name, thing.set) for thing in study.all_equipment]
    for thing in study.equipment:
        kinds = [also for kind in thing.kind or () for also in (kind, kind_part(kind).get("is")) if also]
        bay = _bay(study, thing.bay or (thing.bays or (None,))[0], thing.from_nose, thing.from_centre)
        items.append(
            GearItem(
                thing.name,
                tuple(dict.fromkeys(kinds)),
                thing.mass,
                thing.from_nose,
                thing.from_centre,
                thing.side,
                thing.outside_size,
                bay,
                thing.may_move,
                ("equipment", listed.index(own) if (own := (thing.name, thing.set)) in listed else 0),
            )
        )
    one = study.controller
    bay = _bay(study, None, one.from_nose, one.from_centre)
    parts = (CONTROLLER,), one.mass, one.from_nose, one.from_centre, one.side, one.size, bay, None, (CONTROLLER,)
    return [*items, GearItem(CONTROLLER, *parts)]


def _bay(study: Study, name: str | None, x: float, y: float) -> BayTable | None:
    """Return the bay of this name, or else the bay in which a place lies."""
    for bay in study.bay:
        inside = bay.from_nose <= x <= bay.from_nose + bay.length and bay.inner_side <= y <= bay.outer_side
        if bay.name == name or (name is None and inside):
            return bay
    return None


def item_gear(study: Study, item: GearItem) -> gear.Gear:
    """Return an item as an input record of the physics."""
    in_panel = item.from_centre > 0.5 * study.stock.centre_width
    return gear.Gear(
        item.mass,
        item.from_nose,
        item.from_centre,
        leading_edge(study.stock, item.from_centre) if in_panel else None,
        1.0 if item.may_move else 0.0,
        item.size if item.buried else None,
        len(item.signs),
    )


def placed_gear(study: Study) -> tuple[gear.Gear, ...]:
    """Return the items that change the weights or the room of a wing: in a panel, or in a hole of their own.

    Rods that run over a hole in the stock wing take the depth of their slots from its room.
    """
    placed, tracks = [], stock_tracks(study)
    for item in gear_items(study):
        one = item_gear(study, item)
        if one.size is not None:
            above, below = cover_under(item.boxes(item.from_nose, item.from_centre), tracks, GEAR_COVER)
            one = one._replace(above=above, below=below)
        if one.leading_edge is not None or one.size is not None:
            placed.append(one)
    return tuple(placed)


def movable_range(study: Study) -> tuple[float, float, float]:
    """Return the mean place of the movable equipment in the stock wing, and the ends of its range. [m]

    All of it moves by the same distance. What has a size stays between the walls of its bay.
    """
    movable = [item for item in gear_items(study) if item.may_move]
    if not movable:
        return 0.0, 0.0, 0.0
    weight = sum(item.mass for item in movable)
    place = sum(item.mass * item.from_nose for item in movable) / weight if weight else movable[0].from_nose
    ends = [(item, *_reach(item)) for item in movable]
    return (
        place,
        max(front + (place - item.from_nose) for item, front, _ in ends),
        min(back + (place - item.from_nose) for item, _, back in ends),
    )


def _reach(item: GearItem) -> tuple[float, float]:
    """Return the foremost and rearmost place of the middle of a movable item. [m]"""
    assert item.may_move is not None
    front, back = item.may_move
    if item.bay is None or item.size is None:
        return front, back
    half = 0.5 * item.size[0]
    return max(front, item.bay.from_nose + half), min(back, item.bay.from_nose + item.bay.length - half)


def side_by_side(one: PlanBox, other: PlanBox) -> bool:
    """Return whether two boxes lie beside each other: neither stands ahead of the other."""
    return abs(one.y - other.y) >= 0.5 * (one.width + other.width) - 1e-9


class PackWall(NamedTuple):
    """One end of the room for a pack in a bay: its place behind the nose [m], and what is there."""

    place: float
    words: str


def pack_walls(study: Study, bay: BayTable, width: float) -> tuple[PackWall, PackWall]:
    """Return front and back end of the room for a pack of a ``width`` [m] in a bay: things with a size shorten it.

    A thing that may move keeps its whole range free.
    """
    words = f"the bay {bay.name}"
    front, back = PackWall(bay.from_nose, words), PackWall(bay.from_nose + bay.length, words)
    lane = PlanBox(0.0, bay.from_centre or 0.0, 0.0, width)
    for item in _sized_in(study, bay):
        if all(side_by_side(box, lane) for box in item.boxes(0.0, item.from_centre)):
            continue
        assert item.size is not None
        first, last = _reach(item) if item.may_move else (item.from_nose, item.from_nose)
        words, half = f"{item.name} in the bay {bay.name}", 0.5 * item.size[0]
        if item.from_nose > study.pack.from_nose:
            back = min(back, PackWall(first - half, words))
        else:
            front = max(front, PackWall(last + half, words))
    return front, back


def _sized_in(study: Study, bay: BayTable) -> Iterable[GearItem]:
    return (item for item in gear_items(study) if item.size and item.bay is not None and item.bay.name == bay.name)
