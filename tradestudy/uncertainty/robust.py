"""The best wing that meets every limit in most draws of its uncertain inputs, not only as assumed.

The uncertain inputs of a study move a design's margins (`range_band`). How much they fall in all but a chosen share of
draws becomes a required margin, and the search is made again. The falls of the new design then replace those of the old
one, until it meets every limit as often as requested.

Of the best few designs the one is returned whose gain is greatest in nine draws of ten. ``tests/bench/spread.py``
measures how well a sum of effects agrees with draws of everything at once.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from tradestudy.quantities import from_edge
from tradestudy.search.branch_and_bound import Ranking
from tradestudy.search.engines.progress import Progress
from tradestudy.search.search_space import SearchSpace
from tradestudy.search.search_task import SearchResult

from .range_band import Spread, spread
from .variants import design_variants, fixed_design, given_tables, inputs_of

_ROUNDS = 4
_CANDIDATES = 3
_NEAR = 0.02  # share of draws by which a limit may be met more often than requested before another round is worth it
_MORE = 1.02  # times a fall is kept in hand: the next design's falls are not quite those of the last one


@dataclass(frozen=True)
class DesignSpread:
    """One search result, and its spread over many draws of the inputs."""

    result: SearchResult
    spread: Spread

    @property
    def least_met(self) -> tuple[str, float]:
        """The limit that is met least often, and in what share of draws."""
        return min(self.spread.holds.items(), key=lambda pair: pair[1])

    @property
    def low(self) -> float:
        """The gain that nine draws of ten exceed, in proportion to the range. SI."""
        middle = self.result.range
        return self.result.gain * from_edge("range_km", self.spread.percentiles["range_km"].low) / middle


@dataclass(frozen=True)
class RobustSearch:
    """The best design as assumed, the robust one, the number of searches, and whether the chance was reached."""

    nominal: DesignSpread
    robust: DesignSpread
    rounds: int
    reached: bool


def most_robust(space: SearchSpace, best: SearchResult, chance: float, report_progress: Progress) -> RobustSearch:
    """Return the wing with the greatest gain in nine draws of ten, every limit met in a share ``chance`` of draws.

    ``best`` is the best design as assumed. Where no wing reaches the chance, the one is returned whose least met limit
    is met most often.
    """
    nominal = design_spread(space, best, chance, report_progress)
    looks, last, rounds, results = [nominal], nominal, 0, [best]
    try:
        while rounds < _ROUNDS and (last.least_met[1] < chance or (rounds and last.least_met[1] > chance + _NEAR)):
            rounds += 1
            tight = replace(space, required_margins={name: _MORE * fall for name, fall in last.spread.falls.items()})
            if space.engine is not None:
                space.engine.send_shared_data(tight.for_workers())
            results = Ranking(tight, report_progress).best(_CANDIDATES)
            last = design_spread(space, results[0], chance, report_progress)
            looks.append(last)
        if rounds:  # where the best just misses the chance, a runner-up may reach it
            looks += [
                design_spread(space, other, chance, report_progress)
                for other in results[1:_CANDIDATES]
                if other.feasible
            ]
    finally:
        if rounds and space.engine is not None:
            space.engine.send_shared_data(space.for_workers())
    reached = [look for look in looks if look.least_met[1] >= chance]
    if reached:
        return RobustSearch(nominal, max(reached, key=lambda look: look.low), rounds, True)
    return RobustSearch(nominal, max(looks, key=lambda look: look.least_met[1]), rounds, False)


def design_spread(space: SearchSpace, result: SearchResult, chance: float, report_progress: Progress) -> DesignSpread:
    """Return a result with its spread; limits are the study's own, without required margins."""
    study, anchor = space.study, space.anchor
    design = fixed_design(study, anchor, result.choice, result.variables)
    variants = design_variants(study, given_tables(study), design, inputs_of(study, anchor), report_progress)
    return DesignSpread(result, spread(variants, chance=chance))
