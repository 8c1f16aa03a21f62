"""The bay that new cores get for their own pack: the pack's box with room round it, room for its leads, and travel.

The bay of the stock wing holds the stock pack. Where cores are cut anew, a bay of the size of the new pack is cut at
the place where that pack balances the wing. It imports little, so that `check` starts quickly.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, NamedTuple

from tradestudy.aircraft.shape.gear_items import gear_items
from tradestudy.physics.body.pack_bay import BayClearOfRods
from tradestudy.physics.body.rod_limits import PAIRS_APART
from tradestudy.physics.weights.pack_dimensions import LEADS, NOSE_WALL, ROOM
from tradestudy.physics.weights.pack_layouts import Size
from tradestudy.study.consistency.stock_geometry import stock_rod
from tradestudy.study.schema.rods import RodTable
from tradestudy.study.schema.study import Study
from tradestudy.study.schema.wing import BayTable

WEB = 0.005  # least foam between a bay and its neighbour, the joiner's channel or the centre line; judgement [m]
# Most by which a pack is too high for a raised lid to be proposed; common practice, no source [m]
MOST_RAISED = 0.008
# A rod that ends no farther than this outside the stock wing's bay is a rod that ends at the bay; judgement [m]
_NEAR_WALL = 0.020
_JOINER, _JOINER_PLACE = "the joiner's channel", "joiner.from_nose"


def pack_bay(study: Study) -> BayTable:
    """Return the bay that holds the pack, or its first half."""
    return next(bay for bay in study.bay if bay.name == study.pack.bay)


def is_cut_to_pack(study: Study) -> bool:
    """Return whether the bay of a stretched wing follows its pack in size and place.

    It does where cores are cut anew. A bay that is cut right through the foam stays: how much foam it removes depends
    on its place, so the place that balances could not be solved for directly. So do two bays, one behind the other, and
    a bay that also holds other things with a size.
    """
    bay, stretch = pack_bay(study), study.stretch
    anew = stretch.can_cut_cores and stretch.scheme == "scaled"
    alone = study.pack.second_bay is None and not _shared(study, bay)
    return anew and alone and bay.cut_to_pack and not bay.through


def _shared(study: Study, bay: BayTable) -> bool:
    """Return whether a bay also holds a thing with a size."""
    return any(item.size and item.bay is not None and item.bay.name == bay.name for item in gear_items(study))


def bay_of_pack(study: Study, size: Size, middle: float, raised_lid: float) -> BayTable:
    """Return the table of a bay cut to a pack of an outside ``size`` [m].

    ``middle`` is the middle of the pack behind the nose [m]. Leads leave at the back of the pack.
    """
    bay, travel = pack_bay(study), study.stretch.pack_travel
    length, width, height = size
    width += 2 * ROOM
    own: dict[str, Any] = {
        "from_nose": middle - 0.5 * length - ROOM - travel,
        "length": length + 2 * (ROOM + travel) + LEADS,
        "width": width,
        "depth": height + 2 * ROOM,
        "raised_lid": raised_lid or None,
    }
    if bay.from_centre:
        own["from_centre"] = max(bay.from_centre, 0.5 * width + WEB)
    return bay.model_copy(update=own)


def study_with_bay(study: Study, bay: BayTable) -> Study:
    """Return the study with another table for the pack's bay. Rods that end beside the bay end beside the new one."""
    old = pack_bay(study)
    wider = bay.outer_side - old.outer_side
    rods = tuple(
        rod.model_copy(update={"inner_end": rod.inner_end + wider})
        if rod.at_centre == "ends" and 0.0 <= rod.inner_end - old.outer_side <= _NEAR_WALL
        else rod
        for rod in study.rods
    )
    return replace(study, bay=tuple(bay if one.name == bay.name else one for one in study.bay), rods=rods)


class _InTheWay(NamedTuple):
    """A thing that a bay cut to its pack may not reach: its front and back behind the nose [m], and what it is."""

    front: float
    back: float
    words: str


class BayEnd(NamedTuple):
    """One end of the room for a bay that is cut to its pack: its place behind the nose [m], and what is there."""

    place: float
    words: str


