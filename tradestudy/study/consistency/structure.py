"""Rules for rods, joiner, bays and pockets. They must lie in the section, end on the wing, and keep apart."""

from __future__ import annotations

from itertools import combinations

from tradestudy.study.schema.search import ChoicesTable
from tradestudy.study.schema.wing import (
    BayTable,
    CoveringTable,
    ElevonTable,
    FoamTable,
    JoinerTable,
    PocketTable,
    RodTable,
    StockTable,
)
from tradestudy.study.value_text import mm

from .shared import LENGTH_TOLERANCE, Faults, repeated_names
from .stock_geometry import foam_chord, panel_fraction, stock_thickness

# Here the true section is not known, only its greatest thickness. At a rod it may be thicker than the four-digit form
# below by this factor at most. Rods that need more are refused. Smaller excesses are flagged later, when the section
# is known. The factor is a judgement.
_THICKER_AT_MOST = 1.25


def _rods_end_on_the_wing(stock: StockTable, rods: tuple[RodTable, ...]) -> Faults:
    """Yield an error if a rod ends beyond the tip, or its ends are in the wrong order.

    A rod that crosses the centre must start on the centre line.
    """
    semi_span = 0.5 * stock.span
    for index, rod in enumerate(rods):
        if rod.outer_end > semi_span + LENGTH_TOLERANCE:
            yield (
                ("rods", index, "outer_end"),
                f"is {mm(rod.outer_end)}, beyond the tip: half of stock.span is {mm(semi_span)}.",
            )
        if rod.inner_end >= rod.outer_end:
            yield (
                ("rods", index, "inner_end"),
                f"is {mm(rod.inner_end)}; it must be less than its outer_end ({mm(rod.outer_end)}).",
            )
        if rod.crosses_centre and rod.inner_end > LENGTH_TOLERANCE:
            yield (
                ("rods", index, "crosses_centre"),
                f"is true, but its inner_end is {mm(rod.inner_end)}; a rod that crosses the centre starts at 0 mm.",
            )


def _rods_fit_the_foam(stock: StockTable, rods: tuple[RodTable, ...]) -> Faults:
    """Yield an error if a rod is thicker than its slot, or its slots leave no foam at the outer end of the rod."""
    for index, rod in enumerate(rods):
        if rod.surface != "middle" and rod.diameter > rod.slot_depth + LENGTH_TOLERANCE:
            yield (
                ("rods", index, "diameter"),
                f"is {mm(rod.diameter)}, but its slot is only {mm(rod.slot_depth)} deep (slot_depth).",
            )
        thickness = stock_thickness(stock, min(rod.outer_end, 0.5 * stock.span))
        if rod.surface == "both" and _depth_of_slots(rod) >= thickness:
            yield (
                ("rods", index, "slot_depth"),
                f"is {mm(rod.slot_depth)}: a top and a bottom slot do not fit into the {mm(thickness)} of foam at the "
                "rod's outer end.",
            )
        elif rod.surface != "both" and rod.diameter >= thickness:
            yield (
                ("rods", index, "diameter"),
                f"is {mm(rod.diameter)}; the foam at the rod's outer end is only {mm(thickness)} thick.",
            )


def _rods_lie_in_the_section(stock: StockTable, elevon: ElevonTable, rods: tuple[RodTable, ...]) -> Faults:
    """Yield an error if the section is too thin for the slots of a rod, at its chord fraction at either end."""
    for index, rod in enumerate(rods):
        needed = _depth_of_slots(rod)
        if needed >= stock_thickness(stock, rod.outer_end):
            continue  # too thick at every place along the chord, which _rods_fit_the_foam reports
        for key, station in (("chord_fraction", rod.inner_end), ("tip_chord_fraction", rod.outer_end)):
            fraction = getattr(rod, key)
            if fraction is None:
                key, fraction = "chord_fraction", rod.chord_fraction
            share = _thickness_share(fraction * _foam_share(stock, elevon, station))
            thickness = stock_thickness(stock, station) * min(_THICKER_AT_MOST * share, 1.0)
            if needed >= thickness:
                yield (
                    ("rods", index, key),
                    f"is {fraction:g}: there, {mm(station)} from the centre line, the section is at most "
                    f"{mm(thickness)} thick, and the rods in their slots need {mm(needed)}.",
                )
                break


def _thickness_share(place: float) -> float:
    """Return the thickness at a place along the chord, divided by the greatest thickness. [-]

    ``place`` is the distance from the leading edge, as a share of the chord. Four-digit form (NACA Report 460).
    """
    return (2.969 * place**0.5 - 1.26 * place - 3.516 * place**2 + 2.843 * place**3 - 1.015 * place**4) / 1.0006


