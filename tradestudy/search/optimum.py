"""The best design of one choice (set of parts): its variables are optimised by SLSQP with exact derivatives."""

from __future__ import annotations

import numpy as np

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.limit_bounds import ACTIVE_BELOW, MET_ABOVE
from tradestudy.quantities.objectives import WITHOUT_RODS
from tradestudy.quantities.variables import VARIABLES

from .infeasible.least_change import change_problem, least_change
from .scaled_problem import (
    INSIDE,
    LEVEL_MARGIN,
    MOST_EVALUATIONS,
    TOLERANCE,
    ScaledProblem,
    end_of_search,
    slsqp_minimum,
)
from .search_space import SearchSpace
from .search_task import Level, SearchResult, SearchTask, VariableValues, from_json, merit, to_json

__all__ = [
    "INSIDE",
    "ScaledProblem",
    "active_limits",
    "closest_to_feasible",
    "least_violation",
    "run_search",
    "search_result",
    "slsqp_minimum",
    "solve",
]

# Quantities that the cruise speed does not move. They are sought at one speed, so that it cannot be driven off its best
# for a gain within the tolerance; the best speed follows.
_OF_SHAPE = ("flying_weight", "span", "wing_loading", WITHOUT_RODS)
# Factors of the objective in SLSQP, each with the evaluations after which the next one is tried. SLSQP takes the
# curvature of the objective to be one until it has learnt better. Along scaled variables that of a range is some 0.05.
# So its steps would be short: it would need three times as many, or stop 2e-4 before the optimum. From a start beyond a
# curved limit, a steep search may turn back at every step, which a flat one does not.
_STEEPNESS = ((50.0, 15), (1.0, MOST_EVALUATIONS))
_LOOSEST = 10 * TOLERANCE  # tolerance of a steep search: a fifth of `TOLERANCE` on the objective itself
_EQUALLY_GOOD = 1e-4  # share of a quantity; designs this near to its best value count as equally good


def solve(
    space: SearchSpace,
    choice: Choice,
    starts: list[VariableValues],
    fixed: VariableValues | None = None,
    level: Level | None = None,
) -> SearchResult:
    """Return the best result of one choice from several starts; see `SearchTask`. It may be infeasible."""
    return search_result(space, SearchTask("solve", choice, starts, fixed, level))


def closest_to_feasible(space: SearchSpace, near: SearchResult, fixed: VariableValues | None = None) -> SearchResult:
    """Return the design of least violation with a result's choice. The search starts near that result."""
    return search_result(space, SearchTask("least_violation", near.choice, [near.variables], fixed))


def search_result(space: SearchSpace, task: SearchTask) -> SearchResult:
    """Return the result of a task. It is read from the record, or else searched in this process and recorded."""
    if space.record is None:
        return run_search(space, task)
    return from_json(space.record.remembered(space.key(task), lambda: to_json(run_search(space, task))))


def run_search(space: SearchSpace, task: SearchTask) -> SearchResult:
    """Return the result of a task, from a search in this process."""
    space = space.for_task(task)
    if task.kind == "extreme":
        return _extreme(space, task)
    if task.kind == "least_change":
        widened = change_problem(space, task.choice)
        return least_change(widened, widened.scaled(task.starts[0]))
    problem = ScaledProblem(space, task.choice, task.fixed, _levels(task), task.aim, task.relaxed)
    starts = [problem.scaled(start) for start in task.starts]
    if task.kind == "least_violation":
        return least_violation(problem, np.clip(starts[0], INSIDE, 1 - INSIDE))
    return max((_best_from(problem, start) for start in starts), key=merit)


def _best_from(problem: ScaledProblem, x: np.ndarray) -> SearchResult:
    """Return the design at the end of a search from a scaled point."""
    problem.evaluations = 0
    for steepness, problem.allowed in _STEEPNESS:
        x = _end(problem, x, steepness)
        if problem.evaluations < problem.allowed and problem.margins(x).min() > MET_ABOVE:
            break
    problem.allowed += 1
    return problem.result(x)


