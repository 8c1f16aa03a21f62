"""The best design of one choice (set of parts): its variables are optimised by SLSQP with exact derivatives."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from scipy.optimize import minimize

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.limit_bounds import ACTIVE_BELOW, MET_ABOVE, Limit, condition_place
from tradestudy.quantities.objectives import TRADED, WEIGHT, TradeQuantity, purpose_quantity
from tradestudy.quantities.variables import VARIABLES

from .posed_problem import posing
from .search_space import SearchSpace
from .search_task import Level, SearchResult, SearchTask, VariableValues, from_json, merit, to_json

_MOST_ITERATIONS = 40
TOLERANCE = 1e-7  # tolerance on the scaled objective: less than a metre of range, or a second of flight time
INSIDE = 0.02  # scaled variables start between this and 1 minus this in a search for the least violation
LEVEL_MARGIN = "asked_level"  # name of the margin of a task's level, which is not a limit of the study
_EQUALLY_GOOD = 1e-4  # share of a quantity; designs this near to its best value count as equally good
_MOST_EVALUATIONS = 45  # evaluations in one search; a feasible one takes 5 to 30, a stuck one would take hundreds


class EvaluationsSpent(Exception):
    """Error: a search has used all its evaluations. An objective or margin raises it."""


def slsqp_minimum(
    objective: Callable[[Any], Any],
    slope: Callable[[Any], Any],
    start: np.ndarray,
    bounds: Sequence[tuple[float | None, float | None]],
    margins: Callable[[Any], Any] | None = None,
    margin_slopes: Callable[[Any], Any] | None = None,
    tolerance: float = TOLERANCE,
    iterations: int = _MOST_ITERATIONS,
) -> np.ndarray:
    """Return the point (n,) where SLSQP ends, or its last point if ``objective`` raises `EvaluationsSpent`.

    ``slope`` returns the gradient (n,). ``margins`` returns (m,), not negative where limits are met, and
    ``margin_slopes`` its derivatives (m, n). Variables, objective and margins should be of order one. The method is
    that of scipy, from D. Kraft, A Software Package for Sequential Quadratic Programming, DFVLR-FB 88-28, 1988 (from
    memory).
    """
    last = start

    def watched_objective(x):
        nonlocal last
        last = np.array(x)
        return objective(x)

    limits = [] if margins is None else [{"type": "ineq", "fun": margins, "jac": margin_slopes}]
    options = {"maxiter": iterations, "ftol": tolerance}
    try:
        return minimize(
            watched_objective, start, jac=slope, method="SLSQP", bounds=bounds, constraints=limits, options=options
        ).x
    except EvaluationsSpent:
        return last


class ScaledProblem:
    """The search problem of one choice.

    Variables are scaled to 0..1 between their bounds; margins are positive when met.

    ``fixed`` holds variables of fixed value. If ``level`` is given, it adds a limit on one quantity. If ``aim`` is
    given, it names the quantity to maximise instead of the study's. ``relaxed`` turns numbers of the choice into
    variables, each between two bounds.
    """

    def __init__(
        self,
        space: SearchSpace,
        choice: Choice,
        fixed: VariableValues | None = None,
        level: Level | None = None,
        aim: str | None = None,
        relaxed: dict[str, tuple[float, float]] | None = None,
    ):
        self.space, self.choice, self.fixed, self.level = space, choice, fixed or {}, level
        self.aim = TRADED[aim or purpose_quantity(space.study.fly.purpose)]
        traded = [self.aim, *([TRADED[level[0]]] if level else [])]
        self.model = space.model(choice, any(each.output == "usual_time" for each in traded))
        self.bounds, self.free, self.limits = posing(space, choice, fixed, relaxed)
        self.low = np.array([self.bounds[name][0] for name in self.free])
        self.width = np.array([self.bounds[name][1] - self.bounds[name][0] for name in self.free])
        self.outputs = sorted(
            {"all_up_mass"}
            | {limit.output for limit in self.limits}
            | {name for each in traded for name in _outputs(each)}
        )
        self._traded = {name: each for name, each in TRADED.items() if each.output != "usual_time" or self.model.usual}
        self.evaluations, self.allowed = 0, _MOST_EVALUATIONS
        self._values_at: np.ndarray | None = None
        self._slopes_at: np.ndarray | None = None

    def variables(self, x: np.ndarray) -> VariableValues:
        """Return the SI values of all variables at a scaled point."""
        values = {name: low for name, (low, _) in self.bounds.items()} | self.fixed
        values.update(zip(self.free, (self.low + x * self.width).tolist(), strict=True))
        return values

    def scaled(self, variables: VariableValues) -> np.ndarray:
        """Return the scaled point (n,) of variables, clipped to the bounds."""
        return np.clip((np.array([variables[name] for name in self.free]) - self.low) / self.width, 0, 1)

    def _evaluate(self, x):
        if self._values_at is not None and np.array_equal(self._values_at, x):
            return
        if self.evaluations >= self.allowed:
            raise EvaluationsSpent
        self.model.run(self.choice, self.variables(x), slopes_ahead=True)
        self._values_at, self._slopes_at = np.array(x), None
        self.evaluations += 1
        names = {name for each in self._traded.values() for name in _outputs(each)}
        self._values = {name: self.model.value(name) for name in names.union(self.outputs)}

    def _evaluate_slopes(self, x):
        self._evaluate(x)
        if self._slopes_at is None:
            totals = self.model.slopes(self.outputs, self.free)
            self._slopes = {
                name: np.stack([totals[name, free] for free in self.free], axis=-1) * self.width
                for name in self.outputs
            }
            self._slopes_at = self._values_at

    def objective(self, x):
        """Return minus the scaled quantity to maximise."""
        self._evaluate(x)
        return -self.aim.sense * self.quantity(self.aim) / self.aim.scale

    def objective_slope(self, x):
        """Return the gradient of the objective (n,)."""
        self._evaluate_slopes(x)
        return -self.aim.sense * self._quantity_slope(self.aim) / self.aim.scale

    def quantity(self, traded: TradeQuantity) -> float:
        """Return a quantity at the last evaluated point, SI."""
        if traded.output in VARIABLES:
            assert self._values_at is not None
            return self.variables(self._values_at)[traded.output]
        value = np.ravel(self._values[traded.output])[condition_place(traded.condition) or 0]
        return float(value / self._values[traded.per] if traded.per else value)

    def _quantity_slope(self, traded: TradeQuantity) -> np.ndarray:
        if traded.output in VARIABLES:
            return np.where(np.array(self.free) == traded.output, self.width, 0.0)
        slope = self._slopes[traded.output].reshape(-1, len(self.free))[condition_place(traded.condition) or 0]
        if traded.per is None:
            return slope
        divisor = self._values[traded.per]
        return (slope - self.quantity(traded) * self._slopes[traded.per].reshape(-1)) / divisor

    def margins(self, x):
        """Return all margins as one array (n_margin,)."""
        self._evaluate(x)
        margins = [limit.margin(self._values[limit.output]) for limit in self.limits]
        return np.concatenate([*margins, *([self._level_margin()] if self.level else [])])

    def _level_margin(self) -> np.ndarray:
        assert self.level is not None
        traded, worst = TRADED[self.level[0]], self.level[1]
        return np.array([traded.sense * (self.quantity(traded) - worst) / traded.scale])

    def size(self, limit: Limit) -> int:
        """Return the number of elements in a limit's margin, at the last evaluated point."""
        return len(limit.margin(self._values[limit.output]))

    def margin_slopes(self, x):
        """Return the derivatives of all margins (n_margin, n)."""
        self._evaluate_slopes(x)
        slopes = [
            np.stack([limit.margin_slope(column) for column in self._slopes[limit.output].T], axis=-1)
            for limit in self.limits
        ]
        if self.level:
            traded = TRADED[self.level[0]]
            slopes.append(traded.sense * self._quantity_slope(traded)[None] / traded.scale)
        return np.concatenate(slopes)

    def result(self, x) -> SearchResult:
        """Return the design at a scaled point with all its margins."""
        self._evaluate(x)
        margins = {limit.name: limit.margin(self._values[limit.output]) for limit in self.limits}
        if self.level:
            margins[LEVEL_MARGIN] = self._level_margin()
        traded = {name: self.quantity(each) for name, each in self._traded.items()}
        return SearchResult(
            choice=self.choice,
            variables=self.variables(x),
            range=traded["range"],
            gain=self.aim.sense * self.quantity(self.aim),
            margins=margins,
            at_bound=[name for name, value in zip(self.free, x, strict=True) if value < 1e-4 or value > 1 - 1e-4],
            feasible=min(float(value.min()) for value in margins.values()) > MET_ABOVE,
            evaluations=self.evaluations,
            all_up_mass=traded[WEIGHT],
            traded=traded,
        )


