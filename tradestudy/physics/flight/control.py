"""One design whose wing bends and twists: what `flight.flown` tells, and how long its elevons keep their say.

Trim, loads and drag stay those of the stiff wing: in cruise twist moves the elevon by a few tenths of a degree, and
loads of a wing that washes out under load are smaller than those told, by an amount that hangs on the film's bond.
"""

from __future__ import annotations

import numpy as np

from tradestudy.physics.aeroelastic import divergence_reversal, elastic_wing

from . import strength, trimmed_flight

CONTROL_LEFT = 0.4  # of the stiff wing's answer to its elevons; below it a wing is steered late. Common practice
MOST_FEEDBACK = 0.5  # largest real eigenvalue of the feedback; 1 is twist-off. Common practice, no source
LOOSE_BOND = 0.4  # of the covering's nominal stiffness, where the bond has come loose. Common practice, no source


def flown(data, structure, extension, sweep, washout, rod_diameter, rod_pairs, all_up_mass, static_margin,
          cruise_speed):
    """Return what ``flight.flown`` does, and what the soft wing does, as name -> array.

    All (...): ``roll_control``, ``pitch_control``: what is left of the stiff wing's answer to its elevons at
    ``data.control_speed`` [-]; ``twist_off_share``: how far it is to twist-off at the never-exceed speed, 1 is there
    [-]. ``data`` is flight.FlightData, ``structure`` strength.StrengthData; the rest as for ``flight.flown`` and
    ``strength.wing_structure``.
    """
    solution = trimmed_flight.unit_solution(data, extension, sweep, washout, strips=True)
    found = trimmed_flight.flown_from(data, solution, all_up_mass, static_margin, cruise_speed)
    beam = strength.half_wing(structure, extension, sweep, washout, rod_diameter, rod_pairs)
    return found | softness(data, solution, beam)


def softness(data, solution, beam):
    """Return the soft wing as name -> array (...) from a Solution with strips and a ``strength.HalfWing``. [-]"""
    speed = np.array([data.control_speed, data.never_exceed_speed])
    pressure = 0.5 * data.air_density * speed**2 + 0 * solution.areas.area[..., None]
    left = divergence_reversal.softness(solution.air, elastic_wing.compliance(*beam), pressure)
    return {"roll_control": left.roll_effectiveness[..., 0], "pitch_control": left.pitch_effectiveness[..., 0],
            "twist_off_share": left.twist_off_share[..., 1]}


def control_speed(data, air, compliance):
    """Return the airspeed at which roll control has fallen to ``CONTROL_LEFT`` of the stiff wing's; values only. [m/s]

    Not told beyond ``twist_off.HIGHEST_SPEED``. ``data`` flight.FlightData, ``air`` flexible.AirLoads, ``compliance``
    flexible.Compliance, without batch axes.
    """
    speed = np.linspace(0.02, 1.0, 99) * divergence_reversal.HIGHEST_SPEED
    left = divergence_reversal.softness(air, compliance, 0.5 * data.air_density * speed**2).roll_effectiveness
    below = np.flatnonzero(left < CONTROL_LEFT)
    if not len(below):
        return float(speed[-1])
    here = slice(max(below[0] - 1, 0), below[0] + 1)
    return float(np.interp(-CONTROL_LEFT, -left[here], speed[here]))
