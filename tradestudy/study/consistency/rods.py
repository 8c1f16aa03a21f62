"""Rules for rods: straight stock that lies in the section, ends on the wing, and is not asked to bend."""

from __future__ import annotations

from itertools import combinations

from tradestudy.catalogue import catalogue_part
from tradestudy.physics.body import rod_limits
from tradestudy.study.schema.rods import RodTable
from tradestudy.study.schema.search import ChoicesTable
from tradestudy.study.schema.wing import ElevonTable, StockTable
from tradestudy.study.value_text import degrees, mm

from .shared import LENGTH_TOLERANCE, Faults
from .stock_geometry import foam_chord, leading_edge, likely_thickness, stock_rod, stock_thickness

_STRAIGHT_THROUGH = ("sleeve", "whole")  # values of at_centre with one straight line through both halves


def _rods_end_on_the_wing(stock: StockTable, rods: tuple[RodTable, ...]) -> Faults:
    """Yield an error if a rod ends beyond the tip, or its ends are in the wrong order."""
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


def _rods_meet_at_the_centre(stock: StockTable, rods: tuple[RodTable, ...]) -> Faults:
    """Yield an error if the rods of both halves cannot meet as at_centre says.

    A pultruded rod is straight stock. It turns no more at the centre line than its least bend radius allows.
    """
    for index, rod in enumerate(rods):
        if rod.inner_end >= rod.outer_end:
            continue  # _rods_end_on_the_wing reports it
        place = ("rods", index, "at_centre")
        if rod.at_centre in ("cross over", *_STRAIGHT_THROUGH) and rod.inner_end > LENGTH_TOLERANCE:
            yield (
                place,
                f'is "{rod.at_centre}", but its inner_end is {mm(rod.inner_end)}; such a rod starts at 0 mm. '
                'Write "lap" or "ends" for rods that end off the centre line.',
            )
        elif rod.at_centre in _STRAIGHT_THROUGH:
            turn = stock_rod(stock, rod).turn
            part = catalogue_part("rods", rod.material)
            strengths = [getattr(rod, key) or part[key] for key in ("tensile_strength", "compressive_strength")]
            radius = rod_limits.least_bend_radius(
                rod.youngs_modulus or part["youngs_modulus"], rod.diameter, min(strengths)
            )
            most = rod_limits.greatest_turn(radius)
            if turn > most:
                yield (
                    place,
                    f'is "{rod.at_centre}", but the two rods meet with a turn of {degrees(turn)}. A rod of '
                    f"{mm(rod.diameter)} {rod.material} may be bent to a radius of {mm(radius)} at least, so it "
                    f'turns by at most {degrees(most)} there. Write "lap" (a rod across the centre beside them), '
                    '"cross over" or "ends".',
                )


