"""Room in the section for a bay that moves with the pack.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from tradestudy.physics.body import clearance
from tradestudy.physics.body.removed_foam import CutBox

from .layout import LayoutData, StretchedWing


class PackRoom(NamedTuple):
    """Room round a bay that moves with the pack."""

    pack_clearance: Any  # as ``DesignShape.clearance`` (..., 32) [m]; None if no bay moves with the pack


def pack_room(drawn: StretchedWing, pack_position: Any) -> PackRoom:
    """Return the PackRoom of a StretchedWing (...) with the middle of its pack at ``pack_position`` (...) [m].

    The position is behind the nose datum. Margins are as in ``clearance.box_margins``.
    """
    if drawn.data.pack_bay is None:
        return PackRoom(None)
    box = drawn.data.pack_bay.box
    boxes = [box._replace(front=pack_position + box.front)]
    return PackRoom(clearance.box_margins(clearance.box_heights(drawn.skin, boxes), boxes))


def cut_boxes(data: LayoutData, pack_position: float) -> list[CutBox]:
    """Return every box cut out of the foam of a design with its pack at ``pack_position`` [m]. Bookkeeping."""
    return [*data.cuts.boxes, *([data.pack_bay.cut_at(pack_position)] if data.pack_bay else [])]
