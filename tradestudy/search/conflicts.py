"""Why a study has no answer: a smallest set of limits that conflict, and by how little each would have to give.

A set conflicts when no design meets all of it and is smallest when it no longer does with any one limit left out; it is
found by leaving out one after another (the deletion filter of Chinneck and Dravnieks 1991), among the limits that hold
the least broken design. Searches are by gradient: "no design" means that none was found from there or from the middle.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from scipy.optimize import nnls

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.limit_bounds import MET_ABOVE, Limit
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.physics.flight.trimmed_flight import CRUISE_OVER_SLOW, FULL_SPEED_SHARE
from tradestudy.quantities.variables import VARIABLES

from .optimum import INSIDE, Pose, least_broken
from .search_space import Space
from .search_task import Answer

LOOKED_AT = 3  # choices, least broken first, of which the one that asks for the least is told
AT_WORK = 1e-3  # scaled margin above the worst one
LEAST_SHARE = 1e-6  # of the multipliers, which sum to one
WORTH_THE_MIDDLE = -0.05  # scaled margin; a set missed by less is tried once more from the middle of the box
NEARER = 0.1  # of the way back from a stall speed that would do towards the one asked for
AT_BOUND = 1e-4  # of the box
ROUNDS = 4  # at most, of that


class Relaxed(NamedTuple):
    """A limit, the bound at which it gives enough (SI; stall and top speed as speeds, cruise as a ratio), and parts."""

    limit: Limit
    bound: float
    choice: Choice


def conflict(space: Space, ranked: list[Answer]) -> tuple[list[str], bool]:
    """Return which limits conflict and by how much each alone would have to give, and whether any alone would do.

    ``ranked``: answers of every choice, none feasible, least broken first. Sentences come without their full stop.
    """
    together = smallest_conflict(space, ranked[0])
    relaxed = [least_relaxation(space, ranked[:LOOKED_AT], limit.name) for limit in together]
    held = bounds_at_work(space, ranked[0], together)
    return sentences(space, together, relaxed, ranked[0].choice, held), any(relaxed)


# --- the smallest set --------------------------------------------------------------------------------------


def smallest_conflict(space: Space, answer: Answer) -> list[Limit]:
    """Return limits of an answer's choice that no design meets together, though any but one of them can be met."""
    limits = {limit.name: limit for limit in space.limits(answer.choice)}
    kept = _starting_set(space, answer, list(limits))
    for name in list(kept):
        rest = [other for other in kept if other != name]
        if rest and not met(space, answer, rest).feasible:
            kept = rest
    return [limits[name] for name in limits if name in kept]


def _starting_set(space: Space, answer: Answer, everything: list[str]) -> list[str]:
    """Return limits that already conflict, least pressing first: those that hold the least broken design, or all."""
    pose = Pose(space, answer.choice)
    pressing = _pressing(pose, pose.scaled(least_broken(pose, _inside(pose, answer)).variables))
    held = [name for name in sorted(pressing, key=lambda name: pressing[name]) if name in everything]
    if held and not met(space, answer, held).feasible:
        return held
    worst = {limit.name: float(limit.margin(pose.model.value(limit.output)).min()) for limit in pose.limits}
    return sorted(everything, key=lambda name: -worst[name])


def _pressing(pose: Pose, x: np.ndarray) -> dict[str, float]:
    """Return multipliers of the limits, and of ends of variables ("least sweep"), that hold a least broken design.

    Its worst margin cannot be bettered: a sum of slopes of the worst ones vanishes, but for bounds (Kuhn and Tucker).
    """
    margins, slopes = pose.margins(x), pose.margin_slopes(x)
    near = margins < margins.min() + AT_WORK
    names = np.array([limit.name for limit in pose.limits for _ in range(pose.size(limit))])[near].tolist()
    eye, least, most = np.eye(len(x)), x < AT_BOUND, x > 1 - AT_BOUND
    columns = np.hstack([slopes[near].T, eye[:, least], -eye[:, most]])
    sums = np.append(np.ones(len(names)), np.zeros(least.sum() + most.sum()))
    names += [
        f"{end} {VARIABLES[name].words}"
        for end, at in (("least", least), ("most", most))
        for name in np.array(pose.free)[at]
    ]
    shares = nnls(np.vstack([columns, sums]), np.append(np.zeros(len(x)), 1.0))[0]
    found: dict[str, float] = {}
    for name, share in zip(names, shares, strict=True):
        if share > LEAST_SHARE:
            found[name] = found.get(name, 0.0) + float(share)
    return found


def bounds_at_work(space: Space, answer: Answer, together: list[Limit]) -> list[str]:
    """Return which ends of what is free, such as "least sweep", keep a conflicting set from being met."""
    pose, names = Pose(space, answer.choice), [limit.name for limit in together]
    pose.limits = [limit for limit in pose.limits if limit.name in names]
    return [
        name
        for name in _pressing(pose, pose.scaled(least_broken(pose, _inside(pose, answer)).variables))
        if name not in names
    ]


def _inside(pose: Pose, answer: Answer) -> np.ndarray:
    return np.clip(pose.scaled(answer.variables), INSIDE, 1 - INSIDE)


def met(space: Space, answer: Answer, names: list[str]) -> Answer:
    """Return a design of an answer's choice that meets these limits, the others left out; not feasible if none does."""
    pose = Pose(space, answer.choice)
    pose.limits = [limit for limit in pose.limits if limit.name in names]
    found = least_broken(pose, _inside(pose, answer))
    if not found.feasible and found.worst > WORTH_THE_MIDDLE:
        found = least_broken(pose, np.full(len(pose.free), 0.5))
    return found


