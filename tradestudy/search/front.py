"""The weight-range line: the longest range at each flying weight, across all choices."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np

from .optimum import Answer, Space, lightest_of, solve

POINTS = 2  # between the two ends of each choice
CLOSE_WEIGHT = 2e-3  # points closer than this are one point to a builder
SAME_WEIGHT = 1e-4  # designs closer than this weigh the same


def weight_range(space: Space, ranked: list[Answer], tell: Callable[[str], None] = lambda words: None,
                 points: int = POINTS) -> list[Answer]:
    """Return non-dominated answers from lightest to farthest, both ends exact.

    Epsilon-constraint: range is maximised under a falling limit on the flying weight, ``points`` levels between the
    farthest and the lightest design of each choice, in the order of ``ranked``, each started from the one above.
    """
    feasible = [answer for answer in ranked if answer.feasible]
    if not feasible:
        return []
    lightest = {}
    for answer in feasible:
        tell(f"lightest with {answer.choice.words}")
        lightest[answer.choice] = space.remember(("lightest", answer.choice.words), partial(lightest_of, space, answer))
    feasible = [answer for answer in feasible if _worth_following(answer, lightest, feasible)]
    found = feasible + [a for a in lightest.values() if a.feasible]
    for answer in feasible:
        start, light = answer, lightest[answer.choice].all_up_mass
        for share in np.linspace(1, 0, points + 2)[1:-1]:
            most_mass = light + share * (answer.all_up_mass - light)
            start = solve(space, answer.choice, [start.variables], most_mass=float(most_mass))
            if not start.feasible:
                break
            found.append(start)
            tell(f"{1e3 * most_mass:.0f} g with {answer.choice.words}")
    return spread_out(non_dominated(found))


def _worth_following(answer: Answer, lightest: dict, others: list[Answer]) -> bool:
    """A choice is left out when another one's lightest design is no heavier and yet flies farther than its best."""
    return not any(lightest[other.choice].feasible and lightest[other.choice].range > answer.range
                   and lightest[other.choice].all_up_mass <= (1 + SAME_WEIGHT) * lightest[answer.choice].all_up_mass
                   for other in others)


def non_dominated(answers: list[Answer]) -> list[Answer]:
    """Return the feasible answers that no other beats in both weight and range, lightest first."""
    ordered = sorted((a for a in answers if a.feasible), key=lambda a: (a.all_up_mass, -a.range))
    front: list[Answer] = []
    for answer in ordered:
        if not front or answer.range > front[-1].range * (1 + 1e-9):
            front.append(answer)
    return front


def spread_out(front: list[Answer]) -> list[Answer]:
    """Return a front without points that weigh nearly the same as the next, farther one; both ends stay."""
    kept = [answer for answer, heavier in zip(front, front[1:], strict=False)
            if answer is front[0] or heavier.all_up_mass > (1 + CLOSE_WEIGHT) * answer.all_up_mass]
    return kept + front[-1:]
