"""What must fit of rods and bays: places in the section, ends, tubes, what crosses a bay."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from tradestudy.study.line_numbers import Place
from tradestudy.study.schema.wing import (
    BayTable,
    CoveringTable,
    ElevonTable,
    FoamTable,
    PocketTable,
    RodTable,
    StockTable,
)
from tradestudy.study.value_text import mm

Broken = Iterator[tuple[Place, str]]

SLACK = 1e-6  # m: text in inches and text in millimetres may differ in the last digit
# A section may be this much thicker at a rod, for its greatest thickness, than the four-digit form below: what lies
# beyond is refused, what lies between is flagged with the section itself at hand. Judgement.
THICKER_AT_MOST = 1.25


def thickness_share(place: float) -> float:
    """Return thickness over greatest thickness at a place along the chord: four-digit form (NACA Report 460). [-]"""
    return (2.969 * place**0.5 - 1.26 * place - 3.516 * place**2 + 2.843 * place**3 - 1.015 * place**4) / 1.0006


def rods_lie_in_the_section(stock: StockTable, elevon: ElevonTable, rods: tuple[RodTable, ...]) -> Broken:
    """There is room for the slots at the chord fractions that rods are laid at, root and tip."""
    for index, rod in enumerate(rods):
        needed = _room(rod)
        if needed >= thickness_at(stock, rod.outer_end):
            continue  # nowhere along the chord: `rules.rods_fit` says so
        for key, station in (("chord_fraction", rod.inner_end), ("tip_chord_fraction", rod.outer_end)):
            fraction = getattr(rod, key)
            if fraction is None:
                key, fraction = "chord_fraction", rod.chord_fraction
            share = thickness_share(fraction * _foam_share(stock, elevon, station))
            here = thickness_at(stock, station) * min(THICKER_AT_MOST * share, 1.0)
            if needed >= here:
                yield (
                    ("rods", index, key),
                    (
                        f"is {fraction:g}: {mm(station)} from the centre line the section is hardly {mm(here)} thick "
                        f"there, and the rods in their slots take {mm(needed)}."
                    ),
                )
                break


def thickness_at(stock: StockTable, station: float) -> float:
    """Return the section's greatest thickness [m] at ``station`` [m]: straight from the root's to the tip's.

    Where the tip was not measured it is as thick for its chord as the root.
    """
    tip = stock.tip_thickness or stock.root_thickness * stock.tip_chord / stock.root_chord
    return stock.root_thickness + _panel_share(stock, station) * (tip - stock.root_thickness)


def _panel_share(stock: StockTable, station: float) -> float:
    """Return how far a station [m] lies along the panel, 0 at its root, 1 at its tip. [-]"""
    centre = 0.5 * stock.centre_width
    return min(max((station - centre) / max(0.5 * stock.span - centre, SLACK), 0.0), 1.0)


def _foam_chord(stock: StockTable, station: float) -> float:
    return stock.root_chord + _panel_share(stock, station) * (stock.tip_chord - stock.root_chord)


def _foam_share(stock: StockTable, elevon: ElevonTable, station: float) -> float:
    """Return foam over the chord that the airfoil covers. [-]"""
    foam = _foam_chord(stock, station)
    behind = elevon.root_chord + _panel_share(stock, station) * (elevon.tip_chord - elevon.root_chord)
    return foam / (foam + behind) if stock.airfoil_covers == "whole" else 1.0


def _room(rod: RodTable) -> float:
    """Thickness that a set of rods takes up. [m]"""
    deep = max(rod.slot_depth, rod.diameter)
    return {"both": 2.0 * deep, "middle": rod.diameter}.get(rod.surface, deep)


def tubes_have_walls(rods: tuple[RodTable, ...]) -> Broken:
    """A tube is wider outside than inside."""
    for index, rod in enumerate(rods):
        if rod.inside_diameter is not None and rod.inside_diameter >= rod.diameter - SLACK:
            yield (
                ("rods", index, "inside_diameter"),
                (f"is {mm(rod.inside_diameter)}; it must be less than the diameter ({mm(rod.diameter)})."),
            )


def rods_do_not_share_a_place(rods: tuple[RodTable, ...], stock: StockTable) -> Broken:
    """Two sets do not lie in one slot: near one skin, at one chord fraction, over the same stretch of span."""
    for (first, one), (second, other) in combinations(enumerate(rods), 2):
        inner, outer = max(one.inner_end, other.inner_end), min(one.outer_end, other.outer_end)
        if inner >= outer - SLACK or not _sides(one) & _sides(other):
            continue
        apart = [_place(one, station) - _place(other, station) for station in (inner, outer)]
        chord = [_foam_chord(stock, station) for station in (inner, outer)]
        room = 0.5 * (one.diameter + other.diameter)
        if apart[0] * apart[1] < 0 or any(abs(gap) * width < room for gap, width in zip(apart, chord, strict=True)):
            yield (
                ("rods", second, "chord_fraction"),
                (
                    f"is {other.chord_fraction:g}: between {mm(inner)} and {mm(outer)} from the centre line these rods "
                    f'run into rods[{first + 1}] ("{one.name}"). Two side by side in one set are pairs = 2.'
                ),
            )


def _sides(rod: RodTable) -> set[str]:
    return {"top", "bottom"} if rod.surface == "both" else {rod.surface}


def _place(rod: RodTable, station: float) -> float:
    """Chord fraction of a rod at a station. [-]"""
    tip = rod.chord_fraction if rod.tip_chord_fraction is None else rod.tip_chord_fraction
    return rod.chord_fraction + (tip - rod.chord_fraction) * (station - rod.inner_end) / (rod.outer_end - rod.inner_end)


def rods_cross_bays_as_they_can(rods: tuple[RodTable, ...]) -> Broken:
    """Only rods near the bottom can lie on a bay's floor; a rod that is cut at the centre crosses nothing."""
    for index, rod in enumerate(rods):
        if rod.crosses_bay == "on floor" and rod.surface != "bottom":
            yield (
                ("rods", index, "crosses_bay"),
                (
                    f'is "on floor", but surface is "{rod.surface}": only rods near the bottom lie on the floor. '
                    'Give those a set of their own, or say "on divider" where a board carries them across.'
                ),
            )
        elif rod.crosses_bay is not None and not rod.crosses_centre:
            yield (
                ("rods", index, "crosses_bay"),
                (f'is "{rod.crosses_bay}", but crosses_centre is false; leave it out.'),
            )


