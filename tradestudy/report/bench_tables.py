"""Table rows for the bench: slots of rods, places of bays, lids, joiner, pockets and fins, glue and film."""

from __future__ import annotations

import numpy as np

from tradestudy.quantities import from_edge, from_si
from tradestudy.report.body_slots import PartPlace, Slot, outline_from_above, places_of, slots_of, stations_of
from tradestudy.report.words.phrases import Rows, comma_list, number_text, rod_as_sold
from tradestudy.results.cutting import GlueJoint
from tradestudy.results.design import Design

STRAIGHT_TO = 0.5  # mm; a slot that bows less counts as straight; judgement, no source
SLOT_HEADS = ("Slot", "Rod", "Cut from", "Depth [mm]", "Starts at [mm]", "Ends at [mm]", "Rod lies")
PART_HEADS = (
    "Part",
    "From centre line [mm]",
    "Front and back behind nose [mm]",
    "Front behind leading edge [mm]",
    "Span x chord x height [mm]",
    "Foam above, below [mm]",
)
GLUE_HEADS = ("Joint", "Glue", "On the wing [g]", "Put together within", "Hold for", "Load after", "Use")
FILM_HEADS = ("Step", "Piece of film", "Pieces", "Cut to [mm]", "Overlap at seams and edges [mm]")
_OUTSIDE = ("fin", "motor")  # kinds of parts without foam round them
_SHEETS = {"top": "top", "bottom": "bottom", "middle": "middle of the core"}


def slot_rows(design: Design) -> Rows:
    """Return a row for every slot of the right half wing, with the columns of SLOT_HEADS."""
    return [
        (
            slot.number,
            f"{slot.name}, {rod_as_sold(slot.diameter)}" + (", end of the left wing's rod" if slot.other_half else ""),
            comma_list([_SHEETS[side] for side in slot.sides]),
            _depth(slot),
            number_text(slot.start[1], 1) + (", crosses over" if _crosses(slot) else ""),
            number_text(slot.end[1], 1),
            "straight" if slot.bow < STRAIGHT_TO else f"sprung {number_text(slot.bow, 1)} mm",
        )
        for slot in slots_of(design)
    ]


def _crosses(slot: Slot) -> bool:
    return bool(slot.across or (slot.rods and slot.rods.from_mm < 0 and not slot.other_half))


def _depth(slot: Slot) -> str:
    if slot.sides == ("middle",):
        return f"{number_text(slot.depth_inside, 1)} to {number_text(slot.depth, 1)}, rod at mid height"
    return number_text(slot.depth, 1)


def slot_station_heads(design: Design) -> list[str]:
    """Return the heads of the table of `slot_station_rows`: each station with its name and its place."""
    places = [f"{name} {number_text(y, 1)}" for name, y in stations_of(design).items()]
    return ["Slot", "at its start", *places, "at its end"]


def slot_station_rows(design: Design) -> Rows:
    """Return for every slot its distances behind the leading edge, with the columns of `slot_station_heads`. [mm]

    A slot that does not reach a station has a dash there.
    """
    body, stations = design.body, stations_of(design)
    if body is None:
        return []
    front, _ = outline_from_above(body)
    rows: Rows = []
    for slot in slots_of(design):
        places = [slot.start[1], *stations.values(), slot.end[1]]
        rows.append(
            (
                slot.number,
                *(
                    number_text(slot.x_at(y) - float(np.interp(y, front[:, 1], front[:, 0])), 1)
                    if slot.reaches(y)
                    else "–"
                    for y in places
                ),
            )
        )
    return rows


def slot_words(design: Design) -> list[str]:
    """Return sentences on how the tables of slots are used."""
    if not slots_of(design):
        return []
    lines = [
        "Stations are distances from the centre line; places are behind the leading edge there, along the flight "
        "direction. Mark a slot at its start, at its end and where it passes each station; a straight edge must touch "
        "all marks, as the rod is straight when seen from above. The left half is the mirror image.",
        "Depth is from the skin to the bottom of the slot. A straight rod is pushed in; a sprung one is held down by "
        "pins until the glue is hard, as far as the table says.",
    ]
    if any(slot.other_half for slot in slots_of(design)):
        lines.append(
            "Rods that cross over: near the centre, the right wing's rod lies above that of the left wing. So in the "
            "left half the slot of its own rod is deeper there: as deep as the table says for its end. It keeps that "
            "depth from the centre line to where that end is, and rises to the usual one over the same length again."
        )
    return lines


