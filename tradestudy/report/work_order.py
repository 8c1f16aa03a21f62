"""The order of the work: headings with steps to tick.

A step is common practice without a source, unless it says otherwise.
"""

from __future__ import annotations

from tradestudy.report.bench_tables import STRAIGHT_TO, duration, glue_grams
from tradestudy.report.body_slots import PartPlace, places_of, slots_of
from tradestudy.report.lid_steps import lid_steps, lid_words, on_both_sides
from tradestudy.report.words.phrases import comma_list, design_number, number_text
from tradestudy.results.cutting import GlueJoint
from tradestudy.results.design import Design

Steps = list[tuple[str, list[str]]]
_JOINER, _FOAM, _RODS, _BOARDS = (
    "joiner in its channel",
    "foam to foam",
    "rods in their slots",
    "boards and motor mount",
)
_FILM, _FINS = "film on foam", "fins"


def work_steps(design: Design) -> Steps:
    """Return the headings of the work in its order, each with its steps."""
    steps = [
        ("Before the first cut", _before(design)),
        ("Cores", _cores(design)),
        ("Slots, bays and pockets", _openings(design)),
        ("Dry fit, nothing glued", _dry_fit(design)),
        ("Glue halves, joiner and boards", _glue_halves(design)),
        ("Glue the rods", _glue_rods(design)),
        ("Film, lower side first", _film(design)),
        ("Elevons", _elevons(design)),
        ("Fins", _fins(design)),
        ("Drive, servos and linkage", _linkage(design)),
        ("Radio and balance", _balance(design)),
        ("Before the first flight", _last(design)),
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
    templates = comma_list(list(dict.fromkeys(name for core in new for name in (core.inner, core.outer))))
    steps = [
        f"Template {templates}: glue the sheets on plywood or laminate, cut them outside the line by the kerf of your "
        "wire, and smooth the edges. Copy ticks, chord line and level line to the back.",
        *(
            f"{core.name.capitalize()}: {core.count} block{'s' if core.count > 1 else ''} of "
            f"{number_text(core.block_length_mm)} x {number_text(core.block_chord_mm)} x "
            f"{number_text(core.block_thickness_mm)} mm. Template {core.inner} inside, {core.outer} outside, its "
            f"leading edge {number_text(core.set_back_mm, 1)} mm farther back. Chord or level lines are parallel to "
            f"the bottom of the block and equally high."
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
    steps.append("Weigh the cores, and compare left with right.")
    return steps


def _bed(design: Design) -> str:
    return "in the lower beds" if design.cut.beds_kept else "on the jig blocks"


def _openings(design: Design) -> list[str]:
    slots, places = slots_of(design), places_of(design.body)
    kinds = {place.kind for place in places}
    steps = [
        f"Lay each core {_bed(design)}, the plan on top of it, and prick through the ends of all slots and the corners "
        "of bays and pockets. For the lower side, prick through the plan turned over."
    ]
    if slots:
        depths = dict.fromkeys(number_text(slot.depth, 1) for slot in slots if slot.sides != ("middle",))
        first, last = slots[0].number, slots[-1].number
        named = f"Slot {first}" if first == last else f"Slots {first} to {last}"
        steps.append(
            f"{named}, by the tables of slots: cut along a straight edge with a "
            f"hot blade or a knife and a depth stop set to {comma_list(list(depths))} mm. Slots across the centre, and "
            "those that cross over, are cut in both halves now."
        )
    lids = {
        place.name.removeprefix("lid "): f"{place.name.capitalize()}{on_both_sides(place)}: {_box(place)} thick"
        + lid_words(design, place)
        for place in places
        if place.kind == "lid"
    }
    for bay in (place for place in places if place.kind == "bay"):
        name = bay.name.removeprefix("bay ")
        if bay.above >= 0 and name in lids:  # it is cut off before the bay below it
            steps.append(lids.pop(name))
        through = bay.above < 0 and bay.below < 0
        length, width, height = (number_text(side, 1) for side in bay.size)
        steps.append(
            f"{bay.name.capitalize()}{on_both_sides(bay)}: {width} mm wide, {length} mm long"
            + ("" if through else f", {height} mm high under its lid")
            + f", front wall {number_text(bay.low[0], 1)} mm behind the nose. "
            + (
                "Cut right through."
                if through
                else f"Leave {number_text(bay.below, 1)} mm of foam below it where it is thinnest."
            )
            + (" Keep the foam that comes out: lids are cut from it." if bay.above < 0 else "")
        )
    steps += lids.values()
    if "channel" in kinds:
        for channel in (place for place in places if place.kind == "channel"):
            steps.append(
                f"{channel.name.capitalize()}: {_box(channel)} high, front edge {number_text(channel.low[0], 1)} mm "
                "behind the nose. Open it from the lower side: its floor lies "
                f"{number_text(channel.above, 1)} mm below the upper skin where that is thinnest; keep the strip "
                "of foam below it to close it."
            )
    for slot in (place for place in places if place.kind == "slot"):
        steps.append(
            f"{slot.name.capitalize()}: {number_text(slot.size[1], 1)} mm wide, from the hinge line "
            f"{number_text(slot.size[0], 1)} mm forward, right through."
        )
    for pocket in (place for place in places if place.kind == "pocket"):
        side = "top" if pocket.above < 0 else "bottom"
        steps.append(f"{pocket.name.capitalize()}, both halves, from the {side}: {_box(pocket)} deep.")
    if "pocket" in kinds:
        steps.append(
            "Slit a channel for the lead from each servo's pocket to the bay, on its side of the wing, clear of all "
            "slots of rods. Draw the lead in before the film goes on."
        )
    return steps


def _box(place: PartPlace) -> str:
    """Return the sizes of a part in words: along the span, along the chord, and its depth."""
    wide, long, deep = (number_text(length, 1) for length in (place.size[1], place.size[0], place.depth))
    return f"{wide} mm wide, {long} mm long, {deep} mm"


def _dry_fit(design: Design) -> list[str]:
    cut, places = design.cut, places_of(design.body)
    kinds = {place.kind for place in places}
    tip = cut.stations[-1]
    parts = [
        name for kind, name in (("slot", "motor mount"), ("joiner", "joiner"), ("board", "boards")) if kind in kinds
    ]
    steps = [
        f"Both halves {_bed(design)} on a flat table, side by side: root faces touch all round, noses on one straight "
        f"line across the centre. Tip leading edges {number_text(tip.leading_edge_mm, 1)} mm behind that line.",
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
    for pack in (place for place in places if place.kind == "pack"):
        steps.append(
            f"Put in the {pack.name}{on_both_sides(pack)}: {_box(pack)} high, its middle "
            f"{number_text(pack.middle[0], 1)} mm behind the nose. It "
            "slides in without force, and lid and leads have room. Shape foam round it so that it cannot slide."
        )
    if slots_of(design):
        steps.append(
            "Lay every rod in its slot, without glue. Straight ones lie flush by themselves; sprung ones are held by a "
            "few pins. Where two slots cross, one rod lies over the other as the table of slots says."
        )
    return steps


def _glue_halves(design: Design) -> list[str]:
    joints = {joint.name: joint for joint in design.cut.glue}
    kinds = {place.kind for place in places_of(design.body)}
    steps = []
    if _BOARDS in joints:
        parts = [
            name
            for kind, name in (("board", "boards at the back walls of bays"), ("slot", "motor mount"))
            if kind in kinds
        ]
        steps.append(f"{comma_list(parts).capitalize()}. {_with_glue(joints[_BOARDS])}")
    if _FOAM in joints:
        steps.append(f"Foam to foam, {_bed(design)}, with film between glue and bed. {_with_glue(joints[_FOAM])}")
    if _JOINER in joints:
        steps.append(
            "Joiner with the halves, before that glue is hard: half of it in each half wing. "
            f"{_with_glue(joints[_JOINER])} The channel must be full from end to end. Close it with its strip of foam."
        )
    steps.append(
        f"Weigh the wing down {_bed(design)}, and leave it there until the glue may be loaded. Check: noses in line, "
        f"tips equally far back, washout {design_number(design, 'washout_deg')} deg on both sides: at the tip the "
        f"trailing edge of the foam is {number_text(design.cut.jig[-1].foam_raised_mm, 1)} mm higher above the leading "
        "edge than at the root."
    )
    return steps


def _glue_rods(design: Design) -> list[str]:
    joints = {joint.name: joint for joint in design.cut.glue}
    slots = slots_of(design)
    if not slots:
        return []
    glue = f" {_with_glue(joints[_RODS])}" if _RODS in joints else ""
    sprung = [slot.number for slot in slots if slot.bow >= STRAIGHT_TO]
    top = [slot.number for slot in slots if "top" in slot.sides]
    bottom = [slot.number for slot in slots if "bottom" in slot.sides]
    middle = [slot.number for slot in slots if "middle" in slot.sides]
    other = "the wing turned over in the upper beds" if design.cut.beds_kept else "the wing turned over on soft foam"
    steps = [
        "Cut the rods to length by the table Rods. Roughen them with fine paper and wipe off the dust: gloves, mask."
    ]
    if middle:
        steps.append(f"In the middle of the core ({comma_list(middle)}): push the rods in with glue.{glue}")
    if top:
        steps.append(f"Upper side ({comma_list(top)}), the wing {_bed(design)}.{glue}")
    if bottom:
        steps.append(f"Lower side ({comma_list(bottom)}), {other}: the same glue and times.")
    if sprung:
        steps.append(f"Pin down the sprung ones ({comma_list(sprung)}) every 80 mm until the glue holds.")
    if any(rod.splices_at_mm for rod in design.cut.rods):
        steps.append("Splices lie where the table Rods has them, those of neighbouring rods apart.")
    steps.append("Fill the slots level with foam or light filler, and sand flush: nothing may stand above the skin.")
    return steps


def _film(design: Design) -> list[str]:
    joints = {joint.name: joint for joint in design.cut.glue}
    if not design.cut.film:
        return []
    later = [number for number, piece in enumerate(design.cut.film, 1) if "half wing" not in piece.name]
    steps = ["Sand the foam lightly, vacuum the dust. Mark both balance marks and the hinge line."]
    if _FILM in joints:
        steps.append(f"Spray the foam. {_with_glue(joints[_FILM])}")
    return [
        *steps,
        "Lay the pieces of the table Film in its order: lower side left and right, then upper side left and right. The "
        "upper film laps over the lower one at the nose, and at the centre one half over the other. Pieces "
        f"{comma_list([str(number) for number in later])} follow with the elevons.",
        f"Work from the middle to the edges, lightly with a warm iron, the wing {_bed(design)}. Left and right in "
        "turn, piece by piece, so that it stays straight.",
        f"Shrink last, both sides equally, the wing weighed down {_bed(design)} until cold. Then check washout again.",
        "Cut the film from bays and pockets. Leave 5 mm, fold it in and iron it down: lids close on film, not on foam.",
        *lid_steps(design),
    ]


def _elevons(design: Design) -> list[str]:
    cut, numbers = design.cut, design.numbers
    elevon, throws = cut.elevon, cut.throws
    length = elevon.outer_end_mm - elevon.inner_end_mm
    return [
        f"Cut two by the template from {elevon.material}, {number_text(elevon.thickness_mm, 1)} mm at the hinge and "
        f"a third of that at the trailing edge; {number_text(length, 1)} mm of span each, less 1 mm at each end.",
        f"Bevel the lower edge at the hinge by {number_text(throws.down_deg + throws.roll_deg + 5.0)} deg, so that "
        "the elevon goes down freely. Cover them, equally on both sides, or they warp.",
        f"Fixed strips of the same sheet and taper: {number_text(elevon.inner_end_mm, 1)} mm from the centre line to "
        f"the elevon, {number_text(cut.stations[-1].station_mm - elevon.outer_end_mm, 1)} mm from it to the tip. Glue "
        "them to the foam, and cut them out for motor mount and fins.",
        "Hinge: film along the top over the whole length, elevon folded up flat on the wing; then a strip in the gap "
        "from below with the elevon full up. Move it by hand: no gap, no binding.",
        f"Neutral for the first flight: {_way(numbers.elevon_mm)} at the trailing edge, the trim of this study.",
    ]


def _way(value: float | None) -> str:
    if value is None:
        return "in line with the section"
    return f"{number_text(abs(value), 1)} mm {'up' if value <= 0 else 'down'}"


def _fins(design: Design) -> list[str]:
    joints = {joint.name: joint for joint in design.cut.glue}
    if not design.cut.fins:
        return []
    where = "the tips" if all(fin.from_centre_mm is None for fin in design.cut.fins) else "their places in the plan"
    steps = [
        f"Cut the fins by their templates, flutes or grain up along the fin. Stand them at {where}: places, cant and "
        "toe are on the templates.",
        "Film is off where glue goes; roughen smooth sheet. " + (_with_glue(joints[_FINS]) if _FINS in joints else ""),
        "Sight from behind: both fins alike, square to the wing or canted alike. Secure each with tape or two screws.",
    ]
    return [step.strip() for step in steps]


def _linkage(design: Design) -> list[str]:
    motor = next((place for place in places_of(design.body) if place.kind == "motor"), None)
    axis = (
        f" Its axis lies {number_text(motor.middle[2], 1)} mm above the nose of the root, parallel to the root's chord "
        "line and the centre line."
        if motor
        else ""
    )
    steps = [
        f"Screw the motor to its mount, screws locked.{axis} Spin the propeller by hand: clear of strips, elevons and "
        "leads.",
        "Servos in their pockets, arms square to the push rods at neutral, before the rods are cut."
        if any(place.kind == "pocket" for place in places_of(design.body))
        else "The study gives no pockets for servos: cut each where its arm lies in line with the horn, clear of all "
        "slots, with 3 mm of foam left. Arms square to the push rods at neutral, before the rods are cut.",
    ]
    for row in design.cut.linkage:
        steps.append(
            f"Horn of {row.pocket}: in line with the servo's arm, about {number_text(row.horn_station_mm)} mm from "
            f"the centre line; its hole straight above or below the hinge line ({number_text(row.hinge_mm, 1)} mm "
            f"behind the nose) and {number_text(row.horn_mm, 1)} mm from it. Hole of the servo arm "
            f"{number_text(row.servo_arm_mm, 1)} mm from its axis. Push rod about {number_text(row.rod_mm)} mm: "
            "measure it on the wing. Both sides alike."
        )
    if not design.cut.linkage:
        steps.append(
            "Horn in line with the servo's arm, its hole straight above or below the hinge line, equally far from it "
            "on both sides. The study gives no lengths of arm and horn: choose them for the throws of this sheet."
        )
    return [*steps, "Set the throws of the sheet Balance and throws. At full pitch and roll together nothing binds."]


def _balance(design: Design) -> list[str]:
    first = design.numbers.first_flight_cg_mm
    return [
        "Put every item of the list Equipment at its place, antennas and leads as they will fly. Lids closed.",
        f"Balance on two fingertips or pins at the marks, {design_number(design, 'cg_mm')} mm behind the nose. Move "
        "the pack first, then gear; ballast last. Then fix everything: nothing may move in flight."
        + (f" For the first flight: {number_text(first)} mm." if first is not None else ""),
        "Hang it by nose and tail: the heavier tip shows. Put weight into the light tip.",
        f"Weigh it ready to fly: {design_number(design, 'auw_g')} g expected. If it is heavier, enter the weights in "
        "the study and compute again before the flight.",
    ]


def _last(design: Design) -> list[str]:
    steps = []
    if design.load_test:
        longest = max((joint.cure_min for joint in design.cut.glue), default=0.0)
        steps.append(
            f"Load test as the sheet Load test says, at the earliest {duration(longest)} after the last glue. No "
            "flight without it."
        )
    return [*steps, "Go through the sheet First flights, point by point."]


def _with_glue(joint: GlueJoint) -> str:
    return (
        f"With {joint.glue}, {glue_grams(joint)} g in all: {duration(joint.open_min)} to put together, "
        f"hold for {duration(joint.hold_min)}, load after {duration(joint.cure_min)}."
    )
