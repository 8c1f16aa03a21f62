"""Dynamic pressures at which a flexible wing twists off or its elevons reverse, as eigenvalues of small matrices.

With F the feedback of `elastic_wing.Coupling`, the wing twists off (divergence) where q F has the eigenvalue 1. An
elevon's moment is v0 + q g (I - q F)^-1 r, with g the moment per strip incidence and r the elevon's driven incidence.
That equals v0 det(I - q (F - r g / v0)) / det(I - q F). So it reverses where q times the matrix F - r g / v0 has the
eigenvalue 1, and no root search is needed. Pitch is the same with two columns and two conditions (lift and moment).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.physics.aero.lattice import ALPHA, ELEVON, UnitLoads

from .elastic_wing import (
    AirLoads,
    Compliance,
    Coupling,
    couplings,
    elastic_incidences,
    pitch_effectiveness,
    roll_effectiveness,
    shared_values,
)

_REAL_ENOUGH = 1e-6  # an eigenvalue this much of its size off the real axis counts as real [-]
HIGHEST_SPEED = 100.0  # no critical speed above it is reported: Mach 0.3, the lattice is incompressible [m/s]


class ElasticEffects(NamedTuple):
    """Effects of the twisting wing at a dynamic pressure, each (..., n_condition) [-]."""

    pitch_effectiveness: np.ndarray  # elevon's moment at constant lift, flexible over rigid
    roll_effectiveness: np.ndarray  # steady roll rate, flexible over rigid
    twist_off_share: np.ndarray  # largest real eigenvalue of the feedback in symmetric flow; 1 is twist-off


class CriticalSpeeds(NamedTuple):
    """Airspeeds for a report, each (...); infinite where there is none below the given bound. [m/s]"""

    roll_reversal: np.ndarray
    pitch_reversal: np.ndarray
    twist_off: np.ndarray


def elastic_effects(air: AirLoads, compliance: Compliance, dynamic_pressure: np.ndarray) -> ElasticEffects:
    """Return the ElasticEffects of a wing with exact slopes, by their definitions.

    ``dynamic_pressure`` (..., n_condition) [Pa]. One call serves one stiffness; an uncertain film bond needs a second.
    """
    symmetric, rolling = couplings(compliance, air)
    return ElasticEffects(
        pitch_effectiveness=pitch_effectiveness(air.unit, elastic_incidences(symmetric, dynamic_pressure)),
        roll_effectiveness=roll_effectiveness(air.roll_volume, elastic_incidences(rolling, dynamic_pressure)),
        twist_off_share=twist_off_share(symmetric.feedback, dynamic_pressure),
    )


def critical_speeds(
    air: AirLoads, compliance: Compliance, air_density: float, highest: float = HIGHEST_SPEED
) -> CriticalSpeeds:
    """Return the CriticalSpeeds of a wing up to ``highest`` [m/s]; values only, by the algebra above.

    ``air_density`` [kg/m^3].
    """
    symmetric, rolling = couplings(compliance, air)
    roll, pitch = roll_reversal_pressure(rolling, air.roll_volume), pitch_reversal_pressure(symmetric, air.unit)
    return CriticalSpeeds(
        roll_reversal=critical_speed(roll, air_density, highest),
        pitch_reversal=critical_speed(pitch, air_density, highest),
        twist_off=critical_speed(twist_off_pressure(symmetric.feedback), air_density, highest),
    )


def twist_off_share(feedback: np.ndarray, dynamic_pressure: np.ndarray) -> np.ndarray:
    """Return the largest real eigenvalue of the feedback at each dynamic pressure, a definition; 1 is twist-off.

    Parameters
    ----------
    feedback : (..., n, n) array
        Of `elastic_wing.Coupling`. [1/Pa]
    dynamic_pressure : (..., n_condition) array
        [Pa]

    Returns
    -------
    twist_off_share : (..., n_condition) array
        Exact slopes by left and right eigenvectors. [-]

    Notes
    -----
    A complex pair never twists a wing off by itself, but it joins or leaves the real axis with an infinite slope. So
    pairs count with their real part: continuous, never below the largest true real eigenvalue, and on the safe
    side. A kink remains where two of them change places. The infinite slope where a real pair meets is limited to 1e6
    times the matrix. A swept wing whose bending reduces incidence more than its torsion adds has large negative
    eigenvalues, which do not count, and small positive ones.

    Examples
    --------
    >>> twist_off_share(np.array([[2e-3, 0.0], [0.0, -5e-3]]), np.array([100.0, 250.0]))
    array([0.2, 0.5])
    """
    values = shared_values(feedback)
    eigenvalue, right = np.linalg.eig(values)
    place = eigenvalue.real.argmax(axis=-1)[..., None]
    largest = np.take_along_axis(eigenvalue.real, place, axis=-1)
    if np.iscomplexobj(feedback):
        left = np.linalg.eig(np.swapaxes(values, -1, -2))
        largest = largest + 1j * _slope(np.imag(feedback), eigenvalue, right, place, left)
    return np.asarray(dynamic_pressure) * largest


def _slope(
    matrix_slope: np.ndarray,
    eigenvalue: np.ndarray,
    right: np.ndarray,
    place: np.ndarray,
    left: tuple[np.ndarray, np.ndarray],
) -> np.ndarray:
    """Slope (..., 1) of the eigenvalue at ``place``: left x slope x right over left x right, the real part."""
    largest = np.take_along_axis(eigenvalue, place, axis=-1)
    same = np.abs(left[0] - largest).argmin(axis=-1)[..., None]
    after = np.take_along_axis(right, place[..., None, :], axis=-1)
    before = np.swapaxes(np.take_along_axis(left[1], same[..., None, :], axis=-1), -1, -2)
    size = before @ after
    shrunk = np.conj(size) / (np.abs(size) ** 2 + 1e-12)  # both vectors have length 1
    return ((before @ (matrix_slope @ after)) * shrunk)[..., 0].real


def twist_off_pressure(feedback: np.ndarray) -> np.ndarray:
    """Return the lowest dynamic pressure (...) at which the wing twists off; infinite where it never does. [Pa]

    Values only, no slopes, by definition of the ``feedback`` (..., n, n) [1/Pa].
    """
    return _lowest_pressure(np.real(feedback))


def roll_reversal_pressure(coupling: Coupling, roll_volume: np.ndarray) -> np.ndarray:
    """Return the lowest dynamic pressure (...) at which differential elevon no longer rolls the wing. [Pa]

    ``coupling`` of rolling flow, ``roll_volume`` (..., 2 + n) of `elastic_wing.AirLoads` [m^3]. Values only, infinite
    where there is none; algebra at the top of the module.
    """
    driven, volume = np.real(coupling.driven), np.real(roll_volume)
    reversing = driven[..., :, 1:] * (volume[..., 2:] / volume[..., 1:2])[..., None, :]
    return _lowest_pressure(np.real(coupling.feedback) - reversing)


def pitch_reversal_pressure(coupling: Coupling, unit: UnitLoads) -> np.ndarray:
    """Return the lowest dynamic pressure (...) at which elevon at constant lift makes no pitching moment. [Pa]

    ``coupling`` of symmetric flow, ``unit`` of `elastic_wing.AirLoads`. Values only, infinite where there is none;
    algebra at the top of the module.
    """
    n, columns = np.shape(coupling.feedback)[-1], [ALPHA, ELEVON]
    both = np.real(np.stack([unit.lift_area, unit.moment_volume], axis=-2))
    reversing = np.real(coupling.driven[..., columns]) @ np.linalg.solve(both[..., columns], both[..., -n:])
    return _lowest_pressure(np.real(coupling.feedback) - reversing)


def _lowest_pressure(matrix: np.ndarray) -> np.ndarray:
    """One over the largest eigenvalue that is real and positive; infinite without one."""
    eigenvalue = np.linalg.eigvals(matrix)
    real = (np.abs(eigenvalue.imag) <= _REAL_ENOUGH * np.abs(eigenvalue)) & (eigenvalue.real > 0)
    largest = np.where(real, eigenvalue.real, 0.0).max(axis=-1)
    with np.errstate(divide="ignore"):
        return 1 / largest


def critical_speed(dynamic_pressure: np.ndarray, air_density: float, highest: float = HIGHEST_SPEED) -> np.ndarray:
    """Return the airspeed (...) of a ``dynamic_pressure`` (...) [Pa], a definition. [m/s]

    It is infinite above ``highest`` [m/s]; ``air_density`` [kg/m^3].
    """
    speed = np.sqrt(2 * np.asarray(dynamic_pressure) / air_density)
    return np.where(speed <= highest, speed, np.inf)