def _outputs(traded: TradeQuantity) -> list[str]:
    """Return the model outputs from which a quantity is computed. Variables are not outputs."""
    return [name for name in traded.outputs if name not in VARIABLES]


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
    if task.kind == "extreme":
        return _extreme(space, task)
    problem = ScaledProblem(space, task.choice, fixed=task.fixed, level=task.level, aim=task.aim, relaxed=task.relaxed)
    starts = [problem.scaled(start) for start in task.starts]
    if task.kind == "least_violation":
        return least_violation(problem, np.clip(starts[0], INSIDE, 1 - INSIDE))
    return max((_best_from(problem, start) for start in starts), key=merit)


def _best_from(problem: ScaledProblem, x: np.ndarray) -> SearchResult:
    """Return the design at the end of a search from a scaled point."""
    end = _end_of_search(
        problem,
        objective=problem.objective,
        slope=problem.objective_slope,
        start=x,
        bounds=[(0, 1)] * len(x),
        margins=problem.margins,
        margin_slopes=problem.margin_slopes,
    )
    return problem.result(np.clip(end, 0, 1))


def _end_of_search(problem: ScaledProblem, **posed: Any) -> np.ndarray:
    """Return the point where SLSQP ends. The count of evaluations starts again. One more is allowed for the result."""
    problem.evaluations, problem.allowed = 0, _MOST_EVALUATIONS
    end = slsqp_minimum(**posed)
    problem.allowed += 1
    return end


