"""The best design of every choice, best first."""

from __future__ import annotations

from collections.abc import Callable

from .asked import Answer, Asked, merit
from .problem import Choice
from .space import Space, starting_points
from .together import Chain, LostSearch, together

SEARCHED_TWICE = 3
WORTH_ANOTHER_START = -0.05  # scaled margin: a choice that misses its limits by more is not saved by a better start


def best_of_all(space: Space, tell: Callable[[str], None] = lambda words: None, aim: str | None = None) -> list[Answer]:
    """Return one answer per choice, best first; the best few are searched again from farther out.

    Best is what the study wants most of, or most of the quantity ``aim``.
    A choice that stays infeasible comes back as its least broken design: how far off is then an answer too.
    """
    near, far = starting_points(space)
    packs = list(dict.fromkeys(choice.parallel for choice in space.choices))
    chains = [_of_one_pack([choice for choice in space.choices if choice.parallel == parallel], near, aim)
              for parallel in packs]
    found = {answer.choice: answer for part in together(space, chains, tell) for answer in part or []}
    answers = sorted((found[choice] for choice in space.choices if choice in found), key=merit, reverse=True)
    again = together(space, [_again(answer, far if index < SEARCHED_TWICE else None, aim)
                             for index, answer in enumerate(answers)], tell)
    return sorted((answer for answer in again if answer is not None), key=merit, reverse=True)


def _of_one_pack(choices: list[Choice], near: dict[str, float], aim: str | None) -> Chain[list[Answer]]:
    """Choices of one pack size, each searched from the last one that could fly."""
    start, found = near, []
    for choice in choices:
        try:
            answer = yield Asked("solve", choice, [start], aim=aim)
        except LostSearch:
            continue
        found.append(answer)
        start = answer.variables if answer.feasible else start
    return found


def _again(answer: Answer, far: dict[str, float] | None, aim: str | None) -> Chain[Answer]:
    """One choice once more: from farther out, or for how far off it is."""
    starts = [far] if far else []
    if not answer.feasible:
        answer = yield Asked("relaxed", answer.choice, [answer.variables])
        starts = [answer.variables] if answer.worst > WORTH_ANOTHER_START else []
    found = [answer]
    for start in starts:
        found.append((yield Asked("solve", answer.choice, [start], aim=aim)))
    return max(found, key=merit)
