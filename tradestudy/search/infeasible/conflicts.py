"""Why a study has no feasible design: a smallest set of conflicting limits, and how far to relax each of them.

A set of limits conflicts if no design meets all of them. It is smallest if a design exists once any one limit is
removed. The deletion filter of Chinneck and Dravnieks (1991) removes limits in turn. It starts from the limits that are
active at the design of least violation. Searches follow gradients. So "no design" means that searches from that design
and from the middle of the bounds ended without one.
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
from tradestudy.physics.flight.trimmed_flight import FULL_SPEED_SHARE
from tradestudy.quantities.variables import VARIABLES

from ..optimum import least_violation
from ..scaled_problem import INSIDE, ScaledProblem
from ..search_space import SearchSpace
from ..search_task import SearchResult

_CHOICES_TRIED = 3  # choices tried, least violation first; the smallest relaxation is reported
_AT_WORST = 1e-3  # difference of scaled margins; limits nearer than this to the worst one count as active
_LEAST_SHARE = 1e-6  # multipliers below this are dropped; all sum to one
_MIDDLE_START_ABOVE = -0.05  # scaled margin; a set missed by less is searched again from the middle of the bounds
_STEP_BACK = 0.1  # step from a sufficient stall speed towards the required one, as a share of their difference
_AT_BOUND = 1e-4  # a scaled variable nearer than this to 0 or 1 counts as at its bound
_ROUNDS = 4  # largest number of such steps


class LimitRelaxation(NamedTuple):
    """A limit, a bound that makes the study feasible, and the choice of parts with which it does.

    The bound is in SI units. That of stall and top speed is in m/s; that of cruise is cruise speed over stall speed.
    """

    limit: Limit
    bound: float
    choice: Choice


class Conflict(NamedTuple):
    """Sentences, without full stops, on conflicting limits and how far to relax each alone, and those relaxations."""

    lines: list[str]
    relaxations: list[LimitRelaxation]

    @property
    def one_suffices(self) -> bool:
        """Whether relaxing one limit is enough."""
        return bool(self.relaxations)


def conflict(space: SearchSpace, ranked: list[SearchResult]) -> Conflict:
    """Return the conflicting limits.

    ``ranked`` holds the result of every choice, least violation first. None is feasible.
    """
    conflicting = smallest_conflict(space, ranked[0])
    relaxations = [least_relaxation(space, ranked[:_CHOICES_TRIED], limit.name) for limit in conflicting]
    bounds = _active_bounds(space, ranked[0], conflicting)
    lines = conflict_sentences(space, conflicting, relaxations, ranked[0].choice, bounds)
    return Conflict(lines, [each for each in relaxations if each is not None])


# --- the smallest set --------------------------------------------------------------------------------------


def smallest_conflict(space: SearchSpace, result: SearchResult) -> list[Limit]:
    """Return a smallest set of limits that no design with the result's choice meets."""
    limits = {limit.name: limit for limit in space.limits(result.choice)}
    kept = _conflicting_set(space, result, list(limits))
    for name in list(kept):
        rest = [other for other in kept if other != name]
        if rest and not _best_for_limits(space, result, rest).feasible:
            kept = rest
    return [limits[name] for name in limits if name in kept]


def _conflicting_set(space: SearchSpace, result: SearchResult, every: list[str]) -> list[str]:
    """Return names of conflicting limits, smallest multiplier first.

    These are the limits active at the least violation, or all if those do not conflict.
    """
    problem = ScaledProblem(space, result.choice)
    multipliers = _multipliers(problem, problem.scaled(least_violation(problem, _inside(problem, result)).variables))
    active = [name for name in sorted(multipliers, key=lambda name: multipliers[name]) if name in every]
    if active and not _best_for_limits(space, result, active).feasible:
        return active
    worst = {limit.name: float(limit.margin(problem.model.value(limit.output)).min()) for limit in problem.limits}
    return sorted(every, key=lambda name: -worst[name])


