"""The best wing that meets every limit in most samples of its uncertain inputs, not only with nominal inputs.

The uncertain inputs of a study change a design's margins (`range_band`). Each margin has a fall that a chosen share of
samples does not exceed. This fall becomes a required margin, and the search is made again. The falls of the new design
replace those of the old one, until the design meets every limit as often as requested.

Of the best few designs, the result is the one with the greatest gain that the same share of samples exceeds.
``tests/bench/spread.py`` measures how well sums of effects agree with full evaluations of sampled inputs.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from tradestudy.quantities import from_edge
from tradestudy.search.branch_and_bound import Ranking
from tradestudy.search.engines.progress import Progress
from tradestudy.search.parallel import sent_to_workers
from tradestudy.search.search_space import SearchSpace
from tradestudy.search.search_task import SearchResult

from .inputs_with_bands import inputs_of
from .range_band import Spread, spread
from .variants import design_variants, fixed_design, given_tables

_ROUNDS = 4
_CANDIDATES = 3
_NEAR = 0.02  # share of samples; another round follows if limits are met more often than requested by more than this
_MORE = 1.02  # factor on the falls, since those of the next design differ slightly


@dataclass(frozen=True)
class DesignSpread:
    """One search result, and its scatter over many samples of the inputs."""

    result: SearchResult
    spread: Spread

    @property
    def least_met(self) -> tuple[str, float]:
        """The limit that is met least often, and the share of samples that meet it."""
        return min(self.spread.holds.items(), key=lambda pair: pair[1])

    @property
    def low(self) -> float:
        """The gain that the requested share of samples exceeds, SI. It is scaled in proportion to the range."""
        middle = self.result.range
        return self.result.gain * from_edge("range_km", self.spread.sure_range_km) / middle


@dataclass(frozen=True)
class RobustSearch:
    """The best design with nominal inputs, the robust one, the number of searches, and whether the chance was met."""

    nominal: DesignSpread
    robust: DesignSpread
    rounds: int
    reached: bool


def most_robust(space: SearchSpace, best: SearchResult, chance: float, report_progress: Progress) -> RobustSearch:
    """Return the best wing that meets every limit in a share ``chance`` of samples.

    The best wing has the greatest gain that the same share of samples exceeds.

    ``best`` is the best design with nominal inputs. If no wing reaches the chance, the result is the wing whose least
    met limit is met most often.
    """
    nominal = design_spread(space, best, chance, report_progress)
    looks, last, rounds, results = [nominal], nominal, 0, [best]
    while rounds < _ROUNDS and (last.least_met[1] < chance or (rounds and last.least_met[1] > chance + _NEAR)):
        rounds += 1
        tight = replace(space, required_margins={name: _MORE * fall for name, fall in last.spread.falls.items()})
        with sent_to_workers(space, tight):
            results = Ranking(tight, report_progress).best(_CANDIDATES)
        last = design_spread(space, results[0], chance, report_progress)
        looks.append(last)
    if rounds:  # if the best just misses the chance, another result may reach it
        looks += [
            design_spread(space, other, chance, report_progress) for other in results[1:_CANDIDATES] if other.feasible
        ]
    reached = [look for look in looks if look.least_met[1] >= chance]
    if reached:
        return RobustSearch(nominal, max(reached, key=lambda look: look.low), rounds, True)
    return RobustSearch(nominal, max(looks, key=lambda look: look.least_met[1]), rounds, False)


def design_spread(space: SearchSpace, result: SearchResult, chance: float, report_progress: Progress) -> DesignSpread:
    """Return a search result with the scatter of its outputs when the uncertain inputs vary.

    Limits are those of the study, without required margins.
    """
    study, anchor = space.study, space.anchor
    design = fixed_design(study, anchor, result.choice, result.variables)
    variants = design_variants(
        study, given_tables(study), design, inputs_of(study, anchor, result.choice), report_progress
    )
    return DesignSpread(result, spread(variants, chance=chance))
