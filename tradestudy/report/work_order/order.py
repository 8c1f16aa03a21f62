"""The order of the work: headings with steps to tick.

A step is common practice without a source, unless it says otherwise.
"""

from __future__ import annotations

from tradestudy.report.bench_tables import STRAIGHT_TO
from tradestudy.report.body_slots import places_of, slots_of
from tradestudy.report.words.phrases import comma_list, design_number, number_text
from tradestudy.results.cutting import Core, Cutting
from tradestudy.results.design import Design

from .finish import balance_steps, drive_steps, elevon_steps, film_steps, fin_steps, last_steps, propeller_words
from .kept_panels import HAVE_IT, NONE_KEPT, KeptParts, is_kept
from .lids import on_both_sides
from .openings import opening_steps, over_channel
from .words import BOARDS, FOAM, JOINER, RODS, bed_words, box_words, glued_with, joining_side, joining_words

Steps = list[tuple[str, list[str]]]
_SAWN = " What crosses that cut, such as the old joiner, is sawn through there: take its halves out of the panels."


def work_steps(design: Design, kept: KeptParts = NONE_KEPT) -> Steps:
    """Return the headings of the work in its order, each with its steps. ``kept`` stays in panels that have flown."""
    steps = [
        ("Before the first cut", _before(design)),
        ("Cores", _cores(design)),
        ("Slots, bays and pockets", opening_steps(design, kept)),
        ("Dry fit, nothing glued", _dry_fit(design)),
        ("Glue halves, joiner and boards", _glue_halves(design, kept)),
        ("Glue the rods", _glue_rods(design, kept)),
        ("Film, lower side first", film_steps(design, kept)),
        ("Elevons", elevon_steps(design, kept)),
        ("Fins", fin_steps(design, kept)),
        ("Drive, servos and linkage", drive_steps(design)),
        ("Radio and balance", balance_steps(design)),
        ("Before the first flight", last_steps(design)),
    ]
    return [(head, lines) for head, lines in steps if lines]


def _before(design: Design) -> list[str]:
    return [
        "Print at 100 % and measure the check square or check lines of every sheet: 100 mm.",
        "Tape the tiles of the plan together by the key plan. Compare semi-span and tip with the table of the outline.",
        "Lay out everything on the lists of foam, rods, film and glue. Try every glue and the iron on an offcut.",
        "Weigh every part as it is made, and write it on the sheet Weigh.",
    ]


def _cores(design: Design) -> list[str]:
    cut = design.cut
    new = [core for core in cut.cores if core.new]
    if not new:
        return ["Nothing is cut new. Take the film off where glue will go."]
    kept = [core for core in cut.cores if not core.new]
    twice = {core.inner for core in new if core.inner == core.outer}
    names = dict.fromkeys(name for core in new for name in (core.inner, core.outer))
    templates = comma_list([f"{name}{' (two of it)' if name in twice else ''}" for name in names])
    steps = [
        f"Template {templates}: glue the sheets on plywood or laminate. Cut them outside the line by what your wire "
        "melts off each side: cut an offcut between two templates, and take half of what is missing. Smooth the edges. "
        "Copy ticks, chord line and level line to the back.",
        *(
            f"{core.name.capitalize()}: {core.count} block{'s' if core.count > 1 else ''} of "
            f"{number_text(core.block_length_mm)} x {number_text(core.block_chord_mm)} x "
            f"{number_text(core.block_thickness_mm)} mm. Template {core.inner} inside, {core.outer} outside, its "
            f"leading edge {number_text(core.set_back_mm, 1)} mm farther back. Chord or level lines are parallel to "
            f"the bottom of the block and equally high: {number_text(_chord_line_up(core, cut), 1)} mm above it."
            + (" Left and right are mirror images." if core.count > 1 else "")
            for core in new
        ),
        "Cut top and bottom, both ends of the bow at equal numbers at the same time. Mark each core: side, top, nose.",
    ]
    for core in kept:
        steps.append(
            f"{core.name.capitalize()}: that of the stock wing, from {number_text(core.from_mm)} to "
            f"{number_text(core.to_mm)} mm from the centre line of the new wing. Cut it off square, take the film off "
            "where glue goes, and close old slots and holes with foam that are not used again."
            + (_SAWN if cut.joint_mm is not None and cut.scheme == "plug" else "")
            + (" If it is no longer good, cut it new from the block in the table Foam." if core.count == 1 else "")
        )
    if cut.beds_kept:
        steps.append(
            "Keep the beds: the upper and the lower offcut of every block. The core lies in them, weighed down, for "
            "every later step. Mark them like their cores."
        )
    else:
        steps.append(
            "The beds of the stock panels are lost. Cut the jig blocks from their full-size templates, two of each; "
            "glue them to a flat table under the sections of the table Washout jig."
        )
    steps.append("Weigh the cores, and compare left with right. The sheet Weigh counts their foam with all holes cut.")
    return steps


def _chord_line_up(core: Core, cut: Cutting) -> float:
    """Return how high the chord line of the root lies above the bottom of a block that holds a core midway. [mm]"""
    ends = [one for one in cut.sections if one.name in (core.inner, core.outer)]
    lowest, highest = min(one.lowest_mm for one in ends), max(one.highest_mm for one in ends)
    return 0.5 * (core.block_thickness_mm - highest + lowest) - lowest