def _multipliers(problem: ScaledProblem, x: np.ndarray) -> dict[str, float]:
    """Return multipliers of limits, and of bounds of variables ("least sweep"), at a design of least violation.

    There the worst margin cannot be improved. So a weighted sum of the gradients of the worst margins and active bounds
    vanishes (Kuhn and Tucker). The multipliers are its weights.
    """
    margins, slopes = problem.margins(x), problem.margin_slopes(x)
    near = margins < margins.min() + _AT_WORST
    names = np.array([limit.name for limit in problem.limits for _ in range(problem.size(limit))])[near].tolist()
    eye, least, most = np.eye(len(x)), x < _AT_BOUND, x > 1 - _AT_BOUND
    columns = np.hstack([slopes[near].T, eye[:, least], -eye[:, most]])
    sums = np.append(np.ones(len(names)), np.zeros(least.sum() + most.sum()))
    names += [
        f"{end} {VARIABLES[name].words}"
        for end, at in (("least", least), ("most", most))
        for name in np.array(problem.free)[at]
    ]
    shares = nnls(np.vstack([columns, sums]), np.append(np.zeros(len(x)), 1.0))[0]
    multipliers: dict[str, float] = {}
    for name, share in zip(names, shares, strict=True):
        if share > _LEAST_SHARE:
            multipliers[name] = multipliers.get(name, 0.0) + float(share)
    return multipliers


def _active_bounds(space: SearchSpace, result: SearchResult, conflicting: list[Limit]) -> list[str]:
    """Return the bounds of variables, such as "least sweep", that take part in a conflict."""
    names = [limit.name for limit in conflicting]
    problem = _problem_of_limits(space, result.choice, names)
    x = problem.scaled(least_violation(problem, _inside(problem, result)).variables)
    return [name for name in _multipliers(problem, x) if name not in names]


def _problem_of_limits(space: SearchSpace, choice: Choice, names: list[str]) -> ScaledProblem:
    """Return the search problem of a choice with the named limits only."""
    problem = ScaledProblem(space, choice)
    problem.limits = [limit for limit in problem.limits if limit.name in names]
    return problem


def _inside(problem: ScaledProblem, result: SearchResult) -> np.ndarray:
    return np.clip(problem.scaled(result.variables), INSIDE, 1 - INSIDE)


def _best_for_limits(space: SearchSpace, result: SearchResult, names: list[str]) -> SearchResult:
    """Return the design of least violation of the named limits. It is feasible if it meets all of them."""
    problem = _problem_of_limits(space, result.choice, names)
    best = least_violation(problem, _inside(problem, result))
    if not best.feasible and best.worst_margin > _MIDDLE_START_ABOVE:
        best = least_violation(problem, np.full(len(problem.free), 0.5))
    return best


# --- how far to relax each limit ---------------------------------------------------------------------------


def least_relaxation(space: SearchSpace, results: list[SearchResult], name: str) -> LimitRelaxation | None:
    """Return the smallest relaxation of one limit with which all others can be met, or None if there is none."""
    relaxations = []
    for result in results:
        design = _least_violation_of(space, result, name)
        if design is not None:
            limit = next(limit for limit in space.limits(result.choice) if limit.name == name)
            if name == "slowest_flight":
                bound = _least_stall_speed(space, design)
            else:
                bound = sufficient_bound(space, design, limit)
            relaxation = LimitRelaxation(limit, bound, result.choice)
            relaxations.append((-float(design.margins[name].min()), relaxation))
    return min(relaxations, key=lambda each: each[0])[1] if relaxations else None


def _least_violation_of(space: SearchSpace, result: SearchResult, name: str) -> SearchResult | None:
    """Return the design that violates one limit least and meets all others, or None if there is none."""
    problem, start = ScaledProblem(space, result.choice), result.variables
    for _ in range(2):
        first = least_violation(problem, problem.scaled(start), name)
        second = least_violation(problem, problem.scaled(first.variables), name)  # a search may stop slightly early
        ends = [
            end
            for end in (first, second)
            if all(margin.min() > MET_ABOVE for other, margin in end.margins.items() if other != name)
        ]
        if ends:
            return max(ends, key=lambda end: float(end.margins[name].min()))
        without = _best_for_limits(space, result, [limit.name for limit in problem.limits if limit.name != name])
        if not without.feasible:
            break
        start = without.variables
    return None


def sufficient_bound(space: SearchSpace, design: SearchResult, limit: Limit) -> float:
    """Return the bound of a limit, SI, that ``design`` meets; that of the stall is a speed, of cruise a multiple."""
    if limit.name == "slowest_flight":
        return _stall_ahead(space, design)
    if limit.name == "cruise_over_stall":
        return design.variables["cruise_speed"] / _speed_sweep(space, design).stall().speed
    if limit.name == "full_speed":
        sweep = _speed_sweep(space, design)
        return sweep.top_speed(1.02 * sweep.stall().speed)
    return limit.bound + limit.sign * limit.scale * float(design.margins[limit.name].min())


