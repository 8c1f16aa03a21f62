"""Rods in their slots below the skin, and the joiner in its channel."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.shape.cuts import JoinerBed
from tradestudy.physics.body import solids
from tradestudy.physics.body.rod_limits import LAP_GAP
from tradestudy.physics.body.skin import Skin, surface_heights
from tradestudy.physics.body.straight_rods import each_line, x_at
from tradestudy.physics.flight import layout, rod_sets
from tradestudy.physics.geometry import planform
from tradestudy.physics.structure.rods import rod_depth

from .parts import MATERIAL, SKIN, VOID, BodyPart, box_part, of_both_halves

_TOUCHES = 1e-5  # a rod whose inner end is this near to the centre line reaches it [m]
_SIDES = {"both": ("top", "bottom"), "top": ("top",), "bottom": ("bottom",), "middle": ("middle",)}


class RodAxis(NamedTuple):
    """The axis of one rod of the right half wing, or of one across the centre, as seen from above."""

    rod: Any  # its table in the study
    rods: Any  # its set of rods, with the chosen diameter
    kind: str  # rod, or rod across
    number: str  # its number with a space before it, if there are several pairs
    line: Any  # its straight pieces
    inner: float  # station of its inner end; negative beyond the centre line [m]

    @property
    def outer(self) -> float:
        """Station of its outer end. [m]"""
        return float(self.line.outer_y)

    @property
    def crossing(self) -> bool:
        """Whether it crosses over to the other half."""
        return bool(self.rods.run.at_centre == "cross over")

    @property
    def at_centre(self) -> bool:
        """Whether the centre line cuts it, or its inner end lies there."""
        return self.inner <= _TOUCHES or self.crossing


def rod_axes(design: EvaluatedDesign) -> Iterator[RodAxis]:
    """Yield the axis of every rod of the right half wing and of every rod across the centre."""
    laid, choice = design.data.layout, design.choice
    chosen = layout.chosen_rods(laid, choice.rod_diameter, choice.rod_pairs)
    for rod, rods in zip(design.study.rods, chosen, strict=True):
        pairs = rod_sets.pair_lines(laid, design.solution.wing, rods)
        for kind, lines in zip(("rod", "rod across"), pairs, strict=True):
            for index, line in enumerate(each_line(lines) if lines is not None else ()):
                number = f" {index + 1}" if rods.pairs > 1 else ""
                inner = -float(line.outer_y) if kind == "rod across" else float(line.inner_y)
                yield RodAxis(rod, rods, kind, number, line, inner)


def rod_parts(design: EvaluatedDesign, skin: Skin, at_centre: bool = False) -> list[BodyPart]:
    """Return every rod of the right half wing and every rod across the centre, at the depth of its slot.

    Of rods that cross over, both are given. Near the centre the left one lies below the right one. With ``at_centre``
    only rods that the centre line cuts are given.
    """
    wing = design.solution.wing
    parts: list[BodyPart] = []
    for axis in rod_axes(design):
        if at_centre and not axis.at_centre:
            continue
        rods, diameter = axis.rods, float(axis.rods.diameter)
        depth = float(rod_depth(axis.rod.slot_depth, diameter))
        more = (float(rods.lap), 2 * float(rods.lap)) if axis.crossing else ()
        y = _stations(wing, axis.inner, axis.outer, more)
        x = x_at(axis.line, y)
        for side in _SIDES[axis.rod.surface]:
            name = f"{axis.kind} {axis.rod.name} {side}{axis.number}"
            z = _height_of_rod(skin, x, y, side, depth)
            right = np.column_stack([x, y, z])
            halves = axis.kind == "rod" and not axis.crossing
            parts += _rod(name, right, diameter, rods.run.bore, halves)
            if axis.crossing:
                deeper = np.interp(y, more, [diameter + LAP_GAP, 0.0])
                left = np.column_stack([x, -y, _height_of_rod(skin, x, y, side, depth, deeper)])
                parts += _rod(f"{name}, left", left, diameter, rods.run.bore, halves)
    return parts


def _rod(name: str, line: np.ndarray, diameter: float, bore: float, halves: bool) -> list[BodyPart]:
    """Return a rod along points (n, 3), or a tube and the void in it. With ``halves`` the left half has another."""

    def round_part(name: str, kind: str, role: str, outside: float, inside: float) -> BodyPart:
        solid = solids.rod_solid(line, outside, inside, ends_along_flight=True)
        return BodyPart(name, kind, role, SKIN, solid, solids.rod_amount(line, outside, inside))

    outside = solids.rod_amount(line, diameter)
    rod = round_part(name, "rod", MATERIAL, diameter, bore * diameter)
    rod = rod._replace(removed=of_both_halves(outside) if halves else outside)
    return [rod, round_part(f"bore of {name}", "bore", VOID, bore * diameter, 0.0)] if bore else [rod]


def _stations(wing: planform.Planform, inner: float, outer: float, more: tuple[float, ...]) -> np.ndarray:
    """Return the stations of a rod's points: its ends, ``more``, and breaks of the outline in both halves."""
    breaks = sorted({*more, *(side * y for y in wing.station.tolist() for side in (-1.0, 1.0))})
    return np.array([inner, *(y for y in breaks if inner + 1e-3 < y < outer - 1e-3), outer])


def _height_of_rod(
    skin: Skin, x: np.ndarray, y: np.ndarray, side: str, depth: float, deeper: np.ndarray | float = 0.0
) -> np.ndarray:
    """Return the heights of a rod's middle. One in the middle of the section is lowered by ``deeper``."""
    upper, lower = surface_heights(skin, x, np.abs(y))
    heights = {"top": upper - depth - deeper, "bottom": lower + depth + deeper}
    return heights[side] if side in heights else 0.5 * (upper + lower) - deeper


def joiner_parts(design: EvaluatedDesign, bed: JoinerBed | None) -> list[BodyPart]:
    """Return the joiner and its channel, or nothing without a joiner."""
    joiner = design.study.joiner
    if joiner is None or bed is None:
        return []
    inside = joiner.inside_diameter or 0.0
    removed = solids.amount(float(np.prod(bed.size)), bed.line.mean(axis=0))
    channel = box_part("joiner channel", "channel", VOID, SKIN, *bed.channel, removed=removed)
    return [
        channel,
        BodyPart(
            "joiner",
            "joiner",
            MATERIAL,
            channel.name,
            solids.rod_solid(bed.line, joiner.diameter, inside),
            solids.rod_amount(bed.line, joiner.diameter, inside),
        ),
    ]
