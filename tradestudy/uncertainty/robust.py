"""The best wing that holds every limit in most of the ways it may come out, not only as assumed.

What each input of the study may be off by moves a design's margins (`spread`). What they fall by in all but a chosen
share of draws is kept in hand: limits are moved by it and the search is made again, until the design found holds what
was asked; the falls of the new design then stand for the old one's. Of the best few the one is taken whose range is
greatest in nine draws of ten. How well a sum of effects stands for draws of everything at once is measured in
``tests/bench/spread.py``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from tradestudy.quantities import from_edge
from tradestudy.search.branch_and_bound import Ranking
from tradestudy.search.search_space import Space
from tradestudy.search.search_task import Answer

from .range_band import Spread, spread
from .variants import effects, given_tables, held_design, inputs_of

ROUNDS = 4
CANDIDATES = 3
NEAR = 0.02  # share of draws by which a limit may be met more often than asked before another round is worth it
MORE = 1.02  # times a fall is kept in hand: the next design's falls are not quite those of the last one
Tell = Callable[[str], None]


@dataclass(frozen=True)
class Look:
    """One answer and what many draws say of it."""

    answer: Answer
    spread: Spread

    @property
    def least_sure(self) -> tuple[str, float]:
        """The limit that is met least often, and in what share of draws."""
        return min(self.spread.holds.items(), key=lambda pair: pair[1])

    @property
    def low(self) -> float:
        """What is wanted most of, in nine draws of ten: it goes with the range. SI."""
        middle = self.answer.range
        return self.answer.gain * from_edge("range_km", self.spread.percentiles["range_km"].low) / middle


@dataclass(frozen=True)
class Robust:
    """The plain best, the robust one, how many searches that took, and whether it holds what was asked."""

    plain: Look
    robust: Look
    rounds: int
    reached: bool


def robust(space: Space, best: Answer, chance: float, tell: Tell) -> Robust:
    """Return the wing with the most of what is wanted in nine draws of ten, every limit met in a share ``chance``.

    ``best`` is the plain best. Where no wing is so sure, the one whose least sure limit is met most often.
    """
    plain = looked(space, best, chance, tell)
    looks, last, rounds, found = [plain], plain, 0, [best]
    try:
        while rounds < ROUNDS and (last.least_sure[1] < chance or (rounds and last.least_sure[1] > chance + NEAR)):
            rounds += 1
            tight = replace(space, in_hand={name: MORE * fall for name, fall in last.spread.falls.items()})
            if space.engine is not None:
                space.engine.furnish(tight.travelling())
            found = Ranking(tight, tell).best(CANDIDATES)
            last = looked(space, found[0], chance, tell)
            looks.append(last)
        if rounds:  # a winner that just misses may have runners-up that hold
            looks += [looked(space, other, chance, tell) for other in found[1:CANDIDATES] if other.feasible]
    finally:
        if rounds and space.engine is not None:
            space.engine.furnish(space.travelling())
    sure = [look for look in looks if look.least_sure[1] >= chance]
    if sure:
        return Robust(plain, max(sure, key=lambda look: look.low), rounds, True)
    return Robust(plain, max(looks, key=lambda look: look.least_sure[1]), rounds, False)


def looked(space: Space, answer: Answer, chance: float, tell: Tell) -> Look:
    """Return an answer with its spread; limits are the study's own, nothing kept in hand."""
    study, anchor = space.study, space.anchor
    held = held_design(study, anchor, answer.choice, answer.variables)
    varied = effects(study, given_tables(study), held, inputs_of(study, anchor), tell)
    return Look(answer, spread(varied, chance=chance))
