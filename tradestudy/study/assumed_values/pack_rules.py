"""Rules for the pack and the bay that holds it."""

from __future__ import annotations

import math
from typing import Any

from tradestudy.catalogue import catalogue_parts
from tradestudy.physics.weights import pack_dimensions
from tradestudy.study.schema.power import scaled_cell

from .rule_types import Assumption, MissingInput, PartialStudy, Rule, assumed_length, restated, restated_key

_SLOT_ROOM = 0.008  # m; total foam above and below a bay, with covering and floor; common practice
_NOSE_WALL = 0.015  # m; length of foam and camera ahead of the bay; common practice
_CORNER_WALL = 0.005  # m; length of foam ahead of the front corners of a bay
_SIDE_ROOM = 0.006  # m; total clearance left and right of the pack
_LEAST_ROOM_OVER_PACK = 0.004  # m; smallest difference between root thickness and height of the pack
# If |ln(c1 / c2)| is smaller than this, with the given capacity c1 and the capacity c2 of the second nearest cell, that
# cell is an end of the band.
_SIMILAR = 0.4


def _pack_series(study: PartialStudy, _: int) -> Assumption:
    """power.pack"""
    return restated(study.value("power", "pack")[0])


def _pack_parallel(study: PartialStudy, _: int) -> Assumption:
    """power.pack"""
    return restated(study.value("power", "pack")[1])


def _pack_cell(study: PartialStudy, _: int) -> Assumption:
    """The cell of that chemistry in the catalogue whose capacity is nearest"""
    _series, parallel, chemistry = study.value("power", "pack")
    cells = {name: cell for name, cell in catalogue_parts("cells").items() if cell["chemistry"] == chemistry}
    if not study.has("power", "capacity"):
        names = list(cells)
        return Assumption(
            names[0],
            "the first of that chemistry in the catalogue",
            low=names[-1],
            high=names[0],
            moves="range, weight",
        )
    capacity = study.value("power", "capacity") / parallel
    distances = {name: abs(math.log(cell["capacity"] / capacity)) for name, cell in cells.items()}
    nearest, *others = sorted(distances, key=lambda name: distances[name])
    return Assumption(
        nearest,
        "nearest in capacity and chemistry",
        low=nearest,
        high=next((name for name in others if distances[name] < _SIMILAR), nearest),
        moves="sag, so range at the end of the pack; size and limits of the cells",
    )


def _pack_cells_high(study: PartialStudy, _: int) -> Assumption:
    """1 for round cells; for pouch cells as many as fit into the thickness of the wing, at most the cells in series"""
    cell, series = _stock_cell(study), study.value("pack", "series")
    room = study.value("stock", "root_thickness") - _LEAST_ROOM_OVER_PACK
    if "diameter" in cell:
        return restated(1)
    most = max(1, min(series, int(room / cell["thickness"])))
    high = math.ceil(series / math.ceil(series / most))  # fewest layers with the same number side by side
    return Assumption(high, "the thickness of the wing", low=1, high=high, moves="where the pack fits")


def _pack_cells_across(study: PartialStudy, _: int) -> Assumption:
    """The cells in series side by side; more where the pack would not fit behind the nose"""
    series, high = study.value("pack", "series"), study.value("pack", "cells_high")
    try:
        room = study.value("bay", "length", 0) - pack_dimensions.PLAY
    except MissingInput:
        room = _longest_pack(study)
    across = pack_dimensions.least_cells_across(
        _stock_cell(study)["length"],
        series * study.value("pack", "parallel"),
        math.ceil(series / high),
        high,
        room,
    )
    return Assumption(
        across,
        "so that the pack fits behind the nose; a bigger pack on trial may be wider",
        moves="where the pack fits",
    )


def _pack_bay(study: PartialStudy, _: int) -> Assumption:
    """The first bay"""
    bays = study.tables.get("bay")
    if isinstance(bays, list) and bays and isinstance(bays[0], dict) and isinstance(bays[0].get("name"), str):
        return restated(bays[0]["name"])
    return restated("nose")


def _pack_from_nose(study: PartialStudy, _: int) -> Assumption:
    """Near the front of its bay"""
    front, room = study.value("bay", "from_nose", 0), study.value("bay", "length", 0)
    size = _pack_sizes(study)[0][0]
    first, last = front + 0.5 * size, front + room - 0.5 * size
    middle = min(first + 0.25 * pack_dimensions.PLAY, max(first, last))
    return assumed_length(middle, first, max(first, last), "where the pack sits", "near the front of its bay")


def _stock_cell(study: PartialStudy) -> dict[str, Any]:
    """Return the cell of the stock pack, scaled to its capacity. Raise MissingInput if a key is missing."""
    pack = study.tables["pack"]
    try:
        capacity = study.value("pack", "capacity") if "capacity" in pack else None
        name, series, parallel = (study.value("pack", key) for key in ("cell", "series", "parallel"))
        return scaled_cell(name, series, parallel, capacity, None)
    except (TypeError, KeyError):
        raise MissingInput from None


