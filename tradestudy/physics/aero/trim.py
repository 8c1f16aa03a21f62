"""Balanced flight: angle of attack, elevon and the lift on every strip, in level flight and pull-ups."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.physics.air import GRAVITY

from .lattice import ALPHA, ELEVON, PITCH_RATE, UnitLoads


class BalancePoints(NamedTuple):
    """Neutral point and centre of gravity of a wing. All (...)."""

    neutral_point: np.ndarray  # behind the nose datum [m]
    centre_of_gravity: np.ndarray  # behind the nose datum [m]


def balance_points(
    unit: UnitLoads, mean_aerodynamic_chord: np.ndarray, static_margin: float | np.ndarray
) -> BalancePoints:
    """Return neutral point, elevons fixed, and the centre of gravity that leaves a static margin; definitions.

    ``mean_aerodynamic_chord`` (...) [m], ``static_margin`` (...) [of MAC].
    """
    neutral = -unit.moment_volume[..., ALPHA] / unit.lift_area[..., ALPHA]
    return BalancePoints(neutral, neutral - static_margin * mean_aerodynamic_chord)


class TrimInputs(NamedTuple):
    """What a wing is trimmed for, all conditions at once.

    Load factors other than 1 come with the pitch rate of a steady pull-up, (n - 1) g / V.
    """

    centre_of_gravity: np.ndarray  # behind the nose datum (...) [m]
    weight: np.ndarray  # (...) [N]
    dynamic_pressure: np.ndarray  # (..., n_condition) [Pa]
    load_factor: np.ndarray  # (..., n_condition) [-]
    speed: np.ndarray  # (..., n_condition) [m/s]
    effectiveness: float  # real share of the thin-airfoil elevon [-]
    thrust_moment_volume: np.ndarray | float = 0.0  # nose-up moment of thrust over q (..., n_condition) [m^3]


class Trim(NamedTuple):
    """Trimmed state of each flight condition."""

    amplitude: np.ndarray  # weights of the four unit columns (..., n_condition, 4) [-, rad, rad, rad/m]
    elevon: np.ndarray  # real deflection, trailing edge up negative (..., n_condition) [rad]
    alpha: np.ndarray  # of the root chord, about the centre of gravity (..., n_condition) [rad]


def rigid_trim(unit: UnitLoads, inputs: TrimInputs) -> Trim:
    """Return the Trim of a rigid wing: lift and pitching moment solved for angle of attack and elevon; statics.

    >>> lift, moment = np.array([0.02, 1.2, 0.5, 0.2]), np.array([-0.002, -0.24, -0.15, -0.04])
    >>> strips = np.zeros((1, 4))
    >>> unit = UnitLoads(strips, strips, strips, lift_area=lift, moment_volume=moment, drag_area_matrix=np.eye(4))
    >>> one = np.ones(1)
    >>> trim = rigid_trim(unit, TrimInputs(np.array(0.18), np.array(15.0), 100 * one, one, 13 * one, 0.8))
    >>> np.degrees(trim.alpha).round(2), np.degrees(trim.elevon).round(2)
    (array([6.68]), array([-1.43]))
    """
    return trim_of_columns(unit.lift_area[..., None, :], unit.moment_volume[..., None, :], inputs)


def trim_of_columns(lift: np.ndarray, moment: np.ndarray, inputs: TrimInputs) -> Trim:
    """Return the Trim for unit columns that may differ from condition to condition; statics.

    ``lift`` [m^2] and ``moment`` [m^3] about the nose datum, of the total wing over dynamic pressure, are
    (..., n_condition or 1, 4).
    """
    centre, weight, pressure, load_factor, speed, effectiveness, thrust_moment_volume = inputs
    about_cg = moment + centre[..., None, None] * lift
    pitch_rate = (load_factor - 1) * GRAVITY / speed**2  # rad per metre flown
    needed_lift = weight[..., None] * load_factor / pressure - lift[..., 0] - lift[..., PITCH_RATE] * pitch_rate
    needed_moment = -thrust_moment_volume - about_cg[..., 0] - about_cg[..., PITCH_RATE] * pitch_rate
    determinant = lift[..., ALPHA] * about_cg[..., ELEVON] - lift[..., ELEVON] * about_cg[..., ALPHA]
    column_alpha = (needed_lift * about_cg[..., ELEVON] - lift[..., ELEVON] * needed_moment) / determinant
    column_elevon = (lift[..., ALPHA] * needed_moment - about_cg[..., ALPHA] * needed_lift) / determinant
    zero = 0 * column_alpha
    amplitude = np.stack([1 + zero, column_alpha, column_elevon, pitch_rate + zero], axis=-1)
    # pitch rate turns about the centre of gravity, the unit column about the nose datum
    alpha = column_alpha + pitch_rate * centre[..., None]
    return Trim(amplitude, column_elevon / effectiveness, alpha)


def amplitude_with_gust(
    trim: Trim, unit: UnitLoads, weight: np.ndarray, dynamic_pressure: np.ndarray, extra_load_factor: np.ndarray
) -> np.ndarray:
    """Return column weights (..., n_condition, 4) with a gust's extra lift, elevon fixed; statics. [-, rad, rad, rad/m]

    ``weight`` (...) [N]; ``dynamic_pressure`` [Pa] and ``extra_load_factor`` [-] are (..., n_condition).
    """
    extra = weight[..., None] * extra_load_factor / (dynamic_pressure * unit.lift_area[..., None, ALPHA])
    added = np.zeros_like(trim.amplitude * extra[..., None])
    added[..., ALPHA] = extra
    return trim.amplitude + added


def strip_lift_coefficients(unit: UnitLoads, amplitude: np.ndarray, chord: np.ndarray) -> np.ndarray:
    """Return section lift coefficients (..., n_condition, n_strip), a definition. [-]

    ``amplitude`` (..., n_condition, 4) are column weights [-, rad, rad, rad/m], ``chord`` (..., n_strip) [m].
    """
    circulation = np.einsum("...sb,...cb->...cs", unit.strip_circulation, amplitude)
    return 2 * circulation / chord[..., None, :]


def strip_forces(unit_force: np.ndarray, amplitude: np.ndarray, dynamic_pressure: np.ndarray) -> np.ndarray:
    """Return the lift [N] or moment [N m] of every half-wing strip (..., n_condition, n_strip); a definition.

    ``unit_force`` (..., n_strip, 4) is UnitLoads.strip_lift [m^2] or strip_moment [m^3], ``amplitude``
    (..., n_condition, 4) are column weights [-, rad, rad, rad/m], ``dynamic_pressure`` (..., n_condition) [Pa].
    """
    return np.einsum("...sb,...cb->...cs", unit_force, amplitude) * dynamic_pressure[..., None]


def induced_drag_areas(unit: UnitLoads, amplitude: np.ndarray) -> np.ndarray:
    """Return induced drag over dynamic pressure (..., n_condition), as for ``lattice.unit_loads``. [m^2]

    ``amplitude`` (..., n_condition, 4) are column weights [-, rad, rad, rad/m].
    """
    return np.einsum("...ca,...ab,...cb->...c", amplitude, unit.drag_area_matrix, amplitude)