def body_part_rows(design: Design) -> Rows:
    """Return a row for every bay, lid, board, joiner, pocket, slot and fin, with the columns of PART_HEADS.

    A thing that lies in a hole of its own has the row of that hole alone.
    """
    places = places_of(design.body)
    holes = {place.name.removeprefix("hole of ") for place in places if place.kind == "hole"}
    return [
        (
            _name(place),
            _across(place),
            f"{number_text(place.low[0], 1)} to {number_text(place.high[0], 1)}",
            number_text(place.behind_edge, 1),
            " x ".join(number_text(length, 1) for length in (place.size[1], place.size[0], place.depth)),
            _foam(place),
        )
        for place in places
        if place.kind != "equipment" or place.name.removeprefix("equipment ") not in holes
    ]


def _name(place: PartPlace) -> str:
    if place.kind == "motor":
        return "motor, about"
    return place.name if place.on_centre or place.kind in place.name.split() else f"{place.kind} {place.name}"


def _across(place: PartPlace) -> str:
    left, right = place.low[1], place.high[1]
    if place.on_centre and abs(left + right) < 0.1:
        return f"{number_text(right, 1)} to each side"
    if place.single and not place.on_centre:
        near, far = sorted((abs(left), abs(right)))
        return f"{number_text(near, 1)} to {number_text(far, 1)}, {'right' if right > 0 else 'left'} half alone"
    if left >= 0:
        return f"{number_text(left, 1)} to {number_text(right, 1)}, both halves"
    return f"{number_text(left, 1)} to {number_text(right, 1)}, right is positive"


def _foam(place: PartPlace) -> str:
    if place.kind in _OUTSIDE:
        return "–"
    if place.above < 0 and place.below < 0:
        return "right through"
    if place.above < 0 and place.kind in ("bay", "lid", "pack"):
        return f"up to {number_text(-place.above, 1)} above the skin, {number_text(place.below, 1)}"
    if place.above < 0:
        return f"open at the top, {number_text(place.below, 1)}"
    if place.below < 0:
        return f"{number_text(place.above, 1)}, open at the bottom"
    return f"{number_text(place.above, 1)}, {number_text(place.below, 1)}"


def glue_grams(joint: GlueJoint) -> str:
    """Return the mass of glue on a joint, small ones with a decimal."""
    return number_text(joint.amount_g, 0 if joint.amount_g >= 10 else 1)


def duration(minutes: float) -> str:
    """Return a time in minutes or hours, in words."""
    hours = from_si(from_edge("open_min", minutes), "h", "time")
    return f"{number_text(hours)} h" if hours >= 1 else f"{number_text(minutes)} min"


def glue_rows(design: Design) -> Rows:
    """Return a row for each joint, with the columns of GLUE_HEADS."""
    return [
        (
            joint.name,
            joint.glue,
            glue_grams(joint),
            *(duration(each) for each in (joint.open_min, joint.hold_min, joint.cure_min)),
            joint.note,
        )
        for joint in design.cut.glue
    ]


def glue_words(design: Design) -> list[str]:
    """Return sentences on the table of glue, with the sources of its times."""
    by_source: dict[str, list[str]] = {}
    for glue, source in dict.fromkeys((joint.glue, joint.source) for joint in design.cut.glue):
        by_source.setdefault(source, []).append(glue)
    cited = "; ".join(f"{comma_list(glues)}: {source}" for source, glues in by_source.items())
    return [
        "Times are for 20 C; what the maker's sheet says goes before them. Contact and spray glue wait that long until "
        "they are touch-dry.",
        f"Sources: {cited}.",
    ]


def film_rows(design: Design) -> Rows:
    """Return a row for each piece of film in the order of the work, with the columns of FILM_HEADS."""
    return [
        (
            number_text(number),
            piece.name,
            number_text(piece.count),
            f"{number_text(piece.length_mm)} x {number_text(piece.width_mm)}",
            number_text(piece.overlap_mm, 1),
        )
        for number, piece in enumerate(design.cut.film, 1)
    ]
