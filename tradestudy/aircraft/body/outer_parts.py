"""Parts that reach out of the foam: pockets, elevons, fixed trailing strips, fins, motor and propeller."""

from __future__ import annotations

from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.shape.cuts import motor_slot
from tradestudy.aircraft.shape.propeller_room import DISC
from tradestudy.catalogue import catalogue_part
from tradestudy.physics.body import solids
from tradestudy.physics.body.removed_foam import box_in_skin
from tradestudy.physics.body.skin import Skin, section_at, surface_heights
from tradestudy.physics.flight import layout
from tradestudy.physics.geometry import fins as fins_of
from tradestudy.physics.geometry import planform
from tradestudy.quantities import from_edge
from tradestudy.study.schema.key_types import propeller_lengths
from tradestudy.study.schema.study import Study

from .parts import MATERIAL, VOID, BodyPart, box_part, of_both_halves

_BEYOND = 0.0005  # length by which a pocket reaches out of its skin, so that it is open there [m]
_GRID = (7, 5)  # points of a pocket's wall along the flight direction and along the span
_FOOT_POINTS, _FOOT_STEPS = 9, 3  # points of a fin's foot on the skin, and steps that find their height there
_PIECES = 4  # pieces of an elevon between two breaks, so that its mesh follows a twisted wing
_LEAST_STRIP = 0.0005  # shortest fixed trailing strip [m]
_USUAL_SHEET = 0.003  # thickness of a sheet that is listed by density, in m
_CAN_OVER_STATOR = 0.006  # outside diameter of a motor over its stator's, in m; common practice, no source
_MOTOR_DENSITY = 3200.0  # mass of a motor over the volume of its can, in kg/m^3; common practice, no source


def pocket_parts(design: EvaluatedDesign, skin: Skin) -> list[BodyPart]:
    """Return every pocket of the right half wing as a void that is open at its skin. Its floor follows that skin."""
    laid, wing = design.data.layout, design.solution.wing
    parts = []
    for pocket in design.study.pocket:
        middle = float(layout.pocket_station(laid, pocket.from_centre, design.variables["extension"]))
        edge = float(planform.interpolated(wing, (wing.leading_edge,), np.array([middle]))[0][0])
        x = edge + pocket.from_leading_edge + pocket.length * np.linspace(0, 1, _GRID[0])
        y = middle + pocket.along_span * np.linspace(-0.5, 0.5, _GRID[1])
        x_grid, y_grid = np.meshgrid(x, y)
        upper, lower = surface_heights(skin, x_grid, y_grid)
        out = 1.0 if pocket.side == "top" else -1.0
        face = upper if pocket.side == "top" else lower
        outline, cut = (
            np.stack(
                [
                    np.concatenate([x_grid, x_grid[:, ::-1]], axis=1),
                    np.concatenate([face + out * reach, (face - out * pocket.depth)[:, ::-1]], axis=1),
                ],
                axis=-1,
            )
            for reach in (_BEYOND, 0.0)
        )
        solid = solids.loft_between(y, outline)
        parts.append(
            BodyPart(
                f"pocket {pocket.name}",
                "pocket",
                VOID,
                None,
                solid,
                solids.loft_amount(y, outline),
                removed=of_both_halves(solids.loft_amount(y, cut)),
            )
        )
    return parts


def slot_parts(design: EvaluatedDesign, skin: Skin, drawn: bool = False) -> list[BodyPart]:
    """Return the slot of the motor's mount, right through the foam ahead of the hinge.

    If it is only ``drawn``, it has no amount of foam that gives way.
    """
    slot = motor_slot(design.study, skin)
    if slot is None:
        return []
    return [box_part("motor slot", "slot", VOID, None, *slot, removed=None if drawn else box_in_skin(skin, *slot))]


