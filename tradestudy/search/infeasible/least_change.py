"""The design with which a study's keys change least: a search in which each key may give, at a cost.

Each key that moves a limit has one slack, shared by all limits that it moves and all their elements. The weighted sum
of the slacks is minimised. A sum, unlike a sum of squares, uses few of them. The least static margin and the least span
of the study give in the same way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.limit_bounds import Limit
from tradestudy.quantities.balance_practice import LEAST_STATIC_MARGIN
from tradestudy.quantities.limit_remedies import REMEDIES
from tradestudy.quantities.limits import AT_LEAST, YOURS
from tradestudy.quantities.variables import BOUNDED, VARIABLES

from ..scaled_problem import INSIDE, ScaledProblem, end_of_search
from ..search_space import SearchSpace
from ..search_task import SearchResult
from .limit_keys import has_key

_NOT_YOURS = 1.5  # cost of a change of a limit that the builder did not set, over that of one that is the builder's
_WITHOUT_KEY = 20.0  # cost of missing a limit that no key moves: it protects the wing, or is the room there is
_FIRST_SLACK = 1e-3  # scaled margin by which limits may be missed at the start beyond what they are


_LOWEST = {"static_margin": LEAST_STATIC_MARGIN, "extension": 0.0}  # lowest values to which the least ones may move
# variable -> a change of its least value [SI] that costs as much as a scaled margin of 1, so 1 % of static margin, or
# 30 mm of span, cost 0.03; judgement
_SCALES = {"static_margin": 0.33, "extension": 0.5}


def least_values(space: SearchSpace, choice: Choice) -> dict[str, Limit]:
    """Return the least values that the builder set for variables, as limits, where a smaller one is possible."""
    bounds = space.bounds_of(choice)
    given = {"static_margin": space.study.limits.static_margin is not None, "extension": True}
    return {
        name: Limit(
            VARIABLES[name].bound_name(high=False),
            VARIABLES[name].low.words,
            name,
            bounds[name][0],
            _SCALES[name],
            AT_LEAST,
            whose=YOURS,
        )
        for name, lowest in _LOWEST.items()
        if given[name] and bounds[name][0] > lowest + 1e-6
    }


def change_problem(space: SearchSpace, choice: Choice) -> ScaledProblem:
    """Return the search problem of a choice with the least values of variables moved as low as they may be."""
    bounds = space.bounds_of(choice)
    moved = {name: (_LOWEST[name], bounds[name][1]) for name in least_values(space, choice)}
    return ScaledProblem(replace(space, moved_bounds={**space.moved_bounds, **moved}), choice)


def least_change(
    problem: ScaledProblem, start: np.ndarray, held: Sequence[str] = (), any_limit: bool = False
) -> SearchResult:
    """Return the design with which the least change of the study's keys would do.

    ``problem`` is a result of `change_problem`. Limits without a key, and those of the keys in ``held``, are
    constrained, unless ``any_limit`` gives each of them a slack of its own.
    """
    own = replace(problem.space, moved_bounds={})
    least = {name: each for name, each in least_values(own, problem.choice).items() if name in problem.free}
    x = np.clip(start, INSIDE, 1 - INSIDE)
    n, problem.evaluations = len(x), 0
    places = [problem.free.index(name) for name in least]
    scales, lows = (np.array([getattr(each, part) for each in least.values()]) for part in ("scale", "bound"))
    least_slope = np.zeros((len(least), n))
    least_slope[range(len(least)), places] = problem.width[places] / scales

    def margins(point):
        """Return the margins of all limits, then of the least values of variables."""
        over = (problem.low + point * problem.width)[places] - lows
        return np.concatenate([problem.margins(point), over / scales])

    first = margins(x)
    groups: dict[str, int] = {}
    weights: list[float] = []
    rows: list[int | None] = []
    elements = [(change_group(limit, problem.choice, held), problem.size(limit)) for limit in problem.limits]
    elements += [(change_group(limit, problem.choice, held), 1) for limit in least.values()]
    for (group, weight), size in elements:
        if group not in groups and (weight < _WITHOUT_KEY or any_limit):
            groups[group] = len(weights)
            weights.append(weight)
        rows += [groups.get(group)] * size
    gives = np.array([[row == column for column in range(len(weights))] for row in rows], dtype=float)
    slack = np.array([max(0.0, -float(first[column > 0].min())) for column in gives.T]) + _FIRST_SLACK
    end = end_of_search(
        problem,
        objective=lambda z: float(np.dot(weights, z[n:])),
        slope=lambda z: np.append(np.zeros(n), weights),
        start=np.append(x, slack),
        bounds=[(0, 1)] * n + [(0, None)] * len(weights),
        margins=lambda z: margins(z[:n]) + gives @ z[n:],
        margin_slopes=lambda z: np.hstack([np.vstack([problem.margin_slopes(z[:n]), least_slope]), gives]),
    )
    return problem.result(np.clip(end[:n], 0, 1))


def change_group(limit: Limit, choice: Choice, held: Sequence[str] = ()) -> tuple[str, float]:
    """Return the key that moves a limit, or the limit's own name if none does, and the cost of a change."""
    if limit.name in BOUNDED and limit.name not in held:
        return limit.name, 1.0
    if not has_key(limit, choice):
        return limit.name, _WITHOUT_KEY
    key = REMEDIES[limit.name].key
    assert key is not None
    if key.key in held:
        return limit.name, _WITHOUT_KEY
    group = limit.name if key.rule == "bay" else key.key  # a bay grows at either end
    return group, 1.0 if limit.whose == YOURS else _NOT_YOURS


def no_key_moves(limit: Limit, choice: Choice, held: Sequence[str] = ()) -> bool:
    """Return whether a limit is constrained in a search for the least change."""
    return change_group(limit, choice, held)[1] >= _WITHOUT_KEY