def _dry_fit(design: Design) -> list[str]:
    cut, places = design.cut, places_of(design.body)
    kinds = {place.kind for place in places}
    tip = cut.stations[-1]
    parts = [
        name for kind, name in (("slot", "motor mount"), ("joiner", "joiner"), ("board", "boards")) if kind in kinds
    ]
    steps = [
        f"{_side_by_side(cut.cores)}, {joining_words(design)} on a flat table: faces touch all round, noses on one "
        "straight line across the centre. Tip leading edges "
        f"{number_text(tip.leading_edge_mm, 1)} mm behind that line.",
    ]
    if parts:
        steps.append(f"Push in {comma_list(parts)}: nothing touches anything else, nothing forces the halves apart.")
    if "joiner" in kinds and "slot" in kinds:
        joiner = next(place for place in places if place.kind == "channel")
        slot = next(place for place in places if place.kind == "slot")
        gap = max(slot.low[0] - joiner.high[0], joiner.low[0] - slot.high[0])
        if gap > 0:
            steps.append(
                f"{number_text(gap, 1)} mm of foam are left between the channel of the joiner and the motor slot."
            )
    if propeller := propeller_words(design):
        steps.append(propeller)
    turned = "Turn the halves over into the lower beds. " if cut.beds_kept else ""
    for pack in (place for place in places if place.kind == "pack"):
        steps.append(
            f"{turned}Put in the {pack.name}{on_both_sides(pack)}: {box_words(pack)} high, its middle "
            f"{number_text(pack.middle[0], 1)} mm behind the nose. It "
            "slides in without force, and lid and leads have room. Shape foam round it so that it cannot slide."
        )
        turned = ""
    if slots := slots_of(design):
        sprung = any(slot.bow >= STRAIGHT_TO for slot in slots)
        steps.append(
            "Lay every rod in its slot, without glue. Straight ones lie flush by themselves"
            + ("; sprung ones are held by a few pins." if sprung else ".")
            + (
                " Where two slots cross, one rod lies over the other as the table of slots says."
                if any(slot.other_half for slot in slots)
                else ""
            )
        )
    return steps


def _side_by_side(cores: list[Core]) -> str:
    """Return words for all pieces of foam in their places."""
    inner = [core for core in cores if core.count == 1]
    outer = [core for core in cores if core.count > 1]
    if not inner and len(outer) == 1:
        return "Both halves side by side"
    each_side = [core.name for core in outer]
    if not inner:
        return f"Both halves side by side, each of a {' and a '.join(each_side)}"
    middle = comma_list([core.name for core in inner]).capitalize()
    return f"{middle} in the middle, on each side a {' and a '.join(each_side)}"


def _glue_halves(design: Design, kept: KeptParts) -> list[str]:
    joints = {joint.name: joint for joint in design.cut.glue}
    kinds = {place.kind for place in places_of(design.body)}
    steps = []
    if BOARDS in joints:
        parts = [
            name
            for kind, name in (("board", "boards at the back walls of bays"), ("slot", "motor mount"))
            if kind in kinds
        ]
        steps.append(f"{comma_list(parts).capitalize()}. {glued_with(joints[BOARDS])}")
    if FOAM in joints:
        steps.append(
            f"Foam to foam, {joining_words(design)}, with film between glue and bed. {glued_with(joints[FOAM])}"
        )
    if JOINER in joints:
        crossing = over_channel(design)
        there = HAVE_IT if "joiner" in kept.kinds else ""
        again = (
            f" Once it is hard, cut {comma_list(crossing)} again through that strip, no deeper than the table says."
            if crossing
            else ""
        )
        steps.append(
            "Joiner with the halves, before that glue is hard: half of it in each half wing, its channel open at the "
            f"{joining_side(design)} side, which is up now. {glued_with(joints[JOINER])} The channel must be full from "
            f"end to end. Close it with its strip of foam.{again}{there}"
        )
    steps.append(
        f"Weigh it down, still {joining_words(design)}, and leave it there until the glue may be loaded. Check: noses "
        "in line, "
        f"tips equally far back, washout {design_number(design, 'washout_deg')} deg on both sides: at the tip the "
        f"trailing edge of the foam is {number_text(design.cut.jig[-1].foam_raised_mm, 1)} mm higher above the leading "
        "edge than at the root."
    )
    return steps


def _glue_rods(design: Design, kept: KeptParts) -> list[str]:
    joints = {joint.name: joint for joint in design.cut.glue}
    slots = slots_of(design)
    if not slots:
        return []
    glue = f" {glued_with(joints[RODS])}" if RODS in joints else ""
    sprung = [slot.number for slot in slots if slot.bow >= STRAIGHT_TO]
    top = [slot.number for slot in slots if "top" in slot.sides]
    bottom = [slot.number for slot in slots if "bottom" in slot.sides]
    middle = [slot.number for slot in slots if "middle" in slot.sides]
    other = "the wing turned over in the upper beds" if design.cut.beds_kept else "the wing turned over on soft foam"
    there = [slot.number for slot in slots if is_kept(slot, kept)]
    steps = [f"Rods in {comma_list(there)} stay in panels that have flown: leave out their steps."] if there else []
    steps.append(
        "Cut the rods to length by the table Rods. Roughen them with fine paper and wipe off the dust: gloves, mask."
    )
    if middle:
        steps.append(f"In the middle of the core ({comma_list(middle)}): push the rods in with glue.{glue}")
    if top:
        steps.append(f"Upper side ({comma_list(top)}), the wing {bed_words(design)}.{glue}")
    if bottom:
        steps.append(f"Lower side ({comma_list(bottom)}), {other}: the same glue and times.")
    if sprung:
        steps.append(f"Pin down the sprung ones ({comma_list(sprung)}) every 80 mm until the glue holds.")
    if any(rod.splices_at_mm for rod in design.cut.rods):
        steps.append("Splices lie where the table Rods has them, those of neighbouring rods apart.")
    steps.append("Fill the slots level with foam or light filler, and sand flush: nothing may stand above the skin.")
    return steps
