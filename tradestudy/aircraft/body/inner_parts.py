"""Bays with their lids and boards, and the pack: boxes on the centre line."""

from __future__ import annotations

import numpy as np

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.pack_fit import pack_box
from tradestudy.aircraft.shape.cuts import BayCuts
from tradestudy.physics.body.removed_foam import box_in_skin
from tradestudy.physics.body.skin import Skin, surface_heights
from tradestudy.physics.weights.pack_dimensions import ROOM

from .parts import MATERIAL, SKIN, VOID, BodyPart, box_part

_LEAST_SLAB = 1e-4  # thinnest lid that is drawn [m]


def bay_parts(bays: list[BayCuts], skin: Skin) -> list[BodyPart]:
    """Return every bay as a void, with its lid and the board at its back wall.

    A bay that is cut right through reaches out of the skin, and has a second lid below.
    """
    parts: list[BodyPart] = []
    for bay, name, (low, high), hole, board in bays:
        held = None if bay.through else SKIN
        clearance = 0.0 if bay.through else flattest(skin, low, high) * min(bay.lid, bay.floor)
        parts.append(box_part(name, "bay", VOID, held, *hole, removed=box_in_skin(skin, *hole), clearance=clearance))
        slabs = [("lid", high[2], high[2] + bay.lid)]
        if bay.through:
            slabs.append(("lower lid", low[2] - bay.floor, low[2]))
        for kind, bottom, top in slabs:
            if top - bottom > _LEAST_SLAB:
                corners = [*low[:2], bottom], [*high[:2], top]
                parts.append(box_part(f"{kind} {bay.name}", "lid", MATERIAL, SKIN, *corners))
        if board:
            removed = box_in_skin(skin, *board)
            parts.append(box_part(f"board {bay.name}", "board", MATERIAL, SKIN, *board, removed=removed))
    return parts


def flattest(skin: Skin, low: np.ndarray, high: np.ndarray) -> float:
    """Return the cosine of the steepest slope of the skin over a box between two corners. [-]

    Lid and floor are measured straight up and down. Times this cosine, they are the nearest that the skin can be.
    """
    x, y = np.linspace(low[0], high[0], 41), np.linspace(0.0, high[1], 21)
    steepest = 0.0
    for heights in surface_heights(skin, *np.meshgrid(x, y)):
        across, along = np.gradient(heights, y, x)
        steepest = max(steepest, float((across**2 + along**2).max()))
    return 1.0 / np.sqrt(1.0 + steepest)


def pack_part(design: EvaluatedDesign, bays: list[BayCuts]) -> BodyPart:
    """Return the pack as a box in the middle of its bay's height, at its place along the flight direction.

    Limits of a design and checks of a study keep it away from every wall of the bay.
    """
    size = np.array(pack_box(design.study, design.choice))
    cuts = next(one for one in bays if one.bay.name == design.study.pack.bay)
    low, high = cuts.inside
    middle = np.array([float(design.evaluation.balance.pack_position), 0.0, 0.5 * (low[2] + high[2])])
    corners = middle - 0.5 * size, middle + 0.5 * size
    return box_part("pack", "pack", MATERIAL, cuts.name, *corners, clearance=ROOM)
