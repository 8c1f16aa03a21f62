"""What the commands ask for, each as one call: Study in, Result out."""

from __future__ import annotations

import hashlib
import importlib.metadata
import platform
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

import tradestudy
from tradestudy.aircraft.anchor.calibration import Anchor, anchor_of
from tradestudy.aircraft.anchor.full_throttle_defaults import PACK_CURRENT, with_full_throttle_defaults
from tradestudy.aircraft.assessment.club import club_wings
from tradestudy.aircraft.assessment.full_design import assess_design, scatter_notes, sources_used
from tradestudy.aircraft.assessment.parts_comparison import parts_comparison
from tradestudy.aircraft.model.choices import Choice, choice_of, variables_of
from tradestudy.aircraft.model.limit_bounds import MET_ABOVE, limits_of
from tradestudy.aircraft.model.model_data import stock_wing
from tradestudy.aircraft.model.section_data import section_facts
from tradestudy.aircraft.model.speed_sweep import SpeedSweep, best_speed
from tradestudy.aircraft.workshop.shopping import shopping_list
from tradestudy.errors import CommandError, RunFailed
from tradestudy.quantities import at_edge, from_edge, in_unit, rounded
from tradestudy.quantities.objectives import TRADED, WEIGHT, purpose_quantity, traded_pair
from tradestudy.quantities.variables import VARIABLES
from tradestudy.results.design import Design
from tradestudy.results.inputs import Assumed
from tradestudy.results.result import Result
from tradestudy.results.trade import FrontAxes, FrontAxis, LimitConfidence, PrunedChoice, Purposes, RobustComparison
from tradestudy.search import branch_and_bound, conflicts, front, optimum, span_trade
from tradestudy.search.engines.cluster import open_engine
from tradestudy.search.engines.record import Record
from tradestudy.search.limit_prices import edge_gain, prices
from tradestudy.search.search_space import Space, combinations, search_space
from tradestudy.search.search_task import Answer, merit
from tradestudy.study.schema.study import Study
from tradestudy.uncertainty import input_worth
from tradestudy.uncertainty import robust as surest
from tradestudy.uncertainty.range_band import spread

from .requested_wing import Wanted

Tell = Callable[[str], None]
ALTERNATIVES = 3
POINTS = 12  # of the front that a whole run shows
MOST_REASONS = 6  # of choices without a wing that are told why
NOISE = -0.005  # scaled margin: smaller misses beside a larger one are the search's compromise, not a cause


def silent(words: str) -> None:
    """Say nothing."""


