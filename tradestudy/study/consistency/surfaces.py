"""Rules for elevons, fins and the linkage. They must lie on the wing and be no larger than its foam."""

from __future__ import annotations

from itertools import combinations, pairwise
from typing import Any

from tradestudy.quantities import from_si
from tradestudy.study.schema.wing import ElevonTable, FinTable, LinkageTable, StockTable
from tradestudy.study.value_text import mm

from .shared import LENGTH_TOLERANCE, Faults, given_twice, given_without
from .stock_geometry import foam_chord

_LEAST_STEP = 0.005  # m; smallest distance between two points of an elevon's outline, since strips lie between them
_LEAST_GAP = 0.01  # m; smallest distance between two fins, whose sheets must not lie in the same plane
_LEAST_FORK = 0.26  # rad, 15 deg; smallest angle between two fins at the same place
_STRAIGHT_KEYS = ("root_chord", "tip_chord", "inner_end", "outer_end")


def _elevon_is_given_once(elevon: ElevonTable, given: dict[str, Any]) -> Faults:
    """Yield an error if an elevon has both an outline and keys of a straight elevon, or its short form in [stock]."""
    if elevon.outline is None:
        return
    for key in _STRAIGHT_KEYS:
        if key in given["elevon"]:
            yield given_twice(("elevon", key), "elevon.outline")
    if "elevon_chord" in given.get("stock", {}):
        yield given_twice(("stock", "elevon_chord"), "elevon.outline")


def _outline_fits(stock: StockTable, elevon: ElevonTable) -> Faults:
    """Yield an error if the points of an elevon's outline do not run outward along the wing.

    At each point the chord of the elevon must not exceed the chord of the foam.
    """
    if elevon.outline is None:
        return
    semi_span = 0.5 * stock.span
    for index, ((first, _), (second, _)) in enumerate(pairwise(elevon.outline), start=1):
        place = ("elevon", "outline", index)
        if second < first:
            yield (
                place,
                f"lies {mm(second)} from the centre line, inside the one before ({mm(first)}); "
                "write the points from the inner to the outer end.",
            )
        elif second < first + _LEAST_STEP - LENGTH_TOLERANCE:
            yield (
                place,
                f"lies {mm(second)} from the centre line, the one before at {mm(first)}; "
                f"leave at least {mm(_LEAST_STEP)} between them, or remove one.",
            )
    for index, (station, chord) in enumerate(elevon.outline):
        place = ("elevon", "outline", index)
        if station > semi_span + LENGTH_TOLERANCE:
            yield (
                place,
                f"lies {mm(station)} from the centre line, beyond the tip: half of stock.span is {mm(semi_span)}.",
            )
        elif chord > foam_chord(stock, station) + LENGTH_TOLERANCE:
            yield place, f"has a chord of {mm(chord)}, wider than the foam there ({mm(foam_chord(stock, station))})."


def _elevon_fits(stock: StockTable, elevon: ElevonTable) -> Faults:
    """Yield an error if the ends of the elevon are wrong, or if it is thicker or wider than the foam."""
    semi_span = 0.5 * stock.span
    if elevon.thickness >= stock.root_thickness:
        yield (
            ("elevon", "thickness"),
            f"is {mm(elevon.thickness)}; it must be less than stock.root_thickness ({mm(stock.root_thickness)}).",
        )
    if elevon.outline is not None:
        return  # ends and chords come from the outline
    if elevon.inner_end >= elevon.outer_end:
        yield (
            ("elevon", "inner_end"),
            f"is {mm(elevon.inner_end)}; it must be less than elevon.outer_end ({mm(elevon.outer_end)}).",
        )
    if elevon.outer_end > semi_span + LENGTH_TOLERANCE:
        yield (
            ("elevon", "outer_end"),
            f"is {mm(elevon.outer_end)}, beyond the tip: half of stock.span is {mm(semi_span)}.",
        )
    for key in ("root_chord", "tip_chord"):
        chord, foam = getattr(elevon, key), getattr(stock, key)
        if chord > foam:
            yield ("elevon", key), f"is {mm(chord)}, wider than the foam there (stock.{key}, {mm(foam)})."