def _extreme(space: SearchSpace, task: SearchTask) -> SearchResult:
    """Return the design best in the quantity ``task.extreme``.

    Among equally good designs, it is the best in ``task.aim``.
    """
    assert task.extreme is not None
    problem = ScaledProblem(space, task.choice, task.fixed, aim=task.extreme)
    first = _best_from(problem, problem.scaled(task.starts[0]))
    end = first.traded[task.extreme]
    level = task.extreme, end - _EQUALLY_GOOD * problem.aim.sense * max(abs(end), 0.1 * problem.aim.scale)
    refined = run_search(
        space, SearchTask("solve", task.choice, [first.variables], fixed=task.fixed, level=level, aim=task.aim)
    )
    if refined.feasible:
        return refined
    problem = ScaledProblem(space, task.choice, task.fixed, aim=task.aim)
    return problem.result(problem.scaled(first.variables))


def least_violation(problem: ScaledProblem, x: np.ndarray, only: str | None = None) -> SearchResult:
    """Return the design whose worst scaled margin is greatest. It shows how far an infeasible study is from feasible.

    If ``only`` names a limit, this limit may be violated and all others are constrained.
    """
    n, problem.evaluations = len(x), 0
    problem.margins(x)
    may_give = np.concatenate(
        [np.full(problem.size(limit), float(only in (None, limit.name))) for limit in problem.limits]
    )
    for _ in range(2):  # SLSQP may stop early where many limits meet; begun again at the end, it goes on
        violation = max(0.0, -float(problem.margins(x)[may_give > 0].min())) + 0.01
        end = _end_of_search(  # an additional variable, the violation, is minimised
            problem,
            objective=lambda z: z[n],
            slope=lambda z: np.append(np.zeros(n), 1.0),
            start=np.append(x, violation),
            bounds=[(0, 1)] * n + [(0, None)],
            margins=lambda z: problem.margins(z[:n]) + z[n] * may_give,
            margin_slopes=lambda z: np.column_stack([problem.margin_slopes(z[:n]), may_give]),
        )
        x = np.clip(end[:n], 0, 1)
        if problem.evaluations >= _MOST_EVALUATIONS:
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
