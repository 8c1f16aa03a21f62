"""Room between the skin and what lies inside it, as margins that are smooth in the shape of the wing.

A box is level and lies across the centre line or beside it, at any height. So it fits if the lowest point of the upper
surface over it is far enough above the highest point of the lower surface. Each margin pairs one place on the upper
surface with one on the lower. The box fits if no margin is negative.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.arrays import stacked
from tradestudy.physics.geometry.planform import break_shares

from .skin import Skin, blended_section, heights_on

# Between breaks each surface is straight across, so the walls of a box count. Here are places along a wall where each
# surface is lowest or highest. The upper surface of a section bulges, so it is lowest at an end; the lower surface of a
# section with reflex may be highest between the ends.
PLACES = np.array([0.0, 1 / 3, 2 / 3, 1.0])
_UPPER, _LOWER = slice(None, None, 3), slice(None)  # which of them count for each surface
MARGINS_OF_BOX = 32  # pairs of places on the two surfaces


class FoamBox(NamedTuple):
    """A level box that must lie inside the skin: across the centre line, or in the right half. Lengths are in [m].

    A box that moves with the wing has a front and walls of shape (...).
    """

    name: str
    front: Any  # distance of its front behind the nose datum
    length: float
    half_width: Any  # distance of its right wall from the centre line
    height: float
    above: float  # foam or lid that must be left above it
    below: float  # foam or floor that must be left below it
    inner: Any = 0.0  # distance of its left wall from the centre line; 0 for a box across it


class BoxHeights(NamedTuple):
    """Heights of the two surfaces over boxes: (..., n_box, 2, 2) and (..., n_box, 2, 4), across and then along. [m]"""

    upper: Any
    lower: Any


def box_heights(skin: Skin, boxes: Sequence[FoamBox], shares: Any = None) -> BoxHeights:
    """Return the BoxHeights (...) of boxes. Geometry, no source needed.

    ``shares`` (..., 2 n_box, n_break) [-] are those of ``planform.break_shares`` at both walls of each box, if known.
    """
    if shares is None:
        walls = stacked([side for box in boxes for side in (box.inner, box.half_width)])
        shares = break_shares(skin.station, walls)
    front = stacked([box.front for box in boxes for _ in range(2)])
    found = wall_heights(skin, shares, front, np.array([box.length for box in boxes]).repeat(2))
    return heights_by_box(found)


def wall_heights(skin: Skin, shares: Any, front: Any, length: np.ndarray) -> Any:
    """Return the heights (..., n_wall, 2, 4) of upper and lower surface at the places along walls. [m]

    A wall reaches from ``front`` (..., n_wall) behind the nose datum over a ``length`` (n_wall,) [m]. Its station has
    the ``shares`` (..., n_wall, n_break) [-] of ``planform.break_shares``. Geometry, no source needed.
    """
    return heights_on(blended_section(skin, None, shares), front[..., None] + length[:, None] * PLACES)


def heights_by_box(heights: Any) -> BoxHeights:
    """Return the BoxHeights (...) from ``heights`` (..., 2 n_box, 2, 4) of both walls of each box [m]. Bookkeeping."""
    by_box = heights.reshape(*heights.shape[:-3], -1, 2, 2, len(PLACES))
    return BoxHeights(by_box[..., 0, _UPPER], by_box[..., 1, _LOWER])


def box_margins(heights: BoxHeights, boxes: Sequence[FoamBox]) -> Any:
    """Return the margins (..., n) of boxes, 32 for each: room between the surfaces less what a box needs. [m]

    Each is the height of one place of the upper surface, less one of the lower, less the box with its lid and floor.
    Geometry, no source needed.
    """
    needed = np.array([box.height + box.above + box.below for box in boxes])
    upper, lower = (side.reshape(*side.shape[:-2], -1) for side in heights)
    pairs = upper[..., :, None] - lower[..., None, :] - needed[:, None, None]
    return pairs.reshape(*pairs.shape[:-3], -1)


class BoxPlace(NamedTuple):
    """Where a box lies in a wing without batch axes, and where its room is least."""

    bottom: float  # height of its bottom above the nose datum [m]
    margin: float  # room left; negative if it does not fit [m]
    upper_place: tuple[float, float]  # x and y of the lowest place of the upper surface [m]
    lower_place: tuple[float, float]  # x and y of the highest place of the lower surface [m]


def box_places(heights: BoxHeights, boxes: Sequence[FoamBox]) -> list[BoxPlace]:
    """Return the BoxPlace of each box: half way between the room above and the room below. Geometry, no source."""
    return [
        _box_place(np.real(upper), np.real(lower), box)
        for upper, lower, box in zip(heights.upper, heights.lower, boxes, strict=True)
    ]


def _box_place(upper: np.ndarray, lower: np.ndarray, box: FoamBox) -> BoxPlace:
    top, bottom = upper.min() - box.above, lower.max() + box.below

    def place(index: Any, side: np.ndarray, along: np.ndarray) -> tuple[float, float]:
        row, column = np.unravel_index(int(index), side.shape)
        return float(box.front + box.length * along[column]), float((box.inner, box.half_width)[row])

    return BoxPlace(
        bottom=float(0.5 * (top + bottom - box.height)),
        margin=float(top - bottom - box.height),
        upper_place=place(upper.argmin(), upper, PLACES[_UPPER]),
        lower_place=place(lower.argmax(), lower, PLACES[_LOWER]),
    )
