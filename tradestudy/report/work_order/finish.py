"""The steps of the work from the film to the first flight: film, elevons, fins, drive, radio and balance."""

from __future__ import annotations

import numpy as np

from tradestudy.report.bench_tables import duration
from tradestudy.report.body_slots import places_of
from tradestudy.report.body_views import corners
from tradestudy.report.words.phrases import comma_list, design_number, number_text, side_words
from tradestudy.results.design import Design

from .kept_panels import KeptParts, patch_rows
from .lids import lid_steps
from .words import FILM, FINS, bed_words, glued_with

_STEP_SEEN = 0.5  # mm by which foam may be higher than the sheet behind it; judgement, no source
_HALF_WING = "half wing"  # in the names of the pieces of film that are laid before the elevons


def film_steps(design: Design, kept: KeptParts) -> list[str]:
    """Return the steps of the film."""
    joints = {joint.name: joint for joint in design.cut.glue}
    if not design.cut.film:
        return []
    bed = bed_words(design)
    later = [number for number, piece in enumerate(design.cut.film, 1) if _HALF_WING not in piece.name]
    steps = ["Sand the foam lightly, vacuum the dust. Mark both balance marks and the hinge line."]
    if FILM in joints:
        steps.append(f"Spray the foam. {glued_with(joints[FILM])}")
    if patches := patch_rows(design, kept):
        sizes = "; ".join(
            f"{count} of {size} mm over the {where}, half of them below" for where, count, size in patches
        )
        steps.append(
            f"Panels that have flown keep their film. Patch it: {sizes}. Cover new slots with strips of film 30 mm "
            "wide."
        )
    return [
        *steps,
        ("Bare cores: lay" if patches else "Lay")
        + " the pieces of the table Film in its order, their long side along the leading edge: lower side left and "
        "right, then upper side left and right. The upper film laps over the lower one at the nose, and at the centre "
        f"one half over the other. Pieces {comma_list([str(number) for number in later])} follow with the elevons.",
        f"Work from the middle to the edges, lightly with a warm iron, the wing {bed}. Left and right in turn, piece "
        "by piece, so that it stays straight.",
        f"Shrink last, both sides equally, the wing weighed down {bed} until cold. Then check washout again.",
        "Cut the film from bays and pockets. Leave 5 mm, fold it in and iron it down: lids close on film, not on foam.",
        *lid_steps(design),
    ]


def elevon_steps(design: Design, kept: KeptParts) -> list[str]:
    """Return the steps of elevons and fixed strips."""
    cut, numbers = design.cut, design.numbers
    elevon, throws = cut.elevon, cut.throws
    length = elevon.outer_end_mm - elevon.inner_end_mm
    neutral = f"Neutral for the first flight: {_way(numbers.elevon_mm)} at the trailing edge, the trim of this study."
    steps = [
        f"Cut two by the template from {elevon.material}, {number_text(elevon.thickness_mm, 1)} mm at the hinge and "
        f"a third of that at the trailing edge; {number_text(length, 1)} mm of span each, less 1 mm at each end."
        f"{_face_words(design)}",
        f"Bevel the lower edge at the hinge by {number_text(throws.down_deg + throws.roll_deg + 5.0)} deg, so that "
        "the elevon goes down freely. Cover them, equally on both sides, or they warp.",
        f"Fixed strips of the same sheet and taper: {number_text(elevon.inner_end_mm, 1)} mm from the centre line to "
        f"the elevon, {number_text(cut.stations[-1].station_mm - elevon.outer_end_mm, 1)} mm from it to the tip. Their "
        "outlines are in the plan. Cover them with what the elevons leave of their film, glue them like foam to "
        "foam, and cut them out for motor mount and fins.",
        "Hinge: film along the top over the whole length, elevon folded up flat on the wing; then a strip in the gap "
        "from below with the elevon full up. Move it by hand: no gap, no binding.",
        neutral,
    ]
    if "elevon" not in kept.kinds:
        return steps
    return [
        "Elevons of panels that have flown stay, with hinge and horn. New foam at the centre or the tip gets a fixed "
        f"strip from the same {elevon.material}, by the plan. On bare cores: the next steps.",
        *steps,
    ]


def _face_words(design: Design) -> str:
    """Return words on the foam at the hinge where it is higher than the sheet of the elevon, or no words."""
    sections, sheet = design.cut.sections, design.cut.elevon.thickness_mm
    faces = [abs(section.z_mm[0] - section.z_mm[-1]) for section in (sections[0], sections[-1])]
    if max(faces) - sheet < _STEP_SEEN:
        return ""
    inner, outer = (number_text(face, 1) for face in faces)
    return (
        f" The foam there is {inner} mm high at the root and {outer} mm at the tip: their tops are flush, and below "
        "you round the edge of the foam."
    )


def _way(value: float | None) -> str:
    if value is None:
        return "in line with the section"
    return f"{number_text(abs(value), 1)} mm {'up' if value <= 0 else 'down'}"


def fin_steps(design: Design, kept: KeptParts) -> list[str]:
    """Return the steps of the fins."""
    joints = {joint.name: joint for joint in design.cut.glue}
    if not design.cut.fins:
        return []
    where = "the tips" if all(fin.from_centre_mm is None for fin in design.cut.fins) else "their places in the plan"
    steps = (
        ["Fins of the stock wing have these sizes: use them again if they are whole."] if "fin" in kept.kinds else []
    )
    steps += [
        f"Cut the fins by their templates, flutes or grain up along the fin. Stand them at {where}: places, cant and "
        "toe are on the templates.",
        "Film is off where glue goes; roughen smooth sheet. "
        + ("Sand the end of the tip to the cant and toe of its fin. " if _leaning(design) else "")
        + (glued_with(joints[FINS]) if FINS in joints else ""),
        "Sight from behind: both fins alike, square to the wing or canted alike. Secure each with tape or two screws.",
    ]
    return [step.strip() for step in steps]


