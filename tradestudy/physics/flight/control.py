"""Flight of one design whose wing bends and twists: trim, handling, and the control that twist leaves.

Trim, loads and drag are those of the rigid wing. In cruise twist moves the elevon by a few tenths of a degree. Loads of
a wing that washes out under load are smaller than those computed, by an amount that depends on the film's bond.
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

LEAST_CONTROL_SHARE = 0.4  # of the rigid wing's response to its elevons; below it control is slow. Common practice
MOST_FEEDBACK = 0.5  # largest real eigenvalue of the feedback; 1 is twist-off. Common practice, no source
LOOSE_BOND = 0.4  # of the covering's nominal stiffness, where the bond has come loose. Common practice, no source


class TwistEffects(NamedTuple):
    """Control that twist leaves (...)."""

    roll_control: Any  # of the rigid wing's response to its elevons, at ``FlightData.control_speed`` [-]
    pitch_control: Any  # the same in pitch [-]
    twist_off_share: Any  # feedback at the never-exceed speed; 1 is twist-off [-]


class DesignFlow(NamedTuple):
    """Trim, handling and twist of a design."""

    trimmed: TrimmedFlight
    lateral: LateralHandling
    twist_effects: TwistEffects


def design_flow(
    data: FlightData, solution: UnitSolution, half: HalfWing, all_up_mass: Any, static_margin: Any, cruise_speed: Any
) -> DesignFlow:
    """Return the DesignFlow of a design from its UnitSolution with strips and its HalfWing.

    ``all_up_mass`` [kg], ``static_margin`` over mean aerodynamic chord [-] and ``cruise_speed`` [m/s] are (...).
    Definitions as in ``trim_conditions``, ``lateral_handling`` and ``twist_effects``.
    """
    trimmed = trim_conditions(data, solution, all_up_mass, static_margin, cruise_speed)
    return DesignFlow(
        trimmed=trimmed,
        lateral=lateral_handling(data, solution, trimmed),
        twist_effects=twist_effects(data, solution, half),
    )


def twist_effects(data: FlightData, solution: UnitSolution, half: HalfWing) -> TwistEffects:
    """Return the TwistEffects (...) of a UnitSolution with strips, as in ``divergence_reversal.elastic_effects``."""
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

    Values only, by interpolation, up to ``divergence_reversal.HIGHEST_SPEED``; inputs without batch axes.
    """
    speed = np.linspace(0.02, 1.0, 99) * divergence_reversal.HIGHEST_SPEED
    pressure = 0.5 * data.air_density * speed**2
    share = divergence_reversal.elastic_effects(air, compliance, pressure).roll_effectiveness
    below = np.flatnonzero(share < LEAST_CONTROL_SHARE)
    if not len(below):
        return float(speed[-1])
    bracket = slice(max(below[0] - 1, 0), below[0] + 1)
    return float(np.interp(-LEAST_CONTROL_SHARE, -share[bracket], speed[bracket]))