class Work:
    """A study anchored and made ready; keeps what has been solved.

    ``tell`` is told what is being done; its ``warn``, where it has one, what a person should not miss. ``record`` is
    the file of what was solved before. ``workers`` processes search side by side (None: as many as there are cores,
    when there is enough to do: ``tasks``, or the study's choices), or the workers of the Dask scheduler at the address
    ``cluster``. `close` ends them.
    """

    def __init__(
        self,
        study: Study,
        command: str,
        tell: Tell = silent,
        record: Path | None = None,
        workers: int | None = 1,
        cluster: str | None = None,
        tasks: int | None = None,
    ):
        self.study, self.command, self.tell = with_full_throttle_defaults(study), command, tell
        study = self.study
        self.record = Record(record, inputs_text(study), getattr(tell, "warn", tell))
        tasks = len(combinations(study)) if tasks is None else tasks
        self.engine = open_engine(tasks, workers, cluster)
        try:
            tell("tying the model to the stock wing")
            self.anchor: Anchor = anchor_of(study)
            self.space: Space = search_space(study, self.anchor)
            self.engine.furnish(self.space.travelling())
        except BaseException:
            self.close()
            raise
        self.space.record, self.space.engine = self.record, self.engine
        self.ranking = branch_and_bound.Ranking(self.space, self.tell)

    def close(self) -> None:
        """End the workers and let go of the record."""
        self.engine.close()
        self.record.close()

    def base(self) -> Result:
        """Return a Result that holds the stock wing and where everything comes from."""
        study = self.study
        return Result(
            study_name=study.study.name,
            note=study.study.note,
            study_file=study.path.name,
            study_text=study.text,
            command=self.command,
            versions=versions(),
            defaults_used=[
                Assumed(used.key, used.value, used.origin, used.band, used.moves, used.is_choice)
                for used in study.defaults_used
            ],
            stock=self.stock(),
            excluded=list(self.space.set_aside),
            notes=[*self.anchor.flags, *pack_notes(study), *scatter_notes(study)],
            sources=sources_used(study),
            calibration=list(self.anchor.calibration),
            calibration_notes=list(self.anchor.not_measured),
            purposes=purposes(study),
            sections=section_facts(study, stock_wing(study)),
        )

    def stock(self) -> Design:
        """Return the stock wing in full."""
        return assess_design(
            self.study, self.anchor.data, self.anchor.choice, self.anchor.variables, "stock", active=[]
        )

    def design(self, answer: Answer, label: str) -> Design:
        """Return an answer in full."""
        data = self.space.data(answer.choice)
        return assess_design(
            self.study,
            data,
            answer.choice,
            answer.variables,
            label,
            self.space.limits(answer.choice),
            optimum.active_limits(self.space, answer),
        )

    def ranked(self) -> list[Answer]:
        """Return the best answer of every choice, best first."""
        self._refuse_none()
        return self.ranking.whole()

    def foremost(self) -> list[Answer]:
        """Return answers best first, without choices that a bound proves to be behind the few that are shown."""
        self._refuse_none()
        return self.ranking.best(1 + ALTERNATIVES)

    def _refuse_none(self) -> None:
        if not self.space.choices:
            reasons = "; ".join(self.space.set_aside)
            raise RunFailed(f"{self.study.path}: none of the choices can be built: {reasons}.")

    # --- one design by hand -------------------------------------------------------------------------------

    def by_hand(self, wanted: Wanted) -> Design:
        """Return one stretched design as asked for, its cruise speed the best one unless given."""
        choice = self.choice(wanted)
        variables = self.variables(wanted)
        data = self.space.data(choice)
        if wanted.cruise_speed is None:
            variables["cruise_speed"] = best_speed(SpeedSweep(data, choice, variables), self.study.fly.purpose)
        limits = limits_of(self.study, self.anchor.reference, choice, data.strip_count)
        return assess_design(self.study, data, choice, variables, "stretched", limits)

    def choice(self, wanted: Wanted, otherwise: Choice | None = None) -> Choice:
        """Return what a design asked for is built with; what is not asked for is as on the stock wing, or another."""
        asked = {name: getattr(wanted, name) for name in ("parallel", "rod_diameter", "rod_pairs", "propeller")}
        return replace(
            otherwise or self.anchor.choice, **{name: value for name, value in asked.items() if value is not None}
        )

    def variables(self, wanted: Wanted) -> dict[str, float]:
        """Return what is free in a design asked for, SI; the cruise speed that of the stock wing unless given."""
        bounds, stock = self.space.bounds, self.anchor.variables
        found = {name: float(np.clip(stock[name], *bounds[name])) for name in VARIABLES}
        found["extension"] = 0.5 * sum(bounds["extension"])
        if wanted.span is not None:
            stock_span = self.anchor.data.layout.stock.span
            if wanted.span < stock_span - 1e-9:
                raise CommandError(
                    f"--span {in_unit(wanted.span, 'mm'):.0f} mm is below the stock span of "
                    f"{in_unit(stock_span, 'mm'):.0f} mm; a wing is only stretched."
                )
            found["extension"] = 0.5 * (wanted.span - self.anchor.data.layout.stock.span)
        for name in ("sweep", "washout", "static_margin", "cruise_speed"):
            if getattr(wanted, name) is not None:
                found[name] = getattr(wanted, name)
        return found


def purposes(study: Study) -> Purposes:
    """Return what the study wants most of and what the three measures of it assume, in edge units."""
    fly = study.fly
    told = at_edge(
        wind_ms=fly.wind,
        farthest_out_km=fly.farthest_out,
        full_throttle_share_pct=fly.full_throttle_share,
        reserve_pct=fly.reserve,
    )
    return Purposes(fly.purpose, **rounded(told, 4))


def pack_notes(study: Study) -> list[str]:
    """Return a caution where the stock wing draws more than a usual cell of its kind allows."""
    return [
        f"the pack draws {used.value} at full throttle, 10 % in hand, more than a usual cell of its kind allows: "
        "look up what its maker says and write it under pack.maximum_current"
        for used in study.defaults_used
        if used.key == PACK_CURRENT
    ]


def inputs_text(study: Study) -> str:
    """Return all that an answer hangs on besides this package: the study, the files beside it, the libraries."""
    own = study.propeller
    names = [
        name for name in (study.stock.airfoil, study.stock.tip_airfoil, own.table, own.blade, own.blade_section) if name
    ]
    files = [study.file_path(name) for name in names]
    held = [hashlib.sha256(file.read_bytes()).hexdigest() for file in files if file.is_file()]
    return "\n".join([study.text, *held, *(f"{name} {number}" for name, number in versions().items())])


def versions() -> dict[str, str]:
    """Return what this was computed with."""
    names = ("numpy", "scipy", "openmdao", "aerosandbox", "neuralfoil")
    return {
        "tradestudy": tradestudy.__version__,
        "python": platform.python_version(),
        **{name: importlib.metadata.version(name) for name in names},
    }


