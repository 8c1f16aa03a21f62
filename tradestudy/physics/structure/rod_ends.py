"""Share of the span around each station over which a rod or joiner is present, smooth where the rod ends.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any

import numpy as np

# Length scale over which a rod's share of the moment fades at its end. The rods of a foam beam take up their load over
# a length of sqrt(own rigidity of foam and rod / shear stiffness of the web). That is 20 to 40 mm here. A smooth step
# with this scale rises from a tenth to nine tenths over 44 mm.
_END_BLEND = 0.010  # [m]


def _smooth_step_integral(distance: Any) -> Any:
    """Return the integral (...) of a smooth step with the length scale w = _END_BLEND. [m]

    ``distance`` (...) is the distance x of a point inboard of the rod's end [m]. The integral is w ln(1 + exp(x/w)). It
    tends to zero outboard and to x inboard. The code avoids overflow of the exponential.
    """
    scaled = distance / _END_BLEND
    if not np.iscomplexobj(scaled):
        return _END_BLEND * np.logaddexp(0.0, scaled)
    inboard = scaled.real > 0.0
    folded = np.where(inboard, -scaled, scaled)
    return _END_BLEND * (np.where(inboard, scaled, 0.0) + np.log1p(np.exp(folded)))


def rod_presence(station_y: Any, inner_end: Any, outer_end: Any, crosses_centre: Any) -> np.ndarray:
    """Return the share of the span around each station that holds a rod.

    The span of a station runs from the middle of the strip inboard to the middle of the strip outboard. The share is
    averaged over it in closed form, by integration. So the total rod length is right for ends between stations, and it
    varies smoothly with both ends.

    Parameters
    ----------
    station_y : (..., n_station) array
        Stations from the centre line to the tip. [m]
    inner_end, outer_end : (..., n_set) array
        Distances of the rod ends from the centre line. [m]
    crosses_centre : (..., n_set) array
        1 where the rod continues through the centre line and does not fade there, 0 elsewhere. [-]

    Returns
    -------
    rod_presence : (..., n_set, n_station) array
        Share between 0 and 1. [-]

    Examples
    --------
    A rod runs through the centre line and ends half way to the tip:

    >>> rod_presence(np.linspace(0.0, 1.0, 5), [0.0], [0.5], [1.0]).round(2).tolist()
    [[1.0, 1.0, 0.5, 0.0, 0.0]]
    """
    station_y = np.asarray(station_y)
    middle = 0.5 * (station_y[..., 1:] + station_y[..., :-1])
    bounds = np.concatenate([station_y[..., :1], middle, station_y[..., -1:]], axis=-1)
    inner, outer = np.asarray(inner_end)[..., None], np.asarray(outer_end)[..., None]
    cut = 1.0 - np.asarray(crosses_centre)[..., None]
    bounds = bounds[..., None, :]
    primitive = -_smooth_step_integral(outer - bounds)
    if cut.any():
        primitive = primitive + cut * _smooth_step_integral(inner - bounds)
    return (primitive[..., 1:] - primitive[..., :-1]) / (bounds[..., 1:] - bounds[..., :-1])


def joiner_presence(station_y: Any, length: Any) -> np.ndarray:
    """Return the share (..., n_station) of the span around each station that the joiner reaches. [-]

    ``station_y`` (..., n_station) are the stations [m], and ``length`` (...) is the total length of the joiner [m]. Its
    channel is assumed to support it along its total length, so that it bends with the wing about its own middle. This
    is geometry and needs no source.
    """
    half = 0.5 * np.asarray(length)[..., None]
    return rod_presence(station_y, np.zeros(1), half, np.ones(1))[..., 0, :]