def _laps_fit(stock: StockTable, elevon: ElevonTable, rods: tuple[RodTable, ...]) -> Faults:
    """Yield an error if a lap has no effect, is longer than its rods, or its rod across the centre leaves the foam."""
    for index, rod in enumerate(rods):
        if rod.at_centre not in rod_limits.LAPPED:
            if rod.lap is not None:
                yield (
                    ("rods", index, "lap"),
                    f'has no effect with at_centre = "{rod.at_centre}"; it is for "lap" and "cross over".',
                )
            continue
        lap, key = (rod_limits.USUAL_LAP * rod.diameter, "at_centre") if rod.lap is None else (rod.lap, "lap")
        line = stock_rod(stock, rod)
        if lap >= line.length:
            yield (
                ("rods", index, key),
                f"gives a lap of {mm(lap)}, but each rod is only {mm(line.length)} long.",
            )
        elif rod.at_centre == "lap" and rod.diameter <= rod.slot_depth + LENGTH_TOLERANCE:
            station, needed = line.lap_end(lap), _depth_of_slots(rod)
            behind = line.across_x(rod.diameter) - leading_edge(stock, station)
            thickness = likely_thickness(stock, elevon, behind / foam_chord(stock, station), station)
            if needed >= thickness:
                yield (
                    ("rods", index, key),
                    f"gives a rod across the centre that ends {mm(station)} from the centre line, "
                    f"{mm(max(behind, 0.0))} behind the leading edge. The section there is at most {mm(thickness)} "
                    f"thick, and its slots need {mm(needed)}. Make lap shorter, or move the rods aft.",
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
    """Yield an error if the section is too thin for the slots of a rod, at a place on its straight line."""
    for index, rod in enumerate(rods):
        needed = _depth_of_slots(rod)
        if needed >= stock_thickness(stock, rod.outer_end) or rod.inner_end >= rod.outer_end:
            continue  # too thick at every place along the chord, or turned round, which other rules report
        line = stock_rod(stock, rod)
        tip = ("chord_fraction", rod.chord_fraction)
        if rod.tip_chord_fraction is not None:
            tip = ("tip_chord_fraction", rod.tip_chord_fraction)
        for (key, written), station in ((("chord_fraction", rod.chord_fraction), rod.inner_end), (tip, rod.outer_end)):
            behind = line.x_at(station) - leading_edge(stock, station)
            fraction = behind / foam_chord(stock, station)
            thickness = likely_thickness(stock, elevon, fraction, station)
            if needed >= thickness:
                straight_on = (
                    "" if abs(fraction - written) < 5e-3 else f" (the straight rod is at {fraction:.2f} there)"
                )
                yield (
                    ("rods", index, key),
                    f"is {written:g}{straight_on}: there, {mm(station)} from the centre line, the section is at most "
                    f"{mm(thickness)} thick, and the rods in their slots need {mm(needed)}.",
                )
                break


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
    """Yield an error if two sets of rods overlap: near the same skin, in one place, over a common part of the span."""
    for (first, one), (second, other) in combinations(enumerate(rods), 2):
        inner, outer = max(one.inner_end, other.inner_end), min(one.outer_end, other.outer_end)
        if inner >= outer - LENGTH_TOLERANCE or not _sides(one) & _sides(other):
            continue
        lines = [stock_rod(stock, rod) for rod in (one, other)]
        distances = [lines[0].x_at(station) - lines[1].x_at(station) for station in (inner, outer)]
        if distances[0] * distances[1] < 0 or min(map(abs, distances)) < 0.5 * (one.diameter + other.diameter):
            yield (
                ("rods", second, "chord_fraction"),
                f"is {other.chord_fraction:g}: between {mm(inner)} and {mm(outer)} from the centre line these rods "
                f'meet rods[{first + 1}] ("{one.name}"). For two rods side by side in one set, write pairs = 2.',
            )


def _sides(rod: RodTable) -> set[str]:
    return {"top", "bottom"} if rod.surface == "both" else {rod.surface}


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
        elif rod.crosses_bay is not None and rod.at_centre == "ends":
            yield ("rods", index, "crosses_bay"), f'is "{rod.crosses_bay}", but at_centre is "ends"; leave it out.'


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
    """Yield an error for rods to try in a wing without any, and for a diameter too large for its tip or first slot."""
    if not rods:
        for key in ("rod_diameter", "rod_pairs"):
            if getattr(choices, key):
                yield (
                    ("choices", key),
                    "needs [[rods]]: the stock wing has none, so there is no place for those to try.",
                )
        return
    thinnest = stock_thickness(stock, 0.5 * stock.span)
    for index, diameter in enumerate(choices.rod_diameter or ()):
        if 2 * diameter >= thinnest:
            yield (
                ("choices", "rod_diameter", index),
                f"is {mm(diameter)}: a top and a bottom rod do not fit into the tip, which is {mm(thinnest)} thick.",
            )
        elif diameter > rods[0].slot_depth + LENGTH_TOLERANCE:
            yield (
                ("choices", "rod_diameter", index),
                f"is {mm(diameter)}, but rods[1].slot_depth is only {mm(rods[0].slot_depth)}.",
            )


ROD_CHECKS = (
    _rods_end_on_the_wing,
    _rods_meet_at_the_centre,
    _laps_fit,
    _rods_fit_the_foam,
    _rods_lie_in_the_section,
    _tubes_have_walls,
    _rods_do_not_meet,
    _rods_cross_bays,
    _splices_hold_both_ends,
    _rod_choices_fit,
)