def ends_of_bay(study: Study) -> tuple[BayEnd, BayEnd]:
    """Return the foremost front wall and the rearmost back wall of a bay that is cut to its pack.

    At the nose a wall of foam is left. A joiner's channel, another bay, the slot of the motor's mount or the hinge may
    be in the way.
    """
    bay, joiner, hinge = pack_bay(study), study.joiner, study.stock.root_chord
    things = [
        _InTheWay(one.from_nose, one.from_nose + one.length + (one.divider or 0.0), f"the other bay, {one.name}")
        for one in _in_line(study, bay)
    ]
    if joiner:
        half, is_assumed = 0.5 * joiner.channel_width, any(one.key == _JOINER_PLACE for one in study.defaults_used)
        words = f"the joiner's channel, whose place is assumed ({_JOINER_PLACE})" if is_assumed else _JOINER
        things.append(_InTheWay(joiner.from_nose - half, joiner.from_nose + half, words))
    if study.motor.mount_slot and not bay.from_centre:
        things.append(_InTheWay(hinge - study.motor.mount_slot, hinge, "the slot of the motor's mount"))
    for item in gear_items(study):
        length, width, _ = item.size or (0.0, 0.0, 0.0)
        near, far = item.from_centre - 0.5 * width, item.from_centre + 0.5 * width
        if item.buried and near < bay.outer_side and bay.inner_side < far:
            things.append(_InTheWay(item.from_nose - 0.5 * length, item.from_nose + 0.5 * length, item.name))
    things += [_InTheWay(*ends, "the rods") for ends in _rods_across(study, bay)]
    middle = study.pack.from_nose
    ahead = [BayEnd(one.back + WEB, one.words) for one in things if 0.5 * (one.front + one.back) < middle]
    behind = [BayEnd(one.front - WEB, one.words) for one in things if 0.5 * (one.front + one.back) >= middle]
    back = min([BayEnd(hinge - WEB, "the hinge"), *behind])
    return max([BayEnd(NOSE_WALL, "the nose"), *ahead]), BayEnd(back.place - (bay.divider or 0.0), back.words)


def _rods_across(study: Study, bay: BayTable) -> list[tuple[float, float]]:
    """Return front and back of the rods of each set that runs inside the outer side of a bay. [m]

    A set that states how it crosses bays may cross this one. So may rods that run over the pack of the stock wing.
    """
    ends, over = [], _under_pack(study)
    for index, rod in enumerate(study.rods):
        if rod.crosses_bay is not None or rod.inner_end >= bay.outer_side:
            continue
        pairs = max((rod.pairs, *(study.choices.rod_pairs or ()))) if index == 0 else rod.pairs
        front, back = _across(study, rod, bay, pairs)
        if back < over[0] or front > over[1]:
            ends.append((front, back))
    return ends


def _under_pack(study: Study) -> tuple[float, float]:
    """Return where the pack of the stock wing begins and ends behind the nose. [m]"""
    half = 0.5 * study.pack.piece.size[0]
    return study.pack.from_nose - half, study.pack.from_nose + half


def _across(study: Study, rod: RodTable, bay: BayTable, pairs: int) -> tuple[float, float]:
    """Return front and back behind the nose of rods between the sides of a bay in the stock wing. [m]"""
    line = stock_rod(study.stock, rod)
    near, far = (line.x_at(max(y, rod.inner_end)) for y in (bay.inner_side, bay.outer_side))
    spread = 0.5 * PAIRS_APART * (pairs - 1) + 0.5 * rod.diameter
    across = [line.across_x(rod.diameter)] if rod.at_centre == "lap" else []
    return min(near, far, *across) - spread, max(near, far, *across) + spread


def bays_clear_of_rods(study: Study, bay_follows: bool) -> tuple[BayClearOfRods, ...]:
    """Return every bay of which a set of rods must stay clear. With ``bay_follows``, the pack's moves with the pack.

    Rods of the stock wing that run over a bay may do so, and `check` names them; so may those that state how they cross
    it. Rods that end beside a bay meet it nowhere.
    """
    found = []
    for index, rod in enumerate(study.rods):
        for bay in study.bay if rod.crosses_bay is None else ():
            follows = bay_follows and bay.name == study.pack.bay
            back_wall = bay.from_nose + bay.length + (bay.divider or 0.0)
            over = _under_pack(study) if follows else (bay.from_nose, back_wall)
            front, back = _across(study, rod, bay, rod.pairs)
            if rod.inner_end >= bay.outer_side or (front < over[1] and back > over[0]):
                continue
            wall = bay.from_nose - (study.pack.from_nose if follows else 0.0)
            inner = bay.inner_side if bay.from_centre else -bay.outer_side
            is_ahead = front >= over[1]
            found.append(
                BayClearOfRods(index, is_ahead, wall, back_wall - bay.from_nose, inner, bay.outer_side, follows)
            )
    return tuple(found)


def _in_line(study: Study, bay: BayTable) -> list[BayTable]:
    """Return the other bays that lie ahead of or behind a bay."""
    others = [one for one in study.bay if one.name != bay.name]
    return [one for one in others if one.inner_side < bay.outer_side and bay.inner_side < one.outer_side]