def splices_hold_both_ends(rods: tuple[RodTable, ...]) -> Broken:
    """A splice is longer than it is thick."""
    for index, rod in enumerate(rods):
        if rod.splice_length is not None and rod.splice_length < 2 * rod.diameter:
            yield (
                ("rods", index, "splice_length"),
                (
                    f"is {mm(rod.splice_length)}, less than two diameters ({mm(rod.diameter)} each); "
                    "20 to 30 diameters are common practice."
                ),
            )


def bays_are_of_the_centre(stock: StockTable, bay: tuple[BayTable, ...]) -> Broken:
    """Bays are no wider than half the wing."""
    for index, one in enumerate(bay):
        if one.width > 0.5 * stock.span:
            yield (
                ("bay", index, "width"),
                (
                    f"is {mm(one.width)}, more than half of stock.span ({mm(stock.span)}); it is counted left to right. "
                    "Are width and length swapped?"
                ),
            )


def pockets_fit_the_foam(stock: StockTable, pocket: tuple[PocketTable, ...]) -> Broken:
    """Holes end inside the panel's foam."""
    for index, one in enumerate(pocket):
        outer = one.from_centre + 0.5 * one.along_span
        if outer > 0.5 * stock.span + SLACK or one.from_centre < 0.5 * one.along_span - SLACK:
            yield (
                ("pocket", index, "from_centre"),
                (
                    f"is {mm(one.from_centre)}; {mm(one.along_span)} wide, the hole reaches beyond the tip or the centre "
                    f"line (half of stock.span is {mm(0.5 * stock.span)})."
                ),
            )
            continue
        chord, thick = _foam_chord(stock, outer), thickness_at(stock, one.from_centre)
        if one.from_leading_edge + one.length > chord:
            yield (
                ("pocket", index, "length"),
                (
                    f"is {mm(one.length)}, from {mm(one.from_leading_edge)} behind the leading edge: the foam is "
                    f"{mm(chord)} deep there."
                ),
            )
        if one.depth > thick:
            yield ("pocket", index, "depth"), f"is {mm(one.depth)}; the section is at most {mm(thick)} thick there."


def measured_moduli_fit(foam: FoamTable, covering: CoveringTable) -> Broken:
    """No isotropic material has a shear modulus above half its modulus, or below a quarter of it."""
    for table, told in (("foam", foam), ("covering", covering)):
        if told.shear_modulus is None or told.youngs_modulus is None:
            continue
        if not told.youngs_modulus / 4 <= told.shear_modulus <= told.youngs_modulus / 1.8:
            yield (
                (table, "shear_modulus"),
                (
                    f"is {1e-6 * told.shear_modulus:.3g} MPa beside a youngs_modulus of {1e-6 * told.youngs_modulus:.3g} "
                    "MPa; in foam and film it is a third to a half of it. Leave it out and it follows."
                ),
            )


RULES = (
    rods_lie_in_the_section,
    tubes_have_walls,
    rods_do_not_share_a_place,
    rods_cross_bays_as_they_can,
    splices_hold_both_ends,
    bays_are_of_the_centre,
    pockets_fit_the_foam,
    measured_moduli_fit,
)
