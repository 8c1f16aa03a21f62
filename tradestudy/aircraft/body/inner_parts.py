"""Bays with their lids and boards, and the pack: boxes on the centre line."""

from __future__ import annotations

import numpy as np

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.pack_fit import pack_box
from tradestudy.physics.body import clearance
from tradestudy.physics.body.removed_foam import box_in_skin
from tradestudy.physics.body.skin import Skin, surface_heights

from .parts import MATERIAL, SKIN, VOID, BodyPart, box_part

_BEYOND = 0.002  # length by which a bay that is cut right through reaches out of the skin [m]
_LEAST_SLAB = 1e-4  # thinnest lid that is drawn [m]


def bay_parts(design: EvaluatedDesign, skin: Skin) -> list[BodyPart]:
    """Return every bay as a void, with its lid and the board at its back wall.

    A bay that is cut right through reaches out of the skin, and has a second lid below.
    """
    parts: list[BodyPart] = []
    for bay, box in zip(design.study.bay, design.data.layout.in_foam, strict=False):
        low, high = box_corners(skin, box)
        slabs = [("lid", high[2], high[2] + bay.lid)]
        if bay.through:
            slabs.append(("lower lid", low[2] - bay.floor, low[2]))
            hole = _cut_through(skin, low, high)
            void = box_part(box.name, "bay", VOID, None, *hole, removed=box_in_skin(skin, *hole))
        else:
            removed = box_in_skin(skin, low, high)
            void = box_part(box.name, "bay", VOID, SKIN, low, high, removed=removed, clearance=min(bay.lid, bay.floor))
        parts.append(void)
        for kind, bottom, top in slabs:
            if top - bottom > _LEAST_SLAB:
                corners = [*low[:2], bottom], [*high[:2], top]
                parts.append(box_part(f"{kind} {bay.name}", "lid", MATERIAL, SKIN, *corners))
        if bay.divider:
            board = np.array([high[0], low[1], low[2]]), np.array([high[0] + bay.divider, high[1], high[2]])
            removed = box_in_skin(skin, *board)
            parts.append(box_part(f"board {bay.name}", "board", MATERIAL, SKIN, *board, removed=removed))
    return parts


def box_corners(skin: Skin, box: clearance.FoamBox) -> tuple[np.ndarray, np.ndarray]:
    """Return the lowest and the highest corner of a box inside the skin. [m]"""
    bottom = clearance.box_place(clearance.box_heights(skin, box), box).bottom
    low = np.array([box.front, -box.half_width, bottom])
    return low, low + np.array([box.length, 2 * box.half_width, box.height])


def _cut_through(skin: Skin, low: np.ndarray, high: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the corners of a hole through the whole section, over the same place as the box between two corners."""
    x, y = np.meshgrid(np.linspace(low[0], high[0], 9), np.linspace(0.0, high[1], 5))
    upper, lower = surface_heights(skin, x, y)
    return np.array([*low[:2], lower.min() - _BEYOND]), np.array([*high[:2], upper.max() + _BEYOND])


def pack_part(design: EvaluatedDesign, skin: Skin) -> BodyPart:
    """Return the pack as a box in the middle of its bay's height, at its place along the flight direction.

    It may slide as far as the front and back walls.
    """
    size = np.array(pack_box(design.study, design.choice))
    box = next(one for one in design.data.layout.in_foam if one.name == f"bay {design.study.pack.bay}")
    low, high = box_corners(skin, box)
    middle = np.array([float(design.evaluation.balance.pack_position), 0.0, 0.5 * (low[2] + high[2])])
    return box_part("pack", "pack", MATERIAL, box.name, middle - 0.5 * size, middle + 0.5 * size)
