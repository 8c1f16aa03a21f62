"""One airframe with the equipment sets of several club members: how each member's wing balances and flies.

Shape, rods, propeller, pack and unlisted mass are those of one design. Each set has its own weight, place and electric
power. The static margin is fixed, so the pack moves to meet the same balance mark.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.anchor.calibration import Anchor, stretched_data
from tradestudy.aircraft.balance.window import balance_window
from tradestudy.aircraft.model.choices import Choice, choice_of, variables_of
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.limit_bounds import Limit, limits_of
from tradestudy.aircraft.model.model_data import ModelData
from tradestudy.aircraft.model.pack_fit import pack_reach
from tradestudy.aircraft.model.speed_sweep import NeverFlies, SpeedSweep, best_speed
from tradestudy.aircraft.shape.gear_items import movable_range
from tradestudy.aircraft.shape.pack_bay import pack_bay
from tradestudy.physics.weights import mass
from tradestudy.quantities import at_edge, from_edge, in_unit, rounded
from tradestudy.quantities.objectives import PURPOSES
from tradestudy.results.club import ClubSpan, ClubWing
from tradestudy.results.design import Design
from tradestudy.study.consistency.equipment import equipment_on_board, stock_equipment_set
from tradestudy.study.schema.equipment import EquipmentSetTable
from tradestudy.study.schema.study import Study

from .design_numbers import flight_numbers
from .full_design import limit_states

_REACHED = 1e-5  # m; tolerance on the pack's place, far finer than a builder can work
LEAST_GAIN = 1e-4  # share of the gain; another cruise speed must gain at least this much
_NUMBERS = (
    "cruise_speed_kmh",
    "range_km",
    "radius_km",
    "usual_flight_min",
    "endurance_min",
    "cruise_current_a",
    "stall_speed_kmh",
    "climb_ms",
)


class MemberBalance(NamedTuple):
    """How a member's wing meets its balance mark. Places are behind the nose [m]."""

    mark: float
    equipment: float  # place of the movable equipment
    pack: float  # place of the pack inside its bay
    required: float  # place of the pack that would balance the wing
    reach: tuple[float, float]  # front and back end of the range of the pack's centre
    missing: float  # moment about the nose still missing with the pack at the end of its range [kg m]

    @property
    def met(self) -> bool:
        """True if the pack can reach the required place."""
        return self.pack == self.required


def club_wings(study: Study, anchor: Anchor, design: Design, slowest: float) -> list[ClubWing]:
    """Return one row for each set of equipment on the airframe of ``design``.

    ``slowest`` is the speed at which no strip may stall [m/s]. The list is empty for a study without equipment sets.
    """
    return [_row(study, _member(study, anchor, design, slowest, one)) for one in study.equipment_set]


def club_over_span(study: Study, anchor: Anchor, designs: Iterable[Design], slowest: float) -> list[ClubSpan]:
    """Return one row for each of ``designs``, as of a span trade, and each set of equipment.

    The arguments are those of `club_wings`.
    """
    members = ((wing, _member(study, anchor, wing, slowest, one)) for wing in designs for one in study.equipment_set)
    return [_span_row(wing, member) for wing, member in members]


class MemberWing(NamedTuple):
    """A member's wing: the study with that equipment on board, the wing at its cruise, and the limits it violates.

    ``flown`` is None for a wing that cannot fly.
    """

    study: Study
    set: EquipmentSetTable
    sweep: SpeedSweep
    balance: MemberBalance
    limits: list[Limit]
    flown: EvaluatedDesign | None
    violated: list[str]


def _member(study: Study, anchor: Anchor, design: Design, slowest: float, one: EquipmentSetTable) -> MemberWing:
    own = replace(study, equipment=equipment_on_board(study.all_equipment, one.name))
    choice, variables = choice_of(design), variables_of(design)
    data = stretched_data(own, anchor, choice, slowest)
    if _movable(own) != _movable(study):
        variables["equipment_position"] = movable_range(own)[0]
    sweep = SpeedSweep(data, choice, variables)
    balance = member_balance(own, sweep)
    variables["equipment_position"] = balance.equipment
    limits = limits_of(own, anchor.reference, choice, data.strip_count)
    flown = _flown(own, data, choice, variables, from_edge("auw_g", design.numbers.auw_g), limits)
    if flown is None:
        violated = ["no speed leaves all of the wing below its stall"]
    else:
        violated = [state.words for state in limit_states(flown, limits) if not state.met]
    return MemberWing(own, one, sweep, balance, limits, flown, violated)


