"""The words of the build sheet: table rows and sentences about one wing, in the order in which it is built."""

from __future__ import annotations

from tradestudy.quantities import sold
from tradestudy.report.body_slots import places_of, slots_of
from tradestudy.report.words.phrases import (
    Rows,
    choice_words,
    comma_list,
    design_number,
    number_text,
    rod_as_sold,
)
from tradestudy.report.work_order.kept_panels import NONE_KEPT, KeptParts, kept_rod_words
from tradestudy.results.cutting import Cutting, Mark, RodSet
from tradestudy.results.design import Design
from tradestudy.results.result import Result

CORE_HEADS = (
    "Foam",
    "Pieces",
    "Inner and outer template",
    "Span of one [mm]",
    "Sweep-back over its span [mm]",
    "Block, span x chord x height [mm]",
    "",
)
ROD_HEADS = ("Rod", "Pieces", "Cut to [mm]", "Lies in")
STOCK_HEADS = ("Length sold", "Cut from it [mm]")
JIG_HEADS = ("Section", "Front block [mm]", "behind its leading edge [mm]", "Block under the hinge [mm]")
STATION_HEADS = (
    "From centre line",
    "Leading edge behind nose",
    "ahead of root trailing edge",
    "Hinge behind nose",
    "Trailing edge behind nose",
    "behind root trailing edge",
    "Foam chord",
    "Elevon chord",
)
PLACE_HEADS = ("Item", "Behind the nose [mm]", "Ahead of the root trailing edge [mm]")
THROW_HEADS = ("Stick", "At the trailing edge [mm]", "Angle [deg]", "Source")
MASS_HEADS = ("Item", "Should weigh [g]", "Weighed [g]")
_BLANK = "________"
BARE_JOINT = "No rod crosses this joint: glue, foam and film alone carry it. Lay rods across it."
_COMMON = "common practice, no source"
# how the rods of both halves meet -> sentence
_AT_CENTRE = {
    "lap": "{name}: at the centre each rod ends beside a straight rod of {across} mm that lies square across the "
    "centre line, {half} mm of it in each half. It lies beside {lap} mm of each.",
    "cross over": "{name}: each rod runs straight on, {lap} mm past the centre line. There the slots of one half are "
    "deeper by {diameter} mm.",
    "sleeve": "{name}: left and right lie in one straight line, joined on the centre line by a sleeve of {splice} mm.",
    "whole": "{name}: left and right are one straight rod across the centre line.",
}


def wing_words(result: Result, design: Design) -> str:
    """Return the words that identify the wing of a sheet."""
    return f"{result.study_name}, {design.label} wing, span {design_number(design, 'span_mm')} mm"


def lead_words(design: Design) -> str:
    """Return two sentences on what is to be built."""
    cut = design.cut
    more = (
        f"{number_text(cut.added_mm)} mm more on each side than today"
        if cut.added_mm >= 0.5
        else "the span it has today"
    )
    return (
        f"Span {design_number(design, 'span_mm')} mm, {more}. Foam {cut.foam}, covering {cut.covering}; built with "
        f"{choice_words(design)}. All lengths are in mm. Distances behind the nose are from the leading edge of the "
        "wing on the centre line; the root trailing edge includes the elevon or its fixed strip."
    )


def stretch_words(design: Design) -> list[str]:
    """Return sentences on where to cut, which depends on how this wing is stretched."""
    cut = design.cut
    added, joint = number_text(cut.added_mm), cut.joint_mm
    if cut.scheme == "plug" and joint is not None:
        where = f"{number_text(joint)} mm out from the centre line on both sides" if joint > 0 else "on the centre line"
        piece = (
            f"a piece {added} mm wide on each side"
            if joint > 0
            else f"one piece {number_text(2 * cut.added_mm)} mm wide across the centre line"
        )
        return [
            f"Cut the stock wing apart {where}, square to the root chord, and glue in {piece}: root section, constant "
            f"chord, no sweep, no twist. The stock panels stay as they are and move out by {added} mm each, with their "
            "elevons. The noses of all pieces lie on one straight line. "
            + (
                "Rods run through the joint or are spliced there."
                if _rods_pass(cut, joint + cut.added_mm)
                else "Rods across the centre reach over the joint, beside those of the panels."
                if _rods_cross(cut, joint + cut.added_mm)
                else BARE_JOINT
            )
        ]
    if cut.scheme == "tip" and joint is not None:
        return [
            f"The stock panel stays. Remove the fin and tip cap. Glue a piece {added} mm wide to each tip, "
            f"{number_text(joint)} mm out from the centre line, with the joint and tip templates. The leading "
            "and trailing edges continue in line with the panel. "
            + (
                "Rods cross the joint: open their slots inward far enough for the splice, or lay new ones."
                if _rods_cross(cut, joint)
                else BARE_JOINT
            )
        ]
    if cut.scheme == "scaled":
        same = number_text(cut.stock_sweep_deg, 1) == design_number(design, "sweep_deg")
        keeps = (
            "The leading edge keeps its sweep"
            if same
            else "The sweep of the leading edge is new"
            if cut.keep == "sweep_angle"
            else "The tip keeps its set-back, so the sweep is smaller"
        )
        return [
            f"The stock panels are not used: both panels are cut new, from the root to the tip template. {keeps}: "
            f"{design_number(design, 'sweep_deg')} deg and {design_number(design, 'set_back_mm')} mm of set-back "
            f"(stock {number_text(cut.stock_sweep_deg, 1)} deg, {number_text(cut.stock_set_back_mm)} mm), washout "
            f"{design_number(design, 'washout_deg')} deg (stock {number_text(cut.stock_washout_deg, 1)}). Foam chord "
            f"at the tip {design_number(design, 'tip_chord_mm')} mm (stock {number_text(cut.stock_tip_chord_mm)} mm)."
            + (" The centre piece can be kept." if cut.sections[0].station_mm > 0 else "")
        ]
    return ["The span stays the same: nothing is cut."]


