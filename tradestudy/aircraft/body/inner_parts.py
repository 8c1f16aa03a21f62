"""Bays with their lids and boards, and the pack: boxes on the centre line."""

from __future__ import annotations

import numpy as np

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.pack_fit import pack_box
from tradestudy.aircraft.shape.cuts import BayCuts, Corners
from tradestudy.physics.body.removed_foam import box_in_skin
from tradestudy.physics.body.skin import Skin, surface_heights
from tradestudy.physics.body.solids import Amount
from tradestudy.physics.weights.pack_dimensions import ROOM
from tradestudy.study.schema.wing import BayTable

from .parts import MATERIAL, SKIN, VOID, BodyPart, box_part, of_both_halves

_LEAST_SLAB = 1e-4  # thinnest lid that is drawn [m]
_BELOW_SKIN = 1e-5  # so that the corners of a lid's box do not touch the skin [m]


def bay_parts(bays: list[BayCuts], skin: Skin, drawn: bool = False) -> list[BodyPart]:
    """Return every bay as a void, with its lid and the board at its back wall.

    A flush lid reaches up to the skin where that is lowest.
    A bay that is cut right through reaches out of the skin, and has a second lid below. A raised lid and the bay below
    it may reach out too. Parts that are only ``drawn`` have neither clearance nor the foam that gives way.
    """
    parts: list[BodyPart] = []
    for bay, name, (low, high), hole, board in bays:
        is_open = bay.through or bool(bay.raised_lid)
        held, lid_held = None if is_open else SKIN, None if bay.raised_lid else SKIN
        clearance = 0.0 if is_open or drawn else flattest(skin, low, high) * min(bay.lid, bay.floor)
        removed = None if drawn else _removed(skin, hole, bay)
        parts.append(box_part(name, "bay", VOID, held, *hole, removed=removed, clearance=clearance))
        slabs = [("lid", high[2], high[2] + (bay.lid if is_open else _up_to_skin(skin, low, high)))]
        if bay.through:
            slabs.append(("lower lid", low[2] - bay.floor, low[2]))
        for kind, bottom, top in slabs:
            if top - bottom > _LEAST_SLAB:
                corners = [*low[:2], bottom], [*high[:2], top]
                parts.append(box_part(f"{kind} {bay.name}", "lid", MATERIAL, lid_held, *corners))
        if board:
            removed = None if drawn else _removed(skin, board, bay)
            parts.append(box_part(f"board {bay.name}", "board", MATERIAL, SKIN, *board, removed=removed))
    return parts


def _removed(skin: Skin, corners: Corners, bay: BayTable) -> Amount:
    """Return the foam of both halves that gives way to a box of a bay."""
    one = box_in_skin(skin, *corners)
    return of_both_halves(one) if bay.from_centre else one


def _up_to_skin(skin: Skin, low: np.ndarray, high: np.ndarray) -> float:
    """Return the least height between the top of a box and the upper skin, over its outline. [m]"""
    x, y = np.linspace(low[0], high[0], 41), np.linspace(max(low[1], 0.0), high[1], 21)
    upper, _ = surface_heights(skin, *np.meshgrid(x, y))
    return float(upper.min() - high[2]) - _BELOW_SKIN


def flattest(skin: Skin, low: np.ndarray, high: np.ndarray) -> float:
    """Return the cosine of the steepest slope of the skin over a box between two corners. [-]

    Lid and floor are measured straight up and down. Times this cosine, they are the nearest that the skin can be.
    """
    x, y = np.linspace(low[0], high[0], 41), np.linspace(max(low[1], 0.0), high[1], 21)
    steepest = 0.0
    for heights in surface_heights(skin, *np.meshgrid(x, y)):
        across, along = np.gradient(heights, y, x)
        steepest = max(steepest, float((across**2 + along**2).max()))
    return 1.0 / np.sqrt(1.0 + steepest)


def pack_parts(design: EvaluatedDesign, bays: list[BayCuts]) -> list[BodyPart]:
    """Return the pack, or its halves in two bays, as boxes in the middle of the bay's height, where they balance.

    Limits of a design and checks of a study keep them away from every wall of the bay.
    """
    pack, parts = design.study.pack, []
    size = np.array(pack_box(design.study, design.choice))
    places = [(pack.bay, float(design.evaluation.balance.pack_position)), (pack.second_bay, pack.second_from_nose)]
    for name, place in places:
        if name is None or place is None:
            continue
        cuts = next(one for one in bays if one.bay.name == name)
        low, high = cuts.inside
        middle = np.array([place, cuts.bay.from_centre or 0.0, 0.5 * (low[2] + high[2])])
        corners = middle - 0.5 * size, middle + 0.5 * size
        parts.append(box_part("pack", "pack", MATERIAL, cuts.name, *corners, clearance=ROOM))
    return parts