def assess(work: Work, wanted: Wanted) -> Result:
    """Return the stock wing and one stretched wing in full."""
    return replace(work.base(), best=work.by_hand(wanted))


def optimise(work: Work) -> Result:
    """Return the best design, its alternatives and, where nothing fits, what conflicts.

    Choices that a bound proves to be behind the alternatives are not searched; `Result.pruned` names them.
    """
    ranked = work.foremost()
    first = ranked[0]
    if not first.feasible:
        ranked = work.ranked()
    work.tell("looking at the best design in full")
    others = [work.design(answer, "alternative") for answer in ranked[1 : 1 + ALTERNATIVES] if answer.feasible]
    result = replace(
        work.base(), best=work.design(first, "best"), alternatives=others, solved=len(ranked), pruned=left_out(work)
    )
    if not first.feasible:
        work.tell("looking for the limits that conflict, and how far each would have to give")
        lines, enough = conflicts.conflict(work.space, ranked)
        missed = [] if enough else [f"of the nearest wing, {line}" for line in conflict(work, first)]
        return replace(result, conflict=lines + missed)
    return replace(
        result,
        excluded=[*result.excluded, *not_possible(work, ranked)],
        prices=prices(work.space, first, work.ranking.of),
    )


def robust(work: Work, chance: float) -> Result:
    """Return the best design that holds every limit in a share ``chance`` of the ways it may come out, as ``best``.

    The plain best comes first among the alternatives; `Result.robust` tells of both.
    """
    result = optimise(work)
    if result.conflict or result.best is None:
        return result
    found = surest.robust(work.space, work.foremost()[0], chance, work.tell)
    told = RobustComparison(
        round(in_unit(chance, "%"), 4),
        found.rounds,
        found.reached,
        _sureness(work, found.plain),
        _sureness(work, found.robust),
    )
    if found.robust is found.plain:
        return replace(result, robust=told)
    return replace(
        result,
        robust=told,
        best=work.design(found.robust.answer, "best"),
        prices=None,
        alternatives=[work.design(found.plain.answer, "alternative"), *result.alternatives][:ALTERNATIVES],
    )


def _sureness(work: Work, look: surest.Look) -> LimitConfidence:
    name, share = look.least_sure
    words = {limit.name: limit.words for limit in work.space.limits(look.answer.choice)}
    told = at_edge(auw_g=look.answer.all_up_mass, span_mm=look.answer.traded["span"])
    return LimitConfidence(
        words=look.answer.choice.words,
        **rounded(told, 4),
        gain=edge_gain(work.space, look.answer.gain),
        low=edge_gain(work.space, look.low),
        least_certain_limit=name,
        least_certain_limit_words=words[name],
        least_certain_limit_pct=round(in_unit(share, "%"), 2),
        met_share={limit: round(held, 4) for limit, held in look.spread.holds.items()},
    )


def left_out(work: Work) -> list[PrunedChoice]:
    """Return the choices that were not searched because no rods of theirs could do."""
    return [PrunedChoice(choice.words, edge_gain(work.space, bound)) for choice, bound in work.ranking.left_out.items()]


def conflict(work: Work, answer: Answer) -> list[str]:
    """Return which limits cannot be met together and by how much the least broken design misses each."""
    limits = {limit.name: limit for limit in work.space.limits(answer.choice)}
    lines: list[str] = []
    states = {state.name: state for state in work.design(answer, "least broken").limits}
    for name, values in sorted(answer.margins.items(), key=lambda each: float(each[1].min())):
        if float(values.min()) < (NOISE if lines else MET_ABOVE) and name in limits:
            state = states[name]
            digits = next((d for d in range(3, 9) if f"{state.value:.{d}g}" != f"{state.bound:.{d}g}"), 9)
            value, bound = (f"{number:.{digits}g} {state.unit}".strip() for number in (state.value, state.bound))
            lines.append(f"{state.words} is {value} where {state.side} {bound} is asked")
    return lines


def not_possible(work: Work, ranked: list[Answer]) -> list[str]:
    """Return why a choice has no wing that meets every limit, worst limit first; for the first few of them."""
    broken = [answer for answer in ranked if not answer.feasible][:MOST_REASONS]
    return [f"{answer.choice.words}: nearest is a wing whose {conflict(work, answer)[0]}" for answer in broken]


