"""The front of a study in several quantities: the best of one at all levels of one or two others, over all builds."""

from __future__ import annotations

import math
from collections.abc import Sequence

from tradestudy.aircraft.model.limit_bounds import MET_ABOVE
from tradestudy.quantities.objectives import PRICE, SEARCHED, TRADED, WITHOUT_RODS
from tradestudy.search.engines.progress import Progress, no_progress
from tradestudy.search.parallel import SearchChain, run_chains, run_tasks
from tradestudy.search.search_space import SearchSpace
from tradestudy.search.search_task import Level, SearchResult, SearchTask

from .build_keys import Build, held_variables, kept_builds, new_builds
from .many_levels import (
    CostedPoint,
    LevelTask,
    costed_front,
    distinct_points,
    falling_levels,
    many_knee,
)

_DISTINCT = 0.01  # share of the range of each quantity; wings that differ by less in all of them are one
_OVER = 1e-6  # share by which a cost may exceed its level, as a search meets its limits


def build_front(
    space: SearchSpace,
    ranked: Sequence[SearchResult],
    of: str,
    against: Sequence[str],
    report_progress: Progress = no_progress,
    points: int = 25,
) -> tuple[list[SearchResult], int | None]:
    """Return the non-dominated results, best in ``of`` first, and the index of the knee.

    ``of`` and ``against`` are names in `objectives.TRADED`. ``ranked`` holds the result of every choice that is best in
    ``of``, best first. ``points`` is about the number of combinations of levels. Builds that keep the stock panels
    count too; their panels cost nothing.
    """
    known = _known_points(space, ranked, of, against, report_progress)
    if not known:
        return [], None
    count = max(2, round(points ** (1 / len(against))))
    levels = [falling_levels(known, axis, count) for axis in range(len(against))]
    done, nodes = 0, math.prod(len(each) for each in levels)

    def solve(tasks: list[LevelTask]) -> list[CostedPoint | None]:
        nonlocal done
        done += len(tasks)
        report_progress(f"front of {1 + len(against)} quantities: {done} searches, {nodes} combinations of levels")
        chains = [_within_levels(space, task, of, against) for task in tasks]
        found = run_chains(space, chains, report_progress)
        return [_point(each, of, against) if each else None for each in found]

    line = distinct_points(costed_front(known, solve, levels), _DISTINCT)
    return [each.solution for each in line], many_knee(line)


def _known_points(
    space: SearchSpace, ranked: Sequence[SearchResult], of: str, against: Sequence[str], report_progress: Progress
) -> dict[Build, list[CostedPoint]]:
    """Return the points of each feasible build: the best in ``of``, then the least in each cost that is smooth."""
    feasible = {each.choice: each for each in ranked if each.feasible}
    builds, kept = new_builds(space, list(feasible)), kept_builds(space)
    best = {build: feasible[build.choice] for build in builds if build.longest is None}
    short = [build for build in builds if build.longest is not None]
    tasks = [
        SearchTask("solve", build.choice, [feasible[build.choice].variables], aim=of, levels=build.span_levels)
        for build in short
    ]
    start = space.anchor.variables
    tasks += [SearchTask("solve", build.choice, [start], fixed=held_variables(space, build), aim=of) for build in kept]
    found = run_tasks(space, tasks, report_progress)
    best |= {
        build: each for build, each in zip([*short, *kept], found, strict=True) if each is not None and each.feasible
    }
    names = [WITHOUT_RODS if name == PRICE else name for name in against if not TRADED[name].is_proxy]
    smooth = [(build, name) for build in best for name in names if not (build.keeps_panels and name == WITHOUT_RODS)]
    extremes = [
        SearchTask(
            "extreme",
            build.choice,
            [best[build].variables],
            fixed=held_variables(space, build),
            aim=of,
            extreme=name,
            levels=build.span_levels,
        )
        for build, name in smooth
    ]
    points = {build: [_point(each, of, against)] for build, each in best.items()}
    for (build, _), each in zip(smooth, run_tasks(space, extremes, report_progress), strict=True):
        if each is not None and each.feasible:
            points[build].append(_point(each, of, against))
    return points


def _point(result: SearchResult, of: str, against: Sequence[str]) -> CostedPoint:
    costs = tuple(-TRADED[name].sense * result.traded[name] for name in against)
    return CostedPoint(TRADED[of].sense * result.traded[of], costs, result)


def _within_levels(
    space: SearchSpace, task: LevelTask, of: str, against: Sequence[str]
) -> SearchChain[SearchResult | None]:
    """Return the best design of a build within all levels, from the first start that leads to a feasible design."""
    build: Build = task.key
    levels: list[Level] = list(build.span_levels)
    for name, level in zip(against, task.levels, strict=True):
        if math.isinf(level) or TRADED[name].is_proxy or (name == PRICE and build.keeps_panels):
            continue  # it holds for all wings of this build, since their least cost is below the level
        worst = -TRADED[name].sense * level
        levels.append((WITHOUT_RODS, worst - build.rods) if name == PRICE else (name, worst))
    fixed = held_variables(space, build)
    for start in task.starts:
        result = yield SearchTask(
            "solve", build.choice, [start.solution.variables], fixed=fixed, aim=of, levels=tuple(levels)
        )
        if result.feasible and _is_within(result, task, against):
            return result
    return None


def _is_within(result: SearchResult, task: LevelTask, against: Sequence[str]) -> bool:
    """Return whether a design costs no more than each level, to the accuracy of a search."""
    for name, level in zip(against, task.levels, strict=True):
        cost, scale = -TRADED[name].sense * result.traded[name], SEARCHED[name].scale
        if not math.isinf(level) and cost > level + _OVER * abs(level) - MET_ABOVE * scale:
            return False
    return True
