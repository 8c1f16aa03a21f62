"""The steps of the work that open the cores: slots, bays and lids, channels, pockets, recesses for gear, and leads."""

from __future__ import annotations

import numpy as np

from tradestudy.report.body_slots import PartPlace, Slot, places_of, slots_of, unsized_gear
from tradestudy.report.body_views import section_along
from tradestudy.report.words.phrases import comma_list, number_text
from tradestudy.results.cutting import Mark
from tradestudy.results.design import Design

from .kept_panels import HAVE_IT, KeptParts, is_kept
from .lids import lid_words, on_both_sides
from .words import bed_words, box_words, joining_side

_GEAR = "equipment "  # before the name of a thing on board, in the name of its part
_NO_ROOM = ("channel", "hole", "bay", "pocket", "slot")  # kinds of parts where nothing else may lie
_CLEAR = 3.0  # mm of foam beside a part; common practice, no source
_LEAD_DEPTH = 5.0  # mm


def opening_steps(design: Design, kept: KeptParts) -> list[str]:
    """Return the steps that open the cores, in their order."""
    slots, places = slots_of(design), places_of(design.body)
    steps = [
        f"Lay each core {bed_words(design)}, the plan on top of it, and prick through the ends of all slots and the "
        "corners of bays and pockets. For the lower side, prick through the plan turned over."
    ]
    if slots:
        steps.append(_slots(slots, design, kept))
    lids = {
        place.name.removeprefix("lid "): f"{place.name.capitalize()}{on_both_sides(place)}: {box_words(place)} thick"
        + lid_words(design, place)
        for place in places
        if place.kind == "lid"
    }
    for bay in (place for place in places if place.kind == "bay"):
        name = bay.name.removeprefix("bay ")
        there = HAVE_IT if "bay" in kept.kinds else ""
        if bay.above >= 0 and name in lids:  # it is cut off before the bay below it
            steps.append(lids.pop(name) + there)
        steps.append(_bay(bay) + there)
    steps += lids.values()
    there = HAVE_IT if "joiner" in kept.kinds else ""
    steps += [_channel(channel, design) + there for channel in places if channel.kind == "channel"]
    for slot in (place for place in places if place.kind == "slot"):
        steps.append(
            f"{slot.name.capitalize()}: {number_text(slot.size[1], 1)} mm wide, from the hinge line "
            f"{number_text(slot.size[0], 1)} mm forward, right through."
        )
    for pocket in (place for place in places if place.kind == "pocket"):
        side = "top" if pocket.above < 0 else "bottom"
        there = HAVE_IT if "pocket" in kept.kinds else ""
        steps.append(f"{pocket.name.capitalize()}, both halves, from the {side}: {box_words(pocket)} deep.{there}")
    return [*steps, *_recesses(design, places), _leads(design, places)]


def _slots(slots: list[Slot], design: Design, kept: KeptParts) -> str:
    depths = dict.fromkeys(number_text(slot.depth, 1) for slot in slots if slot.sides != ("middle",))
    first, last = slots[0].number, slots[-1].number
    named = f"Slot {first}" if first == last else f"Slots {first} {'and' if len(slots) == 2 else 'to'} {last}"
    there = [slot.number for slot in slots if is_kept(slot, kept)]
    return (
        f"{named}, by the tables of slots: cut along a straight edge with a hot blade or a knife and a depth stop set "
        f"to {comma_list(list(depths))} mm."
        + (
            " Slots across the centre, and those that cross over, are cut in both halves now."
            if any(slot.across or slot.other_half for slot in slots)
            else ""
        )
        + (f" Panels that have flown have {comma_list(there)} already." if there else "")
    )


