"""Speed over the ground along a track in wind, and the airspeed of the greatest distance over the ground.

The wind is given by its speed and by the angle between its origin and the direction of the track: 0 is a head wind,
90 degrees a cross wind, 180 a tail wind.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy.interpolate import CubicSpline

_SPEED_STEP = 0.02  # m/s; a parabola through the best three of such steps has a far smaller error


def ground_speed(airspeed: Any, wind: Any, angle: Any = 0.0) -> Any:
    """Return the speed over the ground (...) along a track, the wing pointing into the wind to stay on it. [m/s]

    Geometry of the wind triangle: sqrt(V^2 - (w sin a)^2) - w cos a. Where the cross wind is faster than the wing, the
    wing drifts off the track; the result is then minus the missing speed. Against a stronger head wind the result is
    negative as well. So zero or less means that the wing makes no progress along this track.

    Parameters
    ----------
    airspeed, wind, angle : (...) arrays
        [m/s, m/s, rad]

    Examples
    --------
    >>> float(ground_speed(5.0, 3.0, np.pi / 2)), float(ground_speed(5.0, 3.0))
    (4.0, 2.0)
    """
    across = wind * np.sin(angle)
    square = np.asarray(airspeed * airspeed - across * across)
    on_track = square.real > 0
    along = np.sqrt(np.where(on_track, square, 1.0)) - wind * np.cos(angle)
    sideways = np.where(np.asarray(across).real < 0, -across, across)
    return np.where(on_track, along, airspeed - sideways)


def best_airspeeds(airspeed: np.ndarray, endurance: np.ndarray, wind: Any, angle: Any = 0.0) -> tuple[Any, Any]:
    """Return the airspeed of the greatest distance over the ground in each wind, and that distance.

    Parameters
    ----------
    airspeed, endurance : (n_speed,) arrays
        Permitted speeds, rising, and how long the charge lasts at each. [m/s, s]
    wind, angle : (...) arrays
        See ``ground_speed``. [m/s, rad]

    Returns
    -------
    speed, distance : (...) arrays
        Within the speeds given. Where none of them makes progress the distance is zero or less. [m/s, m]

    Notes
    -----
    Numerics: the logarithm of endurance is a cubic spline over the speeds, of some twenty points or more between stall
    and top speed. The best of steps of 0.02 m/s and a parabola through it and its neighbours give the maximum. The
    maximum is single on wings whose drag has one minimum.
    """
    wind, angle = np.broadcast_arrays(np.asarray(wind, float), np.asarray(angle, float))
    count = max(3, int(np.ceil((airspeed[-1] - airspeed[0]) / _SPEED_STEP)) + 1)
    fine, step = np.linspace(airspeed[0], airspeed[-1], count, retstep=True)
    log_endurance = CubicSpline(airspeed, np.log(endurance))
    distance = np.exp(log_endurance(fine)) * ground_speed(fine, wind[..., None], angle[..., None])
    top = np.argmax(distance, axis=-1)
    inner = np.clip(top, 1, count - 2)
    before, peak, after = (np.take_along_axis(distance, (inner + shift)[..., None], -1)[..., 0] for shift in (-1, 0, 1))
    bend = before - 2 * peak + after
    shift = np.where(top == inner, 0.5 * (before - after) / np.where(bend < 0, bend, -1.0), 0.0)
    speed = fine[top] + step * np.clip(shift, -0.5, 0.5)
    return speed, np.exp(log_endurance(speed)) * ground_speed(speed, wind, angle)
