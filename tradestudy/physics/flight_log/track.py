"""From what a receiver logs to velocity over the ground on even steps of time; single wrong samples found.

These functions look at measured numbers, with NaN where nothing was measured. They carry no slopes. North and east
are the two components of every horizontal vector, in that order; course is clockwise from north, the way the wing goes.
"""

from __future__ import annotations

import numpy as np
from scipy.ndimage import median_filter

EARTH_RADIUS = 6378137.0  # m, semi-major axis of the WGS 84 ellipsoid, by definition
_FLATTENING = 1 / 298.257223563  # WGS 84, by definition
SPIKE_WINDOW = 5  # samples of the running median: an excursion of one or two samples is a spike, of three is not
_SPIKE_SCATTERS = 6.0  # usual distances from the running median before a sample is called a spike
_MEDIAN_TO_DEVIATION = 1.4826  # median distance to standard deviation, for a normal distribution


def local_metres(latitude, longitude):
    """Return north and east (2, n) of the first fix, in a plane that touches the ellipsoid. [m]

    Parameters
    ----------
    latitude, longitude : (n,) arrays
        WGS 84; NaN where there was no fix. [rad]

    Notes
    -----
    The plane touches at the middle latitude. The two radii of curvature,
    a (1 - e2) / (1 - e2 sin2)^1.5 and a cos / (1 - e2 sin2)^0.5, hold within 0.1 % for
    some 10 km to either side. Longitude may pass 180 degrees.
    """
    known = np.flatnonzero(np.isfinite(latitude) & np.isfinite(longitude))
    if not known.size:
        return np.full((2, len(latitude)), np.nan)
    middle = np.median(latitude[known])  # a wrong fix moves it little
    squared = _FLATTENING * (2 - _FLATTENING)
    bulge = 1 - squared * np.sin(middle) ** 2
    along = (longitude - longitude[known[0]] + np.pi) % (2 * np.pi) - np.pi
    return np.stack(
        [
            EARTH_RADIUS * (1 - squared) / bulge**1.5 * (latitude - latitude[known[0]]),
            EARTH_RADIUS * np.cos(middle) / np.sqrt(bulge) * along,
        ]
    )


def velocity_of_course(ground_speed, course):
    """Return north and east velocity (2, n) of speed and course over the ground. [m/s]

    Parameters
    ----------
    ground_speed, course : (n,) arrays
        [m/s, rad]
    """
    return np.stack([ground_speed * np.cos(course), ground_speed * np.sin(course)])


def velocity_of_positions(position, step):
    """Return the velocity (..., n) of positions on even steps: the slope of the straight line through three of them.

    Parameters
    ----------
    position : (..., n) array
        [m]
    step : float
        [s]

    Returns
    -------
    velocity : (..., n) array
        NaN beside a step without a position. [m/s]
    """
    return moving_slope(position, step, 3)


def moving_slope(values, step, window):
    """Return the least-squares slope (..., n) through the ``window`` values around each. [unit of the values / s]

    Parameters
    ----------
    values : (..., n) array
        On even steps.
    step : float
        [s]
    window : int
        An odd number of steps. Where fewer are known all round, the slope is NaN. [-]
    """
    half = window // 2
    places = np.arange(-half, half + 1)
    weights = places / (step * np.sum(places**2))
    return _moving(values, weights)


def moving_mean(values, window):
    """Return the mean (..., n) of the ``window`` values around each; NaN where one of them is. [unit of the values]

    Parameters
    ----------
    values : (..., n) array
        On even steps.
    window : int
        An odd number of steps. [-]
    """
    return _moving(values, np.full(window, 1 / window))


def _moving(values, weights):
    values = np.asarray(values, dtype=float)
    result = np.full(values.shape, np.nan)
    half = len(weights) // 2
    if values.shape[-1] >= len(weights):
        windows = np.lib.stride_tricks.sliding_window_view(values, len(weights), axis=-1)
        result[..., half : values.shape[-1] - half] = windows @ weights
    return result


def step_means(time, values, start, step, count):
    """Return the mean (count,) of the values in each even step of time; NaN in a step without any.
    [unit of the values]

    Parameters
    ----------
    time, values : (n,) arrays
        NaN values count as not measured. [s, any]
    start, step : float
        Where the first step begins, and how long each is. [s]
    count : int
        How many steps. [-]
    """
    known = np.isfinite(values)
    place = np.clip(((time[known] - start) / step).astype(int), 0, count - 1)
    many = np.bincount(place, minlength=count)
    total = np.bincount(place, weights=values[known], minlength=count)
    return np.divide(total, many, out=np.full(count, np.nan), where=many > 0)


def bridged(values, longest):
    """Return the values (n,) with gaps of at most ``longest`` steps filled by a straight line. [unit of the values]

    Parameters
    ----------
    values : (n,) array
        NaN where nothing is known.
    longest : int
        [-]
    """
    known = np.flatnonzero(np.isfinite(values))
    if known.size < 2:
        return values
    filled = np.interp(np.arange(len(values)), known, values[known], left=np.nan, right=np.nan)
    for gap in np.flatnonzero(np.diff(known) > longest + 1):
        filled[known[gap] + 1 : known[gap + 1]] = np.nan
    return filled


def is_spike(values, floor):
    """Return which of the values (n,) stand alone: far from the running median of five, their neighbours not. [bool]

    A sample is a spike when it is further from the median of itself and its four neighbours than ``floor`` and
    than six times the usual such distance (1.4826 times the median distance). Steps and ramps are left alone,
    and so is an excursion of three samples or more.

    Parameters
    ----------
    values : (n,) array
        In order of time, NaN left out beforehand.
    floor : float
        The smallest distance worth calling a spike. [unit of the values]
    """
    if len(values) < SPIKE_WINDOW:
        return np.zeros(len(values), dtype=bool)
    distance = np.abs(values - median_filter(values, SPIKE_WINDOW, mode="mirror"))
    return distance > max(floor, _SPIKE_SCATTERS * _MEDIAN_TO_DEVIATION * float(np.median(distance)))