def _rods_pass(cut: Cutting, place: float) -> bool:
    """Return whether rods of a half wing cross a joint at ``place`` along the half span of the stretched wing [mm]."""
    return any(rod.each_half and rod.from_mm < place < rod.to_mm for rod in cut.rods)


def _rods_cross(cut: Cutting, place: float) -> bool:
    """Return whether any rod crosses a joint at ``place``, also one across the centre. [mm]"""
    return _rods_pass(cut, place) or any(rod.each_half and place < 0.5 * rod.across_mm for rod in cut.rods)


def core_rows(design: Design) -> Rows:
    """Return one row for each kind of core, with the columns of CORE_HEADS."""
    return [
        (
            core.name,
            number_text(core.count),
            f"{core.inner}, {core.outer}",
            number_text(core.width_mm),
            number_text(core.set_back_mm),
            " x ".join(number_text(getattr(core, f"block_{side}_mm")) for side in ("length", "chord", "thickness")),
            "cut new" if core.new else "as the stock wing's",
        )
        for core in design.cut.cores
    ]


def core_notes(design: Design) -> list[str]:
    """Return notes on what the sizes of blocks and templates include."""
    film = design.cut.sections[0].film_mm
    return [
        "Each block holds its core level with its twist. It has 10 mm more at each edge and 5 mm above and below "
        "(common practice, no source). Templates are set along the flight direction at both ends of a core. They "
        f"show bare foam: the film, {number_text(film, 3)} mm, is taken off all round. What the wire melts "
        "is not: see the work order."
    ]


def rod_rows(design: Design, kept: KeptParts = NONE_KEPT) -> Rows:
    """Return a row for each set of rods and the joiner, with the columns of ROD_HEADS. Pieces are for both halves."""
    slots = slots_of(design)

    def lies_in(rods: RodSet, across: bool) -> str:
        numbers = [slot.number for slot in slots if slot.rods is rods and slot.across == across and not slot.other_half]
        there = kept_rod_words(rods, across, kept)
        if not numbers:
            return f"its slots{there}"
        return f"slot{'s' if len(numbers) > 1 else ''} {comma_list(numbers)}{there}"

    rows: Rows = []
    for rod in design.cut.rods:
        if rod.each_half:
            name = f"{rod.name}: {rod.material} {rod_as_sold(rod.diameter_mm)}, {_sides(rod)}"
            pieces, length = (
                (rod.each_half, 2 * rod.length_mm) if rod.at_centre == "whole" else (2 * rod.each_half, rod.length_mm)
            )
            rows.append((name, number_text(pieces), number_text(length), lies_in(rod, False)))
    sets = {f"{rod.name}, across": rod for rod in design.cut.rods}
    named = {rod.name for rod in design.cut.rods}
    for kind in design.cut.lengths:
        for piece in kind.pieces:
            if piece.name not in named:
                where = lies_in(sets[piece.name], True) if piece.name in sets else _joiner_place(design)
                name = f"{piece.name}: {kind.material} {rod_as_sold(kind.diameter_mm)}"
                rows.append((name, number_text(piece.count), number_text(piece.length_mm), where))
    return rows


def _joiner_place(design: Design) -> str:
    """Return words for the place of the joiner."""
    middles = [place.middle[0] for place in places_of(design.body) if place.kind == "joiner"]
    if not middles:
        return "half on each side"
    places = comma_list([number_text(x, 1) for x in middles])
    return f"channel filled with glue, half on each side, {places} mm behind the nose"


def _sides(rod: RodSet) -> str:
    sides = {"both": "top and bottom", "middle": "halfway between the skins"}
    return sides.get(rod.surface, rod.surface) + (f", {rod.pairs} side by side" if rod.pairs > 1 else "")


def stock_rows(design: Design) -> Rows:
    """Return a row for each rod length to buy and its cuts, with the columns of STOCK_HEADS. Equal rows are merged."""
    rows: Rows = []
    for kind in design.cut.lengths:
        cuts = [" + ".join(number_text(piece) for piece in cut) for cut in kind.cuts_mm]
        for cut in dict.fromkeys(cuts):
            length = sold(f"{kind.sold_mm:.0f} mm")
            rows.append((f"{cuts.count(cut)} of {length}, {kind.material} {rod_as_sold(kind.diameter_mm)}", cut))
        rows.append((f"waste, {kind.material} {rod_as_sold(kind.diameter_mm)}", number_text(kind.waste_mm)))
    return rows


