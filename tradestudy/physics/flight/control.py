"""Trim, handling and control of one design, with the effect of wing twist on control, and the load on the servos.

Trim, loads and drag are those of the rigid wing. In cruise, twist moves the elevon by a few tenths of a degree. A wing
whose washout grows under load has smaller loads than computed, by an amount that depends on the film's bond.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.aeroelastic import divergence_reversal, elastic_wing, elevon_hinge
from tradestudy.physics.arrays import stacked
from tradestudy.physics.geometry import planform
from tradestudy.physics.geometry.mesh import Mesh

from .strength import HalfWing
from .tip_stall import StallApproach, stall_approach
from .trimmed_flight import (
    FULL_SPEED_SHARE,
    LEVEL_CONDITIONS,
    FlightData,
    LateralHandling,
    TrimmedFlight,
    UnitSolution,
    lateral_handling,
    trim_conditions,
)

# Elevon response over that of the rigid wing, below which control is slow: common practice [-]
LEAST_CONTROL_SHARE = 0.4
# Largest real eigenvalue of the feedback between twist and air loads; 1 is divergence: common practice, no source [-]
MOST_FEEDBACK = 0.5
# Stiffness of a covering with a loose bond over its nominal stiffness: common practice, no source [-]
LOOSE_BOND = 0.4
_FULL_SPEED = LEVEL_CONDITIONS.index("full_speed")
# Shares of the elevon's length between which the sweep of its hinge is taken at its middle [-]
_MIDDLE = 0.5 + np.array([0.0, 1e-3])


class TwistEffects(NamedTuple):
    """Effects of wing twist on control. Fields have the shape (...)."""

    roll_control: Any  # roll response over that of the rigid wing, at ``FlightData.control_speed`` [-]
    pitch_control: Any  # pitch response over that of the rigid wing, at the same speed [-]
    twist_off_share: Any  # feedback of twist on air loads at the never-exceed speed; 1 is divergence [-]


class DesignFlow(NamedTuple):
    """Trim, handling, effects of twist and the way to the stall of a design."""

    trimmed: TrimmedFlight
    lateral: LateralHandling
    twist_effects: TwistEffects
    approach: StallApproach


def design_flow(
    data: FlightData, solution: UnitSolution, half: HalfWing, all_up_mass: Any, static_margin: Any, cruise_speed: Any
) -> DesignFlow:
    """Return the DesignFlow of a design from its HalfWing and its UnitSolution, which needs strip loads (``air``).

    ``all_up_mass`` [kg], ``static_margin`` over mean aerodynamic chord [-] and ``cruise_speed`` [m/s] are (...).
    Definitions are as in ``trim_conditions``, ``lateral_handling``, ``twist_effects`` and ``stall_approach``.
    """
    trimmed = trim_conditions(data, solution, all_up_mass, static_margin, cruise_speed)
    return DesignFlow(
        trimmed=trimmed,
        lateral=lateral_handling(data, solution, trimmed),
        twist_effects=twist_effects(data, solution, half),
        approach=stall_approach(data, solution, all_up_mass, trimmed.centre_of_gravity),
    )


def twist_effects(data: FlightData, solution: UnitSolution, half: HalfWing) -> TwistEffects:
    """Return the TwistEffects (...) of a HalfWing and a UnitSolution with strip loads (``air``).

    Definitions are as in ``divergence_reversal.elastic_effects``.
    """
    still = 0.0 * solution.areas.area[..., None]
    control, fastest = (
        0.5 * data.air_density * speed**2 + still for speed in (data.control_speed, data.never_exceed_speed)
    )
    compliance = elastic_wing.compliance(
        beam=half.beam,
        strip_y=half.strip_y,
        strip_mass=half.strip_mass,
        mass_x=half.mass_x,
        tip_mass=half.tip_mass,
        tip_mass_x=half.tip_mass_x,
    )
    assert solution.air is not None, "needs a solution with strips"
    effects = divergence_reversal.elastic_effects(solution.air, compliance, control, fastest)
    return TwistEffects(
        roll_control=effects.roll_effectiveness[..., 0],
        pitch_control=effects.pitch_effectiveness[..., 0],
        twist_off_share=effects.twist_off_share[..., 0],
    )


def roll_control_speed(data: FlightData, air: elastic_wing.AirLoads, compliance: elastic_wing.Compliance) -> float:
    """Return the airspeed at which roll control has fallen to ``LEAST_CONTROL_SHARE`` of the rigid wing's. [m/s]

    It comes from interpolation, up to ``divergence_reversal.HIGHEST_SPEED``, and has no slope. Inputs have no batch
    axes.
    """
    speed = np.linspace(0.02, 1.0, 99) * divergence_reversal.HIGHEST_SPEED
    pressure = 0.5 * data.air_density * speed**2
    share = divergence_reversal.elastic_effects(air, compliance, pressure).roll_effectiveness
    below = np.flatnonzero(share < LEAST_CONTROL_SHARE)
    if not len(below):
        return float(speed[-1])
    bracket = slice(max(below[0] - 1, 0), below[0] + 1)
    return float(np.interp(-LEAST_CONTROL_SHARE, -share[bracket], speed[bracket]))


class ServoData(NamedTuple):
    """Constants of a study for the load on the servos, in SI units."""

    up_travel: float  # elevon angle at full up stick, about the hinge [rad]
    arm_over_horn: float  # arm of the servo over the horn of the elevon [-]


class ServoLoad(NamedTuple):
    """What the servos must hold."""

    servo_load: Any  # torque of one servo for full elevon up and down at full speed, with its reserve (..., 2) [N m]


class HingedElevon(NamedTuple):
    """Geometry of one elevon. Fields have the shape (...) unless stated."""

    chord: Any  # elevon chord at its middle [m]
    share: Any  # elevon chord over wing chord at its middle [-]
    sweep: Any  # sweep of the hinge line at its middle [rad]
    squared: Any  # integral of the elevon chord squared along the span [m^3]
    strip_shares: Any  # share of each strip of the wing in the elevon's length (..., n_strip) [-]


def hinged_elevon(wing: planform.Planform, mesh: Mesh, coverage: Any) -> HingedElevon:
    """Return the HingedElevon of a wing (...) with its ``mesh``. Geometry, no source needed.

    ``coverage`` (..., n_strip) [-] is that of ``trimmed_flight.elevon_coverage``.
    """
    inner, outer = wing.elevon_inner_end, wing.elevon_outer_end
    where = inner[..., None] + (outer - inner)[..., None] * _MIDDLE
    edge, foam, chord = planform.interpolated(wing, (wing.leading_edge, wing.foam_chord, wing.elevon_chord), where)
    along, forward = (place[..., 1] - place[..., 0] for place in (where, edge + foam))
    strips = slice(mesh.n_wing)
    length = coverage * (mesh.outer_edge[..., strips, 1] - mesh.inner_edge[..., strips, 1])
    return HingedElevon(
        chord=chord[..., 0],
        share=chord[..., 0] / (foam[..., 0] + chord[..., 0]),
        sweep=np.arctan(forward / along),
        squared=elevon_hinge.chord_moment(wing.station, wing.elevon_chord, inner, outer),
        strip_shares=length / length.sum(axis=-1)[..., None],
    )


def full_elevon_moments(
    data: FlightData, up_travel: float, elevon: HingedElevon, lift: Any, deflection: Any, pressure: Any
) -> Any:
    """Return the moments (..., 2) of the air about the hinge of one elevon that is fully up, and fully down. [N m]

    The incidence is that of level flight, with its downwash: with the elevon's deflection it gives the lift of the
    strips. Sources: ``elevon_hinge.hinge_coefficients``; lift of a flap, H. Glauert, ARC R&M 1095 (1927).

    Parameters
    ----------
    data : FlightData
    up_travel : float
        Largest deflection about the hinge, taken to both sides. [rad]
    elevon : HingedElevon
    lift : (..., n_strip) array
        Lift coefficient of each strip in level flight. [-]
    deflection, pressure : (...) arrays
        Elevon deflection in level flight, trailing edge down positive, and dynamic pressure. [rad], [Pa]
    """
    zero_lift = -data.camber.lift_coefficient / (2 * np.pi)
    hinge = np.arccos(2 * elevon.share - 1)
    per_turn = 2 * (np.pi - hinge + np.sin(hinge)) * data.elevon_effectiveness
    mean_lift = (elevon.strip_shares * lift).sum(axis=-1)
    incidence = zero_lift + (mean_lift - per_turn * deflection) / (2 * np.pi)
    found = elevon_hinge.hinge_coefficients(elevon.share, zero_lift, data.camber.moment_coefficient)
    turned = up_travel * np.cos(elevon.sweep)  # in the flight direction
    return stacked(
        [
            elevon_hinge.hinge_moment(found, pressure, elevon.squared, incidence, travel, elevon.sweep)
            for travel in (-turned, turned)
        ]
    )


def servo_load(
    data: FlightData, servo: ServoData, hinged: HingedElevon, lift_coefficient: Any, elevon: Any
) -> ServoLoad:
    """Return the ServoLoad of a HingedElevon (...), as in ``full_elevon_moments``.

    Full speed is the never-exceed speed over 1.2, the fastest level flight that a study allows. With the reserve of
    1.5, the torque is 4 % above that of full elevon at the never-exceed speed without one. That reserve is common
    practice, no source.

    ``lift_coefficient`` (..., n_level, n_strip) [-] is that of the strips, and ``elevon`` (..., n_condition) [rad] the
    deflection in every condition.
    """
    pressure = 0.5 * data.air_density * (FULL_SPEED_SHARE * data.never_exceed_speed) ** 2
    moments = full_elevon_moments(
        data,
        servo.up_travel,
        hinged,
        lift_coefficient[..., _FULL_SPEED, :],
        elevon[..., _FULL_SPEED],
        pressure,
    )
    size = np.where(moments.real < 0, -moments, moments)
    return ServoLoad(elevon_hinge.TORQUE_RESERVE * servo.arm_over_horn * size)