def stretch(work: Work) -> Result:
    """Return the span trade with its flat band and the recommended span."""
    result = optimise(work)
    if result.conflict:
        return result
    ranked = work.ranked()
    result = replace(result, solved=len(ranked), pruned=left_out(work))
    trade = span_trade.span_trade(work.space, ranked, work.tell)
    band = span_trade.flat_band(work.space, ranked[0], trade)
    held = {"extension": 0.5 * (from_edge("span_mm", band.span_mm) - work.anchor.data.layout.stock.span)}
    near = min(trade, key=lambda answer: abs(answer.variables["extension"] - held["extension"]))
    candidates = [optimum.solve(work.space, answer.choice, [answer.variables], held) for answer in (ranked[0], near)]
    recommended = max(candidates, key=merit)
    if not recommended.feasible or recommended.gain < (1 - span_trade.FLAT_SHARE) * ranked[0].gain:
        recommended = ranked[0]
        band = replace(band, span_mm=round(band.best_mm), reason="the best span: no whole centimetre near it will do")
    return replace(
        result,
        band=band,
        span_trade=[work.design(a, "span trade") for a in trade if a.feasible],
        recommended=work.design(recommended, "recommended"),
    )


def traded(
    work: Work, result: Result | None = None, of: str | None = None, against: str = WEIGHT, points: int = POINTS
) -> Result:
    """Return the front of two quantities (names in `objectives.TRADED`), with what each step from the stock wing buys.

    ``of`` is what the study wants most of unless named, and ``points`` about how many wings the front shows.
    Raises CommandError for names of no quantity, or of no pair.
    """
    own = purpose_quantity(work.study.fly.purpose)
    of, against = traded_pair(of or own, against)
    result = result or optimise(work)
    if result.conflict:
        return result
    ranked = work.ranked() if of == own else branch_and_bound.Ranking(work.space, work.tell, of).whole()
    line = front.traded_line(work.space, ranked, of, against, work.tell, points)
    told = FrontAxes(FrontAxis(**TRADED[of].front_axis()), FrontAxis(**TRADED[against].front_axis()), front.knee(line, of, against))
    return replace(
        result,
        front=[work.design(answer, "knee" if index == told.knee else "front") for index, answer in enumerate(line)],
        steps=steps(work),
        traded=told,
    )


def steps(work: Work) -> list[Design]:
    """Return "pack only" (the best pack in the unstretched wing) and "span only" (the stock pack, stretched)."""
    ranked, stock = work.ranked(), work.anchor.choice
    first, found = ranked[0], []
    if first.choice.pack_key != stock.pack_key:
        held = {"extension": 0.0, "sweep": work.anchor.variables["sweep"], "washout": work.anchor.variables["washout"]}
        if work.study.stretch.scheme == "tip":
            del held["washout"]  # it is that of the added piece, which is not there
        if all(work.space.bounds[name][0] <= value <= work.space.bounds[name][1] for name, value in held.items()):
            pack, series, parallel = first.choice.pack_key
            choice = replace(stock, pack=pack, series=series, parallel=parallel)
            packed = optimum.solve(work.space, choice, [work.anchor.variables], held)
            if not packed.feasible:
                packed = optimum.relaxed(work.space, packed, held)
            found.append(work.design(packed, "pack only"))
    spanned = [a for a in ranked if a.choice.pack_key == stock.pack_key and a.feasible]
    if spanned and first.choice.pack_key != stock.pack_key:
        found.append(work.design(spanned[0], "span only"))
    return found


def everything(work: Work) -> Result:
    """Return all of it: optimum, span trade, weight-range line, what each open input is worth, club and shopping."""
    return with_club(work, with_worth(work, traded(work, stretch(work))))


def worth(work: Work, wanted: Wanted) -> Result:
    """Return the stock wing, one stretched wing in full, and what each open input is worth to that."""
    return with_worth(work, assess(work, wanted))


def with_worth(work: Work, result: Result) -> Result:
    """Return a result with what each open input is worth to the design it proposes."""
    design = result.recommended or result.best
    if design is None:
        return result
    rows, uncertainty, varied = input_worth.worth(
        work.study, work.anchor, choice_of(design), variables_of(design), work.tell
    )
    return replace(result, input_effects=rows, uncertainty=uncertainty, spread=spread(varied).told())


def with_compared(work: Work, result: Result) -> Result:
    """Return a result with propellers, motors and packs against each other on the wing it proposes."""
    design = result.recommended or result.best or result.stock
    return replace(
        result,
        compared=parts_comparison(work.study, work.anchor, choice_of(design), variables_of(design), work.space.slowest),
    )


def with_club(work: Work, result: Result) -> Result:
    """Return a result with each member's wing on the airframe it proposes, and what to buy for all of them."""
    design = result.recommended or result.best
    if design is None:
        return result
    asked = work.study, work.anchor, design, work.space.slowest
    return replace(result, club=club_wings(*asked), shopping=shopping_list(*asked))
