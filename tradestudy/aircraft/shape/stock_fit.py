"""Whether everything fits inside the skin of the wing as the study describes it, in millimetres.

A search knows the same room as the limit "fits_section". Here it becomes words, before any search. The module imports
little, so that `check` starts quickly.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tradestudy.aircraft.shape.bent_rods import bend_of_rods
from tradestudy.aircraft.shape.gear_fit import gear_faults
from tradestudy.aircraft.shape.pack_bay import MOST_RAISED, pack_bay
from tradestudy.aircraft.shape.stock_shape import foam_boxes, skin_points, stock_wing, wing_sections
from tradestudy.errors import Fault, StudyFileError
from tradestudy.physics.body import clearance, skin
from tradestudy.physics.body.straight_rods import straight_rod
from tradestudy.physics.geometry.stretch_schemes import stock_planform
from tradestudy.quantities import in_unit
from tradestudy.study.consistency.pack import pack_size
from tradestudy.study.line_numbers import Place, dotted, line_of, locate
from tradestudy.study.schema.study import Study

_ROUNDING = 1e-5  # m; room below zero by less than this is rounding


@dataclass(frozen=True)
class RoomInside:
    """Room for one thing inside the wing."""

    name: str
    place: Place  # key of the study that describes it
    room: float  # what is left above and below it together; negative if it does not fit [m]
    words: str  # a sentence with the place where there is least room


def stock_skin(study: Study) -> skin.Skin:
    """Return the outer skin of the stock wing."""
    stock = stock_wing(study)
    return skin.wing_skin(stock_planform(stock), skin_points(study, stock, wing_sections(study, stock)))


def stock_fits(study: Study) -> list[RoomInside]:
    """Return the room for every bay in the stock wing."""
    outer, fits = stock_skin(study), []
    for box, place in foam_boxes(study):
        (inside,) = clearance.box_places(clearance.box_heights(outer, [box]), [box])
        fits.append(_fit(box, place, inside))
    return fits


def _bent_rods(study: Study) -> list[tuple[int, str]]:
    """Return index and sentence for each set of rods that the skin of the stock wing bends too much."""
    outline, outer, rods = stock_planform(stock_wing(study)), stock_skin(study), []
    for rod in study.rods:
        tip = rod.chord_fraction if rod.tip_chord_fraction is None else rod.tip_chord_fraction
        ends = np.asarray(rod.inner_end), np.asarray(rod.outer_end)
        rods.append((rod, rod.diameter, straight_rod(outline, rod.chord_fraction, tip, *ends)))
    return bend_of_rods(outer, rods)


def _fit(box: clearance.FoamBox, place: Place, placed: clearance.BoxPlace) -> RoomInside:
    def mm(length: float) -> str:
        return f"{in_unit(length, 'mm'):.1f} mm"

    def where(point: tuple[float, float]) -> str:
        return f"{in_unit(point[0], 'mm'):.0f} mm behind the nose and {in_unit(point[1], 'mm'):.0f} mm from the middle"

    high = where(placed.upper_place)
    low = where(placed.lower_place)
    between = f"at {high}" if high == low else f"between the top at {high} and the bottom at {low}"
    needed = box.height + box.above + box.below
    above = f"{mm(box.above)} above" if box.above >= 0 else f"less {mm(-box.above)} that stand above the skin"
    words = (
        f"{box.name}: needs {mm(needed)} of height ({mm(box.height)}, {above}, {mm(box.below)} below); "
        f"the section has {mm(placed.margin + needed)} {between}"
    )
    return RoomInside(box.name, place, placed.margin, words)


def refuse_what_does_not_fit(study: Study) -> None:
    """Raise StudyFileError if the stock wing has no room for a bay or a thing on board, or bends a rod too much."""
    places = locate(study.text)
    assumed = {used.place for used in study.defaults_used}
    faults = []
    for fit in stock_fits(study):
        if fit.room >= -_ROUNDING:
            continue
        place = fit.place
        short = f"{fit.words}: {in_unit(-fit.room, 'mm'):.1f} mm too little."
        if place[0] == "bay" and place in assumed:
            place = next((one for one in (("pack",), ("power", "pack"), ("power",)) if one in places), place)
            message = f"{dotted(place)}: {_pack_words(study)} does not fit into the wing. Its {short}"
        else:
            message = (
                f"{dotted(place)} does not fit into the wing. {short[0].upper()}{short[1:]} "
                f"Make it shallower, shorter or narrower, or move it{_raised_lid(study, place, fit.room)}."
            )
        faults.append(Fault(line_of(places, place), dotted(place), message))
    for index, sentence in _bent_rods(study):
        place = ("rods", index, "chord_fraction")
        faults.append(Fault(line_of(places, place), dotted(place), f"{dotted(place)}: {sentence}."))
    for place, sentence in gear_faults(study, stock_skin(study)):
        faults.append(Fault(line_of(places, place), dotted(place), f"{dotted(place)} {sentence}"))
    if faults:
        raise StudyFileError(str(study.path), faults)


def _raised_lid(study: Study, place: Place, room: float) -> str:
    """Return a phrase on the raised lid that makes room [m] for the pack, if the pack is a little too high."""
    bay = study.bay[int(place[1])] if place[0] == "bay" else None
    if bay is None or bay.through or bay.name not in (study.pack.bay, study.pack.second_bay) or -room > MOST_RAISED:
        return ""
    lid = math.ceil(in_unit((bay.raised_lid or 0.0) - room, "mm") - 1e-6)
    return f', or let its lid stand above the skin: raised_lid = "{lid} mm"'


def _pack_words(study: Study) -> str:
    length, width, height = (
        f"{in_unit(side, 'mm'):.1f}" for side in pack_size(study.pack, pack_bay(study).from_centre)
    )
    return f"a {study.pack.series}S{study.pack.parallel}P pack of {length} x {width} x {height} mm"
