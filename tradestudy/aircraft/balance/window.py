"""The balance window: where the centre of gravity of one wing may lie, from all reasons at once.

A reason rules out every place beyond its own. The front end is the rearmost place of the reasons in front, and the back
end the foremost place of those behind. So no place of the window is ruled out by another number of the same wing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
from scipy.optimize import brentq

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.limit_bounds import Limit
from tradestudy.aircraft.model.pack_fit import pack_reach
from tradestudy.aircraft.model.speed_sweep import NeverFlies, SpeedSweep
from tradestudy.quantities import with_unit
from tradestudy.quantities.balance_practice import (
    FIRST_FLIGHT_AHEAD,
    LEAST_STATIC_MARGIN,
    MOST_CRUISE_ELEVON,
    MOST_DOWN_ELEVON,
    least_static_margin,
)
from tradestudy.quantities.limits import STOCK, STUDY

from .handling import cruise_handling

FRONT, BACK = "front", "back"
_MOST_MARGIN = 0.60  # share of the mean chord; no end is searched further forward
_MARGINS = np.linspace(0.0, _MOST_MARGIN, 61)
_FINER = 11  # points within the step that holds a crossing
_NEAR = 5e-5  # m; an end nearer to the mark than this is the mark, since limits are met that closely
# limits that a balance further back brings nearer
_IN_YAW = {"yaw_stiffness": "turning back into the wind", "fin_volume": "fin volume"}
_NO_CONTROL = "which leaves little for control"

LAUNCH, BEFORE_STALL, STALL = (
    "full up-elevon at launch speed",
    "full up-elevon before the stall",
    "a stall at launch speed",
)


class Reason(NamedTuple):
    """One reason: the end of the window that it sets, the place behind the nose [m], and words.

    A reason of a limit is what the study or the stock wing asks. Beyond it the wing may still fly.
    """

    side: str
    place: float
    why: str
    is_limit: bool = False


class BalanceWindow(NamedTuple):
    """The balance window. Places are behind the nose [m]. It is empty if its front lies behind its back."""

    front: Reason
    back: Reason
    first_flight: float | None  # None if no place at or ahead of the mark lies in the window
    reasons: tuple[Reason, ...]


def balance_window(design: EvaluatedDesign, limits: Sequence[Limit] = ()) -> BalanceWindow:
    """Return the balance window of one design. ``limits`` are those that it must meet; a stock wing has none."""
    mark = float(design.evaluation.flow.trimmed.centre_of_gravity)
    ahead, behind = _in_front(design, limits), [*_behind(design, limits)]
    behind += _in_handling(design, limits, min(reason.place for reason in behind))
    travel = pack_travel(design)
    ahead.append(Reason(FRONT, travel[0], "the pack at the front of its bay"))
    behind.append(Reason(BACK, travel[1], "the pack at the back of its bay"))
    reasons = [_snapped(reason, mark) for reason in (*ahead, *behind)]
    in_front = sorted((one for one in reasons if one.side == FRONT), key=lambda one: -one.place)
    at_back = sorted((one for one in reasons if one.side == BACK), key=lambda one: one.place)
    front, back = in_front[0], at_back[0]
    return BalanceWindow(front, back, _first_flight(mark, front.place, back.place), (*in_front, *at_back))


def pack_travel(design: EvaluatedDesign) -> tuple[float, float]:
    """Return where the wing balances with the pack at the front and at the back of its bay. [m]"""
    shape, place = design.shape, float(design.evaluation.balance.pack_position)
    mark = float(design.evaluation.flow.trimmed.centre_of_gravity)
    per_metre = loose_mass(design) / float(shape.all_up_mass)
    first, last = (mark + (end - place) * per_metre for end in pack_slide(design))
    return first, last


def pack_slide(design: EvaluatedDesign) -> tuple[float, float]:
    """Return the foremost and rearmost place of the pack in the bay as built. [m]

    A bay that is cut to the pack leaves it its travel each way.
    """
    if design.data.layout.pack_bay is None:
        return pack_reach(design.study, design.choice)
    place, travel = float(design.evaluation.balance.pack_position), design.study.stretch.pack_travel
    return place - travel, place + travel


def loose_mass(design: EvaluatedDesign) -> float:
    """Return the mass of what slides in the bay as built: the pack, or its first half. [kg]"""
    return float(design.shape.pack_mass) * (1.0 - design.data.layout.second_pack.mass)


def _snapped(reason: Reason, mark: float) -> Reason:
    return reason._replace(place=mark) if abs(reason.place - mark) < _NEAR else reason


def _first_flight(mark: float, front: float, back: float) -> float | None:
    """Return where to balance for the first flight: ahead of the mark, inside the window, with room on both sides.

    It is half way to the front end if there is less room than twice FIRST_FLIGHT_AHEAD.
    """
    start = min(mark, back)
    if front > start:
        return None
    return start - min(FIRST_FLIGHT_AHEAD, 0.5 * (start - front))


# --- reasons in front -----------------------------------------------------------------------------------------


def _in_front(design: EvaluatedDesign, limits: Sequence[Limit]) -> list[Reason]:
    """Return the reasons in front but for the pack."""
    travel, slowest = design.study.elevon.up_travel, design.data.flight.slowest_speed
    thrown = design.study.fly.launch == "hand"  # a throw is no level flight: what counts is the slowest one
    launch_speed = slowest if thrown else design.study.fly.launch_speed or slowest

    def left_in_cruise(most: float) -> Callable[[np.ndarray], np.ndarray]:
        return lambda margins: most + _level(design, design.cruise_speed, margins).elevon

    def left_at_launch(margins: np.ndarray) -> np.ndarray:
        return travel + _level(design, launch_speed, margins).elevon

    def lift_left(speed: float) -> Callable[[np.ndarray], np.ndarray]:
        return lambda margins: _level(design, speed, margins).stall_margin.min(axis=-1)

    found: list[tuple[float | None, str, bool]] = [
        (_first_crossing(left_at_launch), LAUNCH, False),
        (_first_crossing(lift_left(launch_speed)), STALL, False),
        (
            _first_crossing(left_in_cruise(MOST_CRUISE_ELEVON)),
            f"{_up_elevon(MOST_CRUISE_ELEVON)}, {_NO_CONTROL}",
            False,
        ),
    ]
    limit = next((one for one in limits if one.name == "up_elevon"), None)
    if limit:
        most = abs(limit.bound)
        found.append(
            (_first_crossing(left_in_cruise(most)), f"{_up_elevon(most)}, a limit set by {limit.origin}", True)
        )
    if limits and abs(slowest - launch_speed) > 1e-9:
        words = f"a stall at {with_unit(slowest, 'km/h')}, the most that the limits allow"
        found.append((_first_crossing(lift_left(slowest)), words, True))
    nearest = min((margin for margin, *_ in found if margin is not None), default=_MOST_MARGIN)
    found.append((_flare_margin(design, travel, nearest), BEFORE_STALL, False))
    most_margin = design.study.limits.static_margin
    if limits and most_margin is not None:
        words = f"a static margin of {with_unit(most_margin[1], '%', 1)}, a limit set by {STUDY}"
        found.append((most_margin[1], words, True))
    return [
        Reason(FRONT, _place(design, margin), words, is_limit)
        for margin, words, is_limit in found
        if margin is not None
    ]


def _up_elevon(most: float) -> str:
    return f"more than {with_unit(most, 'deg', 1)} of up-elevon in cruise"


def _level(design: SpeedSweep, speed: float, margins: np.ndarray):
    return design.level(np.full_like(margins, speed), margins)


def _place(design: SpeedSweep, margin: float) -> float:
    """Return the place behind the nose for a static margin. [m]"""
    unit = design.solution.unit
    neutral = float(-unit.moment_volume[1] / unit.lift_area[1])
    return neutral - margin * float(design.solution.areas.mean_aerodynamic_chord)


def _first_crossing(reserve: Callable[[np.ndarray], np.ndarray]) -> float | None:
    """Return the smallest static margin at which a function (n,) of margins (n,) falls to zero, or None.

    The step that holds the crossing is divided once more; within a part of it, the function is a straight line.
    """
    margins = _MARGINS
    for _ in range(2):
        values = reserve(margins)
        out = np.flatnonzero(values <= 0)
        if not len(out):
            return None
        step = int(out[0])
        if step == 0:
            return float(margins[0])
        bracket, ends = margins[step - 1 : step + 1], values[step - 1 : step + 1]
        margins = np.linspace(bracket[0], bracket[1], _FINER)
    return float(bracket[0] + ends[0] / (ends[0] - ends[1]) * (bracket[1] - bracket[0]))


def _flare_margin(design: SpeedSweep, up_travel: float, most: float) -> float | None:
    """Return the static margin, searched up to ``most``, at which full up-elevon just reaches the stall, or None."""

    def elevon_left(margin: float) -> float:
        try:
            return up_travel + design.stall(margin).elevon
        except NeverFlies:
            return -up_travel

    if elevon_left(most) > 0:
        return None
    least = float(_MARGINS[0])
    return brentq(elevon_left, least, most, xtol=1e-4) if most > least and elevon_left(least) > 0 else least


# --- reasons behind -------------------------------------------------------------------------------------------


def _behind(design: EvaluatedDesign, limits: Sequence[Limit]) -> list[Reason]:
    """Return the reasons behind that need no complete evaluation: static margin, and elevons down in cruise."""
    today, found = stock_margin(design), []
    if today >= LEAST_STATIC_MARGIN:
        words = f"{_margin(LEAST_STATIC_MARGIN)}, below which such wings oscillate in pitch"
        found.append((LEAST_STATIC_MARGIN, words, False))
    elif not limits:  # the stock wing flies with its own
        found.append((today, f"{_margin(today)}, that of the stock wing, little already", False))
    if limits:
        given = design.study.limits.static_margin
        least = least_static_margin(today) if given is None else given[0]
        found.append((least, f"{_margin(least)}, a limit set by {STOCK if given is None else STUDY}", True))
    limit = next((one for one in limits if one.name == "down_elevon"), None)
    for most, is_limit in [(MOST_DOWN_ELEVON, False), *([(limit.bound, True)] if limit else [])]:
        if (hangs := _hanging_margin(design, most)) is not None:
            found.append((hangs, f"more than {with_unit(most, 'deg', 1)} of down-elevon in cruise", is_limit))
    return [Reason(BACK, _place(design, margin), words, is_limit) for margin, words, is_limit in found]


def _margin(margin: float) -> str:
    return f"a static margin of {with_unit(margin, '%', 1)}"


def _hanging_margin(design: SpeedSweep, most: float) -> float | None:
    """Return the static margin at which the elevon in cruise is ``most`` down [rad], or None if it never is."""
    mirrored = _first_crossing(lambda less: most - _level(design, design.cruise_speed, _MOST_MARGIN - less).elevon)
    return None if mirrored is None else _MOST_MARGIN - mirrored


def stock_margin(design: EvaluatedDesign) -> float:
    """Return the static margin of the stock wing. [-]"""
    stock = design.data.layout.stock
    own = {"extension": 0.0, "sweep": float(stock.sweep), "washout": stock.washout, "tip_chord": stock.tip_chord}
    wing = SpeedSweep(design.data, design.choice, design.variables | own)
    return _margin_at(wing, design.study.stock.balance_from_nose)


def stability_flags(design: EvaluatedDesign) -> list[str]:
    """Return a remark if the stock wing has less static margin than stretched wings must keep, or no sentence.

    Without it a builder hears of a pack that does not reach its place, and not of a balance measured wrong.
    """
    if design.study.limits.static_margin is not None or (margin := stock_margin(design)) >= LEAST_STATIC_MARGIN:
        return []
    return [
        f"the stock wing as measured has {_margin(margin)}, and a stretched wing must keep "
        f"{with_unit(LEAST_STATIC_MARGIN, '%')}: measure stock.balance_from_nose, stock.tip_set_back and the chords "
        f'again. If they are right and it flies well, write static_margin = ["{with_unit(margin, "%", 1)}", "15 %"] '
        "below [limits]"
    ]


def _in_handling(design: EvaluatedDesign, limits: Sequence[Limit], rearmost: float) -> list[Reason]:
    """Return the reasons of handling that lie ahead of ``rearmost`` [m]: yaw, and damping in pitch."""
    at_rear = _margin_at(design, rearmost)

    def balanced(margin: float) -> EvaluatedDesign:
        variables = design.variables | {"static_margin": margin}
        return EvaluatedDesign(design.study, design.data, design.choice, variables, design.wings)

    checks: list[tuple[str, Callable[[EvaluatedDesign], float], bool]] = [
        ("a quick pitch oscillation that grows by itself", _pitch_damping, False)
    ]
    for limit in limits:
        if limit.name in _IN_YAW:
            checks.append((f"too little {_IN_YAW[limit.name]}, {limit.origin}", _limit_left(limit), True))
    reasons = []
    for words, left, is_limit in checks:
        if left(balanced(at_rear)) > 0:
            continue
        if left(balanced(_MOST_MARGIN)) <= 0:
            continue  # no balance mends it
        margin = brentq(lambda one, left=left: left(balanced(one)), at_rear, _MOST_MARGIN, xtol=1e-4)
        reasons.append(Reason(BACK, _place(design, margin), words, is_limit))
    return reasons


def _margin_at(design: SpeedSweep, place: float) -> float:
    return (_place(design, 0.0) - place) / float(design.solution.areas.mean_aerodynamic_chord)


def _pitch_damping(design: EvaluatedDesign) -> float:
    return float(cruise_handling(design).pitch_motions[0].damping_ratio)


def _limit_left(limit: Limit) -> Callable[[EvaluatedDesign], float]:
    return lambda design: float(limit.margin(design.evaluation.by_name()[limit.output]).min())
