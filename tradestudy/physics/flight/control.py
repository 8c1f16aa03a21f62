"""One design whose wing bends and twists: how it flies, and how long its elevons keep their say.

Trim, loads and drag stay those of the stiff wing: in cruise twist moves the elevon by a few tenths of a degree, and
loads of a wing that washes out under load are smaller than those told, by an amount that hangs on the film's bond.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.aeroelastic import divergence_reversal, elastic_wing

from . import trimmed_flight

LEAST_CONTROL_SHARE = 0.4  # of the stiff wing's answer to its elevons; below it a wing is steered late. Common practice
MOST_FEEDBACK = 0.5  # largest real eigenvalue of the feedback; 1 is twist-off. Common practice, no source
LOOSE_BOND = 0.4  # of the covering's nominal stiffness, where the bond has come loose. Common practice, no source


class TwistEffects(NamedTuple):
    """What twist leaves of control (...)."""

    roll_control: Any  # of the stiff wing's answer to its elevons, at ``FlightData.control_speed`` [-]
    pitch_control: Any  # the same [-]
    twist_off_share: Any  # how far it is to twist-off at the never-exceed speed; 1 is there [-]


class DesignFlow(NamedTuple):
    """What the air does to a design."""

    trimmed: trimmed_flight.TrimmedFlight
    lateral: trimmed_flight.LateralHandling
    twist_effects: TwistEffects


def design_flow(data, solution, half, all_up_mass, static_margin, cruise_speed):
    """Return the Flow of a design from its Solution with strips and its ``strength.HalfWing``.

    ``data`` is trimmed_flight.FlightData; mass [kg], static margin over mean aerodynamic chord [-] and speed [m/s] are
    (...).
    """
    trimmed = trimmed_flight.trim_conditions(data, solution, all_up_mass, static_margin, cruise_speed)
    return DesignFlow(
        trimmed, trimmed_flight.lateral_handling(data, solution, trimmed), twist_effects(data, solution, half)
    )


def twist_effects(data, solution, half):
    """Return the Softness (...) of a Solution with strips and a ``strength.HalfWing``."""
    speed = np.array([data.control_speed, data.never_exceed_speed])
    pressure = 0.5 * data.air_density * speed**2 + 0 * solution.areas.area[..., None]
    left = divergence_reversal.elastic_effects(solution.air, elastic_wing.compliance(*half), pressure)
    return TwistEffects(left.roll_effectiveness[..., 0], left.pitch_effectiveness[..., 0], left.twist_off_share[..., 1])


def roll_control_speed(data, air, compliance):
    """Return the airspeed at which roll control has fallen to ``CONTROL_LEFT`` of the stiff wing's; values only. [m/s]

    Not told beyond ``divergence_reversal.HIGHEST_SPEED``. ``data`` trimmed_flight.FlightData, ``air``
    elastic_wing.AirLoads, ``compliance`` elastic_wing.Compliance, without batch axes.
    """
    speed = np.linspace(0.02, 1.0, 99) * divergence_reversal.HIGHEST_SPEED
    left = divergence_reversal.elastic_effects(air, compliance, 0.5 * data.air_density * speed**2).roll_effectiveness
    below = np.flatnonzero(left < LEAST_CONTROL_SHARE)
    if not len(below):
        return float(speed[-1])
    here = slice(max(below[0] - 1, 0), below[0] + 1)
    return float(np.interp(-LEAST_CONTROL_SHARE, -left[here], speed[here]))