def _bay(bay: PartPlace) -> str:
    through = bay.above < 0 and bay.below < 0
    length, width, height = (number_text(side, 1) for side in bay.size)
    return (
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


def _channel(channel: PartPlace, design: Design) -> str:
    side = joining_side(design)
    other, left, closing = ("upper", channel.above, "below") if side == "lower" else ("lower", channel.below, "above")
    inner, outer = (_depth_at(channel, design, y, side) for y in (0.0, float(channel.high[1])))
    return (
        f"{channel.name.capitalize()}: {box_words(channel)} high, front edge {number_text(channel.low[0], 1)} mm "
        f"behind the nose. Open it from the {side} side, {number_text(inner, 1)} mm deep at the centre line and "
        f"{number_text(outer, 1)} mm at its ends, measured at its middle: its floor lies {number_text(left, 1)} mm "
        f"from the {other} skin where that is nearest. Keep the strip of foam {closing} it to close it."
    )


def _depth_at(channel: PartPlace, design: Design, y: float, side: str) -> float:
    """Return how deep the floor of a channel lies below a skin at its middle, ``y`` from the centre. [mm]"""
    if design.body is None:
        return channel.depth
    upper, lower = (float(np.interp(channel.middle[0], *skin.T)) for skin in section_along(design.body, y))
    return float(channel.high[2]) - lower if side == "lower" else upper - float(channel.low[2])


def over_channel(design: Design) -> list[str]:
    """Return the numbers of the slots that run over the channel of the joiner on the side from which it is opened."""
    side = {"lower": "bottom", "upper": "top"}[joining_side(design)]
    found = []
    for channel in (place for place in places_of(design.body) if place.kind == "channel"):
        for slot in slots_of(design):
            out = min(slot.end[1], float(channel.high[1]))
            ends = [slot.x_at(y) for y in (slot.start[1], out)] if slot.start[1] < out else []
            half = 0.5 * slot.diameter
            meets = ends and min(ends) - half < channel.high[0] and max(ends) + half > channel.low[0]
            if meets and side in slot.sides:
                found.append(slot.number)
    return found


def _recesses(design: Design, places: list[PartPlace]) -> list[str]:
    """Return steps for things on board that lie in the foam, with their sizes where the study has them."""
    holes = {place.name.removeprefix("hole of "): place for place in places if place.kind == "hole"}
    steps = [_recess(name, hole) + _moved_words(design, [name]) for name, hole in holes.items()]
    loose = unsized_gear(design)
    if loose:
        steps.append(
            f"Recess for {comma_list([mark.name for mark in loose])}: the study has no size, so draw round each at its "
            "place in the list Equipment, on the centre line if that has no distance from the middle. Keep 3 mm clear "
            "of slots, joiner, bays and other recesses. Move it if you must, first along the span, and tell the study "
            "where to. What stands in the air or in a bay needs none."
            + "".join(
                f" As listed, {mark.name} lies at the {place.name}: move it."
                for mark in loose
                for place in places
                if place.kind in _NO_ROOM and _meets(mark, place)
            )
            + _moved_words(design, [mark.name for mark in loose])
        )
    return steps


def _meets(mark: Mark, place: PartPlace) -> bool:
    """Return whether the middle of a thing lies in a part as seen from above, or nearer to it than foam allows."""
    (x0, y0, _), (x1, y1, _) = place.low - _CLEAR, place.high + _CLEAR
    y = {"left": -mark.from_centre_mm}.get(mark.side, mark.from_centre_mm)
    return bool(x0 < mark.behind_nose_mm < x1 and y0 < y < y1)


def _moved_words(design: Design, names: list[str]) -> str:
    """Return a sentence for things that the sheet asks to move, as they are too near to others, or no words."""
    pairs = [pair for pair in design.outline.kept_apart if not pair.kept]
    moved = [name for name in names if any(f"Move {name} " in pair.remedy for pair in pairs)]
    if not moved:
        return ""
    return (
        f" The sheet Balance and throws asks to move {comma_list(moved)}, too near to other things: cut where it "
        "then lies."
    )


def _recess(name: str, hole: PartPlace) -> str:
    side, other, left = ("top", "below", hole.below) if hole.above < hole.below else ("bottom", "above", hole.above)
    where = ", across the centre line" if hole.on_centre else f", {number_text(abs(hole.middle[1]), 1)} mm out"
    if not hole.on_centre:
        half = "right half alone" if hole.middle[1] > 0 else "left half alone"
        where += f" to its middle, {half if hole.single else 'both halves'}"
    return (
        f"Recess for {name}{where}: {box_words(hole)} high, front {number_text(hole.low[0], 1)} mm behind the nose. "
        f"Open it from the {side} and leave {number_text(left, 1)} mm of foam {other} it where it is thinnest. Close "
        "it with the foam that comes out, and with film or tape."
    )


def _leads(design: Design, places: list[PartPlace]) -> str:
    pocket = "'s pocket" if any(each.kind == "pocket" for each in places) else ""
    return (
        "Leads: slit channels 4 mm wide and 5 mm deep, from below, those of the pack as wide as its leads: from each "
        f"servo{pocket} to the autopilot or receiver, on its side of the wing; from pack to controller and on to the "
        "motor; from all gear outside the bays. Where one crosses the slot of a rod it goes 5 mm deeper, so that the "
        f"rod lies over it. {_past_joiner(design, places)}Draw the leads in before the film goes on."
    )


def _past_joiner(design: Design, places: list[PartPlace]) -> str:
    """Return how leads pass the channel of a joiner: below it, where that leaves foam between them."""
    channels = [place for place in places if place.kind == "channel"]
    if not channels:
        return ""
    if min(place.below for place in channels) < _LEAD_DEPTH + _CLEAR:
        return "Keep clear of the joiner: pass its ends. "
    if joining_side(design) == "lower":
        return "They pass the joiner in the strip that closes its channel, cut there once its glue is hard. "
    return "They pass the joiner below its channel. "
