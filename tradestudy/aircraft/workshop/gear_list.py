"""Things on board of one design: places and room, what is too near to what, and the balance from left to right."""

from __future__ import annotations

import numpy as np

from tradestudy.aircraft.body.gear_parts import placed_items, rod_tracks_of
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.pack_fit import pack_box
from tradestudy.aircraft.shape.gear_fit import covered_box
from tradestudy.aircraft.shape.gear_items import CONTROLLER, GearItem
from tradestudy.aircraft.shape.kept_apart import foam_of, near_pairs, pack_boxes, remedy_words
from tradestudy.physics.body import clearance
from tradestudy.physics.body.buried import outmost_place
from tradestudy.physics.body.skin import Skin
from tradestudy.physics.flight.gear import GearPlace
from tradestudy.physics.weights.side_balance import SidePart, side_moment, side_place, tip_weight
from tradestudy.quantities import at_edge, in_unit
from tradestudy.results.outline import KeptApart, Outline, OutlineItem

_LEAST_SHOWN = 1e-9  # kg m; a smaller moment is rounding


def gear_outline(design: EvaluatedDesign, outer: Skin) -> list[OutlineItem]:
    """Return motor, controller and equipment as seen from above. ``outer`` is the skin of the design."""
    motor = design.study.motor
    items = [OutlineItem("motor", length_mm=0.0, width_mm=0.0, **at_edge(mass_g=motor.mass, x_mm=motor.from_nose))]
    placed = placed_items(design)
    order = sorted(placed, key=lambda each: each[0].name != CONTROLLER or each[0].table != (CONTROLLER,))
    return items + [_outline_item(design, outer, item, place) for item, place in order]


def _outline_item(design: EvaluatedDesign, outer: Skin, item: GearItem, place: GearPlace) -> OutlineItem:
    length, width, _ = item.size or (0.0, 0.0, 0.0)
    out = outmost_place(outer, item.size) if item.size else None
    spare = None
    if item.buried:
        box = covered_box(design.study, item, place, rod_tracks_of(design))
        spare = clearance.box_places(clearance.box_heights(outer, [box]), [box])[0].margin
    return OutlineItem(
        item.name,
        side=item.side or "",
        bay=item.bay.name if item.bay else "",
        spare_mm=_mm(spare),
        fits_out_to_mm=_mm(out.from_centre if out else None),
        fits_at_mm=_mm(out.from_nose if out else None),
        **at_edge(
            mass_g=item.mass,
            x_mm=float(place.from_nose),
            length_mm=length,
            width_mm=width,
            from_centre_mm=float(place.from_centre),
        ),
    )


def _mm(length: float | None) -> float | None:
    return None if length is None else round(float(in_unit(length, "mm")), 2)


def kept_apart(design: EvaluatedDesign) -> list[KeptApart]:
    """Return every pair of things on a design that must be kept apart."""
    place, size = float(design.evaluation.balance.pack_position), pack_box(design.study, design.choice)
    packs = pack_boxes(design.study, place, size)
    pairs = near_pairs(design.study, placed_items(design), rod_tracks_of(design), packs, foam_of(design.solution.wing))
    return [
        KeptApart(
            pair.one,
            pair.other,
            distance_mm=round(float(in_unit(pair.distance, "mm")), 2),
            least_mm=round(float(in_unit(pair.least, "mm")), 2),
            kept=pair.kept,
            origin=pair.origin,
            remedy=remedy_words(pair),
        )
        for pair in pairs
    ]


def gear_flags(outline: Outline) -> list[str]:
    """Return a sentence for each pair that is too near, and for each thing that has no room below the rods over it."""
    near = [
        f"{pair.one} and {pair.other} are {pair.distance_mm:.0f} mm apart, and {pair.least_mm:.0f} mm are asked "
        f"({pair.origin}). {pair.remedy}".rstrip(". ")
        for pair in outline.kept_apart
        if not pair.kept
    ]
    tight = [
        f"{thing.name} lacks {-thing.spare_mm:.1f} mm of height in the foam, with what the rods over it take"
        for thing in outline.equipment
        if thing.spare_mm is not None and thing.spare_mm < -0.01
    ]
    return near + tight


def side_numbers(design: EvaluatedDesign) -> dict[str, float | None]:
    """Return place and remedy of the balance from left to right: None if nothing stands on one side. [m], [kg]

    The foam that holes in one half take away is counted. Everything else is alike in both halves.
    """
    density, parts = design.data.layout.materials.foam_density, []
    for item, place in placed_items(design):
        if len(item.signs) == 1 and item.from_centre > 0:
            hole = float(np.prod(item.size)) if item.buried and item.size else 0.0
            parts.append(SidePart(item.mass - density * hole, item.signs[0] * float(place.from_centre)))
    moment = side_moment(parts)
    if not parts or abs(moment) < _LEAST_SHOWN:
        return {"side_balance_mm": None, "tip_weight_g": None}
    return {
        "side_balance_mm": side_place(moment, float(design.shape.all_up_mass)),
        "tip_weight_g": tip_weight(moment, float(design.solution.wing.station[-1])),
    }
