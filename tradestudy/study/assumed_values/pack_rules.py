"""Rules for the pack and the bay that holds it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from tradestudy.catalogue import catalogue_parts
from tradestudy.physics.weights import pack_dimensions
from tradestudy.physics.weights.pack_layouts import FORE_AND_AFT, PackLayout, PackPiece, laid_size
from tradestudy.study.schema.power import scaled_cell
from tradestudy.study.schema.short_forms import MOST_CELLS

from .bay_room import BayBox, BayNeeds, CellArrangement, WingMiddle, least_bay
from .rule_types import Assumption, MissingInput, PartialStudy, Rule, assumed_length, restated, restated_key

# lid or floor of a bay that the study does not describe: the first with which the pack fits; the first is also the
# default of bay.lid and bay.floor; judgement, no source [m]
_WALLS = (0.003, 0.002, 0.001)
_LIDS = tuple(0.001 * up for up in range(1, 9))  # heights of an assumed raised lid: as high as a search may try [m]
_MOST_ROWS = 2  # rows of round cells behind one another in a pack; common practice
_WIDER, _DEEPER = 0.006, 0.002  # m; how much wider and deeper a bay may have been cut; judgement, no source
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
    """1 for round cells; for pouch cells as many as fit into the wing with the lid and the floor of the bay"""
    cell, series = _stock_cell(study), study.value("pack", "series")
    if "diameter" in cell or study.has("pack", "size"):
        return restated(1)
    index = _pack_bay_index(study)
    layers = sorted({math.ceil(series / side_by_side) for side_by_side in range(1, series + 1)}, reverse=True)
    high = next((one for one in layers if _assumed_bay(study, index, one).fits), 1)
    return Assumption(high, "the thickness of the wing", low=1, high=high, moves="where the pack fits")


def _pack_cells_across(study: PartialStudy, _: int) -> Assumption:
    """Round cells two long, pouch cells one long; more side by side where that is too long for the bay or the wing"""
    return Assumption(
        _assumed_bay(study, _pack_bay_index(study)).pack.across,
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
    size = _assumed_bay(study, 0).pack.length + 2 * pack_dimensions.ROOM
    first, last = front + 0.5 * size, front + room - 0.5 * size
    middle = min(first + 0.25 * pack_dimensions.PLAY, max(first, last))
    middle = max(1e-3 * math.floor(1e3 * middle), first)  # a whole millimetre that leaves the room behind the pack
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


def _pack_bay_index(study: PartialStudy) -> int:
    """Return the index of the pack's bay; 0 if the study does not name it."""
    bays, name = study.tables.get("bay"), study.tables["pack"].get("bay")
    names = [bay.get("name") if isinstance(bay, dict) else None for bay in bays] if isinstance(bays, list) else []
    return names.index(name) if name in names else 0


def _wing_middle(study: PartialStudy) -> WingMiddle:
    """Return the lengths of the wing that decide what fits into its middle. Raise MissingInput if a key is missing."""
    root, tip, thickness = (study.value("stock", key) for key in ("root_chord", "tip_chord", "root_thickness"))
    whole = not study.has("stock", "airfoil_covers") or study.value("stock", "airfoil_covers") == "whole"
    root_elevon, tip_elevon = (study.value("elevon", f"{end}_chord") if whole else 0.0 for end in ("root", "tip"))
    if study.has("stock", "tip_thickness"):
        tip_thickness = study.value("stock", "tip_thickness")
    else:
        tip_thickness = thickness * (tip + tip_elevon) / (root + root_elevon)
    return WingMiddle(
        half_span=0.5 * study.value("stock", "span"),
        half_centre=0.5 * study.value("stock", "centre_width"),
        root_chord=root + root_elevon,
        tip_chord=tip + tip_elevon,
        tip_set_back=study.value("stock", "tip_set_back"),
        root_thickness=thickness,
        tip_thickness=tip_thickness,
        foam_chord=root,
        foremost=pack_dimensions.NOSE_WALL,
    )


def _walled_bay(study: PartialStudy, index: int, layers: int | None = None) -> _WalledBay:
    """Return the bay that the rules assume in place of the keys that the study leaves open.

    ``layers`` is the number of layers of cells to try, if it is not that of the study. Raise MissingInput if a key is
    missing.
    """
    series, stock = study.value("pack", "series"), study.value("pack", "parallel")
    trial = study.value("choices", "parallel") if study.has("choices", "parallel") else (stock,)
    high = layers or study.value("pack", "cells_high")
    cell, pack = _stock_cell(study), study.tables["pack"]
    rows = _MOST_ROWS if "diameter" in cell else 1
    given = study.value("pack", "cells_across") if "cells_across" in pack else None
    piece = PackPiece((cell["length"], cell["width"], cell["thickness"]), True)
    if study.has("pack", "size"):
        piece = PackPiece(study.value("pack", "size"), False)
    lie = study.value("pack", "cells_lie") if study.has("pack", "cells_lie") else FORE_AND_AFT

    def arranged(parallel: int) -> tuple[CellArrangement, ...]:
        cells = series * parallel
        if not piece.wrapped:
            cells = max(1, round((study.value("pack", "packs") if "packs" in pack else 1) * parallel / stock))
        if "second_bay" in pack or isinstance(table, dict) and "from_centre" in table:
            cells = math.ceil(cells / 2)
        fewest, most = math.ceil(cells / (rows * high)), min(math.ceil(cells / high), MOST_CELLS)
        if given is not None:
            fewest, most = given, given if parallel == stock else most
        return tuple(
            CellArrangement(one, *laid_size(PackLayout(math.ceil(cells / (one * high)), one, high, lie), piece))
            for one in range(fewest, max(fewest, most) + 1)
        )

    tables = study.tables.get("bay")
    table = tables[index] if isinstance(tables, list) and index < len(tables) else {}
    lengths = {
        key: study.value("bay", key, index) if isinstance(table, dict) and key in table else None
        for key in ("from_nose", "length", "width", "depth")
    }
    given_walls = [
        study.value("bay", key, index) if isinstance(table, dict) and key in table else None
        for key in ("lid", "floor", "raised_lid")
    ]
    packs, middle = tuple(arranged(parallel) for parallel in (stock, *trial)), _wing_middle(study)
    first = None
    for walls in _wall_options(given_walls, measured=lengths["depth"] is not None):
        height = walls.lid + walls.floor - walls.raised
        bay = least_bay(middle, BayNeeds(pack_dimensions.ROOM, pack_dimensions.PLAY, height, **lengths), packs)
        if bay.fits:
            return _WalledBay(bay, walls)
        first = first or _WalledBay(bay, walls)
    assert first is not None
    return first


