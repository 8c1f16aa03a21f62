"""Foam that gives way to boxes and pockets in a wing. A place outside the skin holds no foam."""

from __future__ import annotations

import numpy as np

from .skin import Skin, surface_heights
from .solids import Amount

_COLUMNS = (60, 40)  # columns of a box along the flight direction and across; exact for a box inside the skin


def box_in_skin(skin: Skin, low: np.ndarray, high: np.ndarray) -> Amount:
    """Return the Amount of a box that lies within a skin. Geometry, no source needed.

    The box lies between its corners ``low`` and ``high`` (3,) [m], in one half wing or across the centre line. The skin
    has no batch axes. Columns are counted at their middles, so that a box inside the skin is exact.
    """
    x, y = (
        start + (end - start) * (np.arange(count) + 0.5) / count
        for start, end, count in zip(low[:2], high[:2], _COLUMNS, strict=True)
    )
    x, y = (grid.ravel() for grid in np.meshgrid(x, y))
    upper, lower = surface_heights(skin, x, np.abs(y))
    top, bottom = np.minimum(upper, high[2]), np.maximum(lower, low[2])
    column = np.maximum(top - bottom, 0.0) * (high[0] - low[0]) * (high[1] - low[1]) / x.size
    moment = np.array([column @ x, column @ y, column @ (0.5 * (top + bottom))])
    return Amount(float(column.sum()), moment)
