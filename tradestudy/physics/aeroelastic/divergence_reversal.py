"""Dynamic pressures of divergence and control reversal of a flexible wing, as eigenvalues of small matrices.

At divergence the wing twists without limit; builders call it twist-off. With F the feedback of `elastic_wing.Coupling`
and q the dynamic pressure, it occurs where q F has the eigenvalue 1.

The elevon's moment is v0 + q g (I - q F)^-1 r. Here v0 is the moment of the rigid wing, g the moment per strip
incidence, and r the incidence that the elevon drives.

The moment equals v0 det(I - q (F - r g / v0)) / det(I - q F). So the
elevon reverses where q times the matrix F - r g / v0 has the eigenvalue 1, and no root search is needed. Pitch is
treated in the same way, with two columns and two conditions (lift and moment).

"(...)" means arrays of any batch shape.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.linalg.lapack import dgeev

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

_REAL_ENOUGH = 1e-6  # largest imaginary part over size of an eigenvalue that is taken as real [-]
HIGHEST_SPEED = 100.0  # highest critical speed reported; it is Mach 0.3, and the lattice is incompressible [m/s]


class ElasticEffects(NamedTuple):
    """Effects of the twisting wing at a dynamic pressure. Each field is (..., n_condition) [-]."""

    pitch_effectiveness: np.ndarray  # elevon's pitching moment at constant lift, flexible over rigid wing
    roll_effectiveness: np.ndarray  # steady roll rate, flexible over rigid wing
    twist_off_share: np.ndarray  # largest real eigenvalue of the feedback in symmetric flow; 1 is divergence


class CriticalSpeeds(NamedTuple):
    """Airspeeds for a report, each (...). A speed is infinite if there is none below the given bound. [m/s]"""

    roll_reversal: np.ndarray
    pitch_reversal: np.ndarray
    twist_off: np.ndarray


def elastic_effects(
    air: AirLoads, compliance: Compliance, dynamic_pressure: np.ndarray, divergence_pressure: np.ndarray | None = None
) -> ElasticEffects:
    """Return the ElasticEffects of a wing with exact slopes. These are definitions.

    ``dynamic_pressure`` is (..., n_condition) [Pa]. ``divergence_pressure`` (..., n) [Pa] replaces it for
    ``twist_off_share``. A call computes a single stiffness; an uncertain film bond needs a second call.
    """
    last = dynamic_pressure if divergence_pressure is None else divergence_pressure
    symmetric, rolling = couplings(compliance, air)
    return ElasticEffects(
        pitch_effectiveness=pitch_effectiveness(air.unit, elastic_incidences(symmetric, dynamic_pressure)),
        roll_effectiveness=roll_effectiveness(air.roll_volume, elastic_incidences(rolling, dynamic_pressure)),
        twist_off_share=twist_off_share(symmetric.feedback, last),
    )


def critical_speeds(
    air: AirLoads, compliance: Compliance, air_density: float, highest: float = HIGHEST_SPEED
) -> CriticalSpeeds:
    """Return the CriticalSpeeds of a wing up to ``highest`` [m/s]. The result has values only, no slopes.

    ``air_density`` is in [kg/m^3]. The algebra is at the top of the module.
    """
    symmetric, rolling = couplings(compliance, air)
    roll, pitch = roll_reversal_pressure(rolling, air.roll_volume), pitch_reversal_pressure(symmetric, air.unit)
    return CriticalSpeeds(
        roll_reversal=critical_speed(roll, air_density, highest),
        pitch_reversal=critical_speed(pitch, air_density, highest),
        twist_off=critical_speed(twist_off_pressure(symmetric.feedback), air_density, highest),
    )


def twist_off_share(feedback: np.ndarray, dynamic_pressure: np.ndarray) -> np.ndarray:
    """Return the largest real eigenvalue of the feedback times each dynamic pressure. It is 1 at divergence.

    This is a definition.

    Parameters
    ----------
    feedback : (..., n, n) array
        Feedback of `elastic_wing.Coupling`. [1/Pa]
    dynamic_pressure : (..., n_condition) array
        Dynamic pressures. [Pa]

    Returns
    -------
    twist_off_share : (..., n_condition) array
        Share of the feedback at divergence, with exact slopes by left and right eigenvectors. [-]

    Notes
    -----
    A complex pair of eigenvalues causes no divergence. But it joins or leaves the real axis with an infinite slope. So
    the real part of complex pairs is included. The result is then continuous, never below the largest true real
    eigenvalue, and on the safe side. A kink remains where another eigenvalue becomes the largest. The infinite slope
    where a real pair meets is limited to 1e6 times the matrix.

    On some swept wings bending reduces incidence more than torsion adds. They have large negative eigenvalues, which
    are ignored, and small positive ones.

    Examples
    --------
    >>> twist_off_share(np.array([[2e-3, 0.0], [0.0, -5e-3]]), np.array([100.0, 250.0]))
    array([0.2, 0.5])
    """
    values = shared_values(feedback)
    matrices = values.reshape(-1, *values.shape[-2:])
    if not np.iscomplexobj(feedback):
        largest = np.array([_eigenvalues(one)[0].max() for one in matrices]).reshape(values.shape[:-2])
        return np.asarray(dynamic_pressure) * largest[..., None]
    found = [_largest_with_vectors(one) for one in matrices]
    largest, before, after = (
        np.reshape(part, (*values.shape[:-2], *np.shape(part[0]))) for part in zip(*found, strict=True)
    )
    size = before @ after
    shrunk = np.conj(size) / (np.abs(size) ** 2 + 1e-12)  # both vectors have length 1
    slope = (before @ (np.imag(feedback) @ after)) * shrunk
    return np.asarray(dynamic_pressure) * (largest + 1j * slope[..., 0].real)


def _largest_with_vectors(matrix: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return the largest real part of the eigenvalues of a real ``matrix`` (n, n), and left and right vector there.

    They are (1,), (1, n) and (n, 1). The slope of the eigenvalue is the real part of (left vector x matrix slope x
    right vector) / (left vector x right vector).
    """
    real, imaginary, left, right = _eigenvalues(matrix, vectors=True)
    place = int(real.argmax())
    before, after = left[:, place], right[:, place]
    if imaginary[place]:  # of a pair the first comes first, and the next column holds the imaginary parts
        before, after = before - 1j * left[:, place + 1], after + 1j * right[:, place + 1]
    return real[place, None], before[None, :], after[:, None]


