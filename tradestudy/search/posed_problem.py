"""One choice of parts as a fully posed OpenMDAO problem, for users who bring a driver of their own.

Every free variable is a design variable between its bounds, what the study wants most of is the objective, and every
limit is a constraint. Scaling makes all of them of order one, as in our own search, which uses the same `Posing`.
"""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import openmdao.api as om

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.limit_bounds import Limit
from tradestudy.aircraft.model.problem import aircraft_problem, set_parts

from .search_space import SearchSpace, starting_points

_NARROWEST = 1e-9  # a variable whose bounds lie closer is fixed


class Posing(NamedTuple):
    """The variables, bounds and limits of one choice. SI."""

    bounds: dict[str, tuple[float, float]]  # of every variable
    free: list[str]  # variables that move
    limits: list[Limit]


def posing(
    space: SearchSpace,
    choice: Choice,
    fixed: dict[str, float] | None = None,
    more_bounds: dict[str, tuple[float, float]] | None = None,
) -> Posing:
    """Return variables, bounds and limits of a choice; ``fixed`` ones do not move, ``more_bounds`` frees others."""
    bounds = space.bounds_of(choice) | (more_bounds or {})
    free = [name for name, (low, high) in bounds.items() if high - low > _NARROWEST and name not in (fixed or {})]
    return Posing(bounds, free, space.limits(choice))


def posed_problem(space: SearchSpace, choice: Choice, recorder: Path | None = None) -> om.Problem:
    """Return the problem of one choice, set up, at the first point from which our own search starts.

    Its driver is scipy's SLSQP with exact slopes; another may be put in its place before ``run_driver``. ``recorder``
    is a file in which OpenMDAO keeps every iteration of the driver. Limits that depend on the parts alone, such as
    currents at full throttle, are left out: no design variable moves them.
    """
    usual = space.purpose.output == "usual_time"
    problem = aircraft_problem(space.data(choice), usual)
    bounds, free, limits = posing(space, choice)
    for name in free:
        low, high = bounds[name]
        problem.model.add_design_var(name, lower=low, upper=high, ref0=low, ref=high)
    problem.model.add_objective(space.purpose.output, ref=-space.purpose.scale)
    for alike in _same_elements([limit for limit in limits if not limit.declared.depends_on_parts]):
        lower = [limit.bound for limit in alike if limit.sign > 0]
        upper = [limit.bound for limit in alike if limit.sign < 0]
        problem.model.add_constraint(
            alike[0].output,
            alias="_and_".join(limit.name for limit in alike) + "_limit",
            lower=max(lower, default=None),
            upper=min(upper, default=None),
            indices=alike[0].index,
            flat_indices=True,
            ref=alike[0].scale,
        )
    problem.driver = om.ScipyOptimizeDriver(optimizer="SLSQP", tol=1e-7, maxiter=100, disp=False)
    if recorder is not None:
        problem.driver.add_recorder(om.SqliteRecorder(str(recorder)))
    problem.setup(mode="fwd", check=False)
    set_parts(problem, choice)
    for name, value in starting_points(space)[0].items():
        low, high = bounds[name]
        problem.set_val(name, min(max(value, low), high))
    return problem


def _same_elements(limits: list[Limit]) -> list[list[Limit]]:
    """Return limits grouped by the elements of the output that they bound: OpenMDAO takes one constraint for each."""
    groups: dict[tuple, list[Limit]] = {}
    for limit in limits:
        part = limit.index and (limit.index.start, limit.index.stop)
        groups.setdefault((limit.output, part), []).append(limit)
    return list(groups.values())
