"""What servo holes and cable channels leave of the foam between the rods, told beside the load conditions."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.flight import layout, strength
from tradestudy.physics.geometry import planform
from tradestudy.physics.structure import failure_modes, local_failure, rods
from tradestudy.physics.structure import local_failure as pockets
from tradestudy.study.schema.study import Study
from tradestudy.study.schema.wing import PocketTable

LEAST_LEFT = 1e-3  # share of a web that counts as none: it then breaks at next to no load
NOTE = "film over it carries the twist only where it is glued all round"


class PocketUse(NamedTuple):
    """What is nearest to breaking at one pocket."""

    name: str
    condition: int
    utilisation: float
    mode: str
    station: float  # [m]


def pocket_uses(
    study: Study,
    laid: layout.LayoutData,
    built: strength.DetailedHalfWing,
    utilisation: Any,
    bending_moment: Any,
    extension: float,
) -> list[PocketUse]:
    """Return a PocketUse for every pocket of the study, with ``utilisation`` and moments of the load conditions.

    ``utilisation`` (n_condition, n_mode, n_station) [-], ``bending_moment`` (n_condition, n_station) [N m].
    """
    names = failure_modes.mode_names([rod.name for rod in study.rods])
    return [
        _use(study, laid, built, np.asarray(utilisation), bending_moment, one, names, extension) for one in study.pocket
    ]


def _use(study, laid, built, utilisation, bending_moment, told: PocketTable, names, extension) -> PocketUse:
    station = built.half.beam.station_y
    middle = moved(laid, told.from_centre, extension)
    hole = pockets.FoamPocket(
        middle - 0.5 * told.along_span, middle + 0.5 * told.along_span, told.from_leading_edge, told.length, told.depth
    )
    places = np.linspace(hole.inner_end, hole.outer_end, 5)
    foam = planform.interpolated(built.wing, (built.wing.foam_chord,), places)[0]
    cases: list[tuple[Any, str]] = []

    def along(values):  # (n_condition, n_station) at the pocket's places
        return np.array([np.interp(places, station, row) for row in np.atleast_2d(values)])

    area_left = 1.0 - told.length * told.depth / along(built.stiffness.shape.area)[0]
    plain = names.index("foam shear away from the rods")
    cases.append((along(utilisation[:, plain]) / np.maximum(area_left, LEAST_LEFT), "foam shear beside the pocket"))
    force = np.abs(local_failure.rod_force(built.stiffness, built.parts.rods, bending_moment))
    rigidity = np.broadcast_to(rods.rod_rigidity(built.parts.rods), np.shape(built.parts.rods.pairs))
    for index, (rod, run) in enumerate(zip(study.rods, laid.rods, strict=True)):
        outer = float(built.parts.rods.outer_end[index])
        inside = (places > run.inner_end) & (places < outer)
        if not inside.any() or built.parts.rods.pairs[index] < 0.5:
            continue
        place = run.fraction_at(places, outer) * foam
        width, spacing = (
            along(values[index])[0]
            for values in (built.stiffness.web_factor * built.stiffness.spacing, built.stiffness.spacing)
        )
        left = pockets.remaining_web(hole, place, np.maximum(width, 1e-4), spacing + 2 * rod.slot_depth)
        web = names.index(f"{failure_modes.ROD_MODES[3]} ({rod.name})")
        cases.append(
            (
                inside * along(utilisation[:, web]) / np.maximum(left, LEAST_LEFT),
                f"foam shear between the rods ({rod.name}), what the pocket leaves",
            )
        )
        free = inside & pockets.pocket_crosses_rod(
            hole,
            place,
            0.5 * float(built.parts.rods.diameter[index]),
            rod.slot_depth,
            rod.surface in ("both", told.side),
        )
        if free.any():
            cases.append(
                (
                    free * along(force[:, index]) / pockets.free_rod_load(hole, float(rigidity[index])),
                    f"rod buckling across the pocket ({rod.name})",
                )
            )
    used, mode = max(cases, key=lambda case: float(case[0].max()))
    condition, at = np.unravel_index(int(used.argmax()), used.shape)
    return PocketUse(told.name, int(condition), float(used[condition, at]), mode, float(places[at]))


def moved(laid: layout.LayoutData, station: float, extension: float) -> float:
    """Where a hole of the stock wing sits in a stretched one: with the panel, or at its share of a redrawn span. [m]"""
    if laid.scheme == "plug":
        return station + extension
    return station * (1.0 + 2.0 * extension / laid.stock.span) if laid.scheme == "scaled" else station