def _foam_share(stock: StockTable, elevon: ElevonTable, station: float) -> float:
    """Return the foam chord at a station [m], divided by the chord of the airfoil. [-]"""
    foam = foam_chord(stock, station)
    behind = elevon.root_chord + panel_fraction(stock, station) * (elevon.tip_chord - elevon.root_chord)
    return foam / (foam + behind) if stock.airfoil_covers == "whole" else 1.0


def _depth_of_slots(rod: RodTable) -> float:
    """Return the total depth of the slots of a set of rods at one place of the section. [m]"""
    deep = max(rod.slot_depth, rod.diameter)
    return {"both": 2.0 * deep, "middle": rod.diameter}.get(rod.surface, deep)


def _tubes_have_walls(rods: tuple[RodTable, ...]) -> Faults:
    """Yield an error if the inside diameter of a tube is not less than its outside diameter."""
    for index, rod in enumerate(rods):
        if rod.inside_diameter is not None and rod.inside_diameter >= rod.diameter - LENGTH_TOLERANCE:
            yield (
                ("rods", index, "inside_diameter"),
                f"is {mm(rod.inside_diameter)}; it must be less than the diameter ({mm(rod.diameter)}).",
            )


def _rods_do_not_meet(rods: tuple[RodTable, ...], stock: StockTable) -> Faults:
    """Yield an error if two sets of rods overlap.

    They overlap if they are near the same skin, at the same chord fraction, over a common part of the span.
    """
    for (first, one), (second, other) in combinations(enumerate(rods), 2):
        inner, outer = max(one.inner_end, other.inner_end), min(one.outer_end, other.outer_end)
        if inner >= outer - LENGTH_TOLERANCE or not _sides(one) & _sides(other):
            continue
        distances = [
            (_chord_fraction(one, station) - _chord_fraction(other, station)) * foam_chord(stock, station)
            for station in (inner, outer)
        ]
        if distances[0] * distances[1] < 0 or min(map(abs, distances)) < 0.5 * (one.diameter + other.diameter):
            yield (
                ("rods", second, "chord_fraction"),
                f"is {other.chord_fraction:g}: between {mm(inner)} and {mm(outer)} from the centre line these rods "
                f'meet rods[{first + 1}] ("{one.name}"). For two rods side by side in one set, write pairs = 2.',
            )


def _sides(rod: RodTable) -> set[str]:
    return {"top", "bottom"} if rod.surface == "both" else {rod.surface}


def _chord_fraction(rod: RodTable, station: float) -> float:
    """Return the chord fraction of a rod at a station. [-]"""
    tip = rod.chord_fraction if rod.tip_chord_fraction is None else rod.tip_chord_fraction
    return rod.chord_fraction + (tip - rod.chord_fraction) * (station - rod.inner_end) / (rod.outer_end - rod.inner_end)


def _rods_cross_bays(rods: tuple[RodTable, ...]) -> Faults:
    """Yield an error if rods do not fit the bays.

    Only rods near the bottom can lie on the floor of a bay. A rod that is cut at the centre cannot cross a bay.
    """
    for index, rod in enumerate(rods):
        if rod.crosses_bay == "on floor" and rod.surface != "bottom":
            yield (
                ("rods", index, "crosses_bay"),
                f'is "on floor", but surface is "{rod.surface}": only rods near the bottom lie on the floor. '
                'Make those a set of their own, or write "on divider" if a board carries them across.',
            )
        elif rod.crosses_bay is not None and not rod.crosses_centre:
            yield ("rods", index, "crosses_bay"), f'is "{rod.crosses_bay}", but crosses_centre is false; leave it out.'


def _splices_hold_both_ends(rods: tuple[RodTable, ...]) -> Faults:
    """Yield an error if a splice is not longer than it is thick."""
    for index, rod in enumerate(rods):
        if rod.splice_length is not None and rod.splice_length < 2 * rod.diameter:
            yield (
                ("rods", index, "splice_length"),
                f"is {mm(rod.splice_length)}, less than two diameters ({mm(rod.diameter)} each); "
                "20 to 30 diameters are common practice.",
            )


def _rod_choices_fit(stock: StockTable, choices: ChoicesTable, rods: tuple[RodTable, ...]) -> Faults:
    """Yield an error if a rod diameter to try is too large for the tip, or for the slot of the first rods."""
    thinnest = stock_thickness(stock, 0.5 * stock.span)
    for index, diameter in enumerate(choices.rod_diameter or ()):
        if 2 * diameter >= thinnest:
            yield (
                ("choices", "rod_diameter", index),
                f"is {mm(diameter)}: a top and a bottom rod do not fit into the tip, which is {mm(thinnest)} thick.",
            )
        elif rods and diameter > rods[0].slot_depth + LENGTH_TOLERANCE:
            yield (
                ("choices", "rod_diameter", index),
                f"is {mm(diameter)}, but rods[1].slot_depth is only {mm(rods[0].slot_depth)}.",
            )


