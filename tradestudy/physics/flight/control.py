"""Trim, handling and control of one design, with the effect of wing twist on control.

Trim, loads and drag are those of the rigid wing. In cruise, twist moves the elevon by a few tenths of a degree. A wing
whose washout grows under load has smaller loads than computed, by an amount that depends on the film's bond.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.aeroelastic import divergence_reversal, elastic_wing

from .strength import HalfWing
from .trimmed_flight import (
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


class TwistEffects(NamedTuple):
    """Effects of wing twist on control. Fields have the shape (...)."""

    roll_control: Any  # roll response over that of the rigid wing, at ``FlightData.control_speed`` [-]
    pitch_control: Any  # pitch response over that of the rigid wing, at the same speed [-]
    twist_off_share: Any  # feedback of twist on air loads at the never-exceed speed; 1 is divergence [-]


class DesignFlow(NamedTuple):
    """Trim, handling and effects of twist of a design."""

    trimmed: TrimmedFlight
    lateral: LateralHandling
    twist_effects: TwistEffects


def design_flow(
    data: FlightData, solution: UnitSolution, half: HalfWing, all_up_mass: Any, static_margin: Any, cruise_speed: Any
) -> DesignFlow:
    """Return the DesignFlow of a design from its HalfWing and its UnitSolution, which needs strip loads (``air``).

    ``all_up_mass`` [kg], ``static_margin`` over mean aerodynamic chord [-] and ``cruise_speed`` [m/s] are (...).
    Definitions are as in ``trim_conditions``, ``lateral_handling`` and ``twist_effects``.
    """
    trimmed = trim_conditions(data, solution, all_up_mass, static_margin, cruise_speed)
    return DesignFlow(
        trimmed=trimmed,
        lateral=lateral_handling(data, solution, trimmed),
        twist_effects=twist_effects(data, solution, half),
    )


def twist_effects(data: FlightData, solution: UnitSolution, half: HalfWing) -> TwistEffects:
    """Return the TwistEffects (...) of a HalfWing and a UnitSolution with strip loads (``air``).

    Definitions are as in ``divergence_reversal.elastic_effects``.
    """
    speed = np.array([data.control_speed, data.never_exceed_speed])
    pressure = 0.5 * data.air_density * speed**2 + 0 * solution.areas.area[..., None]
    compliance = elastic_wing.compliance(
        beam=half.beam,
        strip_y=half.strip_y,
        strip_mass=half.strip_mass,
        mass_x=half.mass_x,
        tip_mass=half.tip_mass,
        tip_mass_x=half.tip_mass_x,
    )
    assert solution.air is not None, "needs a solution with strips"
    effects = divergence_reversal.elastic_effects(solution.air, compliance, pressure)
    return TwistEffects(
        roll_control=effects.roll_effectiveness[..., 0],
        pitch_control=effects.pitch_effectiveness[..., 0],
        twist_off_share=effects.twist_off_share[..., 1],
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