def rod_notes(design: Design) -> list[str]:
    """Return notes on how rods are spliced and laid."""
    notes = []
    for rod in design.cut.rods:
        if rod.splices_at_mm:
            places = comma_list([number_text(place) for place in rod.splices_at_mm])
            notes.append(
                f"{rod.name}: {rod.splice} of {number_text(rod.splice_mm)} mm at {places} mm from the "
                "centre line; stagger the splices of neighbouring rods."
            )
        if rod.each_half and rod.at_centre in _AT_CENTRE:
            notes.append(
                _AT_CENTRE[rod.at_centre].format(
                    name=rod.name,
                    lap=number_text(rod.lap_mm),
                    across=number_text(rod.across_mm),
                    half=number_text(0.5 * rod.across_mm),
                    splice=number_text(rod.splice_mm),
                    diameter=number_text(rod.diameter_mm, 1),
                )
            )
    return notes


def jig_rows(design: Design) -> Rows:
    """Return a row with the height of each section above the building table, with the columns of JIG_HEADS."""
    return [
        (
            row.name,
            number_text(row.front_block_mm, 1),
            number_text(row.front_block_behind_edge_mm),
            number_text(row.hinge_block_mm, 1),
        )
        for row in design.cut.jig
    ]


def jig_words(design: Design) -> str:
    """Return sentences on how the heights above the table are used and checked."""
    tip = design.cut.jig[-1]
    lead = (
        "The beds hold the wing. These heights are a check on a flat table: distances from the table to the lower skin "
        "with the root's chord line level."
        if design.cut.beds_kept
        else "Lay the foam on a flat table, upper side up, leading edge straight, on blocks of these heights under the "
        "lower skin; they are among the templates."
    )
    return (
        f"{lead} They give a washout of {design_number(design, 'washout_deg')} deg. Check: at the tip the trailing "
        f"edge of the elevon is {number_text(tip.trailing_edge_raised_mm, 1)} mm higher above the leading edge than at "
        f"the root. The foam's own edge is {number_text(tip.foam_raised_mm, 1)} mm higher."
    )


def station_rows(design: Design) -> Rows:
    """Return the planform measured from both datums, one row for each station, with the columns of STATION_HEADS."""
    keys = (
        "leading_edge_mm",
        "leading_edge_ahead_mm",
        "hinge_mm",
        "trailing_edge_mm",
        "trailing_edge_behind_mm",
        "foam_chord_mm",
        "elevon_chord_mm",
    )
    return [
        (number_text(row.station_mm), *(number_text(getattr(row, key), 1) for key in keys))
        for row in design.cut.stations
    ]


def mark_rows(design: Design) -> Rows:
    """Return rows for the balance mark and the balance window, with the columns of PLACE_HEADS."""
    return place_rows(design.cut.marks)


def place_rows(rows: list[Mark]) -> Rows:
    """Return a row for each place, with the columns of PLACE_HEADS."""
    return [(row.name, number_text(row.behind_nose_mm), number_text(row.ahead_mm)) for row in rows]


def throw_rows(design: Design) -> Rows:
    """Return rows of control throws, measured from the neutral elevon, with the columns of THROW_HEADS."""
    throws, numbers = design.cut.throws, design.numbers

    def way(value: float) -> str:
        return f"{number_text(abs(value), 1)} {'up' if value <= 0 else 'down'}"

    rows = [("trim for cruise, both", way(numbers.elevon_mm), way(numbers.elevon_deg), "this study")]
    if numbers.stall_elevon_mm is not None:
        rows.append(
            ("needed for the stall, both", way(numbers.stall_elevon_mm), way(numbers.stall_elevon_deg), "this study")
        )
    up, down, roll = (
        (number_text(getattr(throws, f"{name}_mm"), 1), number_text(getattr(throws, f"{name}_deg"), 1))
        for name in ("up", "down", "roll")
    )
    return [
        *rows,
        ("full stick up, both", f"{up[0]} up", up[1], "the study's up-travel"),
        ("full stick down, both", f"{down[0]} down", down[1], f"half of that: {_COMMON}"),
        ("full stick in roll", f"{roll[0]} up, {roll[0]} down", roll[1], f"as for the roll rate: {_COMMON}"),
    ]


def throw_words(design: Design) -> str:
    """Return sentences on how throws are measured."""
    chord = number_text(design.cut.throws.elevon_chord_mm, 1)
    return (
        f"Measured where the elevon has its mean chord of {chord} mm. Pitch and roll add up: check that nothing binds "
        f"with both at full. First flights: 60 % in pitch, all of it in roll ({_COMMON})."
    )


def mass_rows(design: Design) -> Rows:
    """Return a row with the weight of each item, heaviest first, then the total, with the columns of MASS_HEADS."""
    items = sorted(design.masses_g.items(), key=lambda item: -item[1])
    return [
        *((name, number_text(grams, 1), _BLANK) for name, grams in items),
        ("ready to fly", design_number(design, "auw_g"), _BLANK),
    ]
