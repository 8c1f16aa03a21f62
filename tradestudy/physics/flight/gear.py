"""Equipment in a stretched wing: where it goes as the wing grows, and the room round it.

What stands in the flat middle of the wing stays in its place. What stands in a panel goes with it: it keeps its
distance behind the leading edge, and its station moves like that of a pocket. In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.body import clearance
from tradestudy.physics.body.buried import GEAR_COVER
from tradestudy.physics.body.removed_foam import FoamCuts
from tradestudy.physics.geometry import planform
from tradestudy.physics.weights.mass import Lump, total_lump


class Gear(NamedTuple):
    """One item of equipment. Lengths are those of the stock wing, in [m]."""

    mass: float  # of both together if there is one in each half [kg]
    from_nose: float
    from_centre: float
    leading_edge: float | None  # leading edge of the stock wing there; None if it stands in the flat middle
    moves: float  # 1 if the search moves it, else 0 [-]
    size: tuple[float, float, float] | None = None  # length, width and height if it lies in a hole of its own
    number: int = 1  # 2 if there is one in each half
    above: float = GEAR_COVER  # foam that must be left above it
    below: float = GEAR_COVER


class GearPlace(NamedTuple):
    """The middle of an item. Fields are (...) in [m]."""

    from_nose: Any
    from_centre: Any


def moved_station(scheme: str, stock_span: float, station: float, extension: Any) -> Any:
    """Return the distance (...) of a thing in a panel of the stretched wing from the centre line. [m]

    ``station`` [m] is its distance in the stock wing of ``stock_span`` [m]. ``extension`` (...) [m] is the length added
    to the half span. With the ``scheme`` "plug" it moves outward by the extension. With "scaled" it stays at the same
    share of the span, and with "tip" it does not move. This is a definition.
    """
    if scheme == "plug":
        return station + extension
    return station * (1.0 + 2.0 * extension / stock_span) if scheme == "scaled" else station


def gear_station(gear: Gear, scheme: str, stock_span: float, extension: Any) -> Any:
    """Return the distance (...) of an item in a stretched wing from the centre line, as for ``gear_place``. [m]"""
    if gear.leading_edge is None:
        return gear.from_centre
    return moved_station(scheme, stock_span, gear.from_centre, extension)


def gear_place(
    gear: Gear, scheme: str, stock_span: float, wing: planform.Planform, extension: Any, shift: Any
) -> GearPlace:
    """Return the GearPlace (...) of an item in a stretched wing. Definition as at the top of this module.

    ``scheme`` and ``stock_span`` [m] are as for ``moved_station``. ``extension`` (...) [m] is the length added to the
    half span. Movable equipment is aft of its stock place by ``shift`` (...) [m].
    """
    y = gear_station(gear, scheme, stock_span, extension) + 0 * wing.semi_span
    (edge,) = planform.interpolated(wing, (wing.leading_edge,), y[..., None])
    return gear_at(gear, y, edge[..., 0], shift)


def gear_at(gear: Gear, y: Any, edge: Any, shift: Any) -> GearPlace:
    """Return the GearPlace (...) of an item at ``y`` from the centre line, where the leading edge is at ``edge``.

    ``shift`` is as for ``gear_place``, and so is the definition. All are (...) in [m].
    """
    x = gear.from_nose + gear.moves * shift
    return GearPlace(x if gear.leading_edge is None else x + edge - gear.leading_edge, y)


def panel_lump(gear: tuple[Gear, ...], places: list[GearPlace], shift: Any) -> Lump:
    """Return the Lump by which the moment of equipment in panels differs from that at its stock places. Statics.

    ``places`` are those of the ``gear`` (...). The ``shift`` (...) [m] of movable equipment is not counted here.
    """
    moment = sum(
        one.mass * (place.from_nose - one.from_nose - one.moves * shift)
        for one, place in zip(gear, places, strict=True)
        if one.leading_edge is not None
    )
    return Lump(0.0 * moment, moment)


def cut_foam(cuts: FoamCuts, pockets: list[tuple[Any, Any]]) -> Lump:
    """Return volume [m^3] and first moment [m^4] of the foam cut out of both halves, but for rods and equipment.

    Bays and joiner stay in their places. ``pockets`` (...) [m] are as in ``layout.pocket_places``. This is bookkeeping
    and needs no source.
    """
    parts = [Lump(box.volume, box.volume * box.place) for box in cuts.boxes]
    parts += [
        Lump(2 * pocket.volume, 2 * pocket.volume * place)
        for pocket, (_, place) in zip(cuts.pockets, pockets, strict=True)
    ]
    return total_lump(parts)


def holes_lump(gear: tuple[Gear, ...], places: list[GearPlace]) -> Lump:
    """Return volume [m^3] and first moment [m^4] of the holes of equipment in the foam. Bookkeeping, no source.

    A hole is as large as what lies in it. ``places`` are those of the ``gear`` (...).
    """
    volumes = [0.0 if one.size is None else one.number * float(np.prod(one.size)) for one in gear]
    moment = sum(volume * place.from_nose for volume, place in zip(volumes, places, strict=True))
    return Lump(sum(volumes) + 0 * moment, moment)


def hole_walls(gear: Gear, y: Any) -> tuple[Any, Any]:
    """Return the stations (...) of the inner and outer wall of the hole of an item at ``y`` (...) [m]. Geometry. [m]

    They are distances from the centre line.
    """
    assert gear.size is not None
    half = 0.5 * gear.size[1]
    return y - half if gear.from_centre > half else 0.0, y + half


def gear_box(gear: Gear, place: GearPlace) -> clearance.FoamBox:
    """Return the box of an item that lies in a hole of its own, in the right half. Geometry, no source needed."""
    assert gear.size is not None
    length, _, height = gear.size
    inner, outer = hole_walls(gear, place.from_centre)
    return clearance.FoamBox("", place.from_nose - 0.5 * length, length, outer, height, gear.above, gear.below, inner)


def gear_boxes(gear: tuple[Gear, ...], places: list[GearPlace]) -> list[clearance.FoamBox]:
    """Return the boxes of all items that lie in a hole of their own, in order. This is bookkeeping."""
    return [gear_box(one, place) for one, place in zip(gear, places, strict=True) if one.size is not None]
