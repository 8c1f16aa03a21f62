"""What must fit of elevons and fins: ends in order, on the wing, no bigger than what they hang or stand on."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise
from typing import Any

from tradestudy.quantities import from_si
from tradestudy.study.line_numbers import Place
from tradestudy.study.schema.search import FlyTable
from tradestudy.study.schema.wing import ElevonTable, FinTable, LinkageTable, StockTable
from tradestudy.study.value_text import mm

Broken = Iterator[tuple[Place, str]]

SLACK = 1e-6  # m, rad: text in inches and text in millimetres may differ in the last digit
LEAST_STEP = 0.005  # m; between two points of an elevon's outline: strips must fit between them
LEAST_GAP = 0.01  # m; between two fins: their sheets must not lie in one plane
LEAST_FORK = 0.26  # rad, 15 deg; between two fins on one foot
STRAIGHT_KEYS = ("root_chord", "tip_chord", "inner_end", "outer_end")


def elevon_is_told_once(elevon: ElevonTable, given: dict[str, Any]) -> Broken:
    """An outline stands instead of the four keys of a straight elevon, and of the short one."""
    if elevon.outline is None:
        return
    for key in STRAIGHT_KEYS:
        if key in given["elevon"]:
            yield ("elevon", key), "stands beside elevon.outline, which says the same; leave one of the two out."
    if "elevon_chord" in given.get("stock", {}):
        yield ("stock", "elevon_chord"), "stands beside elevon.outline, which says the same; leave one of the two out."


def outline_fits(stock: StockTable, elevon: ElevonTable) -> Broken:
    """The points of an elevon's outline run outward, on the wing, none deeper than the foam there."""
    if elevon.outline is None:
        return
    semi_span = 0.5 * stock.span
    for index, ((first, _), (second, _)) in enumerate(pairwise(elevon.outline), start=1):
        if second < first:
            yield (
                ("elevon", "outline", index),
                (
                    f"lies {mm(second)} from the centre line, inside the one before ({mm(first)}); "
                    "write the points from the inner to the outer end."
                ),
            )
        elif second < first + LEAST_STEP - SLACK:
            yield (
                ("elevon", "outline", index),
                (
                    f"lies {mm(second)} from the centre line, the one before {mm(first)}; "
                    f"leave {mm(LEAST_STEP)} between them, or take one out."
                ),
            )
    for index, (station, chord) in enumerate(elevon.outline):
        if station > semi_span + SLACK:
            yield (
                ("elevon", "outline", index),
                (f"lies {mm(station)} from the centre line, beyond the tip: half of stock.span is {mm(semi_span)}."),
            )
        elif chord > foam_chord(stock, station) + SLACK:
            yield (
                ("elevon", "outline", index),
                (f"is {mm(chord)} deep, wider than the foam it hangs on ({mm(foam_chord(stock, station))} there)."),
            )


def foam_chord(stock: StockTable, station: float) -> float:
    """Return the foam chord of the stock wing at a station. [m]"""
    start = 0.5 * stock.centre_width
    share = max(0.0, (station - start) / (0.5 * stock.span - start))
    return stock.root_chord + (stock.tip_chord - stock.root_chord) * share


def elevon_fits(stock: StockTable, elevon: ElevonTable) -> Broken:
    """Elevon ends in order, on the wing; no bigger than the foam it hangs on."""
    semi_span = 0.5 * stock.span
    if elevon.thickness >= stock.root_thickness:
        yield (
            ("elevon", "thickness"),
            (f"is {mm(elevon.thickness)}; the whole section is stock.root_thickness ({mm(stock.root_thickness)})."),
        )
    if elevon.outline is not None:
        return  # its ends and chords come from there
    if elevon.inner_end >= elevon.outer_end:
        yield (
            ("elevon", "inner_end"),
            (f"is {mm(elevon.inner_end)}; it must be less than elevon.outer_end ({mm(elevon.outer_end)})."),
        )
    if elevon.outer_end > semi_span + SLACK:
        yield (
            ("elevon", "outer_end"),
            (f"is {mm(elevon.outer_end)}, beyond the tip: half of stock.span is {mm(semi_span)}."),
        )
    for key in ("root_chord", "tip_chord"):
        if getattr(elevon, key) > getattr(stock, key):
            yield (
                ("elevon", key),
                (
                    f"is {mm(getattr(elevon, key))}, wider than the foam it hangs on (stock.{key}, "
                    f"{mm(getattr(stock, key))})."
                ),
            )


