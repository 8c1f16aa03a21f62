"""Room between the skin and what lies inside it, as margins that are smooth in the shape of the wing.

A box is level and lies across the centre line, at any height. So it fits if the lowest point of the upper surface over
it is far enough above the highest point of the lower surface. Each margin pairs one place on the upper surface with one
on the lower. The box fits if no margin is negative.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from .skin import Skin, heights_on, section_at

# Places along a box at which each surface is lowest or highest. The upper surface of a section bulges, so it is lowest
# at an end; the lower surface of a section with reflex may be highest between the ends.
_UPPER_PLACES, _LOWER_PLACES = (0.0, 1.0), (0.0, 1 / 3, 2 / 3, 1.0)
MARGINS_OF_BOX = 32  # pairs of places on the two surfaces
_ACROSS = (0.0, 1.0)  # centre line and side wall: between breaks each surface is straight across


class FoamBox(NamedTuple):
    """A level box across the centre line that must lie inside the skin. Lengths are in [m]."""

    name: str
    front: float  # distance of its front behind the nose datum
    length: float
    half_width: float
    height: float
    above: float  # foam or lid that must be left above it
    below: float  # foam or floor that must be left below it


class BoxHeights(NamedTuple):
    """Heights of the two surfaces over a box: (..., 2, 2) and (..., 2, 4), first across and then along. [m]"""

    upper: Any
    lower: Any


def box_heights(skin: Skin, box: FoamBox) -> BoxHeights:
    """Return the BoxHeights (...) of a box. Geometry, no source needed."""
    across = section_at(skin, box.half_width * np.array(_ACROSS))
    upper_x, lower_x = (box.front + box.length * np.array(places) for places in (_UPPER_PLACES, _LOWER_PLACES))
    return BoxHeights(
        heights_on(across.upper_x[..., None, :], across.upper_z[..., None, :], upper_x),
        heights_on(across.lower_x[..., None, :], across.lower_z[..., None, :], lower_x),
    )


def box_margins(heights: BoxHeights, box: FoamBox) -> Any:
    """Return the margins (..., 32) of a box: room between the surfaces less what it needs. [m]

    Each is the height of one place of the upper surface, less one of the lower, less the box with its lid and floor.
    Geometry, no source needed.
    """
    needed = box.height + box.above + box.below
    upper, lower = (side.reshape(*side.shape[:-2], -1) for side in heights)
    pairs = upper[..., :, None] - lower[..., None, :] - needed
    return pairs.reshape(*pairs.shape[:-2], -1)


class BoxPlace(NamedTuple):
    """Where a box lies in a wing without batch axes, and where its room is least."""

    bottom: float  # height of its bottom above the nose datum [m]
    margin: float  # room left; negative if it does not fit [m]
    upper_place: tuple[float, float]  # x and y of the lowest place of the upper surface [m]
    lower_place: tuple[float, float]  # x and y of the highest place of the lower surface [m]


def box_place(heights: BoxHeights, box: FoamBox) -> BoxPlace:
    """Return the BoxPlace of a box: half way between the room above and the room below. Geometry, no source."""
    upper, lower = np.real(heights.upper), np.real(heights.lower)
    top, bottom = upper.min() - box.above, lower.max() + box.below

    def place(index: Any, side: np.ndarray, along: tuple[float, ...]) -> tuple[float, float]:
        row, column = np.unravel_index(int(index), side.shape)
        return float(box.front + box.length * along[column]), float(box.half_width * _ACROSS[row])

    return BoxPlace(
        bottom=float(0.5 * (top + bottom - box.height)),
        margin=float(top - bottom - box.height),
        upper_place=place(upper.argmin(), upper, _UPPER_PLACES),
        lower_place=place(lower.argmax(), lower, _LOWER_PLACES),
    )
