"""The list of what stands in the wind as one input with a band, to see what the answer owes to it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tradestudy.quantities import from_si
from tradestudy.study.locate import Place
from tradestudy.study.schema import Study
from tradestudy.study.values import DefaultUsed

from .drag_items import total_with_band
from .inputs import drag_items

ALL_ITEMS = "drag_item.drag_area"  # the whole list, as one input
Sides = tuple[dict[Place, Any], dict[Place, Any]]


def listed_in_the_wind(study: Study) -> Iterator[tuple[DefaultUsed, Sides]]:
    """Yield the drag area of everything a study lists, and what stands in its file at the low and the high end.

    Every line goes with the whole: it cannot be told which of them is off. Nothing is yielded for a line whose drag
    area was assumed, which is an input of its own, nor for what counts in the glide only.
    """
    assumed = {used.place for used in study.defaults_used}
    lines = [(index, item) for index, item in enumerate(drag_items(study))
             if ("drag_item", index, "drag_area") not in assumed and not item.in_glide_only and item.drag_area > 0]
    if not lines:
        return
    total, low, high = total_with_band(item for _, item in lines)

    def side(end: float) -> dict[Place, Any]:
        found: dict[Place, Any] = {}
        for index, item in lines:
            found["drag_item", index, "drag_area"] = f"{from_si(item.drag_area * end / total, 'cm2', 'area'):.5f} cm2"
            found |= {("drag_item", index, size): None for size in study.drag_item[index].sizes}
        return found

    words = [f"{from_si(area, 'cm2', 'area'):.3g} cm2" for area in (total, low, high)]
    yield DefaultUsed(ALL_ITEMS, words[0], "", words[1], words[2], "range"), (side(low), side(high))
