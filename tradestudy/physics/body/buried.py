"""How far out in a half wing a box still fits inside the foam, with foam above and below it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from .clearance import FoamBox, box_heights, box_margins
from .skin import Skin, section_at

GEAR_COVER = 0.002  # foam above and below a thing that lies in a hole of its own; common practice, no source [m]
_STATIONS, _PLACES = 41, 41  # places along the span and along the foam that are tried at once
_STEPS = 3  # times that the last piece along the span is divided anew


class OutmostPlace(NamedTuple):
    """The place of the middle of a box that lies as far out as it fits. Lengths are in [m]."""

    from_centre: float
    from_nose: float


def outmost_place(skin: Skin, size: tuple[float, float, float]) -> OutmostPlace | None:
    """Return the OutmostPlace of a level box of a ``size`` (length, width, height) [m], or None if it fits nowhere.

    GEAR_COVER of foam is left above and below it. It lies between leading edge and hinge, in the right half of a skin
    without batch axes. Places along the foam and the span are tried, and the last piece of the span is divided anew:
    the result is exact to half a millimetre along the span. Geometry, no source needed.
    """
    tip, width = float(skin.station[-1]), size[1]
    low, high = 0.5 * width, tip - 0.5 * width
    found = None
    for _ in range(_STEPS):
        if high < low:
            break
        y = np.linspace(low, high, _STATIONS)
        place, margin = _best_places(skin, size, y)
        fits = np.flatnonzero(margin >= 0)
        if not fits.size:
            break
        last = int(fits[-1])
        found = OutmostPlace(float(y[last]), float(place[last]))
        if last == _STATIONS - 1:
            break
        low, high = y[last], y[last + 1]
    return found


def _best_places(skin: Skin, size: tuple[float, float, float], y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the place along the foam with most room at every station ``y`` (n,), and that room (n,). [m]"""
    length, width, height = size
    walls = section_at(skin, y[:, None] + 0.5 * width * np.array([-1.0, 1.0]))
    first = np.maximum(walls.upper_x[..., 0], walls.lower_x[..., 0]).max(-1)
    last = np.minimum(walls.upper_x[..., skin.hinge], walls.lower_x[..., skin.hinge]).min(-1) - length
    front = first + np.maximum(last - first, 0.0) * np.linspace(0.0, 1.0, _PLACES)[:, None]
    outer = np.broadcast_to(y + 0.5 * width, front.shape)
    box = FoamBox("", front, length, outer, height, GEAR_COVER, GEAR_COVER, y - 0.5 * width)
    room = box_margins(box_heights(skin, [box]), [box]).min(-1)
    best = room.argmax(0)
    room = np.where(last >= first, np.take_along_axis(room, best[None], 0)[0], -1.0)
    return np.take_along_axis(front, best[None], 0)[0] + 0.5 * length, room
