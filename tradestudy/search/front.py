"""The weight-range line: the longest range at each flying weight, across all choices."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.optimize import minimize

from .optimum import Answer, Pose, Space, merit, solve

POINTS = 11


def weight_range(space: Space, ranked: list[Answer], tell: Callable[[str], None] = lambda words: None,
                 points: int = POINTS) -> list[Answer]:
    """Return non-dominated answers from lightest to farthest, both ends exact.

    Epsilon-constraint: range is maximised under a falling limit on the flying weight, choice by choice in the
    order of ``ranked``, each solve started from the answer at the weight above.
    """
    feasible = [answer for answer in ranked if answer.feasible]
    if not feasible:
        return []
    lightest = {}
    for answer in feasible:
        tell(f"lightest with {answer.choice.words}")
        lightest[answer.choice] = space.remember(
            ("lightest", answer.choice.words), lambda answer=answer: lightest_of(space, answer))
    feasible = [answer for answer in feasible if _worth_following(answer, lightest, feasible)]
    light_end = min((a for a in lightest.values() if a.feasible), key=lambda a: a.all_up_mass, default=None)
    heavy_end = feasible[0]
    found = [answer for answer in feasible] + [a for a in lightest.values() if a.feasible]
    if light_end is not None:
        levels = np.linspace(light_end.all_up_mass, heavy_end.all_up_mass, points)[1:-1][::-1]
        for answer in feasible:
            start = answer
            for most_mass in levels:
                if most_mass < lightest[answer.choice].all_up_mass:
                    break
                if start.all_up_mass <= most_mass:
                    continue  # the answer above is lighter than this already
                start = solve(space, answer.choice, [start.variables], most_mass=float(most_mass))
                if not start.feasible:
                    break
                found.append(start)
                tell(f"{1e3 * most_mass:.0f} g with {answer.choice.words}")
    return non_dominated(found)


def _worth_following(answer: Answer, lightest: dict, others: list[Answer]) -> bool:
    """A choice is left out when another one's lightest design is lighter still and yet flies farther than its best."""
    return not any(lightest[other.choice].feasible and lightest[other.choice].range > answer.range
                   and lightest[other.choice].all_up_mass < lightest[answer.choice].all_up_mass for other in others)


def lightest_of(space: Space, answer: Answer) -> Answer:
    """Return the lightest feasible design of an answer's choice."""
    pose = Pose(space, answer.choice)
    x = pose.scaled(answer.variables)

    def weight(point):
        pose.objective(point)
        return pose.model.value("all_up_mass")

    def slope(point):
        return pose.model_slope("all_up_mass", point)

    light = minimize(weight, x, jac=slope, method="SLSQP", bounds=[(0, 1)] * len(x),
                     constraints=[{"type": "ineq", "fun": pose.margins, "jac": pose.margin_slopes}],
                     options={"maxiter": 40, "ftol": 1e-7})
    end = pose.answer(np.clip(light.x, 0, 1))
    # of equally light designs the one that flies farthest
    refined = solve(space, answer.choice, [end.variables], most_mass=end.all_up_mass * (1 + 1e-4))
    return max((end, refined), key=merit) if refined.feasible else end


def non_dominated(answers: list[Answer]) -> list[Answer]:
    """Return the feasible answers that no other beats in both weight and range, lightest first."""
    ordered = sorted((a for a in answers if a.feasible), key=lambda a: (a.all_up_mass, -a.range))
    front: list[Answer] = []
    for answer in ordered:
        if not front or answer.range > front[-1].range * (1 + 1e-9):
            front.append(answer)
    return front
