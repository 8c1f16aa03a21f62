"""The best design at every point of a map: some variables and parts are given there, all else is searched.

The points of a line are searched outward from the place of the best wing, and each search starts from the result next
to it. No result of another line is used, so lines may be searched in any order.
"""

from __future__ import annotations

import math
from collections.abc import Generator, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from tradestudy.aircraft.model.choices import Choice

from .branch_and_bound import ROUNDING, Branch, branch_of, relaxed_task
from .engines.progress import Progress, no_progress
from .parallel import SearchChain, run_chains
from .search_space import SearchSpace
from .search_task import SearchResult, SearchTask, VariableValues, merit


class Contender(NamedTuple):
    """A choice (set of parts) that may be best at a point.

    ``bound`` is an upper bound of its gain there, such as the gain of its best wing of all.
    """

    choice: Choice
    bound: float
    start: VariableValues


class MapPoint(NamedTuple):
    """One point of a map: the variables that are given there, SI, and the choices that may be best, best first."""

    fixed: VariableValues
    contenders: list[Contender]


Searches = Generator[SearchTask, SearchResult, Any]


def best_at_points(
    space: SearchSpace, lines: Sequence[tuple[list[MapPoint], int]], report_progress: Progress = no_progress
) -> list[list[SearchResult | None]]:
    """Return the best result at every point of every line, or where none meets every limit the least violation.

    Each line has the index of the point at which its search begins. A point whose searches ended all workers has None.
    """
    found = run_chains(space, [_line(*line) for line in lines], report_progress)
    return [ends or [None] * len(points) for ends, (points, _) in zip(found, lines, strict=True)]


def _line(points: list[MapPoint], first: int) -> SearchChain[list[SearchResult | None]]:
    """Return the best result at each point of a line, searched outward in both directions from the first."""
    here, results = _Around(), {}
    results[first] = yield from here.best(points[first])
    for way in (range(first + 1, len(points)), range(first - 1, -1, -1)):
        around = here.copy()
        for index in way:
            results[index] = yield from around.best(points[index])
    return [results[index] for index in range(len(points))]


@dataclass
class _Around:
    """What the points searched so far along a line know.

    ``ended`` has the branches that meet the limits no longer, or not yet. The points where a branch does are taken as
    one interval of the line, as in the span trade. So those that met the limits before (in ``began``) are not searched
    farther out. The others wait until another branch meets the limits. Where none
    does, the design that was ``nearest`` is followed.
    """

    starts: dict[Branch, VariableValues] = field(default_factory=dict)
    began: set[Branch] = field(default_factory=set)
    ended: set[Branch] = field(default_factory=set)
    nearest: SearchResult | None = None

    def copy(self) -> _Around:
        return _Around(dict(self.starts), set(self.began), set(self.ended), self.nearest)

    def best(self, point: MapPoint) -> Searches:
        """Return the best result at a point, or the least violation there."""
        branches: dict[Branch, list[Contender]] = {}
        for each in point.contenders:
            branches.setdefault(branch_of(each.choice), []).append(each)
        waiting = self.ended - self.began
        best, missed = yield from self._best_of(branches, point.fixed, None)
        if best is None:
            best = yield from self._least_violation(missed, point.fixed)
        if best.feasible and waiting:
            self.ended -= waiting
            again = {branch: known for branch, known in branches.items() if branch in waiting}
            best, _ = yield from self._best_of(again, point.fixed, best)
        return best

    def _best_of(
        self, branches: dict[Branch, list[Contender]], fixed: VariableValues, best: SearchResult | None
    ) -> Searches:
        """Return the best result, and the choices of the branch that missed the limits by least just now."""
        missed: tuple[float, list[Contender]] = (-math.inf, [])
        for branch in sorted(branches, key=lambda key: -branches[key][0].bound):
            known = branches[branch]
            if branch in self.ended or (best and known[0].bound <= best.gain):
                continue
            result = yield from self._of_branch(branch, known, fixed, best)
            if not result.feasible:
                self.ended.add(branch)
                missed = max(missed, (result.worst_margin, known), key=lambda each: each[0])
                continue
            self.began.add(branch)
            best = result if best is None else max((best, result), key=merit)
        return best, missed[1]

    def _of_branch(
        self, branch: Branch, contenders: list[Contender], fixed: VariableValues, best: SearchResult | None
    ) -> Searches:
        """Return the best result of choices that differ in rods alone, or ``best`` if none may be better.

        It is a design that breaks a limit if none meets every limit. A search with rods as variables comes first: its
        gain bounds theirs.
        """
        start, bound, found = self.starts.get(branch, contenders[0].start), math.inf, best
        if len(contenders) > 1:
            relaxed = yield relaxed_task([each.choice for each in contenders], start, fixed)
            if not relaxed.feasible:
                return relaxed
            start, bound = relaxed.variables, relaxed.gain * (1 + ROUNDING)
            self.starts[branch] = start
        for each in contenders:
            if found and found.feasible and min(bound, each.bound) * (1 - 2 * ROUNDING) <= found.gain:
                continue
            result = yield SearchTask("solve", each.choice, [start], fixed)
            if result.feasible:
                start = self.starts[branch] = result.variables
            found = result if found is None else max((found, result), key=merit)
        return found

    def _least_violation(self, missed: list[Contender], fixed: VariableValues) -> Searches:
        """Return the least violation at a point, or a result that meets every limit.

        Where a branch has missed the limits just now, its best choice and the one with the most rods are compared.
        Else the design that was nearest at the point before is followed.
        """
        starts = [] if self.nearest is None else [(self.nearest.choice, self.nearest.variables)]
        if missed:
            stoutest = max(missed, key=lambda each: each.choice.rod_pairs * each.choice.rod_diameter**2)
            start = self.starts.get(branch_of(stoutest.choice), stoutest.start)
            starts = [(choice, start) for choice in dict.fromkeys((missed[0].choice, stoutest.choice))]
        results = []
        for choice, start in starts:
            results.append((yield SearchTask("least_violation", choice, [start], fixed)))
        self.nearest = nearest = max(results, key=lambda each: each.worst_margin)
        if not nearest.feasible:
            return nearest
        branch = branch_of(nearest.choice)
        self.starts[branch] = nearest.variables
        self.began.add(branch)
        self.ended.discard(branch)
        found = yield SearchTask("solve", nearest.choice, [nearest.variables], fixed)
        return max((nearest, found), key=merit)
