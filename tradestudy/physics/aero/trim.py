"""Level flight and pull-ups in balance: angle of attack, elevon and the lift on every strip."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.physics.air import GRAVITY


class BalancePoints(NamedTuple):
    """Where the wing balances. All (...)."""

    neutral_point: np.ndarray  # behind the nose datum [m]
    centre_of_gravity: np.ndarray  # behind the nose datum [m]


def balance_points(unit, mean_aerodynamic_chord, static_margin):
    """Return neutral point (elevons held) and the centre of gravity that leaves ``static_margin`` [of MAC]."""
    neutral = -unit.moment_volume[..., 1] / unit.lift_area[..., 1]
    return BalancePoints(neutral, neutral - static_margin * mean_aerodynamic_chord)


class Trim(NamedTuple):
    """Trimmed state of each flight condition."""

    amplitude: np.ndarray  # weights of the four unit columns (..., n_condition, 4)
    elevon: np.ndarray  # real deflection, trailing edge up negative (..., n_condition) [rad]
    alpha: np.ndarray  # of the root chord, about the centre of gravity (..., n_condition) [rad]


def rigid_trim(
    unit, centre_of_gravity, weight, dynamic_pressure, load_factor, speed, effectiveness, thrust_moment_volume=0.0
):
    """Solve lift and pitching moment for angle of attack and elevon, all conditions at once.

    Parameters
    ----------
    unit : lattice.UnitLoads
        Unit responses, leading axes (...).
    centre_of_gravity, weight : (...) arrays
        [m], [N]
    dynamic_pressure, load_factor, speed : (..., n_condition) arrays
        [Pa], [-], [m/s]. Load factors other than 1 bring the pitch rate of a steady pull-up, (n - 1) g / V.
    effectiveness : float
        Share of the thin-airfoil elevon that is real. [-]
    thrust_moment_volume : (..., n_condition) array
        Nose-up moment of thrust over dynamic pressure. [m^3]

    Returns
    -------
    Trim
    """
    return trim_of_columns(
        unit.lift_area[..., None, :],
        unit.moment_volume[..., None, :],
        centre_of_gravity,
        weight,
        dynamic_pressure,
        load_factor,
        speed,
        effectiveness,
        thrust_moment_volume,
    )


def trim_of_columns(
    lift,
    moment,
    centre_of_gravity,
    weight,
    dynamic_pressure,
    load_factor,
    speed,
    effectiveness,
    thrust_moment_volume=0.0,
):
    """Return the Trim that ``trimmed`` finds, for unit columns that may differ from condition to condition.

    ``lift``, ``moment``: whole-wing lift and moment about the nose datum over dynamic pressure
    (..., n_condition or 1, 4) [m^2], [m^3]; the rest as for ``trimmed``.
    """
    about_cg = moment + centre_of_gravity[..., None, None] * lift
    pitch_rate = (load_factor - 1) * GRAVITY / speed**2  # rad per metre flown
    needed_lift = weight[..., None] * load_factor / dynamic_pressure - lift[..., 0] - lift[..., 3] * pitch_rate
    needed_moment = -thrust_moment_volume - about_cg[..., 0] - about_cg[..., 3] * pitch_rate
    determinant = lift[..., 1] * about_cg[..., 2] - lift[..., 2] * about_cg[..., 1]
    column_alpha = (needed_lift * about_cg[..., 2] - lift[..., 2] * needed_moment) / determinant
    column_elevon = (lift[..., 1] * needed_moment - about_cg[..., 1] * needed_lift) / determinant
    zero = 0 * column_alpha
    amplitude = np.stack([1 + zero, column_alpha, column_elevon, pitch_rate + zero], axis=-1)
    # pitch rate turns about the centre of gravity, the unit column about the nose datum
    alpha = column_alpha + pitch_rate * centre_of_gravity[..., None]
    return Trim(amplitude, column_elevon / effectiveness, alpha)


def amplitude_with_gust(trim, unit, weight, dynamic_pressure, extra_load_factor):
    """Return column weights (..., n_condition, 4) with a gust's extra lift at held elevon. [-, rad, rad, rad/m]"""
    extra = weight[..., None] * extra_load_factor / (dynamic_pressure * unit.lift_area[..., None, 1])
    added = np.zeros_like(trim.amplitude * extra[..., None])
    added[..., 1] = extra
    return trim.amplitude + added


def strip_lift_coefficients(unit, amplitude, chord):
    """Return section lift coefficients (..., n_condition, n_strip) [-] from weights and chords (..., n_strip) [m]."""
    circulation = np.einsum("...sb,...cb->...cs", unit.strip_circulation, amplitude)
    return 2 * circulation / chord[..., None, :]


def strip_forces(unit_force, amplitude, dynamic_pressure):
    """Return what every half-wing strip carries (..., n_condition, n_strip): lift [N] or moment [N m].

    ``unit_force`` (..., n_strip, 4) is UnitLoads.strip_lift or strip_moment.
    """
    return np.einsum("...sb,...cb->...cs", unit_force, amplitude) * dynamic_pressure[..., None]


def induced_drag_areas(unit, amplitude):
    """Return induced drag over dynamic pressure (..., n_condition). [m^2]"""
    return np.einsum("...ca,...ab,...cb->...c", amplitude, unit.drag_area_matrix, amplitude)