def _bay_front(study: PartialStudy) -> float:
    """Return the smallest distance of a bay from the nose. [m]

    The front corners of the bay must lie behind the swept leading edge, with foam ahead of them. The width of the bay
    is that of the cells in series, divided among the layers.
    """
    span, centre, back = (study.value("stock", key) for key in ("span", "centre_width", "tip_set_back"))
    across = math.ceil(study.value("pack", "series") / study.value("pack", "cells_high"))
    half = 0.5 * (pack_dimensions.WRAP + _SIDE_ROOM + across * _stock_cell(study)["width"])
    return max(_NOSE_WALL, _CORNER_WALL + back * max(half - 0.5 * centre, 0.0) / (0.5 * (span - centre)))


def _longest_pack(study: PartialStudy) -> float:
    """Return the length of the longest pack that fits into the wing and can still be moved to set the balance. [m]"""
    return study.value("stock", "root_chord") - _bay_front(study) - pack_dimensions.PLAY


def _pack_sizes(study: PartialStudy) -> list[tuple[float, float, float]]:
    """Return outside length, width and height [m] of the stock pack and of every pack to try.

    Raise MissingInput if a key is missing.
    """
    series, stock = study.value("pack", "series"), study.value("pack", "parallel")
    trial = study.value("choices", "parallel") if study.has("choices", "parallel") else (stock,)
    cell, room = _stock_cell(study), _longest_pack(study)
    across, high = study.value("pack", "cells_across"), study.value("pack", "cells_high")
    return [
        pack_dimensions.pack_outside_size(
            cell["length"],
            cell["width"],
            cell["thickness"],
            series * parallel,
            pack_dimensions.least_cells_across(cell["length"], series * parallel, across, high, room),
            high,
        )
        for parallel in (stock, *trial)
    ]


def _bay_name(study: PartialStudy, index: int) -> Assumption:
    """nose, numbered where there are several"""
    return restated("nose" if index == 0 else f"bay {index + 1}")


def _bay_from_nose(study: PartialStudy, _: int) -> Assumption:
    """15 mm, or 5 mm behind the leading edge at the corners of the stock pack where that is more"""
    front = _bay_front(study)
    return assumed_length(
        front,
        low=max(front - 0.015, 0.005),
        high=front + 0.030,
        moves="where the pack can sit",
        origin="common practice: foam ahead of it",
    )


def _bay_length(study: PartialStudy, index: int) -> Assumption:
    """The longest pack on trial plus 40 mm to move it, within the foam"""
    room = study.value("stock", "root_chord") - study.value("bay", "from_nose", index)
    lengths = [size[0] for size in _pack_sizes(study)]
    return assumed_length(
        min(max(lengths) + pack_dimensions.PLAY, room),
        low=min(lengths[0] + 0.010, room),
        high=room,
        moves="where the pack can sit, strength of the centre",
        origin="the packs on trial",
    )


def _bay_width(study: PartialStudy, _: int) -> Assumption:
    """The widest pack on trial plus 6 mm"""
    widest = max(size[1] for size in _pack_sizes(study)) + _SIDE_ROOM
    return assumed_length(widest, widest, 1.5 * widest, "strength of the centre", "the packs on trial")


def _bay_depth(study: PartialStudy, _: int) -> Assumption:
    """The root thickness minus 8 mm, or what the pack needs where that is more"""
    thickest = study.value("stock", "root_thickness")
    pack = max(size[2] for size in _pack_sizes(study))
    depth = min(max(thickest - _SLOT_ROOM, pack + 0.001), thickest)
    return assumed_length(depth, min(pack, depth), thickest, "strength of the centre", "the packs on trial")


PACK_RULES: dict[str, Rule] = {
    "series": _pack_series,
    "parallel": _pack_parallel,
    "cell": _pack_cell,
    "capacity": restated_key("power", "capacity", "power.capacity, else that of the cells"),
    "weight": restated_key(
        "power", "pack_weight", "power.pack_weight, else the cells plus 6 % and 30 g for strips, wrap and leads"
    ),
}
# These rules run later, since they need keys of other tables that other rules may fill in.
PACK_LAYOUT_RULES: dict[str, Rule] = {
    "cells_high": _pack_cells_high,
    "cells_across": _pack_cells_across,
    "bay": _pack_bay,
}
BAY_RULES: dict[str, Rule] = {
    "name": _bay_name,
    "from_nose": _bay_from_nose,
    "length": _bay_length,
    "width": _bay_width,
    "depth": _bay_depth,
}
PACK_PLACE_RULES: dict[str, Rule] = {"from_nose": _pack_from_nose}
