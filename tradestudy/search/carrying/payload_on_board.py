"""A payload on board: an item of equipment of which the stock wing, and so the calibration, knows nothing."""

from __future__ import annotations

from dataclasses import dataclass, replace

from tradestudy.aircraft.shape.gear_fit import gear_faults
from tradestudy.aircraft.shape.stock_fit import stock_skin
from tradestudy.errors import CommandError, near_match
from tradestudy.quantities import with_unit
from tradestudy.search.club.members import changed
from tradestudy.search.search_space import SearchSpace
from tradestudy.study.assumed_values.gear_rules import place_in_bay
from tradestudy.study.consistency.pack import pack_size
from tradestudy.study.schema.equipment import EquipmentTable
from tradestudy.study.schema.study import Study

NAME = "payload"


@dataclass(frozen=True)
class Payload:
    """What a payload is besides its mass: SI values.

    It lies at ``place`` behind the nose, or in the bay of this name. If both are empty, it lies at the balance mark of
    each wing. Without a ``size`` it is only weight. ``power`` is what it draws in flight. [W]
    """

    place: float | None = None
    bay: str = ""
    size: tuple[float, float, float] | None = None
    power: float = 0.0

    @property
    def words(self) -> str:
        """Where it lies, in words that follow "lies"."""
        if self.bay:
            return f"in the bay {self.bay}"
        return "at the balance mark" if self.place is None else f"{with_unit(self.place, 'mm')} behind the nose"


def refuse_unknown_bay(study: Study, payload: Payload) -> None:
    """Raise CommandError if a study has no bay of the payload's name."""
    names = [bay.name for bay in study.bay]
    if payload.bay and payload.bay not in names:
        near = near_match(payload.bay, names)
        raise CommandError(f"{study.path} has no bay {payload.bay}.{near} Bays: {', '.join(names) or 'none'}.")


def loaded(base: SearchSpace, payload: Payload, mass: float, mark: float) -> SearchSpace:
    """Return a search space with a payload of a mass [kg] on board. ``mark`` is the wing's balance mark. [m]

    A mass of zero without power changes nothing. Raise CommandError if it has no room in the stock wing.
    """
    if mass <= 0 and payload.power <= 0:
        return base
    name = f"payload {mass:.6f} kg, {payload.power:.3f} W, {payload.words}, {mark:.4f} m, {payload.size}"
    return changed(base, base.of_study(study_with_payload(base.study, payload, mass, mark)), name)


def study_with_payload(study: Study, payload: Payload, mass: float, mark: float) -> Study:
    """Return a study with a payload as an item of equipment, as in `loaded`. Its errors are the same."""
    made = replace(study, equipment=(*study.equipment, _item(study, payload, mass, mark)))
    if payload.size is not None:
        own = len(made.equipment) - 1
        for place, words in gear_faults(replace(made, all_equipment=made.equipment), stock_skin(made), False):
            if place[1:2] == (own,):
                raise CommandError(f"The payload has no room: it {words}")
    return made


def payload_place(study: Study, payload: Payload, mark: float) -> float:
    """Return where a payload lies behind the nose: ``mark`` [m], unless it says a place or a bay. [m]"""
    if not payload.bay:
        return mark if payload.place is None else payload.place
    bay, pack = next(one for one in study.bay if one.name == payload.bay), None
    if study.pack.bay == bay.name and study.pack.cells_across:
        half = 0.5 * pack_size(study.pack, bay.from_centre)[0]
        pack = study.pack.from_nose - half, study.pack.from_nose + half
    walls = bay.from_nose, bay.from_nose + bay.length
    return place_in_bay(walls, pack, payload.size[0] if payload.size else 0.0)


def _item(study: Study, payload: Payload, mass: float, mark: float) -> EquipmentTable:
    return EquipmentTable.model_construct(
        name=NAME,
        mass=mass,
        from_nose=payload_place(study, payload, mark),
        from_centre=0.0,
        side=None,
        kind=None,
        size=payload.size or (),
        bay=payload.bay or None,
        bays=None,
        power=payload.power,
        may_move=None,
        set=None,
    )
