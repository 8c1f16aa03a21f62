"""One wing as it may come out of the shop: its design, moved by the errors of a build.

The errors go through the one chain. Washout, sweep and tip chord are variables. The root chord, the depth of the slots
and the weight are data of the model. The builder sets the balance mark by its distance from the nose, so a wing whose
neutral point has moved has another static margin. Fins keep the size of the design.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.model.model_data import ModelData
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.physics.aero import trim
from tradestudy.physics.flight import layout
from tradestudy.physics.geometry import planform
from tradestudy.physics.weights import mass


class BuildErrors(NamedTuple):
    """What a wing has more than its design. A wing without errors is its design, to the last bit."""

    washout: float = 0.0  # washout of both halves [rad]
    sweep: float = 0.0  # sweep of the leading edge [rad]
    core_chord: float = 0.0  # foam chord at root and tip [m]
    rod_depth: float = 0.0  # depth of the slots [m]
    balance: float = 0.0  # balance mark behind the nose [m]
    weight: float = 0.0  # flying weight, as a share of that of the design [-]


# scheme of the new panels -> errors that its shop can make; a wing that keeps its panels has the last two alone
ERRORS_OF = {
    "scaled": ("washout", "twist_difference", "sweep", "core_chord", "rod_depth", "balance", "weight"),
    "tip": ("washout", "twist_difference", "balance", "weight"),
    "plug": ("balance", "weight"),
}
OF_KEPT_PANELS = ("balance", "weight")


def as_built(design: SpeedSweep, errors: BuildErrors) -> SpeedSweep:
    """Return a wing with the errors of its build, balanced at the mark of its design plus the error of the mark."""
    if errors == BuildErrors():
        return design
    data = _built_data(design, errors)
    variables = design.variables | {
        "washout": design.variables["washout"] + errors.washout,
        "sweep": _sweep(design) + errors.sweep,
        "tip_chord": design.variables["tip_chord"] + errors.core_chord,
    }
    built = SpeedSweep(data, design.choice, variables)
    mark = _points(design).centre_of_gravity + errors.balance
    points = _points(built)
    margin = (points.neutral_point - mark) / built.solution.areas.mean_aerodynamic_chord
    designs = built.design._replace(static_margin=margin)
    wings = replace(built.wings, designs=designs)
    return SpeedSweep(data, design.choice, variables | {"static_margin": float(margin)}, wings)


def _points(design: SpeedSweep) -> trim.BalancePoints:
    solution = design.solution
    return trim.balance_points(solution.unit, solution.areas.mean_aerodynamic_chord, design.static_margin)


def _sweep(design: SpeedSweep) -> float:
    """Return the sweep of the leading edge of the panel. It is no variable where the set-back is kept. [rad]"""
    laid = design.data.layout
    if laid.scheme != "scaled" or laid.keep != "set_back":
        return design.variables["sweep"]
    wing = design.solution.wing
    return float(np.arctan(wing.leading_edge[-1] / (wing.semi_span - laid.stock.panel_start)))


def _built_data(design: SpeedSweep, errors: BuildErrors) -> ModelData:
    data, laid = design.data, design.data.layout
    surface = mass.bare_wing(design.solution.wing, laid.materials).surface
    more = errors.weight * float(design.shape.all_up_mass)  # spread over the surface, as glue and paint are
    more_moment = more * float(surface.moment / surface.mass)
    laid = laid._replace(
        stock=laid.stock._replace(root_chord=laid.stock.root_chord + errors.core_chord),
        keep="sweep_angle",
        fins=tuple(design.solution.fins),
        fins_rule="keep",
        fixed=mass.Lump(laid.fixed.mass + more, laid.fixed.moment + more_moment),
    )
    rods = data.strength.rods
    depth = np.maximum(rods.slot_depth + errors.rod_depth, _flush(design))
    return replace(
        data,
        level=data.level._replace(flight=data.flight._replace(layout=laid)),
        strength=data.strength._replace(layout=laid, rods=rods._replace(slot_depth=depth)),
    )


def _flush(design: SpeedSweep) -> Any:
    """Return the least depth of the slots: no rod stands above the skin, unless the study lays it so. [m]"""
    rods = design.data.strength.rods
    own = np.array([one.diameter for one in layout.chosen_rods(design.data.layout, design.choice.rod_diameter, 1.0)])
    return np.minimum(rods.slot_depth, own)


def roll_trim(design: SpeedSweep, twist_difference: float) -> float:
    """Return the elevon [rad], one up and one down, that holds a wing level whose halves differ in washout.

    ``twist_difference`` [rad] is that at the tips. Both moments go with the same dynamic pressure, so the trim is that
    of every speed. The wing is taken as rigid. The lattice is that of the chain, in antisymmetric flow.
    """
    wing, mesh, data = design.solution.wing, design.solution.mesh, design.data
    stations = mesh.middle[: mesh.n_wing, 1]
    (twist,) = planform.interpolated(wing, (_twist_shape(design),), stations)
    volume = design.air.roll_volume
    per_elevon = volume[1] * data.flight.elevon_effectiveness
    return float(abs(0.5 * twist_difference * (volume[2:] @ twist) / per_elevon))


def _twist_shape(design: SpeedSweep) -> Any:
    """Return the twist at the breaks of the outline for a unit of washout of the tip. [-]"""
    variables, step = design.variables, 0.01
    ends = [
        layout.wing_outline(
            design.data.layout,
            np.float64(variables["extension"]),
            np.float64(variables["sweep"]),
            np.float64(variables["washout"] + side * step),
            np.float64(variables["tip_chord"]),
        ).twist
        for side in (-1.0, 1.0)
    ]
    return (ends[1] - ends[0]) / (2 * step)