def trailing_parts(design: EvaluatedDesign, skin: Skin) -> list[BodyPart]:
    """Return the elevon and the fixed strips beside it: all that lies behind the hinge line, in neutral."""
    wing = design.solution.wing
    tip = float(wing.station[-1])
    inner, outer = (float(np.clip(end, 0.0, tip)) for end in (wing.elevon_inner_end, wing.elevon_outer_end))
    pieces = [
        ("inner strip", "strip", 0.0, inner),
        ("elevon", "elevon", inner, outer),
        ("outer strip", "strip", outer, tip),
    ]
    parts = []
    for name, kind, start, end in pieces:
        if end - start < _LEAST_STRIP:
            continue
        ends = [start, *(one for one in wing.station.tolist() if start + 1e-6 < one < end - 1e-6), end]
        y = np.concatenate([*(np.linspace(*pair, _PIECES + 1)[:-1] for pair in pairwise(ends)), [end]])
        outline = _outline_behind(section_at(skin, y))
        solid, whole = solids.loft_between(y, outline), solids.loft_amount(y, outline)
        parts.append(BodyPart(name, kind, MATERIAL, None, solid, whole))
    return parts


def _outline_behind(skin: Skin) -> np.ndarray:
    """Return the outlines (k, n, 2) behind the hinge of sections, over the top and back below. [m]"""
    behind = slice(skin.hinge, None)
    upper = np.stack([skin.upper_x[:, behind], skin.upper_z[:, behind]], axis=-1)
    lower = np.stack([skin.lower_x[:, behind], skin.lower_z[:, behind]], axis=-1)
    return np.concatenate([upper, lower[:, ::-1]], axis=1)


def fin_sheets(design: EvaluatedDesign, skin: Skin, strips: list[BodyPart]) -> list[BodyPart]:
    """Return every fin of the right half wing as a flat sheet.

    A fin on the tip stands against its face, and may cross the fixed strips, which are cut out for it. The two parts of
    a fin further inboard stand on the upper and the lower skin.
    """
    wing, parts = design.solution.wing, []
    for fin, table in zip(design.solution.fins, design.study.fin, strict=True):
        thickness = catalogue_part("sheets", table.material).get("thickness", _USUAL_SHEET)
        plane = _fin_plane(wing, fin)
        if fin.from_centre is None:
            foot = 0.5 * float(fin.root_chord) * np.abs(np.sin(fin.toe))
            out = np.array([0.0, 0.5 * thickness * np.abs(plane.normal[1]) + foot, 0.0])
            sheets = [("fin", plane.points(_tip_fin(fin)) + out)]
        else:
            sheets = [
                (f"fin {name}", plane.points(_on_skin(fin, part, plane, skin)))
                for part, name in zip(fins_of.fin_parts(fin), ("above", "below"), strict=True)
                if float(part.length) > 0
            ]
        for name, outline in sheets:
            parts.append(
                BodyPart(
                    name,
                    "fin",
                    MATERIAL,
                    None,
                    solids.plate(outline, plane.normal, thickness),
                    solids.plate_amount(outline, thickness),
                    may_cross=tuple(strip.name for strip in strips) if fin.from_centre is None else (),
                )
            )
    return parts


class _FinPlane(NamedTuple):
    """The middle plane of a fin: the middle of its foot, and unit vectors aft, along its span and square to it."""

    middle: np.ndarray
    aft: np.ndarray
    up: np.ndarray
    normal: np.ndarray

    def points(self, flat: np.ndarray) -> np.ndarray:
        """Return the places (n, 3) of points (n, 2): distance behind the middle of the foot, and along the span."""
        return self.middle + flat[:, :1] * self.aft + flat[:, 1:] * self.up


def _fin_plane(wing: planform.Planform, fin: fins_of.SheetFin) -> _FinPlane:
    """Return the middle plane of a fin. The toe angle turns it about the line through the middle of its foot."""
    cant, toe = float(fin.cant), float(fin.toe)
    up = np.array([0.0, np.sin(cant), np.cos(cant)])
    aft = np.array([np.cos(toe), 0.0, 0.0]) + np.sin(toe) * np.array([0.0, np.cos(cant), -np.sin(cant)])
    start = float(wing.leading_edge[fin.stands_on] + fin.behind_leading_edge) + 0.5 * float(fin.root_chord)
    middle = np.array([start, float(wing.station[fin.stands_on]), float(wing.height[fin.stands_on])])
    return _FinPlane(middle, aft, up, np.cross(up, aft))


