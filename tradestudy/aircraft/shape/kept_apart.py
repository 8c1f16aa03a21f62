"""How far apart things are that disturb each other, and how far one has to go until they no longer do.

Distances are from edge to edge as seen from above, see ``plan_distance``. Power leads run straight from the middle of
each pack to the middle of the controller, and from there to that of the motor.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple

import numpy as np

from tradestudy.aircraft.shape.pack_bay import pack_bay
from tradestudy.catalogue import catalogue_parts
from tradestudy.physics.body.plan_distance import PlanBox, PlanSegment, box_to_segment, boxes_apart
from tradestudy.physics.flight.gear import GearPlace
from tradestudy.physics.geometry import planform
from tradestudy.physics.geometry.stretch_schemes import stock_planform
from tradestudy.study.consistency.pack import pack_size
from tradestudy.study.schema.equipment import CARBON, EQUIPMENT_KINDS, POWER_LEADS
from tradestudy.study.schema.study import Study
from tradestudy.study.value_text import mm

from .gear_items import CONTROLLER, GearItem, gear_items
from .rod_tracks import RodTrack, stock_tracks
from .stock_shape import stock_wing

_STEP = 0.001  # steps in which a thing is moved until it is far enough away [m]
_FARTHEST = 1.5  # farthest that it is moved [m]
_ROUNDING = 1e-6  # m
_STUDY_ORIGIN = "keep_apart"


class _Rule(NamedTuple):
    between: tuple[str, str]
    distance: float
    origin: str


class _Thing(NamedTuple):
    """A thing with its names, and what is seen of it from above."""

    name: str
    names: frozenset[str]
    boxes: list[PlanBox]
    lines: list[PlanSegment]
    item: GearItem | None = None


class NearPair(NamedTuple):
    """Two things that must be kept apart. Lengths in [m]."""

    one: str
    other: str
    distance: float
    least: float
    origin: str
    mover: GearItem | None  # the one that is moved
    outward: float | None  # distance that it must go outward; None if that does not help on this wing
    aft: float | None

    @property
    def kept(self) -> bool:
        """True if they are far enough apart."""
        return self.distance >= self.least - _ROUNDING


FoamEnds = Callable[[np.ndarray], tuple[np.ndarray, np.ndarray]]  # stations -> leading edge and hinge line there [m]


def near_pairs(
    study: Study,
    gear: Sequence[tuple[GearItem, GearPlace]],
    tracks: Iterable[RodTrack],
    packs: list[PlanBox],
    foam: FoamEnds,
) -> list[NearPair]:
    """Return every pair of things on a wing that must be kept apart.

    ``gear`` are the items with their places, and ``packs`` the packs seen from above. ``foam`` returns leading edge and
    hinge line.
    """
    things = _things(study, gear, tracks, packs)
    pairs: list[NearPair] = []
    by_name = {frozenset(one.between) for one in study.keep_apart if not {*one.between} & {*EQUIPMENT_KINDS}}
    for rule in _rules(study):
        seen: set[frozenset[str]] = set()
        for one, other in _matches(things, rule.between):
            both = frozenset((one.name, other.name))
            if both in seen or (both in by_name and rule.origin != _STUDY_ORIGIN):
                continue
            seen.add(both)
            pairs.append(_pair(rule, one, other, foam))
    return pairs


def stock_pairs(study: Study) -> list[NearPair]:
    """Return every pair of things on the stock wing that must be kept apart."""
    gear = [(item, GearPlace(item.from_nose, item.from_centre)) for item in gear_items(study)]
    size = pack_size(study.pack, pack_bay(study).from_centre)
    packs = pack_boxes(study, study.pack.from_nose, size)
    return near_pairs(study, gear, stock_tracks(study), packs, foam_of(stock_planform(stock_wing(study))))


def pack_boxes(study: Study, place: float, size: tuple[float, float, float]) -> list[PlanBox]:
    """Return the pack of a ``size`` [m] seen from above, with its middle at a ``place`` [m]: both halves of it, if any.

    One half may lie in each half wing, or the second one in a bay of its own on the centre line.
    """
    from_centre, (length, width, _) = pack_bay(study).from_centre or 0.0, size
    boxes = [PlanBox(place, y, length, width) for y in dict.fromkeys((from_centre, -from_centre))]
    if study.pack.second_bay:
        boxes.append(PlanBox(study.pack.second_from_nose or 0.0, 0.0, length, width))
    return boxes


def foam_of(wing: planform.Planform) -> FoamEnds:
    """Return a function for leading edge and hinge line of a wing. Beyond its tip there is no foam."""

    def foam(y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        edge, chord = planform.interpolated(wing, (wing.leading_edge, wing.foam_chord), y)
        return edge, np.where(y <= wing.semi_span, edge + chord, -np.inf)

    return foam


def distance_words(pair: NearPair) -> str:
    """Return a sentence on the distance of a pair, with the way to keep it."""
    distance, least = mm(round(pair.distance, 4)), mm(pair.least)
    if pair.kept:
        return f"{pair.one} and {pair.other}: {distance} apart, at least {least}"
    return f"{pair.one} and {pair.other}: {distance} apart, and {least} are asked ({pair.origin}). {remedy_words(pair)}"


def remedy_words(pair: NearPair) -> str:
    """Return a sentence that says how far the one that can be moved has to go. It is empty if nothing is too near."""
    if pair.kept or pair.mover is None:
        return "" if pair.kept else "Move one of them."
    ways = [
        f"{mm(length)} {way}"
        for length, way in ((pair.outward, "farther out"), (pair.aft, "farther aft"))
        if length is not None
    ]
    if not ways:
        return f"No place straight out or aft is far enough: move {pair.mover.name} to another part of the wing."
    return f"Move {pair.mover.name} {' or '.join(ways)}."


def _rules(study: Study) -> list[_Rule]:
    """Return the rules of the study, then those of the catalogue for all other pairs.

    A rule of the study for two names replaces those of the catalogue for the same two things, see ``near_pairs``.
    """
    own = [_Rule(one.between, one.distance, _STUDY_ORIGIN) for one in study.keep_apart]
    given = {frozenset(rule.between) for rule in own}
    usual = [
        _Rule((part["between"][0], part["between"][1]), part["distance"], part["source"])
        for part in catalogue_parts("keep_apart").values()
    ]
    return [rule for rule in own if rule.distance > 0] + [
        rule for rule in usual if frozenset(rule.between) not in given
    ]


def _things(
    study: Study, gear: Sequence[tuple[GearItem, GearPlace]], tracks: Iterable[RodTrack], packs: list[PlanBox]
) -> list[_Thing]:
    things = []
    controller = None
    for item, place in gear:
        boxes = item.boxes(float(place.from_nose), float(place.from_centre))
        things.append(_Thing(item.name, frozenset((item.name, *item.kinds)), boxes, [], item))
        if item.name == CONTROLLER:
            controller = boxes[0]
    motor = PlanBox(study.motor.from_nose, 0.0, 0.0, 0.0)
    things += [_Thing("pack", frozenset(("pack",)), packs, []), _Thing("motor", frozenset(("motor",)), [motor], [])]
    if controller is not None:
        ways = *((pack, controller) for pack in packs), (controller, motor)
        leads = [PlanSegment(start.x, start.y, end.x, end.y, 0.0) for start, end in ways]
        things.append(_Thing(POWER_LEADS, frozenset((POWER_LEADS,)), [], leads))
    carbon = [track.line for track in tracks if track.material.startswith(CARBON)]
    if carbon:
        things.append(_Thing(CARBON, frozenset((CARBON,)), [], carbon))
    return things


def _matches(things: list[_Thing], names: tuple[str, str]) -> Iterator[tuple[_Thing, _Thing]]:
    for one in things:
        for other in things:
            if one is not other and names[0] in one.names and names[1] in other.names:
                yield one, other


def _distance(one: _Thing, other: _Thing, out: np.ndarray, aft: np.ndarray) -> np.ndarray:
    """Return the distance (n,) of two things, with the first moved outward and aft (n,). [m]

    A thing on the centre line moves outward to the right.
    """
    found = [np.full(np.broadcast_shapes(out.shape, aft.shape), np.inf)]
    for box in one.boxes:
        moved = PlanBox(box.x + aft, box.y + (out if box.y >= 0 else -out), box.length, box.width)
        found += [boxes_apart(moved, each) for each in other.boxes]
        found += [box_to_segment(moved, each) for each in other.lines]
    return np.minimum.reduce(found)


def _pair(rule: _Rule, one: _Thing, other: _Thing, foam: FoamEnds) -> NearPair:
    mover, fixed = (one, other) if one.item is not None else (other, one)
    zero = np.zeros(1)
    distance = float(_distance(mover, fixed, zero, zero)[0])
    outward = aft = None
    if mover.item is not None and distance < rule.distance - _ROUNDING:
        steps = np.arange(0.0, _FARTHEST, _STEP)
        outward = _first(mover, fixed, steps, 0 * steps, rule.distance, foam)
        aft = _first(mover, fixed, 0 * steps, steps, rule.distance, foam)
    return NearPair(one.name, other.name, distance, rule.distance, rule.origin, mover.item, outward, aft)


def _first(
    mover: _Thing, fixed: _Thing, out: np.ndarray, aft: np.ndarray, least: float, foam: FoamEnds
) -> float | None:
    """Return the least move that is far enough and ends in the foam, or None. [m]"""
    far = _distance(mover, fixed, out, aft) >= least - _ROUNDING
    box = mover.boxes[0]
    y, x = np.abs(box.y) + out, box.x + aft
    edge, hinge = foam(y)
    inside = (x - 0.5 * box.length >= edge) & (x + 0.5 * box.length <= hinge)
    good = np.flatnonzero(far & inside)
    return float((out + aft)[good[0]]) if good.size else None
