"""The drawing of one design from above and from the side: only what these two show, in a few milliseconds.

Every part comes from the function that also builds it for the body. So a drawing on a live page and one in a report
have the same places.
"""

from __future__ import annotations

from typing import NamedTuple

from tradestudy.aircraft.body.assembly import design_skin, skin_sections
from tradestudy.aircraft.body.gear_parts import gear_parts, placed_items
from tradestudy.aircraft.body.inner_parts import bay_parts, pack_parts
from tradestudy.aircraft.body.outer_parts import motor_part, pocket_parts, slot_parts
from tradestudy.aircraft.body.parts import named_apart, solid_record
from tradestudy.aircraft.body.rod_parts import joiner_parts, rod_parts
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.shape.cuts import bay_cuts, joiner_bed
from tradestudy.aircraft.workshop.outline import outline_of, rod_lines
from tradestudy.quantities import at_edge
from tradestudy.results.body import Body
from tradestudy.results.outline import Outline, OutlineItem

_AT_CENTRE = 2  # sections of the skin that fix it at the centre line


class WingDrawing(NamedTuple):
    """One design from above and from the side."""

    outline: Outline
    body: Body


def drawing_of(design: EvaluatedDesign) -> WingDrawing:
    """Return the WingDrawing of one design."""
    skin = design_skin(design)
    bays = bay_cuts(design.study, skin)
    parts = named_apart(
        [
            *bay_parts(bays, skin, drawn=True),
            *pack_parts(design, bays),
            *gear_parts(design, skin, bays),
            *rod_parts(design, skin, at_centre=True),
            *joiner_parts(design, joiner_bed(design.study, skin)),
            *pocket_parts(design, skin),
            *slot_parts(design, skin, drawn=True),
            motor_part(design, skin),
        ]
    )
    outline = outline_of(design, skin, parts, rod_lines(design), _gear(design))
    solids = [solid_record(part) for part in parts if part.kind != "pocket"]
    return WingDrawing(outline, Body(skin_sections(skin, _AT_CENTRE), solids))


def _gear(design: EvaluatedDesign) -> list[OutlineItem]:
    """Return motor, controller and equipment as seen from above, without the room round them."""
    motor = design.study.motor
    items = [OutlineItem("motor", length_mm=0.0, width_mm=0.0, **at_edge(mass_g=motor.mass, x_mm=motor.from_nose))]
    for item, place in placed_items(design):
        length, width, _ = item.size or (0.0, 0.0, 0.0)
        places = at_edge(
            mass_g=item.mass,
            x_mm=float(place.from_nose),
            length_mm=length,
            width_mm=width,
            from_centre_mm=float(place.from_centre),
        )
        items.append(OutlineItem(item.name, side=item.side or "", bay=item.bay.name if item.bay else "", **places))
    return items
