"""Loads on half a wing: shear, bending and torsion along the swept axis, and the load factor of a gust.

Cautions: these are estimates for choosing between shapes, not proof of strength. Load a finished wing with weights on
the ground before it flies.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.air import GRAVITY

SEA_LEVEL_DENSITY = 1.225  # air density of the standard atmosphere at sea level [kg/m^3]
CAP_ROUNDING = 0.1  # rounding of the load factor's corner at the stall; the error is at most half of this [-]


class WingLoads(NamedTuple):
    """Internal loads. Every field has the shape (..., n_condition, n_station)."""

    shear: Any  # sum of all forces outboard of the station, positive up [N]
    bending_moment: Any  # moment that bends the swept axis, positive when it lifts the tip [N m]
    torsion: Any  # moment about the swept axis, positive nose up [N m]


def outboard_sum(strip_value: np.ndarray) -> np.ndarray:
    """Return the sum over all strips outboard of each station. [unit of the strips]

    This is bookkeeping and needs no source.

    Parameters
    ----------
    strip_value : (..., n) array
        Value of each strip, from root to tip. [as given]

    Returns
    -------
    outboard_sum : (..., n + 1) array
        Sums at the stations. The last one, at the tip, is zero. [as given]
    """
    total = np.zeros((*strip_value.shape[:-1], strip_value.shape[-1] + 1), strip_value.dtype)
    np.add.accumulate(strip_value[..., ::-1], axis=-1, out=total[..., -2::-1])
    return total


def cosine_and_sine(angle: Any) -> tuple[Any, Any]:
    """Return cosine and sine (...) of an angle [rad] (...), by definition. [-]

    For a complex angle the imaginary parts are the first-order slopes, as a complex step needs.
    """
    if not np.iscomplexobj(angle):
        return np.cos(angle), np.sin(angle)
    cosine, sine, step = np.cos(angle.real), np.sin(angle.real), 1j * angle.imag
    return cosine - sine * step, sine + cosine * step


def wing_loads(
    station_y: Any,
    axis_x: Any,
    axis_direction: tuple[Any, Any],
    strip_lift: Any,
    load_factor: Any,
    strip_mass: Any,
    lift_x: Any,
    mass_x: Any,
    strip_moment: Any = 0.0,
    tip_mass: Any = 0.0,
    tip_mass_x: Any = 0.0,
    strip_y: Any = None,
) -> WingLoads:
    """Return shear, bending moment and torsion along the structural axis.

    Parameters
    ----------
    station_y : (..., n + 1) array
        Strip edges from the centre line to the tip. [m]
    axis_x : (..., n + 1) array
        Distance of the elastic axis behind the nose datum. [m]
    axis_direction : tuple of (..., n + 1) arrays or floats
        Cosine and sine of the sweep of the axis, which is positive when the tip is aft. [-]
    strip_lift : (..., n_condition, n) array
        Force normal to each strip, positive up. [N]
    load_factor : (..., n_condition) array
        Load factor, positive up. The structure carries lift less load factor times weight. [-]
    strip_mass : (..., n) array
        Total mass of each strip. [kg]
    lift_x, mass_x : (..., n) array
        Distances behind the nose datum where lift (quarter chord) and mass of a strip act. [m]
    strip_moment : (..., n_condition, n) array or float
        Air moment of each strip about ``lift_x``, positive nose up. [N m]
    tip_mass, tip_mass_x : (...) array or float
        Point mass at the tip (a fin) and its position behind the nose datum. [kg], [m]
    strip_y : (..., n) array, optional
        Place along y where the force of each strip acts. None means the middle of the strip. [m]

    Returns
    -------
    wing_loads : WingLoads
        Loads at the stations, (..., n_condition, n + 1). [N], [N m], [N m]

    Notes
    -----
    Statics of all forces F outboard of a station at (x0, y0). The shear force is their sum. R = sum F (y - y0) is the
    moment in roll and P = sum F (x - x0) - moments that in pitch, nose down. R cos(sweep) + P sin(sweep) bends the
    axis, and R sin(sweep) - P cos(sweep) twists it nose up. So a load behind a swept axis bends and twists it.

    Examples
    --------
    Two strips carry 1 N each, 0.1 m ahead of an unswept axis of 1 m, without weight:

    >>> loads = wing_loads(
    ...     station_y=np.array([0.0, 0.5, 1.0]), axis_x=np.full(3, 0.1), axis_direction=(1.0, 0.0),
    ...     strip_lift=[[1.0, 1.0]], load_factor=[1.0], strip_mass=np.zeros(2), lift_x=np.zeros(2), mass_x=np.zeros(2),
    ... )
    >>> loads.shear[0].tolist(), loads.bending_moment[0].tolist()
    ([2.0, 1.0, 0.0], [1.0, 0.25, 0.0])
    >>> round(float(loads.torsion[0, 0]), 3)
    0.2
    """
    station_y, axis_x = np.asarray(station_y), np.asarray(axis_x)
    middle = 0.5 * (station_y[..., 1:] + station_y[..., :-1]) if strip_y is None else np.asarray(strip_y)
    strip_lift, load_factor = np.asarray(strip_lift), np.asarray(load_factor)
    inertia = load_factor[..., None] * (GRAVITY * np.asarray(strip_mass)[..., None, :])
    force = strip_lift - inertia
    lift_x, mass_x = np.asarray(lift_x)[..., None, :], np.asarray(mass_x)[..., None, :]
    pitching = strip_lift * lift_x - inertia * mass_x - strip_moment
    rolling = force * middle[..., None, :]

    # force, moment in roll and moment in pitch of every strip, and of the tip after them
    every = np.broadcast(rolling, pitching)
    loads = np.empty((3, *every.shape[:-1], every.shape[-1] + 1), np.result_type(rolling, pitching))
    loads[0, ..., :-1], loads[1, ..., :-1], loads[2, ..., :-1] = force, rolling, pitching
    tip_force = 0.0 - load_factor * (GRAVITY * np.asarray(tip_mass))[..., None]
    loads[0, ..., -1], loads[1, ..., -1] = tip_force, tip_force * station_y[..., -1:]
    loads[2, ..., -1] = tip_force * np.asarray(tip_mass_x)[..., None]
    shear, roll, pitch = np.add.accumulate(loads[..., ::-1], axis=-1)[..., ::-1]  # of all outboard of each station

    roll = roll - shear * station_y[..., None, :]
    pitch = pitch - shear * axis_x[..., None, :]
    cosine, sine = (np.asarray(share)[..., None, :] if np.ndim(share) else share for share in axis_direction)
    return WingLoads(shear, roll * cosine + pitch * sine, roll * sine - pitch * cosine)


def unit_strip_loads(station_y: Any, axis_x: Any, axis_direction: tuple[Any, Any], strip_y: Any) -> WingLoads:
    """Return the loads of one newton upward, and then of one newton metre nose up, on every strip and on the tip.

    Parameters
    ----------
    station_y, axis_x, axis_direction
        Arguments as for ``wing_loads``.
    strip_y : (..., n) array
        Place along y where the force of each strip acts, at the nose datum's x. [m]

    Returns
    -------
    unit_strip_loads : WingLoads
        Loads at the stations, (..., 2 n + 2, n + 1). The tip follows the strips. Statics as in ``wing_loads``. [N],
        [N m], [N m]

    Examples
    --------
    At the clamp, of one newton on the strip at the tip, and then of one newton metre:

    >>> loads = unit_strip_loads(np.array([0.0, 0.5, 1.0]), np.zeros(3), (1.0, 0.0), np.array([0.25, 0.75]))
    >>> float(loads.bending_moment[1, 0]), float(loads.torsion[4, 0])
    (0.75, 1.0)
    """
    station_y = np.asarray(station_y)
    n_station = station_y.shape[-1]
    outboard = _outboard(n_station)
    place = np.concatenate([strip_y, station_y[..., -1:]], axis=-1)
    arm = outboard * (place[..., None] - station_y[..., None, :])
    behind = outboard * np.asarray(axis_x)[..., None, :]
    cosine, sine = (np.asarray(share)[..., None, :] if np.ndim(share) else share for share in axis_direction)
    bending, twisting = arm * cosine - behind * sine, arm * sine + behind * cosine
    loads = np.zeros((3, *bending.shape[:-2], 2 * n_station, n_station), bending.dtype)
    forces, moments = loads[..., :n_station, :], loads[..., n_station:, :]
    forces[0], forces[1], forces[2] = outboard, bending, twisting
    moments[1], moments[2] = -outboard * sine, outboard * cosine
    return WingLoads(loads[0], loads[1], loads[2])


@lru_cache(maxsize=32)
def _outboard(n_station: int) -> np.ndarray:
    """Return 1 for each strip, and last for the tip, at the stations that it is outboard of (n_station, n_station)."""
    return np.tri(n_station)


def gust_alleviation(wing_loading: Any, mean_chord: Any, lift_slope: Any, density: Any) -> tuple[Any, Any]:
    """Return the alleviation factor of a gust and the mass ratio that determines it.

    Parameters
    ----------
    wing_loading : (...) array
        Mass over wing area. [kg/m^2]
    mean_chord : (...) array
        Mean geometric chord. [m]
    lift_slope : (...) array
        Lift slope of the complete wing: 4 to 5 here, not two pi. [1/rad]
    density : (...) array
        Air density at flying height. [kg/m^3]

    Returns
    -------
    gust_alleviation, mass_ratio : (...) arrays
        Factor K and mass ratio mu. [-], [-]

    Notes
    -----
    K = 0.88 mu / (5.3 + mu) and mu = 2 (m/S) / (rho c a), with wing loading m/S, density rho, mean chord c and lift
    slope a. Source: 14 CFR 23.341 (to amendment 23-48), from Pratt and Walker, NACA Report 1206 (1954). It holds for a
    rigid aeroplane in a 1-cosine gust 25 chords long.
    """
    mass_ratio = 2.0 * wing_loading / (density * mean_chord * lift_slope)
    return 0.88 * mass_ratio / (5.3 + mass_ratio), mass_ratio


def gust_increment(
    gust_speed: Any, airspeed: Any, wing_loading: Any, mean_chord: Any, lift_slope: Any, density: Any
) -> Any:
    """Return the load factor that a sharp vertical gust adds.

    Parameters
    ----------
    gust_speed, airspeed : (...) array
        Derived gust speed U and flying speed V, both equivalent airspeeds. [m/s]
    wing_loading, mean_chord, lift_slope, density
        Arguments as for ``gust_alleviation``. [kg/m^2], [m], [1/rad], [kg/m^3]

    Returns
    -------
    gust_increment : (...) array
        Load factor to add to that of level flight for an up-gust, and to subtract for a down-gust. [-]

    Notes
    -----
    The increment is K rho0 U V a / (2 g m/S), with symbols and source as for ``gust_alleviation``. rho0 is the density
    at sea level. The 15 m/s gust of full-size aircraft does not apply to a model: it would tilt the flow by 40 degrees.
    3 to 5 m/s is common practice, no source.
    """
    factor, _ = gust_alleviation(wing_loading, mean_chord, lift_slope, density)
    per_speed = SEA_LEVEL_DENSITY * lift_slope / (2.0 * GRAVITY * wing_loading)
    return factor * gust_speed * airspeed * per_speed


def capped_load_factor(load_factor: Any, highest: Any, lowest: Any) -> Any:
    """Return a load factor limited to what the wing can lift up and down.

    Parameters
    ----------
    load_factor, highest, lowest : (...) array
        Demanded load factor, and its limits at the stall; ``lowest`` is negative. [-]

    Returns
    -------
    capped_load_factor : (...) array
        Limited load factor. Its corners are rounded, by our own definition. The error is half of CAP_ROUNDING where
        demand and limit are equal, and below 0.003 where they differ by 1. [-]
    """
    above = load_factor - highest
    limited = load_factor - 0.5 * (above + np.sqrt(above * above + CAP_ROUNDING**2))
    below = lowest - limited
    return limited + 0.5 * (below + np.sqrt(below * below + CAP_ROUNDING**2))
