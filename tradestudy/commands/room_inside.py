"""The command ``check``, second part: does everything fit, and can the stock wing be as it is described?"""

from __future__ import annotations

from typing import NamedTuple

from tradestudy.aircraft.shape.gear_fit import gear_rooms
from tradestudy.aircraft.shape.kept_apart import distance_words, stock_pairs
from tradestudy.aircraft.shape.propeller_room import propeller_remark
from tradestudy.aircraft.shape.rod_tracks import RodTrack, rods_over, stock_tracks
from tradestudy.aircraft.shape.stock_fit import refuse_what_does_not_fit, stock_fits, stock_skin
from tradestudy.errors import Fault
from tradestudy.physics.body.plan_distance import PlanBox
from tradestudy.quantities import in_unit
from tradestudy.study.consistency.plausibility import doubts
from tradestudy.study.fault_lines import with_lines
from tradestudy.study.line_numbers import Place, dotted, line_of, locate
from tradestudy.study.schema.key_types import propeller_lengths
from tradestudy.study.schema.study import Study
from tradestudy.study.value_text import mm


class SpareRoom(NamedTuple):
    """What is left above and below one thing inside the wing."""

    name: str
    spare_mm: float
    rods_over: list[str]  # sets of rods that run over a bay, unless they state how they cross it


class GearFit(NamedTuple):
    """The room of one thing on board with a size, and how far out that size still fits into the foam."""

    name: str
    bay: str  # empty if it lies in a hole of its own
    spare_mm: float | None  # None in a bay
    fits_out_to_mm: float | None  # None if it fits nowhere
    behind_nose_mm: float | None  # where it fits there


class Distance(NamedTuple):
    """Two things that must be kept apart, with the key that moves one of them."""

    one: str
    other: str
    distance_mm: float
    least_mm: float
    kept: bool
    origin: str
    outward_mm: float | None  # how far it must go; None if it may stay, or if that way does not help
    aft_mm: float | None
    line: int | None
    key: str
    words: str


def room_inside(study: Study) -> list[SpareRoom]:
    """Return the spare room of every bay, and of the joiner. Raises StudyFileError if something does not fit."""
    refuse_what_does_not_fit(study)
    tracks = stock_tracks(study)
    return [SpareRoom(fit.name, _mm(fit.room), _rods_over(study, fit.place, tracks)) for fit in stock_fits(study)]


def _rods_over(study: Study, place: Place, tracks: list[RodTrack]) -> list[str]:
    """Return the sets of rods that run over the bay at a place of the study."""
    if place[0] != "bay":
        return []
    bay = study.bay[int(place[1])]
    length = bay.length + (bay.divider or 0.0)
    box = PlanBox(bay.from_nose + 0.5 * length, bay.from_centre or 0.0, length, bay.width)
    crossing = {f"rods {rod.name}" for rod in study.rods if rod.crosses_bay is not None}
    return list(dict.fromkeys(track.name for track in rods_over(box, tracks) if track.name not in crossing))


def gear_inside(study: Study) -> list[GearFit]:
    """Return the room of every thing on board with a size."""
    fits = []
    for room in gear_rooms(study, stock_skin(study)):
        out = room.outmost
        fits.append(
            GearFit(
                room.item.name,
                room.item.bay.name if room.item.bay else "",
                None if room.spare is None else _mm(room.spare),
                None if out is None else _mm(out.from_centre),
                None if out is None else _mm(out.from_nose),
            )
        )
    return fits


def distances_apart(study: Study) -> list[Distance]:
    """Return every pair of things on the stock wing that must be kept apart, with line and key of the one to move."""
    places, found = locate(study.text), []
    for pair in stock_pairs(study):
        key = () if pair.mover is None else (*pair.mover.table, "from_nose")
        found.append(
            Distance(
                pair.one,
                pair.other,
                _mm(pair.distance),
                _mm(pair.least),
                pair.kept,
                pair.origin,
                None if pair.outward is None else _mm(pair.outward),
                None if pair.aft is None else _mm(pair.aft),
                line_of(places, key) if key else None,
                dotted(key),
                distance_words(pair),
            )
        )
    return found


def doubts_about(study: Study) -> list[Fault]:
    """Return what is hard to believe, with line and key where one key says it. The study is used all the same.

    The model is calibrated against the stock wing, as every other command does first. Raises StudyContradicted if the
    measurements contradict the physics.
    """
    from tradestudy.aircraft.anchor.calibration import anchor_of
    from tradestudy.aircraft.anchor.full_throttle_defaults import with_full_throttle_defaults

    anchor = anchor_of(with_full_throttle_defaults(study))
    doubted = [*doubts(study), *_propeller_doubt(study)]
    return [*with_lines(study, doubted), *(Fault(0, "", f"{flag}.") for flag in anchor.flags)]


def _propeller_doubt(study: Study) -> list[tuple[Place, str]]:
    """Return key and sentence if the propeller of the stock wing cuts its elevons."""
    size = study.propeller.size
    remark = propeller_remark(study, size, propeller_lengths(size)[0])
    if not remark:
        return []
    return [(("propeller", "from_nose"), f"is {mm(study.propeller.from_nose)}: {remark}. Measure both again.")]


def _mm(length: float) -> float:
    return round(in_unit(length, "mm"), 2)
