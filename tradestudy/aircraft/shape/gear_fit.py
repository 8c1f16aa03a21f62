"""Whether every thing on board with a size has room in the stock wing: in the foam, or in its bay beside the pack."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations
from typing import NamedTuple

import numpy as np

from tradestudy.physics.body import buried, clearance
from tradestudy.physics.body.plan_distance import PlanBox
from tradestudy.physics.body.skin import Skin, section_at
from tradestudy.physics.flight.gear import GearPlace, gear_box
from tradestudy.physics.weights.pack_dimensions import ROOM
from tradestudy.study.consistency.pack import pack_size
from tradestudy.study.consistency.stock_geometry import leading_edge
from tradestudy.study.line_numbers import Place
from tradestudy.study.schema.study import Study
from tradestudy.study.value_text import mm

from .gear_items import GearItem, gear_items, item_gear
from .rod_tracks import RodTrack, cover_under, rods_over, stock_tracks

_ROUNDING = 1e-5  # m; an overlap of less than this is rounding
_STEP, _STEPS = 0.005, 40  # m; places that are tried for a thing without room, each way from where it is
GearFault = tuple[Place, str]  # key of the study, and a sentence that follows it


class GearRoom(NamedTuple):
    """Room round one thing with a size. Lengths in [m]."""

    item: GearItem
    spare: float | None  # height left above and below it in the section; None in a bay
    outmost: buried.OutmostPlace | None  # farthest place out at which its size fits into the foam


def gear_rooms(study: Study, outer: Skin) -> list[GearRoom]:
    """Return the room round every thing with a size in the stock wing. ``outer`` is its skin."""
    tracks, rooms = stock_tracks(study), []
    for item in gear_items(study):
        if item.size is None:
            continue
        spare = None
        if item.buried:
            box = covered_box(study, item, GearPlace(item.from_nose, item.from_centre), tracks)
            spare = clearance.box_places(clearance.box_heights(outer, [box]), [box])[0].margin
        rooms.append(GearRoom(item, spare, buried.outmost_place(outer, item.size)))
    return rooms


def covered_box(study: Study, item: GearItem, place: GearPlace, tracks: list[RodTrack]) -> clearance.FoamBox:
    """Return the box of a buried thing at a place, with the foam that it needs below the rods that run over it."""
    above, below = cover_under(item.boxes(*place), tracks, buried.GEAR_COVER)
    return gear_box(item_gear(study, item), place)._replace(name=item.name, above=above, below=below)


def gear_faults(study: Study, outer: Skin, with_pack: bool = True) -> Iterator[GearFault]:
    """Yield every thing with a size that has no room in the stock wing. ``outer`` is its skin.

    Without ``with_pack``, a thing may lie in the place of the pack, which then has to move.
    """
    tracks = stock_tracks(study)
    rooms = gear_rooms(study, outer)
    for room in rooms:
        if room.item.bay is not None:
            yield from _in_bay(study, room.item, with_pack)
        else:
            others = [one for each in rooms if each is not room and each.item.buried for one in _boxes(each.item)]
            faults = list(_in_foam(study, room, outer, tracks))
            advice = _nearest_words(study, room, outer, tracks, others) if faults else ""
            yield from _advised(faults, advice)
    sized = [room.item for room in rooms]
    for one, other in combinations(sized, 2):
        if one.bay is not None and other.bay is not None and one.bay.name != other.bay.name:
            continue
        for box in _boxes(one):
            yield from _meets(other, box, f'"{one.name}"')


def _advised(faults: list[GearFault], advice: str) -> Iterator[GearFault]:
    """Yield faults of one thing as one with the advice, in place of a way out of each obstacle alone."""
    if not advice:
        yield from faults
        return
    sentences = [words.partition(" Move it ")[0] for _, words in faults]
    yield faults[0][0], " It also ".join(sentences) + advice


def _nearest_words(study: Study, room: GearRoom, outer: Skin, tracks: list[RodTrack], others: list[PlanBox]) -> str:
    """Return a sentence on the nearest place in the foam where a thing has room, or an empty text."""
    near = nearest_place(study, room, outer, tracks, others)
    if near is None:
        return ""
    out = f"{mm(near.from_centre)} from the middle" if near.from_centre else "on the centre line"
    side = ', with side = "left" or "right"' if room.item.side is None and near.from_centre else ""
    return f" The nearest place with room is {mm(near.from_nose)} behind the nose, {out}{side}."


def nearest_place(
    study: Study, room: GearRoom, outer: Skin, tracks: list[RodTrack], others: list[PlanBox]
) -> GearPlace | None:
    """Return the nearest place in the foam where a thing meets nothing, to 5 mm, or None if none is within 200 mm.

    ``others`` are the boxes of other things in the foam [m]. What must be kept apart is not looked at.
    """
    item = room.item
    x0, y0 = (round(length / _STEP) for length in (item.from_nose, item.from_centre))
    steps = range(-_STEPS, _STEPS + 1)
    places = [(x0 + dx, y0 + dy) for dx in steps for dy in steps if y0 + dy >= 0]
    obstacles = [*others, *(box for box, _ in _holes(study, outer))]
    tip = float(outer.station[-1])
    for x, y in sorted(places, key=lambda one: math.hypot(one[0] - x0, one[1] - y0)):
        side = "right" if item.side is None and y else item.side
        moved = item._replace(from_nose=x * _STEP, from_centre=y * _STEP, side=side)
        boxes = _boxes(moved)
        if boxes[0].y + 0.5 * boxes[0].width > tip or any(
            min(_overlap(box, each)) > _ROUNDING for box in boxes for each in obstacles
        ):
            continue
        box = covered_box(study, moved, GearPlace(moved.from_nose, moved.from_centre), tracks)
        spare = clearance.box_places(clearance.box_heights(outer, [box]), [box])[0].margin
        if not any(_in_foam(study, room._replace(item=moved, spare=spare), outer, tracks)):
            return GearPlace(moved.from_nose, moved.from_centre)
    return None


def _boxes(item: GearItem) -> list[PlanBox]:
    return item.boxes(item.from_nose, item.from_centre)


def _words(item: GearItem) -> str:
    assert item.size is not None
    return f'"{item.name}" of {" x ".join(mm(side).removesuffix(" mm") for side in item.size)} mm'


def _overlap(one: PlanBox, other: PlanBox) -> tuple[float, float]:
    """Return how far two boxes overlap along and across; negative where they are apart. [m]"""
    return (
        0.5 * (one.length + other.length) - abs(one.x - other.x),
        0.5 * (one.width + other.width) - abs(one.y - other.y),
    )


def _meets(item: GearItem, obstacle: PlanBox, label: str) -> Iterator[GearFault]:
    """Yield a fault if an item meets an obstacle, with the shortest way out of it."""
    for box in _boxes(item):
        along, across = _overlap(box, obstacle)
        if min(along, across) <= _ROUNDING:
            continue
        if along <= across:
            way = f"{mm(along)} {'aft' if box.x >= obstacle.x else 'forward'}"
        else:
            way = f"{mm(across)} {'outward' if abs(box.y) >= abs(obstacle.y) else 'inward'}"
        yield (
            (*item.table, "from_nose"),
            f"puts {_words(item)} into {label}, by {mm(min(along, across))}. Move it {way}, or turn it.",
        )
        return


def _in_bay(study: Study, item: GearItem, with_pack: bool) -> Iterator[GearFault]:
    """Yield what an item in a bay meets: a wall, the height of the bay, or the pack."""
    bay = item.bay
    assert bay is not None and item.size is not None
    length, width, height = item.size
    if height > bay.depth + _ROUNDING:
        yield (
            (*item.table, "size"),
            f"is {mm(height)} high: {_words(item)} is {mm(height - bay.depth)} too high for the bay {bay.name} "
            f"({mm(bay.depth)}).",
        )
    beyond = {
        "front": bay.from_nose - (item.from_nose - 0.5 * length),
        "back": item.from_nose + 0.5 * length - (bay.from_nose + bay.length),
        "side": max(
            item.from_centre + 0.5 * width - bay.outer_side,
            bay.inner_side - (item.from_centre - 0.5 * width) if bay.from_centre else -math.inf,
        ),
    }
    wall, most = max(beyond.items(), key=lambda each: each[1])
    if most > _ROUNDING:
        yield (
            (*item.table, "from_centre" if wall == "side" else "from_nose"),
            f"puts {_words(item)} {mm(most)} through the {wall} wall of the bay {bay.name}, which lies "
            f"{mm(bay.from_nose)} to {mm(bay.from_nose + bay.length)} behind the nose and is {mm(bay.width)} wide.",
        )
    if with_pack and study.pack.bay == bay.name:
        along, across, _ = (side + 2 * ROOM for side in pack_size(study.pack, bay.from_centre))
        pack = PlanBox(study.pack.from_nose, bay.from_centre or 0.0, along, across)
        yield from _meets(item, pack, "the pack and its room")


def _in_foam(study: Study, room: GearRoom, outer: Skin, tracks: list[RodTrack]) -> Iterator[GearFault]:
    """Yield what an item in a hole of its own meets: the skin, a rod, or another hole."""
    item, spare = room.item, room.spare
    assert spare is not None and item.size is not None
    box = covered_box(study, item, GearPlace(item.from_nose, item.from_centre), tracks)
    if item.from_centre > 0 and item.from_centre < 0.5 * item.size[1] and item.side == "both":
        yield (*item.table, "from_centre"), f"puts the two of {_words(item)} into each other on the centre line."
    fits_to = "That size fits nowhere in the foam."
    if room.outmost is not None:
        out, aft = (mm(round(length, 3)) for length in (room.outmost.from_centre, room.outmost.from_nose))
        fits_to = f"That size fits as far out as {out} from the middle, {aft} behind the nose."
    if spare < -_ROUNDING:
        needed = box.height + box.above + box.below
        yield (
            (*item.table, "from_nose"),
            f"puts {_words(item)} where it does not fit into the foam. It needs {mm(needed)} of height "
            f"({mm(box.height)}, {mm(box.above)} above, {mm(box.below)} below); the section has "
            f"{mm(max(spare + needed, 0.0))}: {mm(min(-spare, needed))} too little. {fits_to} If it reaches out of the "
            'wing, write size = "none".',
        )
        return
    hinge = _hinge(outer, box)
    if box.front + box.length > hinge + _ROUNDING:
        yield (
            (*item.table, "from_nose"),
            f"puts {_words(item)} {mm(box.front + box.length - hinge)} behind the hinge line, where there is no foam.",
        )
    over = [track for one in _boxes(item) for track in rods_over(one, tracks)]
    for name in dict.fromkeys(track.name for track in over if track.surface == "middle"):
        yield (
            (*item.table, "from_nose"),
            f"puts {_words(item)} in the way of {name}, which run through the middle of the section.",
        )
    for obstacle, label in _holes(study, outer):
        yield from _meets(item, obstacle, label)


def _hinge(outer: Skin, box: clearance.FoamBox) -> float:
    """Return the foremost place of the hinge line along a box. [m]"""
    here = section_at(outer, np.array([float(box.inner), float(box.half_width)]))
    return float(np.minimum(here.upper_x[:, outer.hinge], here.lower_x[:, outer.hinge]).min())


def _holes(study: Study, outer: Skin) -> Iterator[tuple[PlanBox, str]]:
    """Yield every other hole of the stock wing seen from above, with its name."""
    for bay in study.bay:
        length, out = bay.length + (bay.divider or 0.0), bay.from_centre or 0.0
        for y in dict.fromkeys((out, -out)):
            yield PlanBox(bay.from_nose + 0.5 * length, y, length, bay.width), f"the wall of the bay {bay.name}"
    if joiner := study.joiner:
        yield PlanBox(joiner.from_nose, 0.0, joiner.channel_width, joiner.length), "the channel of the joiner"
    if study.motor.mount_slot and study.motor.mount_slot_width:
        hinge, length = study.stock.root_chord, study.motor.mount_slot
        yield PlanBox(hinge - 0.5 * length, 0.0, length, study.motor.mount_slot_width), "the slot of the motor mount"
    for pocket in study.pocket:
        x = leading_edge(study.stock, pocket.from_centre) + pocket.from_leading_edge + 0.5 * pocket.length
        for side in (1.0, -1.0):
            yield PlanBox(x, side * pocket.from_centre, pocket.length, pocket.along_span), f"the pocket {pocket.name}"