class _Walls(NamedTuple):
    """What lies above and below a bay. [m]"""

    lid: float
    floor: float
    raised: float  # how far the lid stands above the skin


class _WalledBay(NamedTuple):
    box: BayBox
    walls: _Walls


def _wall_options(given: Sequence[float | None], measured: bool) -> Iterator[_Walls]:
    """Yield the walls to try, the thickest first, and then a raised lid. Walls that the study gives stay.

    A bay of ``measured`` depth has the usual walls.
    """
    lid, floor, raised = given
    thinnest = _WALLS[-1]
    for wall in _WALLS[:1] if measured else _WALLS:
        yield _Walls(wall if lid is None else lid, wall if floor is None else floor, raised or 0.0)
    for up in () if measured or raised is not None else _LIDS:
        yield _Walls(thinnest if lid is None else lid, thinnest if floor is None else floor, up)


def _assumed_bay(study: PartialStudy, index: int, layers: int | None = None) -> BayBox:
    """Return the bay that the rules assume, as in ``_walled_bay``."""
    return _walled_bay(study, index, layers).box


def _assumed_walls(study: PartialStudy, index: int) -> _Walls:
    """Return the walls of a bay whose depth the study leaves open. Raise MissingInput for any other bay."""
    bays = study.tables.get("bay")
    bay = _walled_bay(study, index)
    if not isinstance(bays, list) or "depth" in bays[index] or not bay.box.fits:
        raise MissingInput
    return bay.walls


def _bay_lid(study: PartialStudy, index: int) -> Assumption:
    """3 mm; less, down to 1 mm, where the pack needs the room"""
    return _wall(_assumed_walls(study, index).lid)


def _bay_floor(study: PartialStudy, index: int) -> Assumption:
    """3 mm; less, down to 1 mm, where the pack needs the room"""
    return _wall(_assumed_walls(study, index).floor)


def _wall(thickness: float) -> Assumption:
    if thickness >= _WALLS[0]:
        raise MissingInput  # the usual value
    return assumed_length(thickness, _WALLS[-1], _WALLS[0], "strength of the centre", "so that the pack fits")


def _bay_raised_lid(study: PartialStudy, index: int) -> Assumption:
    """Flush; up to 8 mm above the skin where the pack of the stock wing has no room without"""
    raised = _assumed_walls(study, index).raised
    if not raised:
        raise MissingInput
    origin = "so that the pack fits, since the wing flies with it"
    return assumed_length(raised, 0.0, _LIDS[-1], "drag, what fits into the wing", origin)


def _bay_name(study: PartialStudy, index: int) -> Assumption:
    """nose, numbered where there are several"""
    return restated("nose" if index == 0 else f"bay {index + 1}")


def _bay_from_nose(study: PartialStudy, index: int) -> Assumption:
    """The foremost place where the wing is thick enough for the packs on trial, with lid and floor"""
    bay = _assumed_bay(study, index)
    return assumed_length(
        bay.from_nose, bay.from_nose, bay.rearmost - bay.length, "where the pack can sit", "thickness of the wing"
    )


def _bay_length(study: PartialStudy, index: int) -> Assumption:
    """The longest pack on trial plus 30 mm for its leads and to move it, where the wing is thick enough"""
    bay = _assumed_bay(study, index)
    return assumed_length(
        bay.length,
        low=bay.shortest,
        high=bay.rearmost - bay.from_nose,
        moves="where the pack can sit, strength of the centre",
        origin="the packs on trial",
    )


def _bay_width(study: PartialStudy, index: int) -> Assumption:
    """The widest pack on trial plus 2 mm"""
    width = _assumed_bay(study, index).width
    return assumed_length(width, width, width + _WIDER, "strength of the centre", "the packs on trial")


def _bay_depth(study: PartialStudy, index: int) -> Assumption:
    """The highest pack on trial plus 2 mm"""
    depth = _assumed_bay(study, index).depth
    return assumed_length(depth, depth, depth + _DEEPER, "strength of the centre", "the packs on trial")


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
    "raised_lid": _bay_raised_lid,
    "lid": _bay_lid,
    "floor": _bay_floor,
    "from_nose": _bay_from_nose,
    "length": _bay_length,
    "width": _bay_width,
    "depth": _bay_depth,
}
PACK_PLACE_RULES: dict[str, Rule] = {"from_nose": _pack_from_nose}
