"""What is cut out of the foam of a wing: bays, boards at their back walls, joiner channel, motor slot, pockets."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.body import clearance
from tradestudy.physics.body.removed_foam import CutBox, CutPocket, FoamCuts, cut_box
from tradestudy.physics.body.skin import Skin, surface_heights
from tradestudy.study.schema.study import Study

from .stock_shape import foam_boxes

CHANNEL_GAP = 0.001  # glue above, below and at the ends of a joiner in its channel; common practice, no source [m]
_BEYOND = 0.002  # length by which a hole right through the foam reaches out of the skin [m]

Corners = tuple[np.ndarray, np.ndarray]  # lowest and highest corner of a box [m]


class BayCuts(NamedTuple):
    """Boxes of one bay."""

    bay: Any  # its table in the study
    name: str
    inside: Corners  # the bay between its lid and its floor
    hole: Corners  # the foam cut out; it reaches out of the skin if the bay is cut right through
    board: Corners | None  # the board behind its back wall


def bay_cuts(study: Study, skin: Skin) -> list[BayCuts]:
    """Return the boxes of every bay in a wing with this skin."""
    cuts = []
    boxes = [box for box, place in foam_boxes(study) if place[0] == "bay"]
    for bay, box in zip(study.bay, boxes, strict=True):
        low, high = inside = box_corners(skin, box)
        board = None
        if bay.divider:
            board = _board(skin, bay, low, high)
        hole = through_hole(skin, low[0], high[0], low[1], high[1]) if bay.through else inside
        cuts.append(BayCuts(bay, box.name, inside, hole, board))
    return cuts


def _board(skin: Skin, bay: Any, low: np.ndarray, high: np.ndarray) -> Corners:
    """Return the corners of the board behind a bay. Under a raised lid it is cut flush with the skin."""
    back, top = high[0] + bay.divider, high[2]
    if bay.raised_lid:
        x, y = np.meshgrid([high[0], back], np.linspace(max(low[1], 0.0), high[1], 9))
        top = min(top, float(surface_heights(skin, x, y)[0].min()))
    return np.array([high[0], low[1], low[2]]), np.array([back, high[1], top])


def box_corners(skin: Skin, box: clearance.FoamBox) -> Corners:
    """Return the corners of a box at its height inside the skin."""
    (place,) = clearance.box_places(clearance.box_heights(skin, [box]), [box])
    low = np.array([box.front, box.inner or -box.half_width, place.bottom])
    return low, np.array([box.front + box.length, box.half_width, place.bottom + box.height])


def through_hole(skin: Skin, front: float, back: float, first: float, last: float) -> Corners:
    """Return the corners of a hole right through the foam, from station ``first`` to ``last`` [m].

    ``first`` is negative for a hole across the centre line.
    """
    x, y = np.meshgrid(np.linspace(front, back, 9), np.linspace(max(first, 0.0), last, 5))
    upper, lower = surface_heights(skin, x, y)
    low = np.array([front, first, float(lower.min()) - _BEYOND])
    return low, np.array([back, last, float(upper.max()) + _BEYOND])


def motor_slot(study: Study, skin: Skin) -> Corners | None:
    """Return the corners of the slot of the motor's mount ahead of the hinge, or None without one."""
    length, width = study.motor.mount_slot, study.motor.mount_slot_width
    if not (length and width):
        return None
    hinge = float(skin.upper_x[0, skin.hinge])
    return through_hole(skin, hinge - length, hinge, -0.5 * width, 0.5 * width)


class JoinerBed(NamedTuple):
    """The joiner and its channel, straight across the centre line. Lengths in [m]."""

    line: np.ndarray  # ends of the joiner (2, 3)
    channel: Corners

    @property
    def size(self) -> np.ndarray:
        """Length, width and height of the channel. [m]"""
        return self.channel[1] - self.channel[0]


def joiner_bed(study: Study, skin: Skin) -> JoinerBed | None:
    """Return the JoinerBed halfway between the skins, or None without a joiner. It is clear of every bay."""
    joiner = study.joiner
    if joiner is None:
        return None
    box = next(box for box, place in foam_boxes(study) if place[0] == "joiner")
    low, high = box_corners(skin, box)
    gap = np.array([0.0, CHANNEL_GAP, CHANNEL_GAP])
    low, high = low - gap, high + gap
    middle = 0.5 * (low + high)
    half = np.array([0.0, 0.5 * joiner.length, 0.0])
    return JoinerBed(np.array([middle - half, middle + half]), (low, high))


def foam_cuts(study: Study, skin: Skin, but_for: str = "") -> FoamCuts:
    """Return all that is cut out of the foam of a wing with this skin, but for the rods and for the bay ``but_for``."""
    bays, slot = [cuts for cuts in bay_cuts(study, skin) if cuts.bay.name != but_for], motor_slot(study, skin)
    corners = [cuts.hole for cuts in bays] + [cuts.board for cuts in bays if cuts.board] + ([slot] if slot else [])
    boxes = [cut_box(skin, *box) for box in corners]
    bed = joiner_bed(study, skin)
    if bed is not None:
        length, width, height = (float(side) for side in bed.size)
        boxes.append(CutBox(length * width * height, float(bed.line[0, 0]), length, width, height))
    pockets = [
        CutPocket(
            pocket.length * pocket.along_span * pocket.depth,
            pocket.from_centre,
            pocket.from_leading_edge + 0.5 * pocket.length,
            pocket.length,
            pocket.depth,
        )
        for pocket in study.pocket
    ]
    return FoamCuts(tuple(boxes), tuple(pockets))
