"""Over the ground: speed along a track in wind, and the airspeed that goes farthest there.

The wind is told by its speed and by the angle between where it comes from and where the track leads: 0 blows
against, 90 degrees across, 180 along.
"""

from __future__ import annotations

import numpy as np
from scipy.interpolate import CubicSpline

_SPEED_STEP = 0.02  # m/s; a parabola through the best three of such steps is right to far less


def ground_speed(airspeed, wind, angle=0.0):
    """Return the speed over the ground (...) along a track that the wing holds by pointing into the wind. [m/s]

    The wind triangle: sqrt(V^2 - (w sin a)^2) - w cos a. Where the wind across the track is faster than the wing,
    which then drifts off it, the answer is minus what is missing; where the wind against it is, it is negative as
    well. So zero or less means: makes no way along this track.

    Parameters
    ----------
    airspeed, wind, angle : (...) arrays
        [m/s, m/s, rad]
    """
    across = wind * np.sin(angle)
    square = np.asarray(airspeed * airspeed - across * across)
    holds = square.real > 0
    along = np.sqrt(np.where(holds, square, 1.0)) - wind * np.cos(angle)
    sideways = np.where(np.asarray(across).real < 0, -across, across)
    return np.where(holds, along, airspeed - sideways)


def best_airspeeds(airspeed, endurance, wind, angle=0.0):
    """Return the airspeed that goes farthest over the ground in each wind, and that distance.

    Parameters
    ----------
    airspeed, endurance : (n_speed,) arrays
        Speeds that may be flown, rising, and how long the charge lasts at each. [m/s, s]
    wind, angle : (...) arrays
        See `ground_speed`. [m/s, rad]

    Returns
    -------
    speed, distance : (...) arrays
        Within the speeds given. Where none of them makes way the distance is zero or less. [m/s, m]

    Notes
    -----
    The logarithm of endurance is a cubic spline over the speeds (of some twenty points or more between stall and top
    speed); the best of steps of 0.02 m/s and a parabola through it and its neighbours find the top, which is
    single on wings whose drag has one minimum.
    """
    wind, angle = np.broadcast_arrays(np.asarray(wind, float), np.asarray(angle, float))
    count = max(3, int(np.ceil((airspeed[-1] - airspeed[0]) / _SPEED_STEP)) + 1)
    fine, step = np.linspace(airspeed[0], airspeed[-1], count, retstep=True)
    lasting = CubicSpline(airspeed, np.log(endurance))
    distance = np.exp(lasting(fine)) * ground_speed(fine, wind[..., None], angle[..., None])
    top = np.argmax(distance, axis=-1)
    inner = np.clip(top, 1, count - 2)
    before, peak, after = (np.take_along_axis(distance, (inner + shift)[..., None], -1)[..., 0] for shift in (-1, 0, 1))
    bend = before - 2 * peak + after
    shift = np.where(top == inner, 0.5 * (before - after) / np.where(bend < 0, bend, -1.0), 0.0)
    speed = fine[top] + step * np.clip(shift, -0.5, 0.5)
    return speed, np.exp(lasting(speed)) * ground_speed(speed, wind, angle)
