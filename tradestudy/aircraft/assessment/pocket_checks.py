"""Strength left at servo holes, cable channels and holes of equipment. The results are reported, not constrained."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.body.gear_parts import placed_items
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.physics.body import straight_rods
from tradestudy.physics.flight import gear, layout, strength
from tradestudy.physics.geometry import planform
from tradestudy.physics.structure import failure_modes, local_failure, rods
from tradestudy.study.schema.wing import PocketTable

_NO_WEB = 1e-3  # least share of the foam web in a division; it then breaks at almost no load
NOTE = "film over it carries the twist only where it is glued all round"
HOLE_NOTE = "a hole in the middle of the foam: the skin over it stays, and the rods pass above and below"
_OPEN_TO_NONE = ""  # skin from which a hole in the middle of the foam is cut


class PocketUse(NamedTuple):
    """The failure mode nearest to breaking at one pocket, and a note on it."""

    name: str
    condition: int
    utilisation: float
    mode: str
    station: float  # distance from the centre line [m]
    note: str


class _Hole(NamedTuple):
    """A hole in one half wing: its name, its place, the skin that it is cut from, and a note."""

    name: str
    pocket: local_failure.FoamPocket
    side: str
    note: str


def pocket_uses(design: EvaluatedDesign, built: strength.DetailedHalfWing) -> list[PocketUse]:
    """Return a PocketUse for every pocket of the study and every hole of equipment in a half wing.

    They are those in the load conditions of the design.
    """
    names = failure_modes.mode_names([rod.name for rod in design.study.rods])
    holes = [_of_pocket(design, pocket) for pocket in design.study.pocket]
    holes += [
        _of_thing(built.wing, item.name, item.size, place)
        for item, place in placed_items(design)
        if item.buried and item.size and item.from_centre > 0.5 * item.size[1]
    ]
    return [_use(design, built, names, hole) for hole in holes]


def _of_pocket(design: EvaluatedDesign, pocket: PocketTable) -> _Hole:
    middle = layout.pocket_station(design.data.layout, pocket.from_centre, design.variables["extension"])
    ends = middle - 0.5 * pocket.along_span, middle + 0.5 * pocket.along_span
    hole = local_failure.FoamPocket(*ends, pocket.from_leading_edge, pocket.length, pocket.depth)
    return _Hole(f"pocket, {pocket.name}", hole, pocket.side, NOTE)


def _of_thing(wing: planform.Planform, name: str, size: tuple[float, float, float], place: gear.GearPlace) -> _Hole:
    """Return the hole of a thing of a ``size`` [m] with its middle at a ``place``."""
    length, width, height = size
    middle = float(place.from_centre)
    (edge,) = planform.interpolated(wing, (wing.leading_edge,), np.array([middle]))
    front = float(place.from_nose) - 0.5 * length - float(edge[0])
    hole = local_failure.FoamPocket(middle - 0.5 * width, middle + 0.5 * width, front, length, height)
    return _Hole(f"hole, {name}", hole, _OPEN_TO_NONE, HOLE_NOTE)


def _use(design: EvaluatedDesign, built: strength.DetailedHalfWing, names: list[str], made: _Hole) -> PocketUse:
    study, laid, hole = design.study, design.data.layout, made.pocket
    beam = design.evaluation.structure.beam
    utilisation = np.asarray(beam.utilisation)  # (n_condition, n_mode, n_station)
    station = built.half.beam.station_y
    places = np.linspace(hole.inner_end, hole.outer_end, 5)
    edge = planform.interpolated(built.wing, (built.wing.leading_edge,), places)[0]
    cases: list[tuple[Any, str]] = []

    def along(values):  # from (n_condition, n_station) to (n_condition, n_place) along the pocket
        return np.array([np.interp(places, station, row) for row in np.atleast_2d(values)])

    area_left = 1.0 - hole.length * hole.depth / along(built.stiffness.shape.area)[0]
    away = names.index("foam shear away from the rods")
    cases.append((along(utilisation[:, away]) / np.maximum(area_left, _NO_WEB), "foam shear beside the pocket"))
    force = np.abs(local_failure.rod_force(built.stiffness, built.parts.rods, beam.bending_moment))
    rigidity = np.broadcast_to(rods.rod_rigidity(built.parts.rods), np.shape(built.parts.rods.pairs))
    chosen = layout.chosen_rods(laid, design.choice.rod_diameter, design.choice.rod_pairs)
    for index, (rod, set_) in enumerate(zip(study.rods, chosen, strict=True)):
        line = layout.rod_line(laid, built.wing, set_)
        inside = (places > line.inner_y) & (places < line.outer_y)
        if not inside.any() or built.parts.rods.pairs[index] < 0.5:
            continue
        place = straight_rods.x_at(line, places) - edge  # behind the leading edge
        width, spacing = (
            along(values[index])[0]
            for values in (built.stiffness.web_factor * built.stiffness.spacing, built.stiffness.spacing)
        )
        left = local_failure.remaining_web(hole, place, np.maximum(width, 1e-4), spacing + 2 * rod.slot_depth)
        web = names.index(f"{failure_modes.ROD_MODES[3]} ({rod.name})")
        cases.append(
            (
                inside * along(utilisation[:, web]) / np.maximum(left, _NO_WEB),
                f"foam shear between the rods ({rod.name}), what the pocket leaves",
            )
        )
        free = inside & local_failure.pocket_crosses_rod(
            hole,
            place,
            0.5 * float(built.parts.rods.diameter[index]),
            rod.slot_depth,
            bool(made.side) and rod.surface in ("both", made.side),
        )
        if free.any():
            cases.append(
                (
                    free * along(force[:, index]) / local_failure.free_rod_load(hole, float(rigidity[index])),
                    f"rod buckling across the pocket ({rod.name})",
                )
            )
    used, mode = max(cases, key=lambda case: float(case[0].max()))
    condition, at = np.unravel_index(int(used.argmax()), used.shape)
    return PocketUse(made.name, int(condition), float(used[condition, at]), mode, float(places[at]), made.note)