def _common(member: MemberWing) -> dict[str, Any]:
    """Return the fields that all rows of a member have."""
    one, balance = member.set, member.balance
    ballast = _ballast(member.study, balance)
    numbers = at_edge(
        auw_g=float(member.sweep.shape.all_up_mass),
        ballast_g=ballast[0] if ballast else 0.0,
        ballast_mm=ballast[1] if ballast else None,
    )
    return {
        "set": one.name,
        "members": one.members,
        "flown_today": one.name == stock_equipment_set(member.study.equipment_set),
        "pack_in_bay": balance.met,
        "violated_limits": member.violated,
        **rounded(numbers, 4),
    }


def _row(study: Study, member: MemberWing) -> ClubWing:
    own, balance, flown = member.study, member.balance, member.flown
    numbers = at_edge(
        equipment_g=sum(thing.mass for thing in own.equipment),
        cg_mm=balance.mark,
        cg_from_trailing_edge_mm=study.stock.root_chord + study.elevon.root_chord - balance.mark,
        pack_mm=balance.pack,
        pack_needed_mm=balance.required,
        movable_mm=balance.equipment if _movable(own) else None,
    )
    flight: dict[str, Any] = dict.fromkeys((*_NUMBERS, "cg_front_mm", "cg_back_mm", "up_elevon_mm"))
    if flown:
        window, known = balance_window(flown, member.limits), flight_numbers(flown)
        flight = {name: known[name] for name in _NUMBERS} | {"up_elevon_mm": -known["elevon_mm"]}
        flight |= rounded(at_edge(cg_front_mm=window.front.place, cg_back_mm=window.back.place), 4)
    return ClubWing(
        equipment=[thing.name for thing in own.equipment],
        **_common(member),
        **flight,
        **rounded(numbers, 4),
        pack_reach_mm=[round(in_unit(end, "mm"), 4) for end in balance.reach],
        balance=balance_instructions(own, balance),
    )


def _span_row(design: Design, member: MemberWing) -> ClubSpan:
    common, flown = _common(member), member.flown
    del common["ballast_mm"]
    names = ("range_km", "radius_km", "usual_flight_min", "stall_speed_kmh")
    known: dict[str, Any] = flight_numbers(flown) if flown else dict.fromkeys(names)
    return ClubSpan(
        span_mm=design.numbers.span_mm,
        recommended=design.label == "recommended",
        **common,
        **{name: known[name] for name in names},
    )


def _movable(study: Study) -> list[tuple[str, float, float]]:
    return [(thing.name, thing.mass, thing.from_nose) for thing in study.equipment if thing.may_move]


def _flown(
    study: Study,
    data: ModelData,
    choice: Choice,
    variables: dict[str, float],
    airframe_mass: float,
    limits: list[Limit],
) -> EvaluatedDesign | None:
    """Return a member's wing at the better of two cruise speeds, or None if it cannot fly.

    The first speed gives this weight the lift coefficient of the airframe's own cruise at ``airframe_mass`` [kg], so
    trim is unchanged. The second is the best speed for the purpose. It is used if it violates no more limits and
    increases the gain.
    """
    try:
        sweep = SpeedSweep(data, choice, variables)
        heavier = float(sweep.shape.all_up_mass) / airframe_mass
        same, best = (
            EvaluatedDesign(study, data, choice, variables | {"cruise_speed": speed}, sweep.wings)
            for speed in (variables["cruise_speed"] * np.sqrt(heavier), best_speed(sweep, study.fly.purpose))
        )
        broken, broken_best = (_broken(wing, limits) for wing in (same, best))
    except NeverFlies:
        return None
    measure = PURPOSES[study.fly.purpose].output
    gain, gain_best = (float(getattr(wing.evaluation.power, measure)) for wing in (same, best))
    gains = gain_best > (1 + LEAST_GAIN) * gain
    return best if broken_best < broken or broken_best == broken and gains else same


