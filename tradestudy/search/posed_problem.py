"""One choice (set of parts) as a complete OpenMDAO optimisation problem, for users with their own driver.

Every free variable is a design variable between its bounds. The quantity that the study maximises is the objective, and
every limit is a constraint. All of them are scaled to order one. Our own search uses the same `Posing`, and this module
is loaded only for users with their own driver, since OpenMDAO takes long to load.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import openmdao.api as om

from tradestudy.aircraft.components.problem import aircraft_problem, set_parts
from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.limit_bounds import Limit

from .scaled_problem import posing
from .search_space import SearchSpace, starting_points

_PARTLY_FIXED = (
    "clearance",
    "rod_room",
    "tip_room",
)  # outputs some of whose elements no variable may change, such as those on the centre line


def posed_problem(space: SearchSpace, choice: Choice, recorder: Path | None = None) -> om.Problem:
    """Return the problem of one choice after its setup, at the first starting point of our own search.

    Its driver is scipy's SLSQP with exact derivatives. Users may replace it before ``run_driver``. ``recorder`` is a
    file in which OpenMDAO stores every iteration of the driver. What no design variable changes is left out: limits
    that depend on the parts alone, such as currents at full throttle, and room in the section on the centre line.
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
        part: slice | np.ndarray | None = alike[0].index
        if alike[0].output in _PARTLY_FIXED:
            part = _elements_to_watch(space, choice, alike, free)
            if part.size == 0:
                continue
        problem.model.add_constraint(
            alike[0].output,
            alias="_and_".join(limit.name for limit in alike) + "_limit",
            lower=max(lower, default=None),
            upper=min(upper, default=None),
            indices=part,
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
    """Return limits grouped by the output elements that they bound.

    OpenMDAO accepts one constraint for the same elements.
    """
    groups: dict[tuple, list[Limit]] = {}
    for limit in limits:
        part = limit.index and (limit.index.start, limit.index.stop)
        groups.setdefault((limit.output, part), []).append(limit)
    return list(groups.values())


def _elements_to_watch(space: SearchSpace, choice: Choice, limits: list[Limit], free: list[str]) -> np.ndarray:
    """Return the indices (m,) of the elements that a free variable changes at a starting point, or that break a limit.

    ``limits`` bound all elements of one output.
    """
    model, output, watched = space.model(choice), limits[0].output, []
    for start in starting_points(space):
        model.run(choice, start, along=free)
        slopes = model.slopes([output])
        watched += [slopes[output, name] != 0 for name in free]
        watched += [limit.margin(model.value(output)) < 0 for limit in limits]
    return np.flatnonzero(np.any(watched, axis=0))
