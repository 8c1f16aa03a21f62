"""Loads on half a wing: shear, bending and torsion along the swept axis, and the load factor of a gust.

Cautions: these are estimates for choosing between shapes, not proof of strength. Load a finished
wing with weights on the ground before it flies.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.air import GRAVITY

SEA_LEVEL_DENSITY = 1.225  # standard atmosphere [kg/m^3]
CAP_ROUNDING = 0.1  # rounds the corner at the stall; at most half of this in load factor [-]


class WingLoads(NamedTuple):
    """Internal loads, each (..., n_condition, n_station)."""

    shear: Any  # force of everything outboard, positive up [N]
    bending_moment: Any  # about the normal of the swept axis, positive when it lifts the tip [N m]
    torsion: Any  # about the axis, positive nose up [N m]


def outboard_sum(strip_value: np.ndarray) -> np.ndarray:
    """Return the sum over all strips outboard of each station, bookkeeping. [unit of the strips]

    Parameters
    ----------
    strip_value : (..., n) array
        One value per strip, root to tip. [as given]

    Returns
    -------
    outboard_sum : (..., n + 1) array
        Zero at the tip. [as given]
    """
    total = np.zeros((*strip_value.shape[:-1], strip_value.shape[-1] + 1), strip_value.dtype)
    np.add.accumulate(strip_value[..., ::-1], axis=-1, out=total[..., -2::-1])
    return total


def cosine_and_sine(angle: Any) -> tuple[Any, Any]:
    """Return cosine and sine (...) of an angle [rad] (...), by definition. [-]

    Those of a complex angle are formed from value and slope, as a complex step needs.
    """
    cosine, sine = np.cos(np.real(angle)), np.sin(np.real(angle))
    if not np.iscomplexobj(angle):
        return cosine, sine
    step = 1j * np.imag(angle)
    return cosine - sine * step, sine + cosine * step


def wing_loads(
    station_y: Any,
    axis_x: Any,
    axis_sweep: Any,
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
        Elastic axis behind the nose datum. [m]
    axis_sweep : (..., n + 1) array or float
        Sweep of the axis, tip aft positive. [rad]
    strip_lift : (..., n_condition, n) array
        Force normal to each strip, positive up. [N]
    load_factor : (..., n_condition) array
        Positive up; the structure carries lift less load factor times weight. [-]
    strip_mass : (..., n) array
        Total mass of each strip. [kg]
    lift_x, mass_x : (..., n) array
        Where lift (quarter chord) and mass of a strip act. [m]
    strip_moment : (..., n_condition, n) array or float
        Moment of each strip about ``lift_x``, nose up. [N m]
    tip_mass, tip_mass_x : (...) array or float
        Point mass at the tip (a fin) and its position behind the nose datum. [kg], [m]
    strip_y : (..., n) array, optional
        Where along y the strip's force acts; None is the middle of the strip. [m]

    Returns
    -------
    wing_loads : WingLoads
        (..., n_condition, n + 1). [N], [N m], [N m]

    Notes
    -----
    Statics of everything outboard of a station at (x0, y0). V is the sum of forces, R = sum F (y - y0) and
    P = sum F (x - x0) - moments. The moment that bends the axis is R cos(sweep) + P sin(sweep), the moment that
    twists it nose up is R sin(sweep) - P cos(sweep). A load behind a swept axis therefore bends as well as twists.

    Examples
    --------
    Two strips of 1 N each on an unswept metre, 0.1 m ahead of the axis, without weight:

    >>> loads = wing_loads(
    ...     station_y=np.array([0.0, 0.5, 1.0]), axis_x=np.full(3, 0.1), axis_sweep=0.0, strip_lift=[[1.0, 1.0]],
    ...     load_factor=[1.0], strip_mass=np.zeros(2), lift_x=np.zeros(2), mass_x=np.zeros(2),
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
    tip_force = -load_factor * (GRAVITY * np.asarray(tip_mass))[..., None]
    tip_x, tip_y = np.asarray(tip_mass_x)[..., None], station_y[..., -1:]
    force = strip_lift - inertia
    lift_x, mass_x = np.asarray(lift_x)[..., None, :], np.asarray(mass_x)[..., None, :]
    pitching = strip_lift * lift_x - inertia * mass_x - strip_moment
    rolling = force * middle[..., None, :]
    shear = outboard_sum(force) + tip_force[..., None]
    roll_total = outboard_sum(rolling) + (tip_force * tip_y)[..., None] - shear * station_y[..., None, :]
    pitch_total = outboard_sum(pitching) + (tip_force * tip_x)[..., None] - shear * axis_x[..., None, :]
    cosine, sine = cosine_and_sine(axis_sweep)
    if np.ndim(cosine):
        cosine, sine = cosine[..., None, :], sine[..., None, :]
    bending = roll_total * cosine + pitch_total * sine
    return WingLoads(shear, bending, roll_total * sine - pitch_total * cosine)


def gust_alleviation(wing_loading: Any, mean_chord: Any, lift_slope: Any, density: Any) -> tuple[Any, Any]:
    """Return the alleviation factor of a gust and the mass ratio that it follows from.

    Parameters
    ----------
    wing_loading : (...) array
        Mass over wing area: kilograms, without gravity. [kg/m^2]
    mean_chord : (...) array
        Mean geometric chord. [m]
    lift_slope : (...) array
        Of the complete wing, 4 to 5 here, not two pi. [1/rad]
    density : (...) array
        Air at flying height. [kg/m^3]

    Returns
    -------
    gust_alleviation, mass_ratio : (...) arrays
        [-], [-]

    Notes
    -----
    K = 0.88 mu / (5.3 + mu), mu = 2 (m/S) / (rho c a): 14 CFR 23.341 (to amendment 23-48), from
    Pratt and Walker, NACA Report 1206 (1954): rigid aeroplane, 1-cosine gust 25 chords long.
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
        Derived gust speed and flying speed, both equivalent airspeeds. [m/s]
    wing_loading, mean_chord, lift_slope, density
        As for ``gust_alleviation``. [kg/m^2], [m], [1/rad], [kg/m^3]

    Returns
    -------
    gust_increment : (...) array
        Added to level flight for an up-gust, subtracted for a down-gust. [-]

    Notes
    -----
    K rho0 U V a / (2 g m/S), source as for ``gust_alleviation``. The full-size 15 m/s gust does not apply to a model:
    it would tilt the flow by 40 degrees. 3 to 5 m/s is common practice, no source.
    """
    factor, _ = gust_alleviation(wing_loading, mean_chord, lift_slope, density)
    per_speed = SEA_LEVEL_DENSITY * lift_slope / (2.0 * GRAVITY * wing_loading)
    return factor * gust_speed * airspeed * per_speed


def available_load_factor(airspeed: Any, wing_loading: Any, lift_coefficient: Any) -> Any:
    """Return the load factor at which the wing reaches a lift coefficient, a definition.

    Parameters
    ----------
    airspeed : (...) array
        Equivalent airspeed. [m/s]
    wing_loading, lift_coefficient : (...) array
        Mass over wing area, lift coefficient of the wing. [kg/m^2], [-]

    Returns
    -------
    available_load_factor : (...) array
        (V / stall speed)^2 for the largest lift coefficient. [-]
    """
    return 0.5 * SEA_LEVEL_DENSITY * airspeed**2 * lift_coefficient / (GRAVITY * wing_loading)


def capped_load_factor(load_factor: Any, highest: Any, lowest: Any) -> Any:
    """Return a load factor limited to what the wing can lift up and down.

    Parameters
    ----------
    load_factor, highest, lowest : (...) array
        Demanded, and the limits at stall (``lowest`` negative). [-]

    Returns
    -------
    capped_load_factor : (...) array
        The corner is rounded, own definition: off by half of CAP_ROUNDING where demand and limit meet, by less than
        0.003 once they are 1 apart. [-]
    """
    above = load_factor - highest
    limited = load_factor - 0.5 * (above + np.sqrt(above * above + CAP_ROUNDING**2))
    below = lowest - limited
    return limited + 0.5 * (below + np.sqrt(below * below + CAP_ROUNDING**2))