def _joiner_fits(stock: StockTable, joiner: JoinerTable) -> Faults:
    """Yield an error if the joiner is longer than the span, or as thick as the root section."""
    if joiner.length > stock.span + LENGTH_TOLERANCE:
        yield ("joiner", "length"), f"is {mm(joiner.length)}, longer than stock.span ({mm(stock.span)})."
    if joiner.diameter >= stock.root_thickness:
        yield (
            ("joiner", "diameter"),
            f"is {mm(joiner.diameter)}; the section is only stock.root_thickness ({mm(stock.root_thickness)}) thick.",
        )


def _bays_fit(stock: StockTable, bay: tuple[BayTable, ...]) -> Faults:
    """Yield an error if a bay reaches behind the foam, is deeper than the root section, or is too wide."""
    for index, one in enumerate(bay):
        if one.from_nose + one.length > stock.root_chord + LENGTH_TOLERANCE:
            yield (
                ("bay", index, "length"),
                f"is {mm(one.length)}: the bay would end {mm(one.from_nose + one.length)} from the nose, "
                f"behind the foam (stock.root_chord, {mm(stock.root_chord)}).",
            )
        if one.depth > stock.root_thickness + LENGTH_TOLERANCE:
            yield (
                ("bay", index, "depth"),
                f"is {mm(one.depth)}, deeper than stock.root_thickness ({mm(stock.root_thickness)}).",
            )
        if one.width > 0.5 * stock.span:
            yield (
                ("bay", index, "width"),
                f"is {mm(one.width)}, more than half of stock.span ({mm(stock.span)}); it is measured from left to "
                "right. Are width and length swapped?",
            )


def _pockets_fit_the_foam(stock: StockTable, pocket: tuple[PocketTable, ...]) -> Faults:
    """Yield an error if a pocket does not end inside the foam of the panel."""
    for index, one in enumerate(pocket):
        outer = one.from_centre + 0.5 * one.along_span
        if outer > 0.5 * stock.span + LENGTH_TOLERANCE or one.from_centre < 0.5 * one.along_span - LENGTH_TOLERANCE:
            yield (
                ("pocket", index, "from_centre"),
                f"is {mm(one.from_centre)}; with an along_span of {mm(one.along_span)} the hole reaches beyond the tip "
                f"or the centre line (half of stock.span is {mm(0.5 * stock.span)}).",
            )
            continue
        chord, thickness = foam_chord(stock, outer), stock_thickness(stock, one.from_centre)
        if one.from_leading_edge + one.length > chord:
            yield (
                ("pocket", index, "length"),
                f"is {mm(one.length)}, from {mm(one.from_leading_edge)} behind the leading edge; the foam chord there "
                f"is {mm(chord)}.",
            )
        if one.depth > thickness:
            yield (
                ("pocket", index, "depth"),
                f"is {mm(one.depth)}; the section is at most {mm(thickness)} thick there.",
            )


def _bay_and_rod_names_differ(bay: tuple[BayTable, ...], rods: tuple[RodTable, ...]) -> Faults:
    """Yield an error if two bays, or two sets of rods, have the same name."""
    yield from repeated_names("bay", bay)
    yield from repeated_names("rods", rods)


def _measured_moduli_fit(foam: FoamTable, covering: CoveringTable) -> Faults:
    """Yield an error if a measured shear modulus does not fit the measured Young's modulus.

    No isotropic material has a shear modulus above half or below a quarter of its Young's modulus.
    """
    for name, table in (("foam", foam), ("covering", covering)):
        if table.shear_modulus is None or table.youngs_modulus is None:
            continue
        if not table.youngs_modulus / 4 <= table.shear_modulus <= table.youngs_modulus / 1.8:
            yield (
                (name, "shear_modulus"),
                f"is {1e-6 * table.shear_modulus:.3g} MPa with a youngs_modulus of {1e-6 * table.youngs_modulus:.3g} "
                "MPa; in foam and film it is a third to a half of that. If it is left out, it is worked out.",
            )


STRUCTURE_CHECKS = (
    _rods_end_on_the_wing,
    _rods_fit_the_foam,
    _rods_lie_in_the_section,
    _tubes_have_walls,
    _rods_do_not_meet,
    _rods_cross_bays,
    _splices_hold_both_ends,
    _rod_choices_fit,
    _joiner_fits,
    _bays_fit,
    _pockets_fit_the_foam,
    _bay_and_rod_names_differ,
    _measured_moduli_fit,
)
