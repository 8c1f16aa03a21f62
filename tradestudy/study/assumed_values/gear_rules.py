"""Where equipment stands if a study names its bay and no place, and servos of which a study says nothing."""

from __future__ import annotations

from tradestudy.physics.weights.pack_dimensions import ROOM
from tradestudy.study.consistency.pack import pack_size
from tradestudy.study.schema.power import PackTable

from .rule_types import (
    COMMON_PRACTICE,
    Assumption,
    MissingInput,
    PartialStudy,
    Rule,
    assumed_length,
    constant,
)

# Mass of a pair of servos with leads, up to a flying weight: the 5, 9 and 17 g classes. Common practice, no source.
_SERVO_PAIRS = ((0.6, 0.012), (2.5, 0.024), (float("inf"), 0.042))  # [kg], [kg]
_TORQUE_PER_MASS = 7.0  # N m; torque of one servo over the mass [kg] of such a pair; common practice, no source
# No bands: a stock wing that flies has servos that hold, so a weaker one is no case to draw.
_USUAL = f"{COMMON_PRACTICE}; servos of a wing that flies hold what it needs"

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


def _servo_torque(study: PartialStudy, _: int) -> Assumption:
    """0.7 N cm for every gram of the pair of servos in equipment, else of the usual class for the flying weight"""
    weighed = sum(_servo_masses(study))
    weight = study.value("stock", "flying_weight")
    pair = weighed or next(mass for most, mass in _SERVO_PAIRS if weight <= most)
    torque = min(max(_TORQUE_PER_MASS * pair, 0.02), 3.0)
    return Assumption(f"{100 * torque:.2g} N cm", _USUAL)


def _servo_masses(study: PartialStudy) -> list[float]:
    """Return the masses of what is called a servo in the list of equipment. [kg]"""
    things = study.tables.get("equipment")
    masses = []
    for index, thing in enumerate(things if isinstance(things, list) else ()):
        if isinstance(thing, dict) and ("servo" in str(thing.get("name")).lower() or "servo" in thing.get("kind", ())):
            masses.append(study.value("equipment", "mass", index))
    return masses


LINKAGE_RULES: dict[str, Rule] = {
    "servo_torque": _servo_torque,
    "servo_arm": constant("10 mm", None, None, ""),
    "horn": constant("15 mm", None, None, ""),
}
