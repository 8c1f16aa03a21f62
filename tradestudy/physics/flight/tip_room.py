"""Room at the tips of a panel that is drawn anew: rods and pockets in the section, feet of fins on the chord.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.body.skin import surface_heights, wing_skin
from tradestudy.physics.geometry import planform
from tradestudy.physics.geometry.stretch_schemes import stock_planform

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
    own_fins = tuple(one.from_centre for one in data.fins if one.from_centre is not None)
    diameter = data.rods[0].diameter if data.rods else 0.0
    own = _room(data._replace(fins_rule="keep"), stock_planform(data.stock, own_fins), 0.0, diameter)
    return np.minimum(own, 0.0)


def tip_room(
    data: layout.LayoutData, lack: np.ndarray, wing: planform.Planform, extension: Any, rod_diameter: Any
) -> TipRoom:
    """Return the TipRoom of a wing (...).

    ``extension`` and ``rod_diameter`` (...) [m] are as for ``layout.design_lumps``. What has too little room in the
    stock wing flies so, and needs only as much as it has there: ``lack`` (n,) is ``stock_lack`` [m]. Geometry, no
    source needed.
    """
    if not tip_room_count(data):
        return TipRoom(None)
    return TipRoom(_room(data, wing, extension, rod_diameter) - lack)


def _room(data: layout.LayoutData, wing: planform.Planform, extension: Any, rod_diameter: Any) -> Any:
    """Return the room (..., n) of every fin, set of rods and pocket. [m]"""
    room = [
        wing.chord[..., fin.stands_on] - fin.behind_leading_edge - fin.root_chord
        for fin in layout.fins_on(data, wing, planform.areas(wing))
    ]
    places, needed = [], []
    for rods in layout.chosen_rods(data, rod_diameter, 1.0):
        line = layout.rod_line(data, wing, rods)
        places.append((line.outer_x, line.outer_y))
        needed.append(rods.run.rods_per_place * rods.diameter + LEAST_FOAM)
    for pocket, (y, x) in zip(data.cuts.pockets, layout.pocket_places(data, wing, extension), strict=True):
        for end in (-0.5, 0.5):
            places.append((x + end * pocket.length, y))
            needed.append(pocket.depth + LEAST_FOAM)
    if places:
        zero = 0 * wing.semi_span
        x, y = (np.stack([place[axis] + zero for place in places], axis=-1) for axis in (0, 1))
        upper, lower = surface_heights(wing_skin(wing, data.sections), x, y)
        room += [upper[..., index] - lower[..., index] - need for index, need in enumerate(needed)]
    return np.stack(np.broadcast_arrays(*room), axis=-1)
