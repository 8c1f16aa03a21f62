"""Dynamic pressures at which a flexible wing twists off or its elevons reverse, as eigenvalues of small matrices.

With F the feedback of `flexible.Coupling`, the wing twists off (divergence) where q F has the eigenvalue 1. An
elevon's moment, v0 + q g (I - q F)^-1 r with g the moment per strip incidence and r the elevon's driven incidence, is
v0 det(I - q (F - r g / v0)) / det(I - q F): so it reverses where q times the matrix F - r g / v0 has the eigenvalue 1,
and no root search is needed. The same with two columns and two conditions (lift and moment) in pitch.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from .elastic_wing import (
    ALPHA,
    ELEVON,
    couplings,
    elastic_incidences,
    pitch_effectiveness,
    roll_effectiveness,
    shared_values,
)

_REAL_ENOUGH = 1e-6  # an eigenvalue this much of its size off the real axis counts as real [-]
HIGHEST_SPEED = 100.0  # no critical speed is told beyond: Mach 0.3, the lattice knows no compressibility [m/s]


class ElasticEffects(NamedTuple):
    """How much of a rigid wing is left at a dynamic pressure, each (..., n_condition) [-]."""

    pitch_effectiveness: Any  # elevon's moment at constant lift, flexible over rigid
    roll_effectiveness: Any  # steady roll rate, flexible over rigid
    twist_off_share: Any  # largest real eigenvalue of the feedback in symmetric flow; 1 is twist-off


class CriticalSpeeds(NamedTuple):
    """Airspeeds for a report, each (...); endless where there is none below the bound asked for. [m/s]"""

    roll_reversal: Any
    pitch_reversal: Any
    twist_off: Any


def elastic_effects(air, compliance, dynamic_pressure):
    """Return the Softness of a wing, with exact slopes.

    ``air``: flexible.AirLoads, ``compliance``: flexible.Compliance (one call for each stiffness: a doubtful film bond
    makes a second), ``dynamic_pressure`` (..., n_condition) [Pa].
    """
    symmetric, rolling = couplings(compliance, air)
    return ElasticEffects(
        pitch_effectiveness(air.unit, elastic_incidences(symmetric, dynamic_pressure)),
        roll_effectiveness(air.roll_volume, elastic_incidences(rolling, dynamic_pressure)).roll_rate,
        twist_off_share(symmetric.feedback, dynamic_pressure),
    )


def critical_speeds(air, compliance, air_density, highest=HIGHEST_SPEED):
    """Return the CriticalSpeeds of a wing; values only. Density [kg/m^3], ``highest`` [m/s]."""
    symmetric, rolling = couplings(compliance, air)
    pressures = (
        roll_reversal_pressure(rolling, air.roll_volume),
        pitch_reversal_pressure(symmetric, air.unit),
        twist_off_pressure(symmetric.feedback),
    )
    return CriticalSpeeds(*(critical_speed(pressure, air_density, highest) for pressure in pressures))


def twist_off_share(feedback, dynamic_pressure):
    """Return the largest real eigenvalue of the feedback at each dynamic pressure; 1 is twist-off.

    Parameters
    ----------
    feedback : (..., n, n) array
        Of `flexible.Coupling`. [1/Pa]
    dynamic_pressure : (..., n_condition) array
        [Pa]

    Returns
    -------
    twist_off_share : (..., n_condition) array
        Exact slopes by left and right eigenvectors. [-]

    Notes
    -----
    A complex pair never twists a wing off by itself, but joins or leaves the real axis with an endless slope; so
    pairs count with their real part: continuous, never below the largest true real eigenvalue, and on the safe
    side. What is left is a kink where two of them change places, and the endless slope where a real pair meets,
    which is cut off at 1e6 times the matrix. A swept wing whose bending takes off more than its torsion adds
    has large negative eigenvalues, which do not count, and a small positive rest.
    """
    values = shared_values(feedback)
    eigenvalue, right = np.linalg.eig(values)
    place = eigenvalue.real.argmax(axis=-1)[..., None]
    largest = np.take_along_axis(eigenvalue.real, place, axis=-1)
    if np.iscomplexobj(feedback):
        left = np.linalg.eig(np.swapaxes(values, -1, -2))
        largest = largest + 1j * _slope(np.imag(feedback), eigenvalue, right, place, left)
    return np.asarray(dynamic_pressure) * largest


def _slope(matrix_slope, eigenvalue, right, place, left):
    """Slope (..., 1) of the eigenvalue at ``place``: left x slope x right over left x right, the real part."""
    wanted = np.take_along_axis(eigenvalue, place, axis=-1)
    same = np.abs(left[0] - wanted).argmin(axis=-1)[..., None]
    after = np.take_along_axis(right, place[..., None, :], axis=-1)
    before = np.swapaxes(np.take_along_axis(left[1], same[..., None, :], axis=-1), -1, -2)
    size = before @ after
    shrunk = np.conj(size) / (np.abs(size) ** 2 + 1e-12)  # both vectors have length 1
    return ((before @ (matrix_slope @ after)) * shrunk)[..., 0].real


def twist_off_pressure(feedback):
    """Return the lowest dynamic pressure (...) at which the wing twists off; endless where it never does. [Pa]

    Values only, no slopes; ``feedback`` (..., n, n) [1/Pa].
    """
    return _lowest_pressure(np.real(feedback))


def roll_reversal_pressure(coupling, roll_volume):
    """Return the lowest dynamic pressure (...) at which differential elevon rolls the wing no more. [Pa]

    ``coupling`` of rolling flow and ``roll_volume`` of `flexible.AirLoads`; values only, endless where it never does.
    """
    driven, volume = np.real(coupling.driven), np.real(roll_volume)
    given = driven[..., :, 1:] * (volume[..., 2:] / volume[..., 1:2])[..., None, :]
    return _lowest_pressure(np.real(coupling.feedback) - given)


def pitch_reversal_pressure(coupling, unit):
    """Return the lowest dynamic pressure (...) at which elevon at constant lift makes no pitching moment. [Pa]

    ``coupling`` of symmetric flow and AirLoads.unit; values only, endless where it never does.
    """
    n, columns = np.shape(coupling.feedback)[-1], [ALPHA, ELEVON]
    both = np.real(np.stack([unit.lift_area, unit.moment_volume], axis=-2))
    given = np.real(coupling.driven[..., columns]) @ np.linalg.solve(both[..., columns], both[..., -n:])
    return _lowest_pressure(np.real(coupling.feedback) - given)


def _lowest_pressure(matrix):
    """One over the largest eigenvalue that is real and positive; endless without one."""
    eigenvalue = np.linalg.eigvals(matrix)
    real = (np.abs(eigenvalue.imag) <= _REAL_ENOUGH * np.abs(eigenvalue)) & (eigenvalue.real > 0)
    largest = np.where(real, eigenvalue.real, 0.0).max(axis=-1)
    with np.errstate(divide="ignore"):
        return 1 / largest


def critical_speed(dynamic_pressure, air_density, highest=HIGHEST_SPEED):
    """Return the airspeed of a dynamic pressure (...) [Pa]; endless where it is above ``highest``. [m/s]"""
    speed = np.sqrt(2 * np.asarray(dynamic_pressure) / air_density)
    return np.where(speed <= highest, speed, np.inf)