def _leaning(design: Design) -> bool:
    """Return whether a fin at the tip is not square to it."""
    return any(fin.from_centre_mm is None and (fin.cant_deg or fin.toe_deg) for fin in design.cut.fins)


def drive_steps(design: Design) -> list[str]:
    """Return the steps of motor, servos and linkage."""
    places = places_of(design.body)
    motor = next((place for place in places if place.kind == "motor"), None)
    axis = (
        f" Its axis lies {number_text(motor.middle[2], 1)} mm above the nose of the root, parallel to the root's chord "
        "line and the centre line."
        if motor
        else ""
    )
    steps = [] if any(place.kind == "slot" for place in places) else [_own_mount()]
    steps += [
        f"Screw the motor to its mount, screws locked.{axis} Turn the propeller by hand: clear of "
        "strips, elevons and leads, elevons moved fully too.",
        "Servos in their pockets, arms square to the push rods at neutral, before the rods are cut."
        if any(place.kind == "pocket" for place in places)
        else "The study gives no pockets for servos: cut each where its arm lies in line with the horn, clear of all "
        "slots, with 3 mm of foam left. Arms square to the push rods at neutral, before the rods are cut.",
    ]
    sides = {pocket.name: "above" if pocket.side == "top" else "below" for pocket in design.cut.pockets}
    for row in design.cut.linkage:
        side = sides.get(row.pocket, "below")
        steps.append(
            f"Horn of {row.pocket}: in line with the servo's arm, about {number_text(row.horn_station_mm)} mm from "
            f"the centre line, {side} the elevon; its hole straight {side} the hinge line "
            f"({number_text(row.hinge_mm, 1)} mm behind the nose) and {number_text(row.horn_mm, 1)} mm from it. Hole "
            f"of the servo arm {number_text(row.servo_arm_mm, 1)} mm from its axis. Push rod about "
            f"{number_text(row.rod_mm)} mm: measure it on the wing. Both sides alike."
        )
    if not design.cut.linkage:
        steps.append(
            "Horn in line with the servo's arm, its hole straight above or below the hinge line, equally far from it "
            "on both sides. The study gives no lengths of arm and horn: choose them for the throws of this sheet."
        )
    return [*steps, "Set the throws of the sheet Balance and throws. At full pitch and roll together nothing binds."]


def _own_mount() -> str:
    return (
        "The study gives no slot for the motor mount: use that of the stock wing, or glue one of 3 mm plywood 30 mm "
        "deep into the foam on the centre line, with polyurethane glue, clear of the joiner. Then write "
        "mount_slot in [motor]."
    )


def propeller_words(design: Design) -> str:
    """Return sentences on the disc of the propeller and the room ahead of it, or no words."""
    discs = [corners(solid) for solid in (design.body.solids if design.body else []) if solid.kind == "propeller"]
    if not discs:
        return ""
    disc, stations = discs[0], design.cut.stations
    radius, front, back = 0.5 * float(np.ptp(disc[:, 1])), float(disc[:, 0].min()), float(disc[:, 0].max())
    reached = np.linspace(0.0, radius, 60)
    edge = np.interp(reached, [row.station_mm for row in stations], [row.trailing_edge_mm for row in stations])
    nearest = int(np.argmax(edge))
    lead = f"Hold motor and propeller in place, its disc {number_text(0.5 * (front + back), 1)} mm behind the nose. "
    if back < edge[0]:  # in front of the wing, or in a cut-out of it
        return f"{lead}It must clear foam, elevons and leads by 5 mm."
    room = front - float(edge[nearest])
    if room > 0:
        return f"{lead}Between its blades and the nearest trailing edge {number_text(room, 1)} mm are left."
    return (
        f"{lead}There the blades would meet the trailing edge: it lies {number_text(-room, 1)} mm behind their front, "
        f"{number_text(float(reached[nearest]))} mm from the centre line. Move motor and propeller back by that much "
        "and 5 mm more, or cut strips and elevons away there. Then give the study the true places."
    )


def balance_steps(design: Design) -> list[str]:
    """Return the steps of radio, balance and weight."""
    first, aside = design.numbers.first_flight_cg_mm, side_words(design)
    return [
        "Put every item of the list Equipment at its place, antennas and leads as they will fly. Lids closed.",
        f"Balance on two fingertips or pins at the marks, {design_number(design, 'cg_mm')} mm behind the nose. Move "
        "the pack first, then gear; ballast last. Then fix everything: nothing may move in flight."
        + (f" For the first flight: {number_text(first)} mm." if first is not None else ""),
        "Hang it by nose and tail: the heavier tip shows. Put weight into the light tip."
        + (f" By the list it balances {aside}." if aside else ""),
        f"Weigh it ready to fly: {design_number(design, 'auw_g')} g expected"
        f"{', without that weight' if aside else ''}. If it is heavier, enter the weights in "
        "the study and compute again before the flight.",
    ]


def last_steps(design: Design) -> list[str]:
    """Return the steps before the first flight."""
    steps = []
    if design.load_test:
        longest = max((joint.cure_min for joint in design.cut.glue), default=0.0)
        steps.append(
            f"Load test as the sheet Load test says, at the earliest {duration(longest)} after the last glue. No "
            "flight without it."
        )
    return [*steps, "Go through the sheet First flights, point by point."]