def _tip_fin(fin: fins_of.SheetFin) -> np.ndarray:
    """Return the outline (n, 2) of a fin on the tip: up its front edge and down its rear one."""
    above, below = fins_of.fin_parts(fin)
    rows = [(0.0, 0.0, float(fin.root_chord))]  # height along the fin, front edge and chord there
    if float(below.length) > 0:
        rows.insert(0, (-float(below.length), float(below.set_back), float(below.tip_chord)))
    if float(above.length) > 0:
        rows.append((float(above.length), float(above.set_back), float(above.tip_chord)))
    flat = [(front, height) for height, front, _ in rows]
    flat += [(front + chord, height) for height, front, chord in reversed(rows)]
    return np.array(flat) - np.array([0.5 * float(fin.root_chord), 0.0])


def _on_skin(fin: fins_of.SheetFin, part: fins_of.FinPart, plane: _FinPlane, skin: Skin) -> np.ndarray:
    """Return the outline (n, 2) of one part of an inboard fin: its outer edge, and back along the skin.

    The part is moved out by the mean height of the skin at its foot, so that it keeps its area.
    """
    share = np.linspace(0.0, 1.0, _FOOT_POINTS)
    foot = float(part.root_chord) * (share - 0.5)
    height = np.zeros_like(foot)
    for _ in range(_FOOT_STEPS):
        x, y, z = plane.points(np.column_stack([foot, height])).T
        surface = surface_heights(skin, x, y)[0 if part.direction > 0 else 1]
        height = height + (surface - z) / plane.up[2]
    mean = float((0.5 * (height[1:] + height[:-1])).mean())
    edge = float(part.set_back) - 0.5 * float(part.root_chord) + float(part.tip_chord) * share
    outer = np.column_stack([edge, np.full_like(edge, mean + part.direction * float(part.length))])
    return np.concatenate([outer, np.column_stack([foot, height])[::-1]])


def drive_parts(design: EvaluatedDesign, skin: Skin, strips: list[BodyPart]) -> list[BodyPart]:
    """Return the motor as a cylinder and its propeller as a thin disc.

    The axis is above the middle of the root section at the balance point by the height of the thrust line. The motor
    may cross the fixed strips, which are cut out for its mount.
    """
    study, z = design.study, _thrust_line(design, skin)
    disc = propeller_lengths(design.choice.propeller or study.propeller.size)[0]
    crossed = tuple(strip.name for strip in strips)
    return [motor_part(design, skin, crossed), _round("propeller", study.propeller.from_nose, z, disc, DISC, ())]


def motor_part(design: EvaluatedDesign, skin: Skin, may_cross: tuple[str, ...] = ()) -> BodyPart:
    """Return the motor as a cylinder, which may cross the parts of these names."""
    across, along = motor_size(design.study)
    return _round("motor", design.study.motor.from_nose, _thrust_line(design, skin), across, along, may_cross)


def _thrust_line(design: EvaluatedDesign, skin: Skin) -> float:
    """Return the height of the axis of motor and propeller. [m]"""
    balance = float(design.evaluation.flow.trimmed.centre_of_gravity)
    upper, lower = surface_heights(skin, np.array([balance]), np.zeros(1))
    return 0.5 * float(upper[0] + lower[0]) + design.study.motor.thrust_line_height


def motor_size(study: Study) -> tuple[float, float]:
    """Return likely diameter and length of the motor's can, from its frame class and mass. [m]"""
    number, unit = study.motor.size.split()
    diameter = from_edge(unit, float(number)) + _CAN_OVER_STATOR
    return diameter, study.motor.mass / (_MOTOR_DENSITY * 0.25 * np.pi * diameter**2)


def _round(name: str, x: float, z: float, diameter: float, length: float, may_cross: tuple[str, ...]) -> BodyPart:
    line = np.array([[x - 0.5 * length, 0.0, z], [x + 0.5 * length, 0.0, z]])
    solid: Any = solids.rod_solid(line, diameter)
    return BodyPart(name, name, MATERIAL, None, solid, solids.rod_amount(line, diameter), may_cross=may_cross)
