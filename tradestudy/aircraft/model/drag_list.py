"""Drag areas of the parts that a study lists in the airstream, one by one and in total, each with its band."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, NamedTuple

import numpy as np

from tradestudy.catalogue import catalogue_parts
from tradestudy.physics.aero.parasite_drag import DRAG_FORMULAS, Stream
from tradestudy.quantities import in_unit, parse_quantity
from tradestudy.study.schema.power import DRAG_ITEM_ANGLES, DRAG_ITEM_POSITIONS, DRAG_ITEM_SIZES, DragItemTable

GIVEN_BAND = (0.6, 1.6)  # factors on a drag area from the study, usually an estimate; common practice, no source
_TYPICAL, _LEAST, _MOST = range(3)  # position of each value in the catalogue's triples


class SizedItem(NamedTuple):
    """One line of the list. Drag areas are those of a single item [m^2]. ``how`` describes the sizes in words."""

    kind: str
    number: int
    drag_area: float
    low: float
    high: float
    in_glide_only: bool
    how: str


def sized_item(item: DragItemTable, stream: Stream, assumed: tuple[Any, Any] | None = None) -> SizedItem:
    """Return one line of the list with its drag area and band.

    The line names a kind from the catalogue or gives a drag area.

    ``assumed`` is the band of a drag area that the study left open, as written in a study.
    """
    kind = catalogue_parts("drag_items").get(item.kind, {})
    glide = kind.get("when") == "glide"
    if item.drag_area is not None:
        low, high = (share * item.drag_area for share in GIVEN_BAND)
        if assumed is not None:
            low, high = (parse_quantity(side, "area") for side in assumed)
        how = "as the study gives it" if assumed is None else "assumed for all of them"
        return SizedItem(item.kind, item.count, item.drag_area, low, high, glide, how)
    given = item.sizes
    sizes = {name: kind[name][_TYPICAL] for name in DRAG_ITEM_SIZES if name in kind} | given
    area = _area(kind, stream, sizes, _TYPICAL)
    if sizes.keys() - DRAG_ITEM_POSITIONS <= given.keys():
        low, high = (_area(kind, stream, sizes, side) for side in (_LEAST, _MOST))
    else:
        typical = _area(kind, stream, {name: kind[name][_TYPICAL] for name in sizes}, _TYPICAL)
        low, high = (area * side / typical for side in kind["typical_band"])
    return SizedItem(item.kind, item.count, area, low, high, glide, _how(sizes, given))


def _area(kind: dict[str, Any], stream: Stream, sizes: dict[str, float], side: int) -> float:
    return float(DRAG_FORMULAS[kind["formula"]](kind["coefficient"][side], stream, **sizes))


def _how(sizes: dict[str, float], given: dict[str, float]) -> str:
    """Return the sizes in words. Sizes missing from the study are marked typical."""
    phrases = {}
    for name, value in sizes.items():
        unit = "deg" if name in DRAG_ITEM_ANGLES else "mm"
        if value or name in given:
            phrases[name] = f"{name.replace('_', ' ')} {round(in_unit(value, unit), 2):g} {unit}"
    own = ", ".join(words for name, words in phrases.items() if name in given)
    typical = ", ".join(words for name, words in phrases.items() if name not in given)
    return "; ".join(part for part in (own, f"typical {typical}" if typical else "") if part)


def total_with_band(items: Iterable[SizedItem]) -> tuple[float, float, float]:
    """Return the total drag area [m^2] and its band. Errors of the lines are treated as independent."""
    items = list(items)
    total = sum(item.number * item.drag_area for item in items)
    down = np.sqrt(sum((item.number * (item.drag_area - item.low)) ** 2 for item in items))
    up = np.sqrt(sum((item.number * (item.high - item.drag_area)) ** 2 for item in items))
    return total, float(total - down), float(total + up)
