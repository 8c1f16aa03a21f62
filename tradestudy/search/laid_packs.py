"""How the cells of a pack are laid in a bay that is cut to it: which ways a search tries.

Cells may lie in many ways, and a search of each would take long. Most ways cannot win: the pack is too high or too long
where it must lie to balance the wing. So the ways are compared beforehand, at the corners of the search space:

1. where the pack must lie for the balance, at every corner;
2. where the section has room for the bay of each way, at every corner;
3. how strong a wing in the middle of the search space is with it.

The way tried first misses no limit on strength, if there is one such. Among those it has the lowest lid, then room at
most of the places, then the smallest bay on the centre line. A second way is tried if that one has a raised lid or has
not room everywhere.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.anchor.calibration import Anchor, stretched_data
from tradestudy.aircraft.model.choices import Choice, study_with_choice
from tradestudy.aircraft.model.designs import WING_SHAPE, many_designs, one_design
from tradestudy.aircraft.model.evaluation import Wings, evaluate, pack_places, wings_of
from tradestudy.aircraft.model.limit_bounds import limits_of
from tradestudy.aircraft.model.pack_fit import pack_fault, pack_words
from tradestudy.aircraft.shape.pack_bay import MOST_RAISED, bay_of_pack, ends_of_bay, is_cut_to_pack, pack_bay
from tradestudy.aircraft.shape.stock_shape import bay_box
from tradestudy.physics.body import clearance
from tradestudy.physics.body.skin import Skin
from tradestudy.physics.flight import layout
from tradestudy.physics.weights.pack_layouts import PackLayout, laid_size, layouts
from tradestudy.quantities import in_unit
from tradestudy.study.schema.study import Study
from tradestudy.study.schema.wing import BayTable

MOST_TRIED = 2  # ways that a search tries for one pack
_STEP = 0.002  # distance between places that are compared [m]
# Width of a bay that is cut to a pack over the span of the stock wing, at most, unless its own bay is wider. Bays of
# wings of 1.25 to 1.55 m are 95 to 180 mm wide; common practice, no source
_WIDEST = 0.15


class LaidPacks(NamedTuple):
    """The ways to lay a pack that a search tries, and the reason if there is none."""

    tried: list[tuple[str, float]]  # layout as text, and height of the lid above the skin [m]
    fault: str = ""


class _Way(NamedTuple):
    """One way to lay a pack."""

    laid: PackLayout
    bay: BayTable  # its front wall is counted from the middle of the pack
    walls: np.ndarray  # places of its front wall behind the nose (n_place,) [m]
    room: np.ndarray  # least room round the bay there, at the corner with most (n_place,) [m]

    @property
    def lid(self) -> float:
        """Height of the lid above the skin. [m]"""
        return self.bay.raised_lid or 0.0

    @property
    def fields(self) -> dict[str, Any]:
        """The fields of a `Choice` that stand for it."""
        return {"layout": self.laid.text, "raised_lid": self.lid}


class _Score(NamedTuple):
    """How much room a way has where its pack must lie."""

    held: float  # share of the needed places where it has room [-]
    places: np.ndarray  # whether it has room at each of them (n_needed,)
    short: float  # how much is missing at the best of them [m]


def laid_packs(
    study: Study,
    anchor: Anchor,
    choice: Choice,
    bounds: dict[str, tuple[float, float]],
    slowest: float,
    fault_of: Callable[[Choice], str | None],
) -> LaidPacks:
    """Return the ways to lay the pack of a choice whose ``layout`` is open. ``bounds`` are those of the variables.

    ``fault_of`` returns what else stands against a choice with a layout, such as rods that would run over the bay.
    In a bay that is not cut to the pack the cells lie as the study says, under the lowest lid with which they fit.
    """
    made = study_with_choice(study, choice)
    if not is_cut_to_pack(made):
        lids = sorted({0.0, *(study.choices.raised_lid or ())})
        fits = (lid for lid in lids if pack_fault(study, replace(choice, raised_lid=lid)) is None)
        return LaidPacks([("", next(fits, 0.0))])
    wings = _corners(study, anchor, choice, bounds, slowest)
    needed = _places_needed(wings)
    count = made.pack.pieces_in(pack_bay(made).from_centre, choice.series, choice.parallel)
    words = pack_words(choice)
    front, back = (end.place for end in ends_of_bay(made))
    ways = _ways(made, wings, count, np.arange(front, back + _STEP, _STEP))
    if not ways:
        return LaidPacks([], f"{words} is too large for the wing, however its cells lie")
    scored = [(way, _score(way, needed)) for way in ways]
    with_room = [each for each in scored if each[1].held > 0.0]
    if not with_room:
        return LaidPacks([], f"{words} has no room where it balances the wing: {_shortest_of(scored)}")
    faults = [fault_of(replace(choice, **way.fields)) for way, _ in with_room]
    if all(faults):
        return LaidPacks([], f"{words} has room, but {faults[0]}")
    with_room = [each for each, fault in zip(with_room, faults, strict=True) if not fault]
    middle = {name: 0.5 * sum(ends) for name, ends in bounds.items()}

    def rank(each: tuple[_Way, _Score]) -> tuple[float, float, float, float, str]:
        way, score = each
        weak = _weakness(study, anchor, replace(choice, **way.fields), middle, slowest)
        return weak, way.lid, -round(score.held, 1), way.bay.length * way.bay.depth, way.laid.text

    (best, score), *others = sorted(with_room, key=rank)
    tried = [best]
    if score.held < 1.0 or best.lid:
        more = [way for way, other in others if way.lid < best.lid or np.any(other.places & ~score.places)]
        tried += more[: MOST_TRIED - 1]
    return LaidPacks([(way.laid.text, way.lid) for way in tried])


def _corners(study: Study, anchor: Anchor, choice: Choice, bounds, slowest: float) -> Wings:
    """Return the wings at the corners of the search space, with the choice's pack in the stock wing's bay."""
    data = stretched_data(study, anchor, choice, slowest)
    names = ("extension", "sweep", "tip_chord", "static_margin", "equipment_position")
    inside = {name: 0.5 * sum(ends) for name, ends in bounds.items()}
    corners = [
        inside | dict(zip(names, ends, strict=True))
        for ends in itertools.product(*(dict.fromkeys(bounds[name]) for name in names))
    ]
    return wings_of(data, many_designs([choice] * len(corners), corners))


def _places_needed(wings: Wings) -> np.ndarray:
    """Return places (n_needed,) from the foremost to the rearmost at which the pack balances a wing. [m]"""
    places = pack_places(wings)
    first, last = float(places.min()), float(places.max())
    return np.linspace(first, last, 2 + int((last - first) / _STEP))


def _skins(wings: Wings) -> list[Skin]:
    """Return the skin of every wing of another shape."""
    data, designs = wings.data.layout, wings.designs
    shapes = np.unique(np.stack([getattr(designs, name) for name in WING_SHAPE], axis=-1), axis=0)
    return [layout.outer_skin(data, layout.wing_outline(data, *shape)) for shape in shapes]


def widest_side(study: Study) -> float:
    """Return the farthest outer side of a bay that is cut to its pack, from the centre line. [m]"""
    return max(pack_bay(study).outer_side, 0.5 * _WIDEST * study.stock.span)


def _ways(study: Study, wings: Wings, count: int, walls: np.ndarray) -> list[_Way]:
    """Return the ways whose bay fits somewhere in length and width, with its room for every place of its front wall."""
    skins = _skins(wings)
    lids = study.choices.raised_lid or (pack_bay(study).raised_lid or 0.0,)
    widest = widest_side(study)
    ways = []
    for laid, lid in itertools.product(layouts(count, study.pack.piece), lids):
        bay = bay_of_pack(study, laid_size(laid, study.pack.piece), 0.0, lid)
        last = walls[-1] - bay.length
        if last < walls[0] or bay.outer_side > widest:
            continue
        if bay.depth + bay.lid + bay.floor - lid > study.stock.root_thickness:
            continue
        places = walls[walls <= last]
        box = [bay_box(bay)._replace(front=places)]
        rooms = [clearance.box_margins(clearance.box_heights(skin, box), box).min(axis=-1) for skin in skins]
        room = np.max(rooms, axis=0)
        ways.append(_Way(laid, bay, places, room))
    return ways


def _score(way: _Way, needed: np.ndarray) -> _Score:
    """Return how much room a way has at the places that its pack needs (n_needed,) [m]."""
    room = np.interp(needed + way.bay.from_nose, way.walls, way.room, left=-np.inf, right=-np.inf)
    return _Score(float((room >= 0).mean()), room >= 0, float(-room.max()))


def _weakness(study: Study, anchor: Anchor, choice: Choice, middle: dict[str, float], slowest: float) -> float:
    """Return how far a wing falls short of the limits on strength: its worst scaled margin below 0, in hundredths."""
    data = stretched_data(study, anchor, choice, slowest)
    outputs = evaluate(data, one_design(choice, middle), usual=False).structure._asdict()
    limits = limits_of(study, anchor.reference, choice, data.strip_count)
    margins = [float(limit.margin(outputs[limit.output]).min()) for limit in limits if limit.output in outputs]
    return round(max(0.0, -min(margins, default=0.0)), 2)


def _shortest_of(scored: list[tuple[_Way, _Score]]) -> str:
    """Return a phrase on the way that comes nearest to fitting."""
    way, score = min(scored, key=lambda each: each[1].short)
    if not np.isfinite(score.short):
        return f"it would have to lie beyond the {in_unit(way.walls[-1] + way.bay.length, 'mm'):.0f} mm left for bays"
    missing = f"{way.laid.words}, {in_unit(score.short, 'mm'):.1f} mm of height are missing"
    if score.short > MOST_RAISED:
        return missing
    lid = math.ceil(in_unit(way.lid + score.short, "mm"))
    return f"{missing}; a lid raised by {lid} mm gives them (choices.raised_lid)"