def _eigenvalues(matrix: np.ndarray, vectors: bool = False) -> tuple[np.ndarray, ...]:
    """Return real and imaginary parts of the eigenvalues of a real ``matrix`` (n, n), each (n,), by LAPACK itself.

    With ``vectors`` the left and right ones follow, each (n, n).
    """
    if not np.isfinite(matrix).all():  # LAPACK would print a complaint of its own
        raise np.linalg.LinAlgError("eigenvalues of a matrix that is not finite")
    *found, info = dgeev(matrix, compute_vl=vectors, compute_vr=vectors)
    if info:
        raise np.linalg.LinAlgError("eigenvalues not found")
    return tuple(found)


def twist_off_pressure(feedback: np.ndarray) -> np.ndarray:
    """Return the lowest dynamic pressure (...) of divergence; infinite if there is none. [Pa]

    The result has values only, no slopes. It follows by definition from the ``feedback`` (..., n, n) [1/Pa].
    """
    return _lowest_pressure(np.real(feedback))


def roll_reversal_pressure(coupling: Coupling, roll_volume: np.ndarray) -> np.ndarray:
    """Return the lowest dynamic pressure (...) at which differential elevon no longer rolls the wing. [Pa]

    ``coupling`` is that of rolling flow, and ``roll_volume`` (..., 2 + n) is that of `elastic_wing.AirLoads` [m^3]. The
    result has values only, no slopes. It is infinite if there is no reversal. The algebra is at the top of the module.
    """
    driven, volume = np.real(coupling.driven), np.real(roll_volume)
    reversing = driven[..., :, 1:] * (volume[..., 2:] / volume[..., 1:2])[..., None, :]
    return _lowest_pressure(np.real(coupling.feedback) - reversing)


def pitch_reversal_pressure(coupling: Coupling, unit: UnitLoads) -> np.ndarray:
    """Return the lowest dynamic pressure (...) at which elevon at constant lift makes no pitching moment. [Pa]

    ``coupling`` is that of symmetric flow, and ``unit`` is that of `elastic_wing.AirLoads`. The result has values only,
    no slopes. It is infinite if there is no reversal. The algebra is at the top of the module.
    """
    n, columns = np.shape(coupling.feedback)[-1], [ALPHA, ELEVON]
    both = np.real(np.stack([unit.lift_area, unit.moment_volume], axis=-2))
    reversing = np.real(coupling.driven[..., columns]) @ np.linalg.solve(both[..., columns], both[..., -n:])
    return _lowest_pressure(np.real(coupling.feedback) - reversing)


def _lowest_pressure(matrix: np.ndarray) -> np.ndarray:
    """Return 1 over the largest eigenvalue that is real and positive; infinite if there is none."""
    eigenvalue = np.linalg.eigvals(matrix)
    real = (np.abs(eigenvalue.imag) <= _REAL_ENOUGH * np.abs(eigenvalue)) & (eigenvalue.real > 0)
    largest = np.where(real, eigenvalue.real, 0.0).max(axis=-1)
    with np.errstate(divide="ignore"):
        return 1 / largest


def critical_speed(dynamic_pressure: np.ndarray, air_density: float, highest: float = HIGHEST_SPEED) -> np.ndarray:
    """Return the airspeed (...) of a ``dynamic_pressure`` (...) [Pa]. This is a definition. [m/s]

    A speed above ``highest`` [m/s] is returned as infinite. ``air_density`` is in [kg/m^3].
    """
    speed = np.sqrt(2 * np.asarray(dynamic_pressure) / air_density)
    return np.where(speed <= highest, speed, np.inf)