def _fins_fit(stock: StockTable, fin: tuple[FinTable, ...]) -> Faults:
    """Yield an error if a fin widens away from the wing, is taller than the semi-span, or lies beyond the tip."""
    semi_span = 0.5 * stock.span
    for index, one in enumerate(fin):
        for key in ("tip_chord", "tip_chord_below"):
            chord = getattr(one, key)
            if chord is not None and chord > one.root_chord + LENGTH_TOLERANCE:
                yield (
                    ("fin", index, key),
                    f"is {mm(chord)}, wider than its root_chord ({mm(one.root_chord)}). Are the two swapped?",
                )
        for key in ("height", "depth_below"):
            length = getattr(one, key) or 0.0
            if length > semi_span:
                yield ("fin", index, key), f"is {mm(length)}, more than {mm(semi_span)}, half of stock.span."
        if one.from_centre is not None and one.from_centre > semi_span - _LEAST_GAP:
            yield (
                ("fin", index, "from_centre"),
                f"is {mm(one.from_centre)}, at or beyond the tip: half of stock.span is {mm(semi_span)}. "
                "Leave it out for a fin on the tip.",
            )


def _fin_parts_have_shapes(fin: tuple[FinTable, ...]) -> Faults:
    """Yield an error if a fin has no part above or below the wing, or the shape of its lower part is incomplete."""
    for index, one in enumerate(fin):
        depth = one.depth_below or 0.0
        if one.height + depth < _LEAST_GAP:
            yield (
                ("fin", index, "height"),
                f"is {mm(one.height)} and depth_below is {mm(depth)}: too small for a fin. Remove the fin.",
            )
        for key in ("tip_chord_below", "set_back_below"):
            if getattr(one, key) is not None and not depth:
                yield ("fin", index, key), "is for the part below the wing; give depth_below too, or leave it out."
            if getattr(one, key) is None and depth > one.height + LENGTH_TOLERANCE:
                yield (
                    ("fin", index, key),
                    f"is missing: the part below the wing ({mm(depth)}) is longer than the one above "
                    f"({mm(one.height)}), so its shape must be given.",
                )


def _fins_keep_apart(stock: StockTable, fin: tuple[FinTable, ...]) -> Faults:
    """Yield an error if two fins occupy the same place."""
    stations = [0.5 * stock.span if one.from_centre is None else one.from_centre for one in fin]
    for (first, one), (second, other) in combinations(enumerate(fin), 2):
        fork = abs((one.cant or 0.0) - (other.cant or 0.0))
        if abs(stations[first] - stations[second]) < _LEAST_GAP and fork < _LEAST_FORK:
            yield (
                ("fin", second, "from_centre" if other.from_centre is not None else "height"),
                f"puts this fin where fin[{first + 1}] stands; leave {mm(_LEAST_GAP)} between the two, "
                f"or {from_si(_LEAST_FORK, 'deg', 'angle'):.0f} deg between their cants.",
            )


def _linkage_fits(linkage: LinkageTable, elevon: ElevonTable) -> Faults:
    """Yield an error if the measurements of the linkage are incomplete or too large.

    The give is the movement of the elevon under a weight, so give and weight belong together. Play and give must not
    exceed half the chord of the elevon.
    """
    for key, other in (("give", "give_weight"), ("give_weight", "give")):
        if getattr(linkage, key) is not None and getattr(linkage, other) is None:
            yield given_without(("linkage", key), f"linkage.{other}")
    chords = (elevon.root_chord, elevon.tip_chord) if elevon.outline is None else [chord for _, chord in elevon.outline]
    narrowest = min(chords)
    for key in ("play", "give"):
        moved = getattr(linkage, key)
        if moved is not None and moved > 0.5 * narrowest:
            yield (
                ("linkage", key),
                f"is {mm(moved)}, more than half the elevon's chord ({mm(narrowest)}). It is measured at the trailing "
                "edge, in mm.",
            )


SURFACE_CHECKS = (
    _elevon_is_given_once,
    _outline_fits,
    _elevon_fits,
    _fins_fit,
    _fin_parts_have_shapes,
    _fins_keep_apart,
    _linkage_fits,
)
