"""From a receiver's log to velocity over the ground on even steps of time; detection of single wrong samples.

These functions take measured numbers, with NaN where nothing was measured. They carry no slopes. North and east are
the two components of every horizontal vector, in that order. Course is clockwise from north, the direction of flight.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy.ndimage import median_filter

EARTH_RADIUS = 6378137.0  # m, semi-major axis of the WGS 84 ellipsoid, by definition
_FLATTENING = 1 / 298.257223563  # WGS 84, by definition
SPIKE_WINDOW = 5  # samples of the running median: an excursion of one or two samples is a spike, one of three is not
_SPIKE_SCATTERS = 6.0  # typical distances from the running median before a sample is called a spike
_MEDIAN_TO_DEVIATION = 1.4826  # median distance to standard deviation, for a normal distribution


def local_metres(latitude: np.ndarray, longitude: np.ndarray) -> np.ndarray:
    """Return north and east (2, n) of the first fix, in a plane that touches the ellipsoid. [m]

    Parameters
    ----------
    latitude, longitude : (n,) arrays
        WGS 84; NaN where there was no fix. [rad]

    Notes
    -----
    Geometry: the plane touches at the middle latitude. The two radii of curvature,
    a (1 - e2) / (1 - e2 sin2)^1.5 and a cos / (1 - e2 sin2)^0.5, are accurate within 0.1 % for
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


def velocity_of_course(ground_speed: np.ndarray, course: np.ndarray) -> np.ndarray:
    """Return north and east velocity (2, n) of speed and course over the ground, geometry. [m/s]

    Parameters
    ----------
    ground_speed, course : (n,) arrays
        [m/s, rad]
    """
    return np.stack([ground_speed * np.cos(course), ground_speed * np.sin(course)])


def velocity_of_positions(position: np.ndarray, step: float) -> np.ndarray:
    """Return the velocity of positions on even steps: the slope of the straight line through three of them.

    Parameters
    ----------
    position : (..., n) array
        [m]
    step : float
        [s]

    Returns
    -------
    velocity : (..., n) array
        A definition; NaN next to a step without a position. [m/s]
    """
    return moving_slope(position, step, 3)


def moving_slope(values: Any, step: float, window: int) -> np.ndarray:
    """Return the least-squares slope (..., n) through ``window`` values around each, algebra. [unit of the values / s]

    Parameters
    ----------
    values : (..., n) array
        On even steps. [as given]
    step : float
        [s]
    window : int
        An odd number of steps. The slope is NaN where any of them is unknown. [-]

    Examples
    --------
    >>> moving_slope([0.0, 1.0, 2.0, 3.0], step=0.5, window=3).tolist()
    [nan, 2.0, 2.0, nan]
    """
    half = window // 2
    places = np.arange(-half, half + 1)
    weights = places / (step * np.sum(places**2))
    return _moving(values, weights)


def moving_mean(values: Any, window: int) -> np.ndarray:
    """Return the mean (..., n) of the ``window`` values around each, a definition. [unit of the values]

    Parameters
    ----------
    values : (..., n) array
        On even steps. [as given]
    window : int
        An odd number of steps. The mean is NaN where any of them is unknown. [-]
    """
    return _moving(values, np.full(window, 1 / window))


def _moving(values: Any, weights: np.ndarray) -> np.ndarray:
    """Return the weighted sum (..., n) of the values around each; NaN near the ends."""
    values = np.asarray(values, dtype=float)
    result = np.full(values.shape, np.nan)
    half = len(weights) // 2
    if values.shape[-1] >= len(weights):
        windows = np.lib.stride_tricks.sliding_window_view(values, len(weights), axis=-1)
        result[..., half : values.shape[-1] - half] = windows @ weights
    return result


def step_means(time: np.ndarray, values: np.ndarray, start: float, step: float, count: int) -> np.ndarray:
    """Return the mean (count,) of the values in each even step of time, a definition. [unit of the values]

    NaN in a step without any.

    Parameters
    ----------
    time, values : (n,) arrays
        NaN values count as not measured. [s], [as given]
    start, step : float
        Beginning of the first step, and length of each. [s]
    count : int
        Number of steps. [-]
    """
    known = np.isfinite(values)
    place = np.clip(((time[known] - start) / step).astype(int), 0, count - 1)
    many = np.bincount(place, minlength=count)
    total = np.bincount(place, weights=values[known], minlength=count)
    return np.divide(total, many, out=np.full(count, np.nan), where=many > 0)


def bridged(values: np.ndarray, longest: int) -> np.ndarray:
    """Return the values (n,) with short gaps filled by linear interpolation. [unit of the values]

    Parameters
    ----------
    values : (n,) array
        NaN where nothing is known. [as given]
    longest : int
        Most steps of a gap that is filled. [-]
    """
    known = np.flatnonzero(np.isfinite(values))
    if known.size < 2:
        return values
    filled = np.interp(np.arange(len(values)), known, values[known], left=np.nan, right=np.nan)
    for gap in np.flatnonzero(np.diff(known) > longest + 1):
        filled[known[gap] + 1 : known[gap + 1]] = np.nan
    return filled


def is_spike(values: np.ndarray, floor: float) -> np.ndarray:
    """Return which of the values (n,) are isolated: far from the running median of five. [bool]

    Own definition. The distance of a sample is that from the median of itself and its four neighbours. A spike is
    farther than ``floor`` and than six times the typical distance, 1.4826 times the median one. Steps, ramps and
    excursions of three samples or more are no spikes.

    Parameters
    ----------
    values : (n,) array
        In order of time, without NaN. [as given]
    floor : float
        The smallest distance that counts as a spike. [unit of the values]
    """
    if len(values) < SPIKE_WINDOW:
        return np.zeros(len(values), dtype=bool)
    distance = np.abs(values - median_filter(values, SPIKE_WINDOW, mode="mirror"))
    return distance > max(floor, _SPIKE_SCATTERS * _MEDIAN_TO_DEVIATION * float(np.median(distance)))
