"""Rules for the pack and the bays that hold it."""

from __future__ import annotations

import math

from tradestudy.physics.weights.pack_dimensions import ROOM
from tradestudy.physics.weights.pack_layouts import FORE_AND_AFT, PackLayout, laid_size
from tradestudy.study.schema.power import PackTable
from tradestudy.study.schema.wing import BayTable
from tradestudy.study.value_text import mm

from .shared import Faults, given_without

_FIT_TOLERANCE = 1e-4  # m; foam cannot be cut more exactly than a tenth of a millimetre
_ROUNDING = 1e-9


def pack_size(
    pack: PackTable, from_centre: float | None, cells: tuple[int, int] | None = None, across: int | None = None
) -> tuple[float, float, float]:
    """Return outside length, width and height of the pack in its wrap, or of its half in each of two bays. [m]

    ``from_centre`` is the place of its bay across the wing, as in `BayTable`. ``cells`` in series and in parallel, and
    those ``across``, are the pack's own if None.
    """
    count = pack.pieces_in(from_centre, *(cells or (pack.series, pack.parallel)))
    across = across or pack.cells_across
    along = math.ceil(count / (across * pack.cells_high) - _ROUNDING)
    layout = PackLayout(along, across, pack.cells_high, pack.cells_lie or FORE_AND_AFT)
    return laid_size(layout, pack.piece)


def _pack_fits(pack: PackTable, bay: tuple[BayTable, ...]) -> Faults:
    """Yield an error if the pack does not fit into its bay, or its halves into two, at the given positions."""
    home = next((one for one in bay if one.name == pack.bay), None)
    if home is None:
        known = ", ".join(one.name for one in bay)
        yield ("pack", "bay"), f'is "{pack.bay}"; no [[bay]] has that name. Bays: {known}.'
        return
    what = "cells" if pack.size is None else "packs"
    total = pack.pieces_in(home.from_centre, pack.series, pack.parallel)
    empty = pack.cells_across * pack.cells_high - total
    if empty >= max(
        1, min(pack.cells_across, pack.cells_high)
    ):  # a corner of the pack may be empty, but not a complete row or layer
        yield (
            ("pack", "cells_across"),
            f"is {pack.cells_across}: with {pack.cells_high} for cells_high, that is room for "
            f"{pack.cells_across * pack.cells_high} {what}, but the pack has {total}.",
        )
        return
    yield from _fits_in(pack, home, pack.from_nose, "from_nose")
    second = next((one for one in bay if one.name == pack.second_bay), None)
    if second and pack.second_from_nose is not None:
        yield from _fits_in(pack, second, pack.second_from_nose, "second_from_nose")


def _fits_in(pack: PackTable, home: BayTable, middle: float, key_of_place: str) -> Faults:
    """Yield an error if the pack, or its half, does not fit into one bay with its middle at a place [m]."""
    size = pack_size(pack, home.from_centre)
    sides = (("length", "cell", "long"), ("width", "cells_across", "wide"), ("depth", "cells_high", "high"))
    for (side, key, word), needed in zip(sides, size, strict=True):
        room = getattr(home, side)
        if needed + 2 * ROOM > room + _FIT_TOLERANCE:
            yield (
                ("pack", key if pack.size is None else "size"),
                f"makes the pack {mm(needed)} {word}, and it needs {mm(ROOM)} of room on each side; the {side} of "
                f'bay "{home.name}" is {mm(room)}: {mm(needed + 2 * ROOM - room)} too little.',
            )
    front, back = middle - 0.5 * size[0] - ROOM, middle + 0.5 * size[0] + ROOM
    bay_front, bay_back = home.from_nose, home.from_nose + home.length
    if size[0] + 2 * ROOM <= home.length + _FIT_TOLERANCE and not (
        bay_front - _FIT_TOLERANCE <= front and back <= bay_back + _FIT_TOLERANCE
    ):
        yield (
            ("pack", key_of_place),
            f"is {mm(middle)}: with {mm(ROOM)} of room the pack would reach from {mm(front)} to {mm(back)}, "
            f'but bay "{home.name}" reaches from {mm(bay_front)} to {mm(bay_back)}.',
        )


def _halves_are_equal(pack: PackTable, bay: tuple[BayTable, ...]) -> Faults:
    """Yield an error if a pack that lies in two bays cannot be divided, or its second bay is not fully described."""
    given = {"second_bay": pack.second_bay, "second_from_nose": pack.second_from_nose}
    missing = [key for key, value in given.items() if value is None]
    if len(missing) == 1:
        (key,) = given.keys() - set(missing)
        yield given_without(("pack", key), f"pack.{missing[0]}")
        return
    names = {one.name: one for one in bay}
    if pack.second_bay and (pack.second_bay not in names or pack.second_bay == pack.bay):
        others = ", ".join(name for name in names if name != pack.bay) or "none"
        yield ("pack", "second_bay"), f'is "{pack.second_bay}"; it must be another [[bay]]. There is: {others}.'
        return
    apart = [one.name for one in bay if one.name in (pack.bay, pack.second_bay) and one.from_centre]
    if apart and pack.second_bay:
        yield (
            ("pack", "second_bay"),
            f'cannot be used with bay "{apart[0]}", of which each half wing has one; that is two bays already.',
        )
        return
    total = pack.pieces(pack.series, pack.parallel)
    if (apart or pack.second_bay) and total % 2:
        what = "cells" if pack.size is None else "packs"
        yield ("pack", "bay"), f"means two bays, each with half of the pack, but the pack has {total} {what}."


def _packs_have_a_size(pack: PackTable) -> Faults:
    """Yield an error if a number of packs is given without their size."""
    if pack.packs is not None and pack.size is None:
        yield given_without(("pack", "packs"), "pack.size")


PACK_CHECKS = (_pack_fits, _halves_are_equal, _packs_have_a_size)
