"""Balanced flight: angle of attack, elevon and the lift on every strip, in level flight and pull-ups.

A column is a unit load case of `lattice`. The weights of the columns in a flight condition are called its amplitude.
"(...)" means arrays of any batch shape.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.physics.air import GRAVITY

from .lattice import ALPHA, ELEVON, N_SYMMETRIC, PITCH_RATE, UnitLoads

_ALPHA_ALONE = np.arange(N_SYMMETRIC) == ALPHA


class BalancePoints(NamedTuple):
    """Neutral point and centre of gravity of a wing. Each field is (...)."""

    neutral_point: np.ndarray  # distance behind the nose datum [m]
    centre_of_gravity: np.ndarray  # distance behind the nose datum [m]


def balance_points(
    unit: UnitLoads, mean_aerodynamic_chord: np.ndarray, static_margin: float | np.ndarray
) -> BalancePoints:
    """Return the neutral point with fixed elevons, and the centre of gravity that gives a ``static_margin``.

    ``mean_aerodynamic_chord`` (...) is in [m] and ``static_margin`` (...) in [of MAC]. These are definitions.
    """
    neutral = -unit.moment_volume[..., ALPHA] / unit.lift_area[..., ALPHA]
    return BalancePoints(neutral, neutral - static_margin * mean_aerodynamic_chord)


class TrimInputs(NamedTuple):
    """Values that a wing is trimmed for, in all flight conditions at once.

    A load factor n other than 1 includes the pitch rate of a steady pull-up, (n - 1) g / V. Here g is gravity and V is
    the airspeed.
    """

    centre_of_gravity: np.ndarray  # distance behind the nose datum (...) [m]
    weight: np.ndarray  # (...) [N]
    dynamic_pressure: np.ndarray  # (..., n_condition) [Pa]
    load_factor: np.ndarray  # (..., n_condition) [-]
    speed: np.ndarray  # (..., n_condition) [m/s]
    effectiveness: float  # real effect of the elevon over that of thin-airfoil theory [-]
    # nose-up moment of thrust over dynamic pressure (..., n_condition)
    thrust_moment_volume: np.ndarray | float = 0.0  # [m^3]
    ahead: np.ndarray | float = 0.0  # how far the centre of gravity is moved forward (..., n_condition) [m]


class Trim(NamedTuple):
    """Trimmed state of each flight condition."""

    amplitude: np.ndarray  # weights of the four unit columns (..., n_condition, 4) [-, rad, rad, rad/m]
    elevon: np.ndarray  # real deflection, trailing edge up negative (..., n_condition) [rad]
    alpha: np.ndarray  # angle of attack of the root chord at the centre of gravity (..., n_condition) [rad]


def rigid_trim(unit: UnitLoads, inputs: TrimInputs) -> Trim:
    """Return the Trim of a rigid wing: angle of attack and elevon that balance lift and pitching moment.

    Statics, no source needed.

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
    """Return the Trim for unit columns that may differ from condition to condition. Statics, no source needed.

    ``lift`` [m^2] and ``moment`` about the nose datum [m^3] are those of the total wing over dynamic pressure. Both
    have shape (..., n_condition or 1, 4).
    """
    centre, weight, pressure, load_factor, speed, effectiveness, thrust_moment_volume, ahead = inputs
    centre = centre[..., None] - ahead
    pitch_rate = (load_factor - 1) * GRAVITY / speed**2  # rad per metre of flight path
    lift_alpha, lift_elevon = lift[..., ALPHA], lift[..., ELEVON]
    moment_alpha, moment_elevon = moment[..., ALPHA], moment[..., ELEVON]
    # the lift acts at the centre of gravity, and leaves no moment there but that of thrust
    carried = weight[..., None] * load_factor / pressure
    needed_lift = carried - lift[..., 0] - lift[..., PITCH_RATE] * pitch_rate
    needed_moment = -thrust_moment_volume - centre * carried - moment[..., 0] - moment[..., PITCH_RATE] * pitch_rate
    determinant = lift_alpha * moment_elevon - lift_elevon * moment_alpha
    column_alpha = (needed_lift * moment_elevon - lift_elevon * needed_moment) / determinant
    column_elevon = (lift_alpha * needed_moment - moment_alpha * needed_lift) / determinant
    amplitude = np.empty((*column_alpha.shape, N_SYMMETRIC), column_alpha.dtype)
    amplitude[..., 0], amplitude[..., ALPHA], amplitude[..., ELEVON] = 1, column_alpha, column_elevon
    amplitude[..., PITCH_RATE] = pitch_rate
    # the wing pitches about the centre of gravity, while the unit column pitches about the nose datum
    return Trim(amplitude, column_elevon / effectiveness, column_alpha + pitch_rate * centre)


def amplitude_with_gust(
    trim: Trim, unit: UnitLoads, weight: np.ndarray, dynamic_pressure: np.ndarray, extra_load_factor: np.ndarray
) -> np.ndarray:
    """Return the column weights (..., n_condition, 4) with a gust's added lift. [-, rad, rad, rad/m]

    The elevon is fixed. ``weight`` (...) is in [N]; ``dynamic_pressure`` [Pa] and ``extra_load_factor`` [-] have shape
    (..., n_condition). Statics, no source needed.
    """
    extra = weight[..., None] * extra_load_factor / (dynamic_pressure * unit.lift_area[..., None, ALPHA])
    return trim.amplitude + extra[..., None] * _ALPHA_ALONE


def strip_lift_coefficients(unit: UnitLoads, amplitude: np.ndarray, chord: np.ndarray) -> np.ndarray:
    """Return the lift coefficient of every strip (..., n_condition, n_strip). This is a definition. [-]

    ``amplitude`` (..., n_condition, 4) are column weights [-, rad, rad, rad/m]; ``chord`` is (..., n_strip) [m].
    """
    circulation = amplitude @ unit.strip_circulation.swapaxes(-1, -2)
    return 2 * circulation / chord[..., None, :]


def strip_forces(unit_force: np.ndarray, amplitude: np.ndarray, dynamic_pressure: np.ndarray) -> np.ndarray:
    """Return the lift [N] or moment [N m] of every half-wing strip (..., n_condition, n_strip). This is a definition.

    ``unit_force`` (..., n_strip, 4) is UnitLoads.strip_lift [m^2] or strip_moment [m^3]. ``amplitude`` (...,
    n_condition, 4) are column weights [-, rad, rad, rad/m]. ``dynamic_pressure`` is (..., n_condition) [Pa].
    """
    return (amplitude @ unit_force.swapaxes(-1, -2)) * dynamic_pressure[..., None]


def induced_drag_areas(unit: UnitLoads, amplitude: np.ndarray) -> np.ndarray:
    """Return the induced drag over dynamic pressure (..., n_condition). The source is as for ``lattice.unit_loads``.
    [m^2]

    ``amplitude`` (..., n_condition, 4) are column weights [-, rad, rad, rad/m].
    """
    return ((amplitude @ unit.drag_area_matrix) * amplitude).sum(-1)
