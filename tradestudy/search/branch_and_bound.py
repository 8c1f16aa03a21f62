"""The best design of every choice (set of parts), best first. Searches that a bound proves needless are skipped.

Choices that differ in rods alone form one branch. Its relaxed search treats rod diameter and number of pairs as
variables, from the least to the greatest value in the branch. It may end at 1.4 pairs. Every limit is still
constrained, and the range includes all rods of the branch. So the relaxed optimum is an upper bound. A branch whose
upper bound is below a known result is not searched.

The bound is only as reliable as the relaxed search, so no branch is skipped before that search was made from two
starts. If any choice exceeds the bound of its branch, no bound is used any more and all branches are searched.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.limit_bounds import ACTIVE_BELOW

from .engines.progress import Progress, no_progress
from .parallel import SearchChain, chain_of_one, run_chains, run_tasks
from .search_space import SearchSpace, in_stock_bay, starting_points
from .search_task import SearchResult, SearchTask, VariableValues, merit

_SEARCHED_TWICE = 3
_SECOND_START_ABOVE = -0.05  # scaled margin; a choice that misses its limits by more is not searched from another start
ROUNDING = 1e-4  # share of a gain by which two searches that end at the same design may differ
Branch = tuple


class Ranking:
    """The results of a search space, one for each choice. Every search is made once and its result stored.

    The gain is the quantity that the study maximises, or the quantity named by ``aim``. The result of an infeasible
    choice is its design of least violation. It shows how far the choice is from feasible.
    """

    def __init__(self, space: SearchSpace, report_progress: Progress = no_progress, aim: str | None = None):
        self.space, self.report_progress, self.aim = space, report_progress, aim
        self.near, self.far = starting_points(space)
        self.branches: dict[Branch, list[Choice]] = {}
        for choice in space.choices:
            self.branches.setdefault(branch_of(choice), []).append(choice)
        self.bounds: dict[Branch, float] = {}  # upper bounds of the gain, for branches with several choices
        self._starts: dict[Branch, VariableValues] = {}
        self._in_stock_bay: list[Choice] = []  # choices besides those of the space
        self._results: dict[Choice, SearchResult | None] = {}  # None: every worker that ran this search ended
        self._improved: dict[tuple[Choice, bool], SearchResult | None] = {}

    def best(self, count: int) -> list[SearchResult]:
        """Return results, best first. The first ``count`` are the best of all choices."""
        self._search([choices[0] for choices in self.branches.values() if len(choices) == 1])
        several = [branch for branch, choices in self.branches.items() if len(choices) > 1]
        self._search_relaxed(several)
        for branch in sorted(several, key=lambda branch: -self.bounds[branch]):
            if self._may_win(branch, count):
                self._search(self.branches[branch])
                if not self._bound_is_valid(branch):
                    return self.complete()
        unsearched = [branch for branch in several if self.branches[branch][0] not in self._results]
        self._search_relaxed_again(unsearched)
        for branch in unsearched:
            if self._may_win(branch, count):  # the search from the second start may have raised the bound
                self._search(self.branches[branch])
        return self._ranked()

    def complete(self) -> list[SearchResult]:
        """Return the result of every choice, best first."""
        self._search(self.space.choices)
        return self._ranked()

    def results_of(self, choices: list[Choice]) -> dict[Choice, SearchResult]:
        """Return the results of the given choices."""
        self._search(choices)
        return {choice: result for choice in choices if (result := self._results[choice]) is not None}

    @property
    def known(self) -> list[SearchResult]:
        """The results so far, best first, without any further search."""
        ends = [*self._results.values(), *self._improved.values()]
        best: dict[Choice, SearchResult] = {}
        for result in sorted((end for end in ends if end is not None), key=merit, reverse=True):
            best.setdefault(result.choice, result)
        return list(best.values())

    @property
    def left_out(self) -> dict[Choice, float]:
        """The choices that were not searched, with upper bounds of their gains."""
        return {
            choice: bound
            for branch, bound in self.bounds.items()
            for choice in self.branches[branch]
            if choice not in self._results
        }

    def _may_win(self, branch: Branch, count: int) -> bool:
        """Return whether the upper bound of a branch allows one of its choices among the first ``count``."""
        gains = sorted((result.gain for result in self._results.values() if result and result.feasible), reverse=True)
        return len(gains) < count or _rounded_up(self.bounds[branch]) >= gains[count - 1]

    def _bound_is_valid(self, branch: Branch) -> bool:
        """Return whether no searched choice of a branch exceeds its bound.

        If one does, the bound is searched again first.
        """

        def is_valid() -> bool:
            results = (self._results[choice] for choice in self.branches[branch])
            return all(
                result is None or not result.feasible or result.gain <= _rounded_up(self.bounds[branch])
                for result in results
            )

        if not is_valid():
            self._search_relaxed_again([branch])
        return is_valid()

    def _search_relaxed(self, branches: list[Branch]) -> None:
        """Make the relaxed searches of branches. They give bounds, and starts for the searches of choices.

        A branch without a feasible relaxed design has no finite bound. A branch of a single choice needs none.
        """
        new = [branch for branch in branches if branch not in self._starts]
        several = [branch for branch in new if len(self.branches[branch]) > 1]
        results = run_tasks(self.space, [self._relaxed(branch, self.near) for branch in several], self.report_progress)
        self._starts |= dict.fromkeys(new, self.near)
        for branch, result in zip(several, results, strict=True):
            self.bounds[branch] = math.inf
            if result is not None and result.feasible:
                self._starts[branch] = result.variables
                self.bounds[branch] = result.gain

    def _search_relaxed_again(self, branches: list[Branch]) -> None:
        """Make relaxed searches from the far start. The bound is the greater gain of both searches."""
        results = run_tasks(self.space, [self._relaxed(branch, self.far) for branch in branches], self.report_progress)
        for branch, result in zip(branches, results, strict=True):
            if result is not None and result.feasible:
                self.bounds[branch] = max(self.bounds[branch], result.gain)

    def _relaxed(self, branch: Branch, start: VariableValues) -> SearchTask:
        """Return the relaxed search of a branch."""
        return relaxed_task(self.branches[branch], start, aim=self.aim)

    def _search(self, choices: list[Choice]) -> None:
        """Search the choices that have no result yet."""
        new = [choice for choice in choices if choice not in self._results]
        self._search_relaxed(list(dict.fromkeys(map(branch_of, new))))
        self._results |= zip(new, run_tasks(self.space, self._first_searches(new), self.report_progress), strict=True)

    def _first_searches(self, choices: Sequence[Choice]) -> list[SearchTask]:
        """Return the search of each choice, from the start of its branch."""
        return [SearchTask("solve", choice, [self._starts[branch_of(choice)]], aim=self.aim) for choice in choices]

    def _ranked(self) -> list[SearchResult]:
        """Return the results, best first. Packs at an end of a bay of their own are tried in that of the stock wing."""
        new = self._new_in_stock_bay(self._searched())
        while True:
            results = self._twice_searched(new)
            added, new = new, self._new_in_stock_bay(results)
            if not added and not new:
                return results

    def _new_in_stock_bay(self, results: list[SearchResult]) -> list[Choice]:
        """Return the best of ``results`` with a pack at an end of its bay, in the bay of the stock wing, if new."""
        found = (in_stock_bay(self.space, each.choice) for each in results[:_SEARCHED_TWICE] if _pack_at_end(each))
        new = [choice for choice in dict.fromkeys(found) if choice is not None and choice not in self._results]
        self._in_stock_bay += new
        self.branches |= {branch_of(choice): [choice] for choice in new}
        self._search_relaxed(list(map(branch_of, new)))
        return new

    def _searched(self) -> list[SearchResult]:
        """Return the results of first searches, best first."""
        known = (self._results.get(choice) for choice in [*self.space.choices, *self._in_stock_bay])
        return sorted((result for result in known if result is not None), key=merit, reverse=True)

    def _twice_searched(self, besides: Sequence[Choice] = ()) -> list[SearchResult]:
        """Return the results, best first. The best few are searched again from the far start.

        Choices ``besides`` them are searched for the first time meanwhile, so that no worker is idle.
        """
        places = [(result, index < _SEARCHED_TWICE) for index, result in enumerate(self._searched())]
        new = [(result, twice) for result, twice in places if (result.choice, twice) not in self._improved]
        chains = [self._searched_again(*each) for each in new] + list(map(chain_of_one, self._first_searches(besides)))
        ends = run_chains(self.space, chains, self.report_progress)
        self._improved |= {(result.choice, twice): end for (result, twice), end in zip(new, ends, strict=False)}
        self._results |= zip(besides, ends[len(new) :], strict=True)
        improved = (self._improved[result.choice, twice] for result, twice in places)
        return sorted((result for result in improved if result is not None), key=merit, reverse=True)

    def _searched_again(self, result: SearchResult, twice: bool) -> SearchChain[SearchResult]:
        """Search one choice again: from the far start if ``twice``, and for its least violation if it is infeasible."""
        starts = [self.far] if twice else []
        if not result.feasible:
            result = yield SearchTask("least_violation", result.choice, [result.variables])
            starts += [result.variables] if result.worst_margin > _SECOND_START_ABOVE else []
        ends = [result]
        for start in starts:
            ends.append((yield SearchTask("solve", result.choice, [start], aim=self.aim)))
        return max(ends, key=merit)


def _pack_at_end(result: SearchResult) -> bool:
    """Return whether a pack lies at an end of its bay, or would have to lie beyond it."""
    ends = (result.margins.get(name) for name in ("pack_forward", "pack_aft"))
    return any(margin is not None and float(np.min(margin)) < ACTIVE_BELOW for margin in ends)


def branch_of(choice: Choice) -> Branch:
    """Return the key of the branch of a choice: all its parts but the rods."""
    return choice.model_key, choice.pack_key


def relaxed_task(
    choices: list[Choice], start: VariableValues, fixed: VariableValues | None = None, aim: str | None = None
) -> SearchTask:
    """Return the search of the choices of one branch with rods as variables, from the least to the greatest."""
    sizes, pairs = [choice.rod_diameter for choice in choices], [choice.rod_pairs for choice in choices]
    ends = {"rod_diameter": (min(sizes), max(sizes)), "rod_pairs": (float(min(pairs)), float(max(pairs)))}
    middle = {name: 0.5 * (low + high) for name, (low, high) in ends.items()}
    return SearchTask("solve", choices[0], [start | middle], fixed, aim=aim, relaxed=ends)


def _rounded_up(bound: float) -> float:
    return bound + ROUNDING * abs(bound)
