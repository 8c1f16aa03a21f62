"""The front of a study: the most of one quantity at every level of another, across all choices."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from tradestudy.aircraft.model.choices import Choice
from tradestudy.physics.flight import layout
from tradestudy.quantities.objectives import TRADED, WEIGHT, purpose_quantity

from . import epsilon_constraint
from .epsilon_constraint import Ends, Found
from .search_space import Space
from .search_task import Answer, Asked
from .side_by_side import Chain, LostSearch, together

POINTS = 25
SWEEPS = 9  # looked at for the least weight

Tell = Callable[[str], None]


def traded_line(
    space: Space,
    ranked: list[Answer],
    of: str | None = None,
    against: str = WEIGHT,
    tell: Tell = lambda words: None,
    points: int = POINTS,
) -> list[Answer]:
    """Return about ``points`` non-dominated answers, best in ``against`` first, both ends exact.

    ``of`` and ``against`` are names in `objectives.TRADED` (None: what the study wants most of); ``ranked`` holds the
    answer of every choice that is best in ``of``, best first.
    """
    of = of or purpose_quantity(space.study.fly.purpose)

    def found(answer: Answer | None) -> Found | None:
        if answer is None or not answer.feasible:
            return None
        return Found(TRADED[of].sense * answer.traded[of], -TRADED[against].sense * answer.traded[against], answer)

    def solve(asks: list[epsilon_constraint.Ask]) -> list[Found | None]:
        chains = [
            _under(
                ask.key,
                [start.what.variables for start in ask.starts],
                (against, -TRADED[against].sense * ask.level),
                of,
            )
            for ask in asks
        ]
        return [found(answer) for answer in together(space, chains, tell)]

    best = [each for each in ranked if each.feasible]
    utmost = _utmost_followed(space, best, of, against, tell)
    ends = {}
    for answer in best:
        first, last = found(answer), found(utmost.get(answer.choice))
        if first and last:  # a search for the utmost that ends dearer than the best has found nothing
            ends[answer.choice] = Ends(first, last if last.cost < first.cost else first)
    return [point.what for point in epsilon_constraint.front(ends, solve, points)]


def knee(line: list[Answer], of: str, against: str) -> int | None:
    """Return which point of a line is its knee (`epsilon.knee`), or None."""
    return epsilon_constraint.knee(
        [-TRADED[against].sense * answer.traded[against] for answer in line],
        [TRADED[of].sense * answer.traded[of] for answer in line],
    )


def _under(choice: Choice, starts: list[dict[str, float]], level: tuple[str, float], of: str) -> Chain[Answer | None]:
    """The best design under a level, from the first start that leads to one."""
    for start in starts:
        try:
            answer = yield Asked("solve", choice, [start], None, level, of)
        except LostSearch:
            return None
        if answer.feasible:
            return answer
    return None


def _utmost(answer: Answer, of: str, against: str) -> Chain[Answer]:
    return (yield Asked("utmost", answer.choice, [answer.variables], aim=of, utmost=against))


def _utmost_followed(space: Space, feasible: list[Answer], of: str, against: str, tell: Tell) -> dict[Choice, Answer]:
    """Return the design best in ``against`` of every choice that no earlier one makes needless."""
    if TRADED[against].is_proxy:
        return {answer.choice: answer for answer in feasible}
    utmost: dict[Choice, Answer] = {}
    followed: list[Answer] = []

    def needless(answer: Answer) -> bool:
        return against == WEIGHT and any(_beaten(space, answer, utmost[other.choice], of) for other in followed)

    left = list(feasible)
    while left := [answer for answer in left if not needless(answer)]:
        ahead = left[: space.engine.lanes if space.engine else 1]  # as many at once as there are workers
        chains: list[Any] = [_utmost(each, of, against) for each in ahead]
        for answer, end in zip(ahead, together(space, chains, tell), strict=True):
            if end is not None and not needless(answer):
                utmost[answer.choice] = end
                followed.append(answer)
        left = left[len(ahead) :]
    return utmost


def _beaten(space: Space, answer: Answer, light: Answer, of: str) -> bool:
    """A choice need not be followed when another one, designed to be light, is better at less than it can weigh.

    What it can weigh at the least is its weight at the shortest span, whatever the sweep: everything that grows with
    span only adds, while fins that hold their volume may shrink as sweep gives them a longer arm.
    """
    sense = TRADED[of].sense
    if not light.feasible or sense * light.traded[of] <= sense * answer.traded[of]:
        return False
    data, choice = space.data(answer.choice).layout, answer.choice
    sweeps = np.linspace(*space.box(answer.choice)["sweep"], SWEEPS)
    weights = layout.design_shape(
        data,
        space.bounds["extension"][0] + 0 * sweeps,
        sweeps,
        answer.variables["washout"] + 0 * sweeps,
        choice.rod_diameter,
        float(choice.rod_pairs),
        float(choice.series),
        float(choice.parallel),
        answer.variables["equipment_position"],
    ).all_up_mass
    return bool(light.all_up_mass <= weights.min())
