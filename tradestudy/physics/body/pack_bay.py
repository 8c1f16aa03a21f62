"""A bay that is cut to the pack and lies wherever the pack lies; bays of which rods must stay clear."""

from __future__ import annotations

from typing import NamedTuple

from .clearance import FoamBox
from .removed_foam import CutBox


class BayClearOfRods(NamedTuple):
    """A bay of which a set of rods must stay clear, seen from above. Lengths are in [m]."""

    of_set: int  # index of the set
    is_ahead: bool  # whether the bay lies ahead of the rods
    front: float  # front wall behind the nose, or behind the middle of the pack if the bay moves with it
    length: float  # with the board at its back wall
    inner: float  # inner side as a distance from the centre line, negative in the other half wing
    outer: float  # outer side
    follows: bool  # whether it moves with the pack


class PackBay(NamedTuple):
    """A bay that is cut to the pack and lies wherever the pack lies."""

    box: FoamBox  # its front is counted from the middle of the pack, backward positive
    removed: float  # foam cut out for it, in both halves [m^3]
    removed_place: float  # middle of that foam behind the middle of the pack [m]
    lid_mass: float = 0.0  # foam and film by which its lid stands above the skin [kg]

    @property
    def lid_place(self) -> float:
        """Middle of its lid behind the middle of the pack, by definition. [m]"""
        return self.box.front + 0.5 * self.box.length

    def cut_at(self, pack_position: float) -> CutBox:
        """Return the foam cut out for it, with the middle of the pack ``pack_position`` [m] aft. Geometry."""
        box = self.box
        width, from_centre = 2 * box.half_width, 0.0
        if box.inner:
            width, from_centre = box.half_width - box.inner, 0.5 * (box.inner + box.half_width)
        place = pack_position + self.removed_place
        return CutBox(self.removed, place, box.length, width, box.height, from_centre)
