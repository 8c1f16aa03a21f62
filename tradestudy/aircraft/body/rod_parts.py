"""Rods in their slots below the skin, and the joiner in its channel."""

from __future__ import annotations

import numpy as np

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.workshop.template_sections import pair_offsets
from tradestudy.physics.body import solids
from tradestudy.physics.body.skin import Skin, surface_heights
from tradestudy.physics.flight import layout
from tradestudy.physics.geometry import planform
from tradestudy.physics.structure.rods import rod_depth
from tradestudy.quantities import from_edge, in_unit

from .parts import MATERIAL, SKIN, VOID, BodyPart, of_both_halves

CHANNEL_GAP = 0.001  # glue between the joiner and the wall of its channel; common practice, no source [m]
_JOINER_PLACE = 0.35  # place of the joiner as a share of the root's foam chord
_SIDES = {"both": ("top", "bottom"), "top": ("top",), "bottom": ("bottom",), "middle": ("middle",)}


def rod_parts(design: EvaluatedDesign, skin: Skin) -> list[BodyPart]:
    """Return every rod of the right half wing, at the depth of its slot below the skin."""
    laid, choice, wing = design.data.layout, design.choice, design.solution.wing
    parts = []
    for rod, (run, diameter, pairs, _) in zip(
        design.study.rods, layout.chosen_rods(laid, choice.rod_diameter, choice.rod_pairs), strict=True
    ):
        outer = float(layout.rod_outer_end(run, laid.stock, wing))
        y = _stations(wing, run.inner_end, outer)
        edge, foam = planform.interpolated(wing, (wing.leading_edge, wing.foam_chord), y)
        share = run.fraction_at(y, outer)
        at = in_unit(float(foam.mean()), "mm")
        for index, offset in enumerate(pair_offsets(int(pairs), float(np.mean(share)) * at, at)):
            x = edge + share * foam + from_edge("mm", offset)
            for side in _SIDES[rod.surface]:
                z = _height_of_rod(skin, x, y, side, float(rod_depth(rod.slot_depth, float(diameter))))
                number = f" {index + 1}" if pairs > 1 else ""
                parts.append(
                    _rod(f"rod {rod.name} {side}{number}", np.column_stack([x, y, z]), float(diameter), run.bore)
                )
    return parts


def _rod(name: str, line: np.ndarray, diameter: float, bore: float) -> BodyPart:
    outside = solids.rod_amount(line, diameter)
    return BodyPart(
        name,
        "rod",
        MATERIAL,
        SKIN,
        solids.rod_solid(line, diameter, bore * diameter, ends_along_flight=True),
        solids.rod_amount(line, diameter, bore * diameter),
        removed=of_both_halves(outside),
    )


def _stations(wing: planform.Planform, inner: float, outer: float) -> np.ndarray:
    """Return the stations of a rod's points: its ends, and the breaks of the outline between them."""
    return np.array([inner, *(y for y in wing.station.tolist() if inner + 1e-3 < y < outer - 1e-3), outer])


def _height_of_rod(skin: Skin, x: np.ndarray, y: np.ndarray, side: str, depth: float) -> np.ndarray:
    upper, lower = surface_heights(skin, x, y)
    return {"top": upper - depth, "bottom": lower + depth, "middle": 0.5 * (upper + lower)}[side]


def joiner_parts(design: EvaluatedDesign, skin: Skin, bays: list[BodyPart]) -> list[BodyPart]:
    """Return the joiner and its channel, straight across the centre line halfway between the skins."""
    joiner = design.study.joiner
    if joiner is None:
        return []
    x = getattr(joiner, "from_nose", None)
    x = _JOINER_PLACE * design.study.stock.root_chord if x is None else x
    half = 0.5 * joiner.length
    upper, lower = surface_heights(skin, np.full(9, x), np.linspace(0.0, half, 9))
    z = 0.5 * float(upper.min() + lower.max())
    line = np.array([[x, -half, z], [x, half, z]])
    wide = joiner.diameter + 2 * CHANNEL_GAP
    crossed = [bay for bay in bays if bay.kind == "bay" and _crosses(bay, x, z)]
    in_foam = max(half - max((np.abs(bay.solid.vertices[:, 1]).max() for bay in crossed), default=0.0), 0.0)
    channel = BodyPart(
        "joiner channel",
        "channel",
        VOID,
        SKIN,
        solids.rod_solid(line, wide),
        solids.rod_amount(line, wide),
        removed=solids.amount(0.25 * np.pi * wide**2 * 2 * in_foam, [x, 0.0, z]),
        may_cross=tuple(bay.name for bay in crossed),
    )
    return [
        channel,
        BodyPart(
            "joiner",
            "joiner",
            MATERIAL,
            channel.name,
            solids.rod_solid(line, joiner.diameter),
            solids.rod_amount(line, joiner.diameter),
        ),
    ]


def _crosses(bay: BodyPart, x: float, z: float) -> bool:
    low, high = bay.solid.vertices.min(axis=0), bay.solid.vertices.max(axis=0)
    return bool(low[0] < x < high[0] and low[2] < z < high[2])
