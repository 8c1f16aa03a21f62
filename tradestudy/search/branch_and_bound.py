"""The best design of every choice, best first, without a search where a bound proves that there is nothing to win.

Choices that differ in rods alone are one branch. With rods let loose (any diameter and number between the least and the
most of the branch, a number of pairs such as 1.4 among them) a search finds at least as much as with any rods of the
branch, for they are all among what it may take, and every limit holds as before. So a branch whose loose best does not
reach what is already found is left unsearched. The proof is as good as the loose search: no branch is left out before
that was made from two starts, and should any choice ever beat the bound of its branch, no bound is trusted any more and
all branches are searched.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from tradestudy.aircraft.model.choices import Choice

from .search_space import Space, starting_points
from .search_task import Answer, Asked, merit
from .side_by_side import Chain, LostSearch, together

SEARCHED_TWICE = 3
WORTH_ANOTHER_START = -0.05  # scaled margin: a choice that misses its limits by more is not saved by a better start
ROUNDING = 1e-4  # share of a gain: what two searches that end at one design may differ by
Branch = tuple
Tell = Callable[[str], None]


class Ranking:
    """Answers of one space, one a choice; what is asked for is searched for once.

    Best is what the study wants most of, or most of the quantity ``aim``. A choice that stays infeasible comes back as
    its least broken design: how far off is then an answer too.
    """

    def __init__(self, space: Space, tell: Tell = lambda words: None, aim: str | None = None):
        self.space, self.tell, self.aim = space, tell, aim
        self.near, self.far = starting_points(space)
        self.branches: dict[Branch, list[Choice]] = {}
        for choice in space.choices:
            self.branches.setdefault((choice.model_key, choice.pack_key), []).append(choice)
        self.bounds: dict[Branch, float] = {}  # the most that a branch of several choices can gain
        self._starts: dict[Branch, dict[str, float]] = {}
        self._found: dict[Choice, Answer | None] = {}  # None: every worker that tried it ended
        self._again: dict[tuple[Choice, bool], Answer | None] = {}

    def best(self, count: int) -> list[Answer]:
        """Return answers best first, of which the first ``count`` are the best of all choices."""
        self._search([choices[0] for choices in self.branches.values() if len(choices) == 1])
        several = [branch for branch, choices in self.branches.items() if len(choices) > 1]
        self._loosen(several)
        for branch in sorted(several, key=lambda branch: -self.bounds[branch]):
            if self._may_win(branch, count):
                self._search(self.branches[branch])
                if not self._bound_holds(branch):
                    return self.whole()
        behind = [branch for branch in several if self.branches[branch][0] not in self._found]
        self._loosen_again(behind)
        for branch in behind:
            if self._may_win(branch, count):  # the second start found more
                self._search(self.branches[branch])
        return self._ranked()

    def whole(self) -> list[Answer]:
        """Return the answer of every choice, best first."""
        self._search(self.space.choices)
        return self._ranked()

    def of(self, choices: list[Choice]) -> dict[Choice, Answer]:
        """Return the answers of some choices."""
        self._search(choices)
        return {choice: answer for choice in choices if (answer := self._found[choice]) is not None}

    @property
    def left_out(self) -> dict[Choice, float]:
        """Choices that were not searched, with the most that each can gain."""
        return {
            choice: bound
            for branch, bound in self.bounds.items()
            for choice in self.branches[branch]
            if choice not in self._found
        }

    def _branch(self, choice: Choice) -> Branch:
        return choice.model_key, choice.pack_key

    def _may_win(self, branch: Branch, count: int) -> bool:
        """Whether any rods of a branch may come among the first ``count``, by what is known."""
        gains = sorted((answer.gain for answer in self._found.values() if answer and answer.feasible), reverse=True)
        return len(gains) < count or _up(self.bounds[branch]) >= gains[count - 1]

    def _bound_holds(self, branch: Branch) -> bool:
        """Whether no choice of a branch that was searched beats its bound."""

        def holds() -> bool:
            answers = (self._found[choice] for choice in self.branches[branch])
            return all(
                answer is None or not answer.feasible or answer.gain <= _up(self.bounds[branch]) for answer in answers
            )

        if not holds():
            self._loosen_again([branch])
        return holds()

    def _loosen(self, branches: list[Branch]) -> None:
        """Search branches with their rods let loose: the bound, and where searches of their choices start.

        Of a branch where loose rods find no wing nothing is known, and a single choice has no bound but itself.
        """
        new = [branch for branch in branches if branch not in self._starts]
        several = [branch for branch in new if len(self.branches[branch]) > 1]
        found = together(self.space, [self._loose(branch, self.near) for branch in several], self.tell)
        self._starts |= dict.fromkeys(new, self.near)
        for branch, answer in zip(several, found, strict=True):
            self.bounds[branch] = math.inf
            if answer is not None and answer.feasible:
                self._starts[branch] = answer.variables
                self.bounds[branch] = answer.gain

    def _loosen_again(self, branches: list[Branch]) -> None:
        """The same from farther out: a bound is the more of both."""
        found = together(self.space, [self._loose(branch, self.far) for branch in branches], self.tell)
        for branch, answer in zip(branches, found, strict=True):
            if answer is not None and answer.feasible:
                self.bounds[branch] = max(self.bounds[branch], answer.gain)

    def _loose(self, branch: Branch, start: dict[str, float]) -> Chain[Answer]:
        choices = self.branches[branch]
        sizes, pairs = [choice.rod_diameter for choice in choices], [choice.rod_pairs for choice in choices]
        loose = {"rod_diameter": (min(sizes), max(sizes)), "rod_pairs": (float(min(pairs)), float(max(pairs)))}
        middle = {name: 0.5 * (low + high) for name, (low, high) in loose.items()}
        return (yield Asked("solve", choices[0], [start | middle], aim=self.aim, loose=loose))

    def _search(self, choices: list[Choice]) -> None:
        new = [choice for choice in choices if choice not in self._found]
        self._loosen(list(dict.fromkeys(map(self._branch, new))))
        self._found |= dict(
            zip(
                new,
                together(
                    self.space, [self._from(choice, self._starts[self._branch(choice)]) for choice in new], self.tell
                ),
                strict=True,
            )
        )

    def _from(self, choice: Choice, start: dict[str, float]) -> Chain[Answer | None]:
        try:
            return (yield Asked("solve", choice, [start], aim=self.aim))
        except LostSearch:
            return None

    def _ranked(self) -> list[Answer]:
        """Answers best first; the best few are searched again from farther out."""
        known = (self._found.get(choice) for choice in self.space.choices)
        answers = sorted((answer for answer in known if answer is not None), key=merit, reverse=True)
        wanted = [(answer, index < SEARCHED_TWICE) for index, answer in enumerate(answers)]
        new = [(answer, twice) for answer, twice in wanted if (answer.choice, twice) not in self._again]
        found = together(self.space, [self._once_more(*each) for each in new], self.tell)
        self._again |= {(answer.choice, twice): again for (answer, twice), again in zip(new, found, strict=True)}
        again = (self._again[answer.choice, twice] for answer, twice in wanted)
        return sorted((answer for answer in again if answer is not None), key=merit, reverse=True)

    def _once_more(self, answer: Answer, twice: bool) -> Chain[Answer]:
        """One choice once more: from farther out, or for how far off it is."""
        starts = [self.far] if twice else []
        if not answer.feasible:
            answer = yield Asked("relaxed", answer.choice, [answer.variables])
            starts += [answer.variables] if answer.worst > WORTH_ANOTHER_START else []
        found = [answer]
        for start in starts:
            found.append((yield Asked("solve", answer.choice, [start], aim=self.aim)))
        return max(found, key=merit)


def _up(bound: float) -> float:
    return bound + ROUNDING * abs(bound)
