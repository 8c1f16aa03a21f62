"""The best wing that meets every limit in most draws of its uncertain inputs and of the errors of its shop.

The draws change a design's margins (`range_band`, `build_tolerance`). Each margin has a fall, and the falls are chosen
together, so that a share of the draws exceeds none of them. These falls become required margins, and that set of
parts is searched again. The search ends when the design meets all limits at once as often as requested.

Required margins only take designs away. So the best gain of a set of parts as assumed is an upper bound of its robust
gain. The sets are searched in the order of that bound, until it no longer exceeds the best robust gain found: no other
set can win. At the end, true draws with another seed judge the best ones (`true_draws`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from tradestudy.aircraft.model.choices import Choice
from tradestudy.quantities import from_edge
from tradestudy.quantities.objectives import PURPOSES
from tradestudy.search.branch_and_bound import ROUNDING, Branch, Ranking, branch_of
from tradestudy.search.engines.progress import Progress
from tradestudy.search.parallel import sent_to_workers
from tradestudy.search.search_space import SearchSpace
from tradestudy.search.search_task import SearchResult

from .build_tolerance import shop_inputs, shortfall, wing_as_drawn
from .inputs_with_bands import inputs_of
from .range_band import Draws, Spread, drawn, spread
from .true_draws import TrueShare, true_share
from .variants import (
    PILOTS_OWN,
    DesignVariants,
    FixedDesign,
    design_variants,
    fixed_design,
    flown_design,
    given_tables,
)

_ROUNDS = 4  # most searches of one set of parts with required margins
_NEAR = 0.02  # share of draws; another round follows if limits are met more often than requested by more than this
_MORE = 1.02  # factor on the falls, since those of the next design differ slightly
_JUDGED = 3  # most designs that true draws judge, best first
_CORRECTIONS = 2  # most searches of a judged set of parts again, where true draws find less than sums
_CORRECTED = 1.2  # share of that difference that is asked in addition: the next design differs
_MOST_REQUIRED = 0.99  # share of draws
_SURER = 0.03  # share of draws; a design that is surer by less is no other choice for a builder
_STEPS = 30  # steps of the bisection for falls that hold together


@dataclass(frozen=True)
class DesignSpread:
    """One search result with its scatter: by the inputs alone, and by inputs and shop together."""

    result: SearchResult
    spread: Spread
    both: Draws
    design: FixedDesign
    variants: DesignVariants  # inputs and errors of the shop
    inputs: DesignVariants  # inputs alone

    @property
    def met(self) -> float:
        """The share of the draws that meet every limit at once, by sums. [-]"""
        return self.both.all_met

    @property
    def gain(self) -> float:
        """The gain of the search result, SI."""
        return self.result.gain

    @property
    def low(self) -> float:
        """The gain that the requested share of the draws exceeds, SI. It is scaled in proportion to the range."""
        return self.gain * from_edge("range_km", self.spread.sure_range_km) / self.result.range

    def expected(self, purpose: str) -> float:
        """The gain to expect: the middle of the draws, SI."""
        return self.gain * self.spread.over_medians[PURPOSES[purpose].number]


@dataclass(frozen=True)
class JudgedDesign:
    """A design, what true draws say of it, and what each limit lacks at the chosen share, with its unit."""

    drawn: DesignSpread
    true: TrueShare
    short: dict[str, tuple[float, str]]


@dataclass(frozen=True)
class RobustSearch:
    """The best design as assumed, the robust one, and whether the chance was met by true draws.

    ``trade`` holds designs, most gain first. None of them has another with more gain that is as sure by sums.
    ``looked`` is the number of sets of parts that were searched with required margins, and ``rounds`` the number of
    these searches. ``may_win`` counts the sets whose upper bound exceeds the robust gain.
    """

    nominal: JudgedDesign
    robust: JudgedDesign
    rounds: int
    looked: int
    may_win: int
    reached: bool
    trade: list[DesignSpread]


class _Search:
    """The robust search of one study: the falls of each branch, the designs looked at, and the number of searches.

    Sets of parts of a branch differ in rods alone, so their falls are nearly the same.
    """

    def __init__(self, space: SearchSpace, tell: Progress):
        self.space, self.tell = space, tell
        self.falls: dict[str, float] = {}
        self.rounds = 0
        self.looks: list[DesignSpread] = []
        self._branches: dict[Branch, dict[str, float]] = {}
        self._missed: set[Branch] = set()

    def look(self, result: SearchResult, chance: float) -> DesignSpread:
        """Return a result with its scatter. Its falls are those of the next search, and of the next in its branch."""
        found = design_spread(self.space, result, chance, self.tell)
        self.falls = joint_falls(found.both, chance)
        self._branches[branch_of(result.choice)] = self.falls
        self.looks.append(found)
        return found

    def robust_of(self, choice: Choice, above: float, chance: float) -> DesignSpread | None:
        """Return the best design of one set of parts that meets its limits often enough, or None.

        Its first falls are those of its branch, of the best design as assumed: those of other parts may be much larger.
        The result is None as well if its gain cannot exceed ``above``.
        """
        known = self._branches.get(branch_of(choice))
        self.falls = known or {}
        if known is None:
            assumed = self._solved(choice)
            if assumed is None or not assumed.feasible:
                return None
            self.look(assumed, chance)
        best, own, kept = None, False, self.falls
        for _ in range(_ROUNDS):
            self.rounds += 1
            found = self._solved(choice)
            if own and best is None and found is not None and not found.feasible:
                # room for all falls is too much: half way back to those that were met
                self.falls = {name: 0.5 * (fall + kept.get(name, fall)) for name, fall in self.falls.items()}
                continue
            kept = self.falls
            branch = branch_of(choice)
            if found is not None and not (found.feasible or own or branch in self._missed):
                falls = self.falls
                self.look(found, chance)  # it lacks least, in case no design reaches the chance
                self.falls = self._branches[branch] = falls
                self._missed.add(branch)
            if found is None or not found.feasible or (own and found.gain <= above):
                break
            made, own = self.look(found, chance), True
            if made.met >= chance:
                best = made if best is None or made.gain > best.gain else best
                if made.met <= chance + _NEAR:
                    break
        return best

    def corrected(self, judged: JudgedDesign, chance: float) -> DesignSpread | None:
        """Return a design of the same parts that asks of the sums what true draws found them to promise too much."""
        made = judged.drawn
        required = min(chance + _CORRECTED * max(made.met - judged.true.met, 0.0), _MOST_REQUIRED)
        self.falls = self._branches[branch_of(made.result.choice)] = joint_falls(made.both, required)
        found = self.robust_of(made.result.choice, -np.inf, required)
        return found and replace(found, spread=spread(found.inputs, chance=chance))

    def _solved(self, choice: Choice) -> SearchResult | None:
        """Return the best design of one set of parts with the required margins, or the one that lacks least of them."""
        required = {name: _MORE * fall for name, fall in self.falls.items()}
        tight = replace(self.space, required_margins=required, choices=[choice])
        with sent_to_workers(self.space, tight):
            results = Ranking(tight, self.tell).complete()
        return next((each for each in results if each.choice == choice), None)


def most_robust(
    space: SearchSpace,
    ranked: list[SearchResult],
    left_out: dict[Choice, float],
    chance: float,
    report_progress: Progress,
) -> RobustSearch:
    """Return the best wing that meets every limit at once in a share ``chance`` of the draws.

    ``ranked`` are the results as assumed, best first, and ``left_out`` upper bounds of the gains of choices that were
    not searched. If no wing reaches the chance, the result is the one that meets all limits most often.
    """
    search, best = _Search(space, report_progress), ranked[0]
    nominal = search.look(best, chance)
    bounds = [(each.gain, each.choice) for each in ranked if each.feasible]
    bounds += [(bound, choice) for choice, bound in left_out.items()]
    bounds.sort(key=lambda each: -each[0])
    found: list[DesignSpread] = [nominal] if nominal.met >= chance else []
    looked = 0
    for bound, choice in [] if found else bounds:
        above = max((each.gain for each in found), default=-np.inf)
        if bound + ROUNDING * abs(bound) <= above:
            break
        looked += 1
        report_progress(f"robust search: set of parts {looked} of at most {_count(bounds, above)} that may win")
        made = search.robust_of(choice, above, chance)
        found += [made] if made else []
    found.sort(key=lambda each: -each.gain)
    judged_nominal = _judged(space, nominal, chance, report_progress)
    judged = [judged_nominal]

    def ended(one: JudgedDesign, reached: bool) -> RobustSearch:
        count, trade = _count(bounds, one.drawn.gain), gain_over_sureness(search.looks)
        return RobustSearch(judged_nominal, one, search.rounds, looked, count, reached, trade)

    reached: JudgedDesign | None = None
    for made in found[:_JUDGED] or [_surest(search.looks)]:
        if reached is not None and made.gain <= reached.drawn.gain:
            break
        one = judged_nominal if made is nominal else _judged(space, made, chance, report_progress)
        for again in range(_CORRECTIONS + 1):
            judged.append(one)
            if one.true.met + one.true.error >= chance:
                reached = one if reached is None or one.drawn.gain > reached.drawn.gain else reached
                break
            corrected = search.corrected(one, chance) if found and again < _CORRECTIONS else None
            if corrected is None:
                break
            one = _judged(space, corrected, chance, report_progress)
    return ended(reached or max(judged, key=lambda each: each.true.met), reached is not None)


def _surest(looks: Sequence[DesignSpread]) -> DesignSpread:
    """Return the surest design that is at its best for its room. One that only misses least is far from its best."""
    at_best = [each for each in looks if each.result.feasible]
    return max(at_best or looks, key=lambda each: each.met)


def gain_over_sureness(looks: Sequence[DesignSpread]) -> list[DesignSpread]:
    """Return the designs of which no other has more gain and meets every limit as often, most gain first."""
    line: list[DesignSpread] = []
    for each in sorted(looks, key=lambda one: (-one.gain, -one.met)):
        if each.result.feasible and (not line or each.met > line[-1].met + _SURER):
            line.append(each)
    return line


def _count(bounds: Iterable[tuple[float, Choice]], gain: float) -> int:
    return sum(bound > gain for bound, _ in bounds)


def joint_falls(draws: Draws, chance: float) -> dict[str, float]:
    """Return a fall for each limit, so that a share ``chance`` of the draws exceeds none of them.

    All are the same percentile of their limit. A limit that has more margin than its fall counts with that margin.
    """
    falls = np.maximum(draws.own_margins - draws.margins, 0.0)
    low, high = chance, 1.0
    for _ in range(_STEPS):
        middle = 0.5 * (low + high)
        allowed = np.maximum(np.quantile(falls, middle, axis=0), draws.own_margins)
        low, high = (low, middle) if (falls <= allowed).all(axis=-1).mean() >= chance else (middle, high)
    return dict(zip(draws.names, np.quantile(falls, high, axis=0).tolist(), strict=True))


def design_spread(space: SearchSpace, result: SearchResult, chance: float, report_progress: Progress) -> DesignSpread:
    """Return a search result with the scatter of its outputs when inputs vary, and the errors of its shop.

    Limits are those of the study, without required margins.
    """
    study, anchor = space.study, space.anchor
    design = fixed_design(study, anchor, result.choice, result.variables)
    every = inputs_of(study, anchor, result.choice)
    sampled = [one for one in every if not one.used.key.startswith(PILOTS_OWN)]
    inputs = design_variants(study, given_tables(study), design, sampled, report_progress, space.engine)
    both = inputs._replace(inputs=[*inputs.inputs, *shop_inputs(wing_as_drawn(study, design))])
    return DesignSpread(result, spread(inputs, chance=chance), drawn(both), design, both, inputs)


def _judged(space: SearchSpace, made: DesignSpread, chance: float, report_progress: Progress) -> JudgedDesign:
    """Return a design with its true draws, and what its limits lack at the chosen share in their own units."""
    study = space.study
    true = true_share(study, given_tables(study), made.design, made.variants, report_progress)
    wing = wing_as_drawn(study, made.design)
    flown, lacks = flown_design(study, made.design, wing.drawn), true.short(chance)
    return JudgedDesign(made, true, {limit.name: shortfall(flown, limit, lacks[limit.name]) for limit in wing.limits})
