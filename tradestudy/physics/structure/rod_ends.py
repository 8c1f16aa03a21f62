"""Over how much of each station's own stretch of span a rod or joiner is present, smooth where it ends."""

from __future__ import annotations

from typing import Any

import numpy as np

# Over how much span a rod's share of the moment fades at its end. The caps of a foam beam pick up
# their load over sqrt(own rigidity of foam and rod / shear stiffness of the web), 20 to 40 mm here. A
# smooth step of this scale rises from a tenth to nine tenths over 44 mm.
_END_BLEND = 0.010  # [m]


def _smooth_step_integral(distance: Any) -> Any:
    """Return the integral (...) of a smooth step, for an end that fades over _END_BLEND. [m]

    ``distance`` (...) is how far a point lies inboard of the end [m]. The integral tends to zero outboard and to the
    distance inboard: w ln(1 + exp(x/w)), written so that no exponent overflows.
    """
    scaled = distance / _END_BLEND
    if not np.iscomplexobj(scaled):
        return _END_BLEND * np.logaddexp(0.0, scaled)
    inboard = scaled.real > 0.0
    folded = np.where(inboard, -scaled, scaled)
    return _END_BLEND * (np.where(inboard, scaled, 0.0) + np.log1p(np.exp(folded)))


def rod_presence(station_y: Any, inner_end: Any, outer_end: Any, crosses_centre: Any) -> np.ndarray:
    """Return the share of each station's own stretch of span that holds a rod.

    A stretch runs from the middle of the strip inboard to the middle of the strip outboard. The share is averaged over
    it in closed form, by integration. So the total rod length is right wherever an end falls between stations, and
    smooth in both ends.

    Parameters
    ----------
    station_y : (..., n_station) array
        Stations from the centre line to the tip. [m]
    inner_end, outer_end : (..., n_set) array
        Ends of the rods, from the centre line. [m]
    crosses_centre : (..., n_set) array
        1 where the rod continues through the centre line, and so does not fade there. [-]

    Returns
    -------
    rod_presence : (..., n_set, n_station) array
        Between 0 and 1. [-]

    Examples
    --------
    A rod through the centre line that ends half way out:

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
    """Return the share of each station's own stretch of span (..., n_station) that the joiner reaches, geometry. [-]

    ``station_y`` (..., n_station) [m], total ``length`` of the joiner (...) [m]. Its channel is assumed to hold it
    along its total length, so that it bends with the wing about its own middle.
    """
    half = 0.5 * np.asarray(length)[..., None]
    return rod_presence(station_y, np.zeros(1), half, np.ones(1))[..., 0, :]
