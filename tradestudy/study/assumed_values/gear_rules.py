"""Where equipment stands if a study names its bay and no place."""

from __future__ import annotations

from tradestudy.physics.weights.pack_dimensions import ROOM
from tradestudy.study.consistency.pack import pack_size
from tradestudy.study.schema.power import PackTable

from .rule_types import Assumption, MissingInput, PartialStudy, Rule, assumed_length

Walls = tuple[float, float]  # front and back end behind the nose [m]


def place_in_bay(bay: Walls, pack: Walls | None, length: float = 0.0) -> float:
    """Return the middle of the longer part of a bay that its pack leaves free, ahead of the pack or behind it. [m]

    ``pack`` is None if the bay holds no pack. A thing of a ``length`` [m] for which that part is too short stands
    against the wall of the bay.

    >>> round(place_in_bay((0.050, 0.230), (0.060, 0.180)), 4)
    0.2055
    >>> round(place_in_bay((0.050, 0.230), (0.060, 0.180), length=0.060), 4)
    0.2
    """
    front, back = bay
    if pack is None:
        return 0.5 * (front + back)
    ahead, behind = (front, pack[0] - ROOM), (pack[1] + ROOM, back)
    if ahead[1] - ahead[0] >= behind[1] - behind[0]:
        return 0.5 * sum(ahead) if length <= ahead[1] - ahead[0] else front + 0.5 * length
    return 0.5 * sum(behind) if length <= behind[1] - behind[0] else back - 0.5 * length


def _equipment_from_nose(study: PartialStudy, index: int) -> Assumption:
    """The balance mark, where nothing is listed; with a bay and no place, the middle of its longer part without pack"""
    item = study.tables["equipment"][index]
    bays = item.get("bays")
    name = item.get("bay", bays[0] if isinstance(bays, list) and bays else None)
    tables = study.tables.get("bay")
    names = [bay.get("name") if isinstance(bay, dict) else None for bay in tables] if isinstance(tables, list) else []
    if name is None or name not in names:
        raise MissingInput
    number = names.index(name)
    front = study.value("bay", "from_nose", number)
    bay = front, front + study.value("bay", "length", number)
    pack = _pack_stretch(study) if study.value("pack", "bay") == name else None
    size = study.value("equipment", "size", index) if "size" in item else ()
    place = place_in_bay(bay, pack, size[0] if size else 0.0)
    return assumed_length(place, *bay, "the balance", f"the bay {name}")


def _pack_stretch(study: PartialStudy) -> Walls:
    try:
        pack = PackTable.model_validate(study.tables["pack"])
    except ValueError:
        raise MissingInput from None
    bays = study.tables.get("bay")
    named = [bay for bay in bays if isinstance(bay, dict) and bay.get("name") == pack.bay] if bays else []
    half = 0.5 * pack_size(pack, 1.0 if any("from_centre" in bay for bay in named) else None)[0]
    return pack.from_nose - half, pack.from_nose + half


GEAR_PLACE_RULES: dict[str, Rule] = {"from_nose": _equipment_from_nose}