def _speed_sweep(space: SearchSpace, result: SearchResult) -> SpeedSweep:
    return SpeedSweep(space.data(result.choice), result.choice, result.variables)


def _least_stall_speed(space: SearchSpace, design: SearchResult) -> float:
    """Return the lowest stall speed with which a choice meets all other limits. [m/s]

    ``design`` misses the least lift at the required speed. This is almost, but not exactly, the design that misses the
    least speed. So the search is repeated at speeds just below a sufficient one, until a speed is too low.
    """
    sufficient = _stall_ahead(space, design)
    for _ in range(_ROUNDS):
        required = sufficient - _STEP_BACK * (sufficient - space.slowest_speed)
        closer = replace(space, slowest_speed=required, _data={}, _models={})
        nearer = _least_violation_of(closer, design, "slowest_flight")
        if nearer is None:
            break
        if not nearer.feasible:
            return min(sufficient, _stall_ahead(closer, nearer))
        design, sufficient = nearer, required
    return sufficient


def _stall_ahead(space: SearchSpace, design: SearchResult) -> float:
    sweep = _speed_sweep(space, design)
    return sweep.stall(sweep.margin_ahead).speed


# --- sentences ---------------------------------------------------------------------------------------------


def conflict_sentences(
    space: SearchSpace,
    conflicting: list[Limit],
    relaxations: list[LimitRelaxation | None],
    choice: Choice,
    bounds: list[str],
) -> list[str]:
    """Return one sentence on the conflict, and one for each limit with the bound that would suffice.

    ``choice`` is the choice of parts with this conflict. ``bounds`` names the bounds of variables that take part in it.
    """
    several = len(space.choices) > 1
    required = [f"{limit_name(limit)} {limit.declared.side} {bound_text(space, limit, None)}" for limit in conflicting]
    verdict = {1: "cannot be had", 2: "cannot both hold"}.get(len(required), "cannot all hold")
    suffix = f", with {choice.words}" if several else ""
    if bounds:
        suffix += f"; the {_listed(bounds)} that the study allows {'take' if len(bounds) > 1 else 'takes'} part in it"
    lines = [f"{_listed(required)} {verdict}, even with every other limit dropped{suffix}"]
    for limit, each in zip(conflicting, relaxations, strict=True):
        if each is None:
            lines.append(f"letting the {limit_name(limit)} go, however far, would not do by itself")
        else:
            parts = f", with {each.choice.words}" if several else ""
            lines.append(
                f"letting the {limit_name(limit)} go to {bound_text(space, each.limit, each.bound)} would do{parts}"
            )
    return lines


def limit_name(limit: Limit) -> str:
    """Return the words for a limit where limits conflict."""
    return limit.declared.conflict_words(limit.words)


def _listed(phrases: list[str]) -> str:
    return " and ".join([", ".join(phrases[:-1]), phrases[-1]] if len(phrases) > 1 else phrases)


def bound_text(space: SearchSpace, limit: Limit, relaxed: float | None) -> str:
    """Return the bound in the study, or a relaxed one [SI], as text with its unit.

    A relaxed bound has enough digits to show the difference. It is rounded to the side that suffices.
    """
    bound, known = required_bound(space, limit), limit.declared.quantity
    values = [known.in_unit(value) for value in (bound, bound if relaxed is None else relaxed)]
    first, second = [-value for value in values] if limit.declared.reported_negated else values
    text = f"{first:.4g}"
    if relaxed is not None and first != second:
        digits = max(0, 2 - math.floor(math.log10(abs(second - first))))
        outward = math.ceil if second > first else math.floor
        text = f"{outward(round(second * 10**digits, 6)) / 10**digits:.{digits}f}"
    return f"{text} {known.unit}".strip()


def required_bound(space: SearchSpace, limit: Limit) -> float:
    """Return the bound in the study, SI: a speed for slow and full-throttle flight, a ratio for cruise speed."""
    if limit.name == "slowest_flight":
        return space.slowest_speed
    if limit.name == "full_speed":
        return FULL_SPEED_SHARE * space.study.fly.never_exceed_speed
    return space.study.fly.cruise_over_stall if limit.name == "cruise_over_stall" else limit.bound