# --- what each would have to give --------------------------------------------------------------------------


def least_relaxation(space: Space, answers: list[Answer], name: str) -> Relaxed | None:
    """Return the least by which one limit alone has to give for a design that meets all others; None if none does."""
    found = []
    for answer in answers:
        given = _given_way(space, answer, name)
        if given is not None:
            limit = next(limit for limit in space.limits(answer.choice) if limit.name == name)
            bound = _bound(space, given, limit)
            found.append((-float(given.margins[name].min()), Relaxed(limit, bound, answer.choice)))
    return min(found, key=lambda each: each[0])[1] if found else None


def _given_way(space: Space, answer: Answer, name: str) -> Answer | None:
    """Return the design that asks for the least of one limit and meets all others; None where there is none."""
    pose, start = Pose(space, answer.choice), answer.variables
    for _ in range(2):
        found = least_broken(pose, pose.scaled(start), name)
        again = least_broken(pose, pose.scaled(found.variables), name)  # a search may stop a little early
        ends = [
            end
            for end in (found, again)
            if all(margin.min() > MET_ABOVE for other, margin in end.margins.items() if other != name)
        ]
        if ends:
            return max(ends, key=lambda end: float(end.margins[name].min()))
        without = met(space, answer, [limit.name for limit in pose.limits if limit.name != name])
        if not without.feasible:
            break
        start = without.variables
    return None


def _bound(space: Space, given: Answer, limit: Limit) -> float:
    """Return the bound of a limit that a design found by `_given_way` keeps; SI."""
    if limit.name == "slowest_flight":
        return _least_stall_speed(space, given)
    if limit.name == "cruise_over_stall":
        return given.variables["cruise_speed"] / _flown(space, given).stall().speed
    if limit.name == "full_speed":
        return _flown(space, given).top_speed(1.02 * _flown(space, given).stall().speed)
    return limit.bound + limit.sign * limit.scale * float(given.margins[limit.name].min())


def _flown(space: Space, answer: Answer) -> SpeedSweep:
    return SpeedSweep(space.data(answer.choice), answer.choice, answer.variables)


def _least_stall_speed(space: Space, given: Answer) -> float:
    """Return the least stall speed with which a choice meets all other limits. [m/s]

    The least lift missing at the speed asked for is nearly, not quite, the least speed missing: it is looked for again
    at a speed close to what would do, until that is too little.
    """
    enough = _flown(space, given).stall().speed
    for _ in range(ROUNDS):
        asked = enough - NEARER * (enough - space.slowest)
        closer = replace(space, slowest=asked, _data={}, _models={})
        found = _given_way(closer, given, "slowest_flight")
        if found is None:
            break
        if not found.feasible:
            return min(enough, _flown(closer, found).stall().speed)
        given, enough = found, asked
    return enough


# --- in words ----------------------------------------------------------------------------------------------


def sentences(
    space: Space, together: list[Limit], relaxed: list[Relaxed | None], choice: Choice, held: list[str]
) -> list[str]:
    """Return what conflicts, and of each limit what would do.

    ``choice`` is the one in which the conflict was found, ``held`` the ends of what is free that take part in it.
    """
    several = len(space.choices) > 1
    asked = [f"{_name(limit)} {limit.declared.side} {_figure(space, limit, None)}" for limit in together]
    hold = {1: "cannot be had", 2: "cannot both hold"}.get(len(asked), "cannot all hold")
    who = f", with {choice.words}" if several else ""
    if held:
        who += f" (the {_listed(held)} that the study allows {'take' if len(held) > 1 else 'takes'} part in it)"
    lines = [f"{_listed(asked)} {hold}, even with every other limit dropped{who}"]
    for limit, each in zip(together, relaxed, strict=True):
        if each is None:
            lines.append(f"letting the {_name(limit)} go, however far, would not do by itself")
        else:
            parts = f", with {each.choice.words}" if several else ""
            lines.append(f"letting the {_name(limit)} go to {_figure(space, each.limit, each.bound)} would do{parts}")
    return lines


def _name(limit: Limit) -> str:
    return limit.declared.conflict_words(limit.words)


def _listed(phrases: list[str]) -> str:
    return " and ".join([", ".join(phrases[:-1]), phrases[-1]] if len(phrases) > 1 else phrases)


def _figure(space: Space, limit: Limit, relaxed: float | None) -> str:
    """Return a bound with its unit; a relaxed one with digits that show how far it gave, rounded to where it does."""
    asked, known = _asked(space, limit), limit.declared.quantity
    values = [known.in_unit(value) for value in (asked, asked if relaxed is None else relaxed)]
    first, second = [-value for value in values] if limit.declared.reported_negated else values
    text = f"{first:.4g}"
    if relaxed is not None and first != second:
        digits = max(0, 2 - math.floor(math.log10(abs(second - first))))
        outward = math.ceil if second > first else math.floor
        text = f"{outward(round(second * 10**digits, 6)) / 10**digits:.{digits}f}"
    return f"{text} {known.unit}".strip()


def _asked(space: Space, limit: Limit) -> float:
    """Return the bound asked for; of slow and full-throttle flight as a speed [m/s], of cruise as a ratio."""
    if limit.name == "slowest_flight":
        return space.slowest
    if limit.name == "full_speed":
        return FULL_SPEED_SHARE * space.study.fly.never_exceed_speed
    return CRUISE_OVER_SLOW if limit.name == "cruise_over_stall" else limit.bound
