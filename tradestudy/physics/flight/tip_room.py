"""Room at the tips of a panel that is drawn anew: rods and pockets in the section, feet of fins on the chord.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.arrays import stacked, unstacked
from tradestudy.physics.body.skin import blended_section, heights_on

from . import layout

LEAST_FOAM = 0.002  # foam left between a pair of rods, or under a pocket; common practice, no source [m]


class TipRoom(NamedTuple):
    """Room at the tips of a wing."""

    tip_room: Any  # room left for every fin, set of rods and pocket (..., n) [m]; None where no panel is drawn anew


def tip_room_count(data: layout.LayoutData) -> int:
    """Return the number of elements of ``TipRoom.tip_room``, by definition; 0 where no panel is drawn anew. [-]

    They are one for each fin, one for each set of rods, and two for each pocket.
    """
    return len(data.fins) + len(data.rods) + 2 * len(data.cuts.pockets) if data.scheme == "scaled" else 0


def stock_lack(data: layout.LayoutData) -> np.ndarray:
    """Return how much room the stock wing lacks at each element of ``TipRoom.tip_room`` (n,). [m]

    It is 0 or less, and the same for all designs of a study. Geometry, no source needed.
    """
    if not tip_room_count(data):
        return np.zeros(0)
    stock, diameter = data.stock, data.rods[0].diameter if data.rods else 0.0
    choice = layout.WingChoice(0.0, stock.sweep, stock.washout, diameter, 1.0)
    own = _room(layout.StretchedWing(data._replace(fins_rule="keep", keep="set_back"), choice))
    return np.minimum(own, 0.0)


def tip_room(lack: np.ndarray, drawn: layout.StretchedWing) -> TipRoom:
    """Return the TipRoom of a StretchedWing (...).

    What has too little room in the stock wing flies so, and needs only as much as it has there: ``lack`` (n,) is
    ``stock_lack`` [m]. Geometry, no source needed.
    """
    if not tip_room_count(drawn.data):
        return TipRoom(None)
    return TipRoom(_room(drawn) - lack)


def _room(drawn: layout.StretchedWing) -> Any:
    """Return the room (..., n) of every fin, set of rods and pocket. [m]"""
    wing, zero = drawn.outline, 0 * drawn.outline.semi_span
    room = [wing.chord[..., fin.stands_on] - fin.behind_leading_edge - fin.root_chord + zero for fin in drawn.fins]
    places, needed = [], []
    for rods, line in zip(drawn.rods, drawn.rod_lines, strict=True):
        places.append(line.outer_x)
        needed.append(rods.run.rods_per_place * rods.diameter + LEAST_FOAM)
    for pocket, (_, x) in zip(drawn.data.cuts.pockets, drawn.pockets, strict=True):
        for end in (-0.5, 0.5):
            places.append(x + end * pocket.length)
            needed.append(pocket.depth + LEAST_FOAM)
    if not places:
        return stacked(room)
    # the stations at which the outline is known already: one for each set of rods, and one for each pocket's two ends
    count = len(drawn.rods)
    stations = [*range(count), *(count + index // 2 for index in range(len(places) - count))]
    sections = blended_section(drawn.skin, None, drawn.marks.outer_shares[..., stations, :])
    upper, lower = unstacked(heights_on(sections, stacked(places)[..., None])[..., 0])
    inside = upper - lower - stacked([need + zero for need in needed])
    return np.concatenate([stacked(room), inside], axis=-1) if room else inside
