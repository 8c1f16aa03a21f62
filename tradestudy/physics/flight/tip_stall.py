"""The stall in level flight: its speed, and the lift left at the tips when the first strip of the wing stalls.

Nothing here depends on how fast a wing cruises. In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.aero import trim
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.geometry import planform
from tradestudy.physics.geometry.mesh import Mesh

from .level_drag import LevelData, stall_margin
from .trimmed_flight import FlightData, UnitSolution, thrust_moment_volume

# Strips outboard of this share of the half span are the tips: if the outer 30 % keep flying, a stall is held. Common
# practice, no source. [-]
TIP_START = 0.7
APPROACH_LIFT = np.array([0.4, 0.8, 1.2])  # mean lift coefficients of the wing; the last two lie about its stall [-]
_ONE = np.ones(len(APPROACH_LIFT))
_LEAST_LIFT = 0.05  # a wing that no lift carries without a stall is given this one, so that all stays finite [-]
_SHARPNESS = 1500.0  # of the least among strips: three equal ones stall 0.1 % of lift too early [-]
_MOST_LIFT = 1e3  # mean lift coefficient at which a strip stalls that never does, so that all stays finite [-]
_CORRECTIONS = 2  # each divides the error of the lift at the stall by about ten
# Weights of a parabola from its values at the three APPROACH_LIFT, the constant first
_PARABOLA = np.linalg.inv(np.vander(APPROACH_LIFT, increasing=True))


class StallApproach(NamedTuple):
    """A wing trimmed in level flight at each of APPROACH_LIFT, with the balance at its mark."""

    approach_pressure: Any  # dynamic pressure (..., 3) [Pa]
    approach_lift: Any  # lift coefficient of every strip (..., 3, n_strip) [-]
    approach_log_reynolds: Any  # natural logarithm of its Reynolds number (..., 3, n_strip) [-]
    approach_deflection: Any  # elevon deflection, mean over the strip's width (..., 3, n_strip) [rad]


class TipStall(NamedTuple):
    """The tips of a wing when its first strip stalls."""

    tips_left: Any  # lift that the tips as a whole could still gain over their largest (...) [-]
    stall_speed: Any  # speed of level flight at which the first strip stalls (...) [m/s]


def tip_shares(wing: planform.Planform, mesh: Mesh) -> Any:
    """Return the share (..., n_wing) of each wing strip's width that lies outboard of TIP_START. Geometry. [-]"""
    inner, outer = mesh.inner_edge[..., : mesh.n_wing, 1], mesh.outer_edge[..., : mesh.n_wing, 1]
    share = (outer - TIP_START * wing.semi_span[..., None]) / (outer - inner)
    return np.where(share.real <= 0.0, 0.0, np.where(share.real >= 1.0, 1.0, share))


def stall_approach(data: FlightData, solution: UnitSolution, all_up_mass: Any, centre_of_gravity: Any) -> StallApproach:
    """Return the StallApproach of a UnitSolution, with statics as in ``trim``.

    ``all_up_mass`` [kg] and ``centre_of_gravity`` behind the nose datum [m] are (...).
    """
    areas, mesh = solution.areas, solution.mesh
    for_each_newton = 1 / (APPROACH_LIFT * areas.area[..., None])
    pressure = (all_up_mass * GRAVITY)[..., None] * for_each_newton
    state = trim.rigid_trim(  # of one newton: at a given lift coefficient, neither weight nor speed matters
        solution.unit,
        trim.TrimInputs(
            centre_of_gravity=centre_of_gravity,
            weight=_ONE[0],
            dynamic_pressure=for_each_newton,
            load_factor=_ONE,
            speed=_ONE,
            effectiveness=data.elevon_effectiveness,
            thrust_moment_volume=thrust_moment_volume(data, areas, APPROACH_LIFT),
        ),
    )
    speed = np.sqrt(2 * pressure / data.air_density)
    chord = mesh.chord[..., : mesh.n_wing]
    return StallApproach(
        approach_pressure=pressure,
        approach_lift=trim.strip_lift_coefficients(solution.strips, state.amplitude, chord),
        approach_log_reynolds=np.log(speed[..., None] * chord[..., None, :] / data.kinematic_viscosity),
        approach_deflection=state.elevon[..., None] * solution.coverage[..., None, :],
    )


def tip_stall(data: LevelData, shares: Any, strip_area: Any, approach: StallApproach) -> TipStall:
    """Return the TipStall of a wing in level flight, with the balance at its mark.

    Parameters
    ----------
    data : LevelData
    shares : (..., n_strip) array
        Share of each strip that belongs to the tips, as from ``tip_shares``. [-]
    strip_area : (..., n_strip) array
        [m^2]
    approach : StallApproach

    Notes
    -----
    In level flight, lift and elevon of every strip are exact parabolas of the mean lift coefficient: the lattice is
    linear in it, and the drag whose thrust turns the wing is a parabola. So three conditions give the trim at any
    speed. The lift at which a strip stalls is found by two chord steps from a straight line between two conditions.
    The tips are judged at the stall's own trim and Reynolds numbers. This is our own definition.
    """
    _, middle, high = APPROACH_LIFT
    margins = stall_margin(data, *(part[..., 1:, :] for part in approach[1:]))
    margin, log_reynolds = margins[..., 0, :], approach.approach_log_reynolds[..., 1, :]
    fall = (margin - margins[..., 1, :]) / (high - middle)
    parabolas = _PARABOLA @ np.array([approach.approach_lift, approach.approach_deflection])
    constant, linear, square = (parabolas[..., power, :] for power in range(3))
    falls = fall.real > 0
    steep = np.where(falls, fall, 1.0)
    mean_lift = _first(middle, margin, falls, steep)
    for _ in range(_CORRECTIONS):
        start = mean_lift[..., None]
        lift, deflection = (square * start + linear) * start + constant
        margin = stall_margin(data, lift, log_reynolds + 0.5 * np.log(middle / start), deflection)
        mean_lift = _first(start, margin, falls, steep)
    weight = shares * strip_area
    left = margin - (mean_lift[..., None] - start) * fall
    # the largest lift of a strip barely changes in the last step, and the lift takes up what its margin loses
    tips_left = (weight * left).sum(axis=-1) / (weight * (lift + margin)).sum(axis=-1)
    pressure = approach.approach_pressure[..., 1] * middle / mean_lift
    return TipStall(tips_left, np.sqrt(2 * pressure / data.flight.air_density))


def _first(mean_lift: Any, margin: Any, falls: Any, fall: Any) -> Any:
    """Return the mean lift coefficient (...) at which the first strip stalls. [-]

    Each strip has ``margin`` at a ``mean_lift`` (..., n_strip) [-], which falls by ``fall`` for each unit of it. A
    strip that has no such ``falls`` [bool], because its margin grows, does not stall.
    """
    stalls = np.where(falls, mean_lift + margin / fall, _MOST_LIFT)
    least = np.minimum.reduce(stalls.real, axis=-1)
    nearness = np.add.reduce(np.exp(_SHARPNESS * (least[..., None] - stalls)), axis=-1)
    first = least - np.log(nearness) / _SHARPNESS
    return np.where(first.real < _LEAST_LIFT, _LEAST_LIFT, first)
