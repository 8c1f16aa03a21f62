"""The search problem of one choice (set of parts), scaled, with exact derivatives, and SLSQP that searches it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np
from scipy.optimize import minimize

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.limit_bounds import MET_ABOVE, Limit, condition_place
from tradestudy.physics.flight.records import STEP
from tradestudy.quantities.objectives import (
    PRICE,
    PRICED,
    SEARCHED,
    TRADED,
    WEIGHT,
    TradeQuantity,
    purpose_quantity,
)
from tradestudy.quantities.variables import VARIABLES

from .search_space import SearchSpace
from .search_task import Level, SearchResult, VariableValues

_MOST_ITERATIONS = 40
TOLERANCE = 1e-7  # tolerance on the scaled objective: less than a metre of range, or a second of flight time
_NARROWEST = 1e-9  # a variable is fixed if its bounds are closer than this
INSIDE = 0.02  # scaled variables start between this and 1 minus this in a search for the least violation
LEVEL_MARGIN = "asked_level"  # name of the margins of a task's levels, which are not limits of the study
MOST_EVALUATIONS = 45  # evaluations in one search; a feasible one takes 5 to 30, a stuck one would take hundreds


class Posing(NamedTuple):
    """The variables, bounds and limits of one choice, SI."""

    bounds: dict[str, tuple[float, float]]  # lower and upper bound of every variable
    free: list[str]  # variables that may vary
    limits: list[Limit]


def posing(
    space: SearchSpace,
    choice: Choice,
    fixed: dict[str, float] | None = None,
    more_bounds: dict[str, tuple[float, float]] | None = None,
) -> Posing:
    """Return variables, bounds and limits of a choice. Variables in ``fixed`` are not free.

    ``more_bounds`` adds variables.
    """
    bounds = space.bounds_of(choice) | (more_bounds or {})
    free = [name for name, (low, high) in bounds.items() if high - low > _NARROWEST and name not in (fixed or {})]
    return Posing(bounds, free, space.limits(choice))


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

    ``fixed`` holds variables of fixed value. Each of ``levels`` adds a limit on one quantity. If ``aim`` is given, it
    names the quantity to maximise instead of the study's. ``relaxed`` turns numbers of the choice into variables, each
    between two bounds.
    """

    def __init__(
        self,
        space: SearchSpace,
        choice: Choice,
        fixed: VariableValues | None = None,
        levels: Sequence[Level] = (),
        aim: str | None = None,
        relaxed: dict[str, tuple[float, float]] | None = None,
    ):
        self.space, self.choice, self.fixed, self.levels = space, choice, fixed or {}, tuple(levels)
        self.aim = SEARCHED[aim or purpose_quantity(space.study.fly.purpose)]
        traded = [self.aim, *(SEARCHED[name] for name, _ in self.levels)]
        self.model = space.model(choice, any(each.output == "usual_time" for each in traded))
        self.bounds, self.free, self.limits = posing(space, choice, fixed, relaxed)
        self.low = np.array([self.bounds[name][0] for name in self.free])
        self.width = np.array([self.bounds[name][1] - self.bounds[name][0] for name in self.free])
        self.outputs = sorted(
            {"all_up_mass"}
            | {limit.output for limit in self.limits}
            | {name for each in traded for name in _outputs(each)}
        )
        self.price = space.build_price(choice) if space.study.price else None
        known = {name: each for name, each in TRADED.items() if not each.is_carried and (name != PRICE or self.price)}
        self._traded = {name: each for name, each in known.items() if each.output != "usual_time" or self.model.usual}
        self.own = space.own
        self.own_objective = self.own if self.own and self.own.objective and aim is None else None
        self.evaluations, self.allowed = 0, MOST_EVALUATIONS
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
        self.model.run(self.choice, self.variables(x), along=self.free)
        self._values_at, self._slopes_at = np.array(x), None
        self.evaluations += 1
        names = {name for each in self._traded.values() for name in _outputs(each)}
        self._values = {name: self.model.value(name) for name in names.union(self.outputs)}
        if self.own:
            rows = self._rows(x)
            self._own_margins = self.own.margins(rows, self.choice, self.width)
            if self.own_objective:
                self._own_gain = self.own_objective.gain(rows, self.choice, self.width)

    def _rows(self, x: np.ndarray) -> list[dict[str, Any]]:
        """Return outputs and variables of a point, one dict for each free variable, with a complex step along it."""
        rows, values = self.model.rows(), self.variables(x)
        along = self.free if self.free else [""]
        return [
            {name: value + STEP * 1j if name == free else value for name, value in values.items()} | row
            for free, row in zip(along, rows, strict=True)
        ]

    def _evaluate_slopes(self, x):
        self._evaluate(x)
        if self._slopes_at is None:
            totals = self.model.slopes(self.outputs)
            self._slopes = {
                name: np.stack([totals[name, free] for free in self.free], axis=-1) * self.width
                for name in self.outputs
            }
            self._slopes_at = self._values_at

    def objective(self, x):
        """Return minus the scaled quantity to maximise."""
        self._evaluate(x)
        if self.own_objective:
            return -self._own_gain[0]
        return -self.aim.sense * self.quantity(self.aim) / self.aim.scale

    def objective_slope(self, x):
        """Return the gradient of the objective (n,)."""
        self._evaluate_slopes(x)
        if self.own_objective:
            return -self._own_gain[1]
        return -self.aim.sense * self._quantity_slope(self.aim) / self.aim.scale

    def quantity(self, traded: TradeQuantity) -> float:
        """Return a quantity at the last evaluated point, SI."""
        if traded.output in VARIABLES:
            assert self._values_at is not None
            return self.variables(self._values_at)[traded.output]
        if traded.output in PRICED:
            assert self._values_at is not None and self.price is not None
            variables = self.variables(self._values_at)
            return float(self.price.of(variables) if traded.output == PRICED[0] else self.price.without_rods(variables))
        value = np.ravel(self._values[traded.output])[condition_place(traded.condition) or 0]
        return float(value / self._values[traded.per] if traded.per else value)

    def _quantity_slope(self, traded: TradeQuantity) -> np.ndarray:
        if traded.output in VARIABLES:
            return np.where(np.array(self.free) == traded.output, self.width, 0.0)
        if traded.output in PRICED:
            assert self._values_at is not None and self.price is not None
            variables = self.variables(self._values_at)
            return np.array([self.price.slope_without_rods(variables, name) for name in self.free]) * self.width
        slope = self._slopes[traded.output].reshape(-1, len(self.free))[condition_place(traded.condition) or 0]
        if traded.per is None:
            return slope
        divisor = self._values[traded.per]
        return (slope - self.quantity(traded) * self._slopes[traded.per].reshape(-1)) / divisor

    def margins(self, x):
        """Return all margins as one array (n_margin,)."""
        self._evaluate(x)
        margins = [limit.margin(self._values[limit.output]) for limit in self.limits]
        own = [self._own_margins[0]] if self.own else []
        return np.concatenate([*margins, *own, self._level_margins()])

    def _level_margins(self) -> np.ndarray:
        """Return the margin of each level (n_level,)."""
        traded = [(SEARCHED[name], worst) for name, worst in self.levels]
        return np.array([each.sense * (self.quantity(each) - worst) / each.scale for each, worst in traded])

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
        if self.own:
            slopes.append(self._own_margins[1])
        for traded in (SEARCHED[name] for name, _ in self.levels):
            slopes.append(traded.sense * self._quantity_slope(traded)[None] / traded.scale)
        return np.concatenate(slopes)

    def result(self, x) -> SearchResult:
        """Return the design at a scaled point with all its margins."""
        self._evaluate(x)
        margins = {limit.name: limit.margin(self._values[limit.output]) for limit in self.limits}
        if self.own:
            own = zip(self.own.limits, self._own_margins[0], strict=True)
            margins |= {limit.name: np.array([margin]) for limit, margin in own}
        if self.levels:
            margins[LEVEL_MARGIN] = self._level_margins()
        traded = {name: self.quantity(each) for name, each in self._traded.items()}
        return SearchResult(
            choice=self.choice,
            variables=self.variables(x),
            range=traded["range"],
            gain=self._own_gain[0] if self.own_objective else self.aim.sense * self.quantity(self.aim),
            margins=margins,
            at_bound=[name for name, value in zip(self.free, x, strict=True) if value < 1e-4 or value > 1 - 1e-4],
            feasible=min(float(value.min()) for value in margins.values()) > MET_ABOVE,
            evaluations=self.evaluations,
            all_up_mass=traded[WEIGHT],
            traded=traded,
        )


def _outputs(traded: TradeQuantity) -> list[str]:
    """Return the model outputs from which a quantity is computed. Variables and prices are not outputs."""
    return [name for name in traded.outputs if name not in VARIABLES and name not in PRICED]


def end_of_search(problem: ScaledProblem, **posed: Any) -> np.ndarray:
    """Return the point where SLSQP ends. The count of evaluations starts again. One more is allowed for the result."""
    problem.evaluations, problem.allowed = 0, MOST_EVALUATIONS
    end = slsqp_minimum(**posed)
    problem.allowed += 1
    return end
