"""Velocity over the ground on even steps of time from a receiver's log, and detection of single wrong samples.

The functions take measured numbers, with NaN where nothing was measured. They return no slopes. North and east are the
two components of every horizontal vector, in that order. Course is the direction of flight, clockwise from north.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy.ndimage import median_filter

EARTH_RADIUS = 6378137.0  # semi-major axis a of the WGS 84 ellipsoid, by definition [m]
_FLATTENING = 1 / 298.257223563  # flattening of the WGS 84 ellipsoid, by definition [-]
SPIKE_WINDOW = 5  # samples of the running median: an excursion of one or two samples is a spike, one of three is not
_SPIKE_SCATTERS = 6.0  # smallest distance of a spike from the running median, in standard deviations [-]
_MEDIAN_TO_DEVIATION = 1.4826  # standard deviation over median distance, for a normal distribution [-]


def local_metres(latitude: np.ndarray, longitude: np.ndarray) -> np.ndarray:
    """Return distances (2, n) north and east of the first position, in a plane that touches the ellipsoid. [m]

    Parameters
    ----------
    latitude, longitude : (n,) arrays
        Positions in WGS 84; NaN where there is none. [rad]

    Notes
    -----
    Geometry: the plane touches at the median latitude p. A change of latitude is multiplied by a (1 - e2) / (1 - e2
    sin(p)^2)^1.5, and one of longitude by a cos(p) / (1 - e2 sin(p)^2)^0.5. Here a is the semi-major axis and e2 the
    squared eccentricity of the ellipsoid. The result is accurate within 0.1 % for about 10 km on either side. Longitude
    may pass 180 degrees.
    """
    known = np.flatnonzero(np.isfinite(latitude) & np.isfinite(longitude))
    if not known.size:
        return np.full((2, len(latitude)), np.nan)
    middle = np.median(latitude[known])  # one wrong position changes the median little
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
    """Return velocity (2, n) north and east from speed and course over the ground. [m/s]

    This is geometry and needs no source.

    Parameters
    ----------
    ground_speed, course : (n,) arrays
        Speed over the ground and course. [m/s, rad]
    """
    return np.stack([ground_speed * np.cos(course), ground_speed * np.sin(course)])


def velocity_of_positions(position: np.ndarray, step: float) -> np.ndarray:
    """Return the velocity of positions on even steps of time: the slope of a straight line fitted to three of them.

    Parameters
    ----------
    position : (..., n) array
        Positions on even steps. [m]
    step : float
        Length of a step. [s]

    Returns
    -------
    velocity : (..., n) array
        Velocity by this definition. It is NaN next to a step without a position. [m/s]
    """
    return moving_slope(position, step, 3)


def moving_slope(values: Any, step: float, window: int) -> np.ndarray:
    """Return the least-squares slope (..., n) of the ``window`` values around each value. [unit of the values / s]

    This is algebra.

    Parameters
    ----------
    values : (..., n) array
        Values on even steps of time. [as given]
    step : float
        Length of a step. [s]
    window : int
        Number of values, odd. The slope is NaN where a value of the window is unknown. [-]

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
    """Return the mean (..., n) of the ``window`` values around each value, by definition. [unit of the values]

    Parameters
    ----------
    values : (..., n) array
        Values on even steps of time. [as given]
    window : int
        Number of values, odd. The mean is NaN where a value of the window is unknown. [-]
    """
    return _moving(values, np.full(window, 1 / window))


def _moving(values: Any, weights: np.ndarray) -> np.ndarray:
    """Return the weighted sum (..., n) of the values around each value, with NaN near the ends."""
    values = np.asarray(values, dtype=float)
    result = np.full(values.shape, np.nan)
    half = len(weights) // 2
    if values.shape[-1] >= len(weights):
        windows = np.lib.stride_tricks.sliding_window_view(values, len(weights), axis=-1)
        result[..., half : values.shape[-1] - half] = windows @ weights
    return result


def step_means(time: np.ndarray, values: np.ndarray, start: float, step: float, count: int) -> np.ndarray:
    """Return the mean (count,) of the values in each even step of time, by definition. [unit of the values]

    The mean is NaN in a step without values.

    Parameters
    ----------
    time, values : (n,) arrays
        Samples; a value is NaN where it was not measured. [s], [as given]
    start, step : float
        Beginning of the first step, and length of each step. [s]
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
        Values on even steps, with NaN where nothing is known. [as given]
    longest : int
        Largest number of steps in a gap that is filled. [-]
    """
    known = np.flatnonzero(np.isfinite(values))
    if known.size < 2:
        return values
    filled = np.interp(np.arange(len(values)), known, values[known], left=np.nan, right=np.nan)
    for gap in np.flatnonzero(np.diff(known) > longest + 1):
        filled[known[gap] + 1 : known[gap + 1]] = np.nan
    return filled


def is_spike(values: np.ndarray, floor: float) -> np.ndarray:
    """Return whether each of the values (n,) is a spike: far from the running median of five samples. [bool]

    This is our own definition. The distance of a sample is that from the median of itself and its four neighbours. Its
    standard deviation is 1.4826 times the median distance. A spike is farther than both ``floor`` and six standard
    deviations. Steps, ramps and excursions of three samples or more are not spikes.

    Parameters
    ----------
    values : (n,) array
        Values in order of time, without NaN. [as given]
    floor : float
        Smallest distance of a spike. [unit of the values]
    """
    if len(values) < SPIKE_WINDOW:
        return np.zeros(len(values), dtype=bool)
    distance = np.abs(values - median_filter(values, SPIKE_WINDOW, mode="mirror"))
    return distance > max(floor, _SPIKE_SCATTERS * _MEDIAN_TO_DEVIATION * float(np.median(distance)))
