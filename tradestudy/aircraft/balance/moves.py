"""What moves the balance of one wing, and by how much: the pack, equipment, a lighter end, ballast last.

All of it is statics: a moment about the nose datum over the weight, exact for any distance.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.pack_fit import pack_reach
from tradestudy.aircraft.shape.gear_items import movable_range
from tradestudy.quantities import in_unit, with_unit
from tradestudy.results.numbers import BalanceMove, BalanceReason, WingBalance

from .window import BalanceWindow, loose_mass, pack_slide

_REACHED = 5e-5  # m; the pack reaches a mark as near as this
_TEN_MM, _TEN_G = 0.010, 0.010  # m, kg
_ROUNDING = 1e-9
_CAMERA = "camera"  # kind of equipment that looks out of the wing


class _State(NamedTuple):
    """The wing with its pack as near as its bay allows to where the mark needs it. SI, places behind the nose."""

    mass: float
    mark: float
    balance: float  # of the wing with the pack there
    pack_mass: float
    pack: float
    reach: tuple[float, float]

    @property
    def missing(self) -> float:
        """How far the balance lies ahead of the mark. [m]"""
        return self.mark - self.balance

    @property
    def is_reached(self) -> bool:
        """Whether the pack alone balances the wing."""
        return abs(self.missing) < _REACHED


def balance_of(design: EvaluatedDesign, window: BalanceWindow) -> WingBalance:
    """Return the reasons of a balance window, and what moves the balance of the design, in the units of a result."""
    state = _state(design)
    edge = float(design.solution.wing.chord[0])
    return WingBalance(
        missing_mm=0.0 if state.is_reached else round(in_unit(state.missing, "mm"), 3),
        reasons=[
            BalanceReason(one.side, one.why, _mm(one.place), _mm(edge - one.place), one.is_limit)
            for one in window.reasons
        ],
        moves=[_pack_move(design, state), *_equipment_moves(design, state), *_last_moves(design, state)],
    )


def _mm(length: float) -> float:
    return round(in_unit(length, "mm"), 3)


def _state(design: EvaluatedDesign) -> _State:
    shape, needed = design.shape, float(design.evaluation.balance.pack_position)
    mass, pack_mass = float(shape.all_up_mass), float(shape.sliding_mass)
    reach = pack_reach(design.study, design.choice)
    pack = float(np.clip(needed, *reach))
    balance = (float(shape.moment_without_pack) + pack_mass * pack) / mass
    mark = float(design.evaluation.flow.trimmed.centre_of_gravity)
    if abs(mark - balance) < _REACHED:  # built so, the pack slides in its bay
        pack_mass, reach = loose_mass(design), pack_slide(design)
    return _State(mass, mark, balance, pack_mass, pack, reach)


def _pack_move(design: EvaluatedDesign, state: _State) -> BalanceMove:
    front, back = state.reach
    room = front - state.pack if state.missing < 0 else back - state.pack
    words = (
        f"room for its middle from {with_unit(front, 'mm')} to {with_unit(back, 'mm')} behind the nose, it is at "
        f"{with_unit(state.pack, 'mm')}"
    )
    needed = None if state.is_reached else state.missing * state.mass / state.pack_mass
    return _move(
        f"pack in the bay {design.study.pack.bay}", "mm", _TEN_MM * state.pack_mass / state.mass, room, needed, words
    )


def _move(what: str, unit: str, per_ten: float, most: float | None, needed: float | None, words: str) -> BalanceMove:
    """Return one move from SI values."""
    fits = needed is None or most is None or (0 <= needed <= most + _ROUNDING) or (most - _ROUNDING <= needed <= 0)
    most, needed = (None if value is None else round(in_unit(value, unit), 3) for value in (most, needed))
    return BalanceMove(what, unit, round(in_unit(per_ten, "mm"), 4), most, needed, fits, words)


def _equipment_moves(design: EvaluatedDesign, state: _State) -> Iterator[BalanceMove]:
    """Yield a move for each piece of equipment: first what the study lets move, then the heaviest.

    Other things have room in the foremost or rearmost bay, of those named in ``equipment.bays`` if it names any.
    """
    study = design.study
    shift = design.variables["equipment_position"] - movable_range(study)[0]
    things = [thing for thing in study.equipment if thing.mass > 0]
    for thing in sorted(things, key=lambda one: (one.may_move is None, -one.mass)):
        place = thing.from_nose + (shift if thing.may_move else 0.0)
        most, words = _room(study, thing, place, forward=state.missing < 0)
        needed = None if state.is_reached else state.missing * state.mass / thing.mass
        yield _move(thing.name, "mm", _TEN_MM * thing.mass / state.mass, most, needed, words)


def _room(study: Any, thing: Any, place: float, forward: bool) -> tuple[float, str]:
    """Return how far a thing can move towards the light end [m], and where to in words."""
    if thing.from_centre:
        return 0.0, "stays where it is, out in the wing"
    if thing.may_move:
        end = thing.may_move[0] if forward else thing.may_move[1]
        return end - place, f"may move to {with_unit(end, 'mm')} behind the nose"
    if _CAMERA in (thing.kind or ()) and place < min((bay.from_nose for bay in study.bay), default=place):
        return 0.0, "stays in the nose, where it looks out"
    bays = [bay for bay in study.bay if not thing.bays or bay.name in thing.bays]
    half = 0.5 * thing.outside_size[0] if thing.outside_size else 0.0
    ends = [(bay.from_nose + half if forward else bay.from_nose + bay.length - half, bay.name) for bay in bays]
    end, name = min(ends) if forward else max(ends)
    if (end < place) != forward:
        return 0.0, f"no bay lies further {'forward' if forward else 'back'}"
    return end - place, f"to the {'front' if forward else 'back'} of the bay {name} at {with_unit(end, 'mm')}"


def _last_moves(design: EvaluatedDesign, state: _State) -> Iterator[BalanceMove]:
    """Yield a lighter heavy end, then ballast at the light end. A wing that balances needs neither of them."""
    study, chord = design.study, float(design.solution.wing.foam_chord[0])
    if state.is_reached:
        return
    nose_heavy = state.missing > 0
    nose = 0.5 * max(min((bay.from_nose for bay in study.bay), default=0.0), 0.0)  # middle of what lies ahead of a bay
    heavy, where = (nose, "nose, ahead of the bays") if nose_heavy else (study.motor.from_nose, "tail, at the motor")
    moment = state.mass * state.missing
    if (state.mark - heavy) * moment > 0:
        per_ten = _TEN_G * (state.balance - heavy) / (state.mass - _TEN_G)
        words = f"taken off {with_unit(heavy, 'mm')} behind the nose"
        yield _move(f"a lighter {where}", "g", per_ten, None, moment / (state.mark - heavy), words)
    back = max((study.motor.from_nose, "at the motor"), (chord, "at the back of the root foam"))
    light, where = back if nose_heavy else (0.0, "in the nose")
    per_ten = _TEN_G * (light - state.balance) / (state.mass + _TEN_G)
    words = f"{with_unit(light, 'mm')} behind the nose"
    yield _move(f"ballast {where}", "g", per_ten, None, moment / (light - state.mark), words)