def fins_fit(stock: StockTable, fin: tuple[FinTable, ...]) -> Broken:
    """Fins taper away from the wing, are no taller than a half wing is long, and stand on the wing."""
    semi_span = 0.5 * stock.span
    for index, one in enumerate(fin):
        for key in ("tip_chord", "tip_chord_below"):
            chord = getattr(one, key)
            if chord is not None and chord > one.root_chord + SLACK:
                yield (
                    ("fin", index, key),
                    (f"is {mm(chord)}, wider than its root_chord ({mm(one.root_chord)}). Are the two swapped?"),
                )
        for key in ("height", "depth_below"):
            length = getattr(one, key) or 0.0
            if length > semi_span:
                yield (
                    ("fin", index, key),
                    (f"is {mm(length)}, taller than half of stock.span ({mm(semi_span)}) is long."),
                )
        if one.from_centre is not None and one.from_centre > semi_span - LEAST_GAP:
            yield (
                ("fin", index, "from_centre"),
                (
                    f"is {mm(one.from_centre)}, at or beyond the tip: half of stock.span is {mm(semi_span)}. "
                    "Leave it out for a fin on the tip."
                ),
            )


def fins_have_two_parts(fin: tuple[FinTable, ...]) -> Broken:
    """A fin has a part above the wing or below it, and what is below has a shape."""
    for index, one in enumerate(fin):
        depth = one.depth_below or 0.0
        if one.height + depth < LEAST_GAP:
            yield (
                ("fin", index, "height"),
                (f"is {mm(one.height)} and depth_below {mm(depth)}: nothing is left of it. Take the fin out."),
            )
        for key in ("tip_chord_below", "set_back_below"):
            if getattr(one, key) is not None and not depth:
                yield ("fin", index, key), "is for the part below the wing; give depth_below too, or leave it out."
            if getattr(one, key) is None and depth > one.height + SLACK:
                yield (
                    ("fin", index, key),
                    (
                        f"is missing: the part below reaches farther ({mm(depth)}) than the one above "
                        f"({mm(one.height)}), so its shape does not follow from it."
                    ),
                )


def fins_keep_apart(stock: StockTable, fin: tuple[FinTable, ...]) -> Broken:
    """Two fins do not stand in one another."""
    places = [0.5 * stock.span if one.from_centre is None else one.from_centre for one in fin]
    for (first, one), (second, other) in combinations(enumerate(fin), 2):
        fork = abs((one.cant or 0.0) - (other.cant or 0.0))
        if abs(places[first] - places[second]) < LEAST_GAP and fork < LEAST_FORK:
            yield (
                ("fin", second, "from_centre" if other.from_centre is not None else "height"),
                (
                    f"belongs to a fin that stands where fin[{first + 1}] does; leave {mm(LEAST_GAP)} between the two, "
                    f"or {from_si(LEAST_FORK, 'deg', 'angle'):.0f} deg between their cants."
                ),
            )


def linkage_is_told_whole(linkage: LinkageTable | None, elevon: ElevonTable) -> Broken:
    """A give comes with its weight; an elevon wags less than it is wide."""
    if linkage is None:
        return
    for key, other in (("give", "give_weight"), ("give_weight", "give")):
        if getattr(linkage, key) is not None and getattr(linkage, other) is None:
            yield ("linkage", key), f"is given without linkage.{other}; one says nothing without the other."
    narrow = (
        min(elevon.root_chord, elevon.tip_chord)
        if elevon.outline is None
        else min(chord for _, chord in elevon.outline)
    )
    for key in ("play", "give"):
        moved = getattr(linkage, key)
        if moved is not None and moved > 0.5 * narrow:
            yield (
                ("linkage", key),
                (
                    f"is {mm(moved)}, more than half as much as the elevon is wide ({mm(narrow)}). It is counted at the "
                    "trailing edge, in mm."
                ),
            )


def speed_flown_is_no_faster_than_allowed(fly: FlyTable) -> Broken:
    """Nobody has flown faster than the study says is ever flown."""
    if fly.fastest_flown is not None and fly.fastest_flown > fly.never_exceed_speed:
        flown, never = (from_si(speed, "km/h", "speed") for speed in (fly.fastest_flown, fly.never_exceed_speed))
        yield (
            ("fly", "fastest_flown"),
            (f"is {flown:.0f} km/h, faster than fly.never_exceed_speed ({never:.0f} km/h), which no flight ever is."),
        )


RULES = (
    linkage_is_told_whole,
    speed_flown_is_no_faster_than_allowed,
    elevon_is_told_once,
    outline_fits,
    elevon_fits,
    fins_fit,
    fins_have_two_parts,
    fins_keep_apart,
)
