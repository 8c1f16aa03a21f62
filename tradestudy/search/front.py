"""The front of a study: the best value of one quantity at every level of another, over all choices (sets of parts)."""

from __future__ import annotations

from functools import cache

import numpy as np

from tradestudy.aircraft.model.choices import Choice
from tradestudy.physics.flight import layout
from tradestudy.quantities.objectives import TRADED, WEIGHT, purpose_quantity

from . import epsilon_constraint
from .engines.progress import Progress, no_progress
from .epsilon_constraint import Ends, FrontPoint, Subproblem
from .parallel import SearchChain, run_chains, run_tasks
from .search_space import SearchSpace
from .search_task import Level, SearchResult, SearchTask, VariableValues

POINTS = 25
_SWEEPS = 9  # number of sweeps at which the least weight is computed


def front_of(
    space: SearchSpace,
    ranked: list[SearchResult],
    of: str | None = None,
    against: str = WEIGHT,
    report_progress: Progress = no_progress,
    points: int = POINTS,
) -> list[SearchResult]:
    """Return about ``points`` non-dominated results, best in ``against`` first. Both ends are exact.

    ``of`` and ``against`` are names in `objectives.TRADED`. If ``of`` is None, it is the quantity that the study
    maximises. ``ranked`` holds the result of every choice that is best in ``of``, best first.
    """
    of = of or purpose_quantity(space.study.fly.purpose)

    def point(result: SearchResult | None) -> FrontPoint | None:
        if result is None or not result.feasible:
            return None
        return FrontPoint(TRADED[of].sense * result.traded[of], -TRADED[against].sense * result.traded[against], result)

    def solve(subproblems: list[Subproblem]) -> list[FrontPoint | None]:
        chains = [
            _best_at_level(
                each.key,
                [start.solution.variables for start in each.starts],
                (against, -TRADED[against].sense * each.level),
                of,
            )
            for each in subproblems
        ]
        return [point(result) for result in run_chains(space, chains, report_progress)]

    feasible = [each for each in ranked if each.feasible]
    extremes = _extremes(space, feasible, of, against, report_progress)
    ends = {}
    for result in feasible:
        best, least = point(result), point(extremes.get(result.choice))
        if best and least:  # if an extreme costs more than the best, the best is both ends
            ends[result.choice] = Ends(best, least if least.cost < best.cost else best)
    return [each.solution for each in epsilon_constraint.front_points(ends, solve, points)]


def front_knee(line: list[SearchResult], of: str, against: str) -> int | None:
    """Return the index of a front's knee, or None (see `epsilon_constraint.knee`)."""
    return epsilon_constraint.knee(
        [-TRADED[against].sense * result.traded[against] for result in line],
        [TRADED[of].sense * result.traded[of] for result in line],
    )


def _best_at_level(
    choice: Choice, starts: list[VariableValues], level: Level, of: str
) -> SearchChain[SearchResult | None]:
    """Return the best design within a level, from the first start that leads to a feasible design."""
    for start in starts:
        result = yield SearchTask("solve", choice, [start], level=level, aim=of)
        if result.feasible:
            return result
    return None


def _extremes(
    space: SearchSpace, feasible: list[SearchResult], of: str, against: str, report_progress: Progress
) -> dict[Choice, SearchResult]:
    """Return for every choice the design best in ``against``. Choices whose designs are all dominated are left out."""
    if TRADED[against].is_proxy:
        return {result.choice: result for result in feasible}
    extremes: dict[Choice, SearchResult] = {}
    sense = TRADED[of].sense

    @cache
    def least_weight(choice: Choice) -> float:
        return _least_weight(space, next(result for result in feasible if result.choice == choice))

    def is_dominated(result: SearchResult) -> bool:
        """Return whether a known extreme dominates all designs with the choice of a result.

        It does if its gain exceeds the best gain of the choice, and its weight is at most the least of the choice.
        """
        return against == WEIGHT and any(
            light.feasible
            and sense * light.traded[of] > sense * result.traded[of]
            and bool(light.all_up_mass <= least_weight(result.choice))
            for light in extremes.values()
        )

    remaining = list(feasible)
    while remaining := [result for result in remaining if not is_dominated(result)]:
        count = space.engine.workers if space.engine else 1
        batch, remaining = remaining[:count], remaining[count:]
        tasks = [SearchTask("extreme", each.choice, [each.variables], aim=of, extreme=against) for each in batch]
        for result, extreme in zip(batch, run_tasks(space, tasks, report_progress), strict=True):
            if extreme is not None and not is_dominated(result):
                extremes[result.choice] = extreme
    return extremes


def _least_weight(space: SearchSpace, result: SearchResult) -> float:
    """Return the least weight of all designs with the choice of a result. [kg]

    It is at the shortest span, since parts only grow with span. All sweeps are tried, because fins of constant volume
    may shrink as sweep gives them a longer arm. Both ends of the tip chord are tried.
    """
    data, choice, bounds = space.data(result.choice).layout, result.choice, space.bounds_of(result.choice)
    sweeps = np.linspace(*bounds["sweep"], _SWEEPS)
    weights = layout.design_shape(
        data,
        extension=space.bounds["extension"][0] + 0 * sweeps,
        sweep=sweeps,
        washout=result.variables["washout"] + 0 * sweeps,
        rod_diameter=choice.rod_diameter,
        rod_pairs=float(choice.rod_pairs),
        series=float(choice.series),
        parallel=float(choice.parallel),
        equipment_position=result.variables["equipment_position"],
        tip_chord=np.array(bounds["tip_chord"])[:, None],
    ).all_up_mass
    return float(weights.min())
