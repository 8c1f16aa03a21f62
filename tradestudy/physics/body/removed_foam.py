"""Foam that gives way to bays, channels and pockets in a wing. A place outside the skin holds no foam."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from .skin import Skin, heights_on, section_at
from .solids import Amount

_COLUMNS = (60, 40)  # columns of a box along the flight direction and across; exact for a box inside the skin


class CutBox(NamedTuple):
    """Foam cut out as a box on the centre line, or as two boxes, one in each half wing.

    Their volume is less than that of the boxes where they leave the skin. Volume in [m^3], lengths in [m].
    """

    volume: float  # in both halves
    place: float  # distance of its centre behind the nose datum
    length: float  # along the flight direction
    width: float  # from left to right, or from the inner to the outer side of one of two
    depth: float
    from_centre: float = 0.0  # middle of each of two boxes; 0 for a box on the centre line

    @property
    def span_of_inertia(self) -> float:
        """Width of one box on the centre line with the same moment of inertia, by definition. [m]"""
        return (self.width**2 + 12 * self.from_centre**2) ** 0.5


class CutPocket(NamedTuple):
    """Foam cut out of each half wing. Volume in [m^3], lengths in [m]."""

    volume: float  # in one half wing
    from_centre: float  # distance of its middle from the centre line, in the stock wing
    behind_leading_edge: float  # distance of its middle behind the leading edge there
    length: float  # along the flight direction
    depth: float


class FoamCuts(NamedTuple):
    """All foam that is cut out of a wing, but for the rods."""

    boxes: tuple[CutBox, ...] = ()
    pockets: tuple[CutPocket, ...] = ()


def cut_box(skin: Skin, low: np.ndarray, high: np.ndarray) -> CutBox:
    """Return the CutBox between two corners ``low`` and ``high`` (3,) [m], as in ``box_in_skin``. Geometry.

    A box that lies in the right half wing is cut in the left one too.
    """
    foam = box_in_skin(skin, low, high)
    place = foam.centroid[0] if foam.volume > 0 else 0.5 * (low[0] + high[0])
    length, width, depth = (float(size) for size in high - low)
    apart = float(low[1]) > 0.0
    return CutBox(
        foam.volume * (2 if apart else 1), float(place), length, width, depth, 0.5 * float(low[1] + high[1]) * apart
    )


def box_in_skin(skin: Skin, low: np.ndarray, high: np.ndarray) -> Amount:
    """Return the Amount of a box that lies within a skin. Geometry, no source needed.

    The box lies between its corners ``low`` and ``high`` (3,) [m], in one half wing or across the centre line. The skin
    has no batch axes. Columns are counted at their middles, so that a box inside the skin is exact.
    """
    x, y = (
        start + (end - start) * (np.arange(count) + 0.5) / count
        for start, end, count in zip(low[:2], high[:2], _COLUMNS, strict=True)
    )
    rows = section_at(skin, np.abs(y))  # one section for all columns of a row
    found = heights_on(rows, np.broadcast_to(x, (len(y), len(x))))
    upper, lower = found[:, 0].ravel(), found[:, 1].ravel()
    x, y = (grid.ravel() for grid in np.meshgrid(x, y))
    top, bottom = np.minimum(upper, high[2]), np.maximum(lower, low[2])
    column = np.maximum(top - bottom, 0.0) * (high[0] - low[0]) * (high[1] - low[1]) / x.size
    moment = np.array([column @ x, column @ y, column @ (0.5 * (top + bottom))])
    return Amount(float(column.sum()), moment)