def _broken(design: EvaluatedDesign, limits: list[Limit]) -> int:
    """Return the number of limits that a design violates."""
    return sum(not state.met for state in limit_states(design, limits))


def member_balance(study: Study, sweep: SpeedSweep) -> MemberBalance:
    """Return how a wing meets its balance mark: by moving its pack, and if needed its movable equipment.

    The movable equipment moves no farther than needed from its place in ``sweep``.
    """
    shape, place = sweep.shape, sweep.variables["equipment_position"]
    mark = sweep.level(15.0).centre_of_gravity  # the speed has no effect on the balance point
    pack = float(shape.sliding_mass)
    low, high = pack_reach(study, sweep.choice)
    movable = sweep.data.layout.movable_mass
    _, front, back = movable_range(study)

    def required(equipment: float) -> float:
        moment = shape.moment_without_pack + movable * (equipment - place)
        return float(mass.pack_position(mark, shape.all_up_mass, moment, shape.sliding_mass))

    equipment, end = place, float(np.clip(required(place), low, high))
    if abs(end - required(place)) > _REACHED and movable > 0 and back > front:
        equipment = float(np.clip(place + (required(place) - end) * pack / movable, front, back))
    pack_place = required(equipment)
    end = float(np.clip(pack_place, low, high))
    if abs(end - pack_place) <= _REACHED:
        end = pack_place
    return MemberBalance(float(mark), equipment, end, pack_place, (low, high), (pack_place - end) * pack)


def _ballast(study: Study, balance: MemberBalance) -> tuple[float, float, str] | None:
    """Return mass [kg], place [m] and description of the ballast that balances the wing, or None if none is needed.

    The place is the bay end, or the motor, farthest from the mark on the light side. There the ballast is lightest.
    """
    if balance.met:
        return None
    ahead = balance.missing < 0
    places = {study.motor.from_nose: "at the motor"}
    for bay in study.bay:
        places |= {
            bay.from_nose: f"at the front wall of the {bay.name} bay",
            bay.from_nose + bay.length: f"at the back wall of the {bay.name} bay",
        }
    places = {place: words for place, words in places.items() if (place < balance.mark) == ahead}
    if not places:
        places = {0.0: "at the nose"} if ahead else {study.stock.root_chord: "at the back of the root foam"}
    place = min(places) if ahead else max(places)
    return balance.missing / (place - balance.mark), place, places[place]


def balance_instructions(study: Study, balance: MemberBalance) -> str:
    """Return a sentence that says how the mark is met, or what ballast is needed."""
    gear = " and ".join(name for name, *_ in _movable(study))
    at, gear_at = in_unit(balance.pack, "mm"), in_unit(balance.equipment, "mm")
    sentence = f"pack {at:.0f} mm behind the nose"
    if gear:
        sentence += f", {gear} at {gear_at:.0f} mm"
    ballast = _ballast(study, balance)
    if ballast is None:
        return sentence + "; no ballast"
    bay, ahead = pack_bay(study), balance.missing < 0
    grams, place, where = in_unit(ballast[0], "g"), *ballast[1:]
    short, end = in_unit(abs(balance.required - balance.pack), "mm"), "front" if ahead else "back"
    with_gear = f", {gear} at {gear_at:.0f} mm" if gear else ""
    sentence = (
        f"the {bay.name} bay ends {short:.0f} mm too soon for the pack; it lies at the {end} end "
        f"({at:.0f} mm){with_gear}; the wing still needs {np.ceil(grams):.0f} g of "
        f"ballast {where} ({in_unit(place, 'mm'):.0f} mm)"
    )
    return sentence + _gear_instead(study, balance)


def _gear_instead(study: Study, balance: MemberBalance) -> str:
    """Return a phrase on the fixed part that could be moved instead of ballast, by the shortest way.

    It is empty if there is none.
    """
    options = []
    for thing in study.equipment:
        if thing.mass > 0 and thing.may_move is None:
            place = thing.from_nose + balance.missing / thing.mass
            if 0.0 <= place <= study.stock.root_chord:
                options.append((abs(place - thing.from_nose), thing.name, thing.from_nose, place))
    if not options:
        return ""
    _, name, start, place = min(options)
    return f", or {name} moved from {in_unit(start, 'mm'):.0f} mm to {in_unit(place, 'mm'):.0f} mm"
