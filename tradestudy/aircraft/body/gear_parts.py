"""Things on board with a size: boxes in their bay, or in a hole of their own in the foam."""

from __future__ import annotations

import numpy as np

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.shape.cuts import BayCuts
from tradestudy.aircraft.shape.gear_fit import covered_box
from tradestudy.aircraft.shape.gear_items import GearItem, gear_items, item_gear
from tradestudy.aircraft.shape.rod_tracks import RodTrack, design_tracks
from tradestudy.physics.body import clearance
from tradestudy.physics.body.skin import Skin
from tradestudy.physics.body.solids import amount
from tradestudy.physics.flight.gear import GearPlace, gear_place

from .parts import MATERIAL, SKIN, VOID, BodyPart, box_part, of_both_halves


def placed_items(design: EvaluatedDesign) -> list[tuple[GearItem, GearPlace]]:
    """Return every thing on board with the place of its middle in a design."""
    study, laid, variables = design.study, design.data.layout, design.variables
    shift = variables.get("equipment_position", laid.movable_place) - laid.movable_place
    wing, extension = design.solution.wing, np.asarray(variables["extension"])
    return [
        (item, gear_place(item_gear(study, item), laid.scheme, laid.stock.span, wing, extension, shift))
        for item in gear_items(study)
    ]


def rod_tracks_of(design: EvaluatedDesign) -> list[RodTrack]:
    """Return the rods and the joiner of a design as seen from above."""
    choice = design.choice
    return design_tracks(design.study, design.data.layout, design.solution.wing, choice.rod_diameter, choice.rod_pairs)


def gear_parts(design: EvaluatedDesign, skin: Skin, bays: list[BayCuts]) -> list[BodyPart]:
    """Return every thing with a size as a box, in the middle of its bay's height or in a hole of its own."""
    parts: list[BodyPart] = []
    sized = [(item, place) for item, place in placed_items(design) if item.size is not None]
    tracks = rod_tracks_of(design) if sized else []
    for item, place in sized:
        assert item.size is not None
        name, size = f"equipment {item.name}", np.array(item.size)
        bay = item.bay
        if bay is not None:
            cuts = next(one for one in bays if one.bay.name == bay.name)
            low, high = cuts.inside
            height, inside = 0.5 * (low[2] + high[2]), cuts.name
        else:
            box = covered_box(design.study, item, place, tracks)
            height = clearance.box_places(clearance.box_heights(skin, [box]), [box])[0].bottom + 0.5 * size[2]
            inside = f"hole of {item.name}"
        y = -float(place.from_centre) if item.side == "left" else float(place.from_centre)
        middle = np.array([float(place.from_nose), y, height])
        corners = middle - 0.5 * size, middle + 0.5 * size
        single = item.side in ("left", "right")
        if bay is None:
            removed = amount(float(np.prod(size)), middle)
            removed = of_both_halves(removed) if item.side == "both" else removed
            parts.append(box_part(inside, "hole", VOID, SKIN, *corners, removed=removed, single=single))
        parts.append(box_part(name, "equipment", MATERIAL, inside, *corners, single=single))
    return parts
