"""Speed over the ground along a track in wind, and the airspeed of the greatest distance over the ground.

The wind is given by its speed, and by the angle between the direction it comes from and that of the track. An angle of
0 degrees is a head wind, 90 a cross wind and 180 a tail wind. In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy.interpolate import CubicSpline

_SPEED_STEP = 0.02  # step between airspeeds [m/s]; a parabola through the best three has a far smaller error


def ground_speed(airspeed: Any, wind: Any, angle: Any = 0.0) -> Any:
    """Return the speed over the ground (...) along a track. The wing points into the wind to stay on the track. [m/s]

    Geometry of the wind triangle: sqrt(V^2 - (w sin a)^2) - w cos a. Where the cross wind is faster than the wing, the
    wing drifts off the track. The result is then minus the missing speed. Against a head wind faster than the wing the
    result is negative too. So zero or less means that the wing makes no progress along this track.

    Parameters
    ----------
    airspeed, wind, angle : (...) arrays
        Airspeed V, wind speed w and wind angle a. [m/s, m/s, rad]

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
        Wind as for ``ground_speed``. [m/s, rad]

    Returns
    -------
    speed, distance : (...) arrays
        Best speed within the permitted ones, and its distance. Where no speed makes progress, the distance is zero or
        less. [m/s, m]

    Notes
    -----
    Numerics: the logarithm of endurance is a cubic spline over speed. It needs about twenty points or more between
    stall and top speed. The spline is evaluated in steps of 0.02 m/s, and a parabola through the best step and its
    neighbours gives the maximum. There is one maximum if the drag of the wing has one minimum.
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
