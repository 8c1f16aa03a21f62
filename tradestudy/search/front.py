"""The weight-range line: the most range, radius or time at each flying weight, across all choices."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from tradestudy.physics import layout

from .asked import Answer, Asked
from .optimum import Space
from .problem import Choice
from .together import Chain, together

POINTS = 2  # between the two ends of each choice
CLOSE_WEIGHT = 2e-3  # points closer than this are one point to a builder
SWEEPS = 9  # looked at for the least weight


def weight_range(space: Space, ranked: list[Answer], tell: Callable[[str], None] = lambda words: None,
                 points: int = POINTS) -> list[Answer]:
    """Return non-dominated answers from lightest to best, both ends exact.

    Epsilon-constraint: the gain is maximised under a falling limit on the flying weight, ``points`` levels between
    the best and the lightest design of each choice, in the order of ``ranked``, each started from the one above.
    """
    feasible = [answer for answer in ranked if answer.feasible]
    if not feasible:
        return []
    lightest = _lightest_followed(space, feasible, tell)
    feasible = [answer for answer in feasible if answer.choice in lightest]
    found = feasible + [answer for answer in lightest.values() if answer.feasible]
    chains = [_down(answer, lightest[answer.choice].all_up_mass, points) for answer in feasible]
    for line in together(space, chains, tell):
        found += line or []
    return spread_out(non_dominated(found))


def _lightest_followed(space: Space, feasible: list[Answer], tell: Callable[[str], None]) -> dict[Choice, Answer]:
    """Return the lightest design of every choice that no earlier one makes needless."""
    lightest: dict[Choice, Answer] = {}
    followed: list[Answer] = []

    def needless(answer: Answer) -> bool:
        return any(_beaten(space, answer, other, lightest[other.choice]) for other in followed)

    left = list(feasible)
    while left := [answer for answer in left if not needless(answer)]:
        ahead = left[: space.engine.lanes if space.engine else 1]  # as many at once as there are workers
        for answer, light in zip(ahead, together(space, [_lightest(each) for each in ahead], tell), strict=True):
            if light is not None and not needless(answer):
                lightest[answer.choice] = light
                followed.append(answer)
        left = left[len(ahead):]
    return lightest


def _lightest(answer: Answer) -> Chain[Answer]:
    return (yield Asked("lightest", answer.choice, [answer.variables]))


def _down(answer: Answer, light: float, points: int) -> Chain[list[Answer]]:
    """Best designs of one choice under a falling limit on the weight, between its own and the lightest [kg]."""
    start, found = answer, []
    for share in np.linspace(1, 0, points + 2)[1:-1]:
        most_mass = float(light + share * (answer.all_up_mass - light))
        start = yield Asked("solve", answer.choice, [start.variables], None, most_mass)
        if not start.feasible:
            break
        found.append(start)
    return found


def _beaten(space: Space, answer: Answer, other: Answer, light: Answer) -> bool:
    """A choice need not be followed when another one, designed to be light, flies better at less than it can weigh.

    What it can weigh at the least is its weight at the shortest span, whatever the sweep: everything that grows with
    span only adds, while fins that hold their volume may shrink as sweep gives them a longer arm.
    """
    if not light.feasible or light.gain <= answer.gain:
        return False
    data, choice = space.data(answer.choice.propeller).layout, answer.choice
    sweeps = np.linspace(*space.bounds["sweep"], SWEEPS)
    weights = layout.laid_out(
        data, space.bounds["extension"][0] + 0 * sweeps, sweeps, answer.variables["washout"] + 0 * sweeps,
        choice.rod_diameter, float(choice.rod_pairs), float(choice.series), float(choice.parallel),
        answer.variables["equipment_position"])["all_up_mass"]
    return bool(light.all_up_mass <= weights.min())


def non_dominated(answers: list[Answer]) -> list[Answer]:
    """Return the feasible answers that no other beats in both weight and gain, lightest first."""
    ordered = sorted((a for a in answers if a.feasible), key=lambda a: (a.all_up_mass, -a.gain))
    front: list[Answer] = []
    for answer in ordered:
        if not front or answer.gain > front[-1].gain * (1 + 1e-9):
            front.append(answer)
    return front


def spread_out(front: list[Answer]) -> list[Answer]:
    """Return a front without points that weigh nearly the same as the last one kept; both ends stay."""
    kept = front[:1]
    for answer in front[1:-1]:
        if answer.all_up_mass > (1 + CLOSE_WEIGHT) * kept[-1].all_up_mass:
            kept.append(answer)
    if len(front) > 1:
        if len(kept) > 1 and front[-1].all_up_mass <= (1 + CLOSE_WEIGHT) * kept[-1].all_up_mass:
            kept.pop()
        kept.append(front[-1])
    return kept