def _end(problem: ScaledProblem, start: np.ndarray, steepness: float) -> np.ndarray:
    """Return the scaled point where SLSQP ends."""
    end = slsqp_minimum(
        objective=lambda x: steepness * problem.objective(x),
        slope=lambda x: steepness * problem.objective_slope(x),
        start=start,
        bounds=[(0, 1)] * len(start),
        margins=problem.margins,
        margin_slopes=problem.margin_slopes,
        tolerance=min(steepness * TOLERANCE, _LOOSEST),
    )
    return np.clip(end, 0, 1)


def _levels(task: SearchTask) -> list[Level]:
    """Return all levels of a task."""
    return [*([task.level] if task.level else []), *task.levels]


def _extreme(space: SearchSpace, task: SearchTask) -> SearchResult:
    """Return the design best in the quantity ``task.extreme``.

    Among equally good designs, it is the best in ``task.aim``.
    """
    assert task.extreme is not None
    start, fixed = task.starts[0], task.fixed or {}
    held = {"cruise_speed": start["cruise_speed"], **fixed} if task.extreme in _OF_SHAPE else fixed
    problem = ScaledProblem(space, task.choice, held, task.levels, aim=task.extreme)
    first = _best_from(problem, problem.scaled(start))
    if not first.feasible and held != fixed:
        problem = ScaledProblem(space, task.choice, task.fixed, task.levels, aim=task.extreme)
        first = _best_from(problem, problem.scaled(start))
    end = problem.quantity(problem.aim)  # at the last evaluated point, which is the result
    level = task.extreme, end - _EQUALLY_GOOD * problem.aim.sense * max(abs(end), 0.1 * problem.aim.scale)
    refined = run_search(
        space,
        SearchTask(
            "solve",
            task.choice,
            [first.variables],
            fixed=task.fixed,
            level=level,
            aim=task.aim,
            levels=task.levels,
        ),
    )
    if refined.feasible:
        return refined
    problem = ScaledProblem(space, task.choice, task.fixed, task.levels, aim=task.aim)
    return problem.result(problem.scaled(first.variables))


def least_violation(problem: ScaledProblem, x: np.ndarray, only: str | None = None) -> SearchResult:
    """Return the design whose worst scaled margin is greatest. It shows how far an infeasible study is from feasible.

    If ``only`` names a limit, this limit may be violated and all others are constrained.
    """
    n, problem.evaluations = len(x), 0
    problem.margins(x)
    may_give = np.concatenate(
        [
            *(np.full(problem.size(limit), float(only in (None, limit.name))) for limit in problem.limits),
            np.full(len(problem.own.limits) if problem.own else 0, float(only is None)),
        ]
    )
    for _ in range(2):  # SLSQP may stop early where many limits meet; begun again at the end, it goes on
        violation = max(0.0, -float(problem.margins(x)[may_give > 0].min())) + 0.01
        end = end_of_search(  # an additional variable, the violation, is minimised
            problem,
            objective=lambda z: z[n],
            slope=lambda z: np.append(np.zeros(n), 1.0),
            start=np.append(x, violation),
            bounds=[(0, 1)] * n + [(0, None)],
            margins=lambda z: problem.margins(z[:n]) + z[n] * may_give,
            margin_slopes=lambda z: np.column_stack([problem.margin_slopes(z[:n]), may_give]),
        )
        x = np.clip(end[:n], 0, 1)
        if problem.evaluations >= MOST_EVALUATIONS:
            break
    return problem.result(x)


def active_limits(space: SearchSpace, result: SearchResult) -> list[str]:
    """Return the names of the limits and bounds that are active at a design, smallest margin first."""
    by_margin = sorted((float(value.min()), name) for name, value in result.margins.items())
    names = [name for margin, name in by_margin if margin < ACTIVE_BELOW and name != LEVEL_MARGIN]
    for name in result.at_bound:
        low, high = space.bounds_of(result.choice)[name]
        value = result.variables[name]
        names.append(VARIABLES[name].bound_name(high=abs(value - low) >= abs(value - high)))
    return names
