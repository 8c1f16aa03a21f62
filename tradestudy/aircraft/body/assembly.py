"""The body of one design, put together from its skin, the parts in it and the parts on it."""

from __future__ import annotations

import numpy as np

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.shape.cuts import bay_cuts, joiner_bed
from tradestudy.physics.body import solids
from tradestudy.physics.body.skin import Skin
from tradestudy.physics.flight import layout
from tradestudy.quantities import in_unit
from tradestudy.results.body import Body, BodySection

from .gear_parts import gear_parts
from .inner_parts import bay_parts, pack_parts
from .outer_parts import drive_parts, fin_sheets, pocket_parts, slot_parts, trailing_parts
from .parts import BodyPart, named_apart, of_both_halves, points_record, solid_record
from .rod_parts import joiner_parts, rod_parts


def design_body(design: EvaluatedDesign) -> Body:
    """Return the body of one design."""
    skin = design_skin(design)
    parts = body_parts(design, skin)
    foam = foam_amount(skin, parts)
    return Body(
        skin=skin_sections(skin),
        solids=[solid_record(part) for part in parts],
        foam_cm3=round(in_unit(foam.volume, "cm3"), 3),
        foam_centroid_mm=points_record(foam.centroid),
    )


def skin_sections(skin: Skin, most: int | None = None) -> list[BodySection]:
    """Return the sections of a skin in the form of a result: all, or ``most`` of them from the centre line."""
    places = zip(points_record(skin.station[:most]), _outlines(skin)[:most], strict=True)
    return [BodySection(float(y), points_record(points)) for y, points in places]


def design_skin(design: EvaluatedDesign) -> Skin:
    """Return the outer skin of the right half wing."""
    return layout.outer_skin(design.data.layout, design.solution.wing)


def body_parts(design: EvaluatedDesign, skin: Skin) -> list[BodyPart]:
    """Return every part of a design, each with a name of its own."""
    bays = bay_cuts(design.study, skin)
    trailing = trailing_parts(design, skin)
    strips = [part for part in trailing if part.kind == "strip"]
    return named_apart(
        [
            *bay_parts(bays, skin),
            *pack_parts(design, bays),
            *gear_parts(design, skin, bays),
            *rod_parts(design, skin),
            *joiner_parts(design, joiner_bed(design.study, skin)),
            *pocket_parts(design, skin),
            *slot_parts(design, skin),
            *trailing,
            *fin_sheets(design, skin, strips),
            *drive_parts(design, skin, strips),
        ]
    )


def foam_amount(skin: Skin, parts: list[BodyPart]) -> solids.Amount:
    """Return the foam of both halves: the skin ahead of the hinge, less all that the parts remove from it."""
    ahead = slice(skin.hinge + 1)
    outlines = np.concatenate(
        [
            np.stack([skin.upper_x[:, ahead], skin.upper_z[:, ahead]], axis=-1),
            np.stack([skin.lower_x[:, ahead], skin.lower_z[:, ahead]], axis=-1)[:, ::-1],
        ],
        axis=1,
    )
    foam = of_both_halves(solids.loft_amount(skin.station, outlines))
    removed = [part.removed for part in parts if part.removed is not None]
    return solids.Amount(
        foam.volume - sum(one.volume for one in removed),
        foam.moment - sum((one.moment for one in removed), np.zeros(3)),
    )


def _outlines(skin: Skin) -> np.ndarray:
    """Return the outlines (k, n, 2) of a skin: trailing edge, top, nose, and back below. [m]"""
    upper = np.stack([skin.upper_x, skin.upper_z], axis=-1)[:, ::-1]
    lower = np.stack([skin.lower_x, skin.lower_z], axis=-1)[:, 1:]
    return np.concatenate([upper, lower], axis=1)
