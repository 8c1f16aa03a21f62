"""The command ``optimise``: the best design within every limit, with nominal inputs or robust."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, Unpack, overload

from tradestudy.aircraft.model.limit_bounds import MET_ABOVE
from tradestudy.quantities import at_edge, in_unit, rounded
from tradestudy.results.design import Design
from tradestudy.results.result import Result
from tradestudy.results.trade import LimitConfidence, LimitLack, PrunedChoice, RobustComparison, SureWing
from tradestudy.search.infeasible import conflicts
from tradestudy.search.infeasible.advice import advice
from tradestudy.search.limit_prices import edge_gain, prices
from tradestudy.search.own.functions import EvaluatedWing, OwnLimit
from tradestudy.search.search_task import SearchResult
from tradestudy.uncertainty.build_tolerance import as_built_result
from tradestudy.uncertainty.robust import DesignSpread, JudgedDesign, most_robust

from .advised import advised_changes, excluded_sentences
from .assess import drawn_result, to_expect, with_recommended
from .python.own_objective import OwnOptimum, best_for
from .study_session import ALTERNATIVES, SearchOptions, StudySession, StudySource, opened

_MOST_REASONS = 6  # number of infeasible choices whose reason is reported
_NOISE = -0.005  # scaled margin; beside a larger violation, a smaller one is a compromise of the search, not a cause


@overload
def optimise(study: StudySource, **options: Unpack[SearchOptions]) -> Result: ...


@overload
def optimise(
    study: StudySource,
    *,
    objective: Callable[[EvaluatedWing], Any] | None = None,
    limits: Sequence[OwnLimit] = (),
    **options: Unpack[SearchOptions],
) -> OwnOptimum: ...


def optimise(
    study: StudySource,
    *,
    objective: Callable[[EvaluatedWing], Any] | None = None,
    limits: Sequence[OwnLimit] = (),
    **options: Unpack[SearchOptions],
) -> Result | OwnOptimum:
    """Return the best design within every limit, its active limits, and the next best designs. Numbers are to expect.

    The wing to build is ``recommended``, as in `assess` and `run`. Where new panels gain hardly anything, it keeps
    those of today, and ``best`` is the wing that goes farthest all the same.

    With ``objective`` or ``limits`` return an `OwnOptimum` instead. The objective is a function of an `EvaluatedWing`
    in SI, and is maximised; for less of something, return its negative. The limits hold beside those of the study.
    Slopes of a function that takes complex numbers are exact (no ``float``, ``abs``, ``max`` or ``if``). Else they are
    differences.

    If no design is feasible, the result names the limits that conflict. Choices that a bound proves worse than the
    alternatives are not searched; `Result.pruned` names them. ``options`` are those of `SearchOptions`.
    Raises CommandError if an own function fails.

    ::

        ts.optimise(study, objective=lambda wing: wing.range / wing.all_up_mass)
        ts.optimise(study, limits=[ts.OwnLimit("wing loading", lambda w: w.all_up_mass / w.area, at_most=5.0)])
    """
    with opened(study, "optimise", **options) as session:
        if objective is not None or limits:
            return best_for(session, objective, limits)
        return drawn_result(session, _with_advice(session, best_at_medians(session)))


def _with_advice(session: StudySession, result: Result) -> Result:
    """Return ``result`` with the recommended wing, and with what its search left out."""
    if result.conflict:
        return result
    result = with_recommended(session, result)
    return replace(result, solved=len(session.ranking.known), pruned=left_out(session))


def best_at_medians(session: StudySession, every_choice: bool = False) -> Result:
    """Return the result of `optimise` with the numbers of all wings at the medians of the inputs, as in the search.

    With ``every_choice``, all sets of parts are searched at once. Then no bound is searched to leave any of them out.
    """
    ranked = session.ranked() if every_choice else session.best_results()
    best = ranked[0]
    if not best.feasible:
        ranked = session.ranked()
    session.report_progress("looking at the best design in full")
    alternatives = [result for result in ranked[1 : 1 + ALTERNATIVES] if result.feasible]
    full, *others = session.designs([(best, "best"), *((each, "alternative") for each in alternatives)])
    result = replace(
        session.stock_result(),
        best=full,
        alternatives=others,
        solved=len(ranked),
        pruned=left_out(session),
    )
    if not best.feasible:
        session.report_progress("looking for the limits that conflict, and how far each would have to give")
        found = conflicts.conflict(session.space, ranked)
        session.report_progress("looking for the smallest changes that would do, and searching again with them")
        changes = advised_changes(session.space, advice(session.space, ranked, session.report_progress), found)
        missed = (
            []
            if found.one_suffices
            else [f"of the nearest wing, {line}" for line in violation_sentences(session, best)]
        )
        return replace(result, conflict=found.lines + missed, advice=changes)
    infeasible = [each for each in ranked if not each.feasible][:_MOST_REASONS]
    return replace(
        result,
        excluded=[*result.excluded, *excluded_sentences(session, infeasible)],
        prices=prices(session.space, best, session.ranking.results_of),
    )


def robust(study: StudySource, chance: float, **options: Unpack[SearchOptions]) -> Result:
    """Return as ``best`` the best design that meets every limit at once in a share ``chance`` of true draws.

    Inputs and errors of the shop are drawn. Numbers are those to expect, as in every other command.
    The best design with nominal inputs is the first alternative. `Result.robust` describes both.
    """
    with opened(study, "optimise", **options) as session:
        result = best_at_medians(session)
        if result.conflict or result.best is None:
            return result
        ranked = session.best_results()
        bounds = session.ranking.left_out
        found = most_robust(session.space, ranked, bounds, chance, session.report_progress)
        result = replace(
            result,
            robust=RobustComparison(
                round(in_unit(chance, "%"), 4),
                found.rounds,
                found.reached,
                _confidence(session, found.nominal),
                _confidence(session, found.robust),
                found.looked,
                found.may_win,
                [_sure_wing(session, each) for each in found.trade],
            ),
        )
        if found.robust is not found.nominal:
            result = replace(
                result,
                best=session.design(found.robust.drawn.result, "best"),
                prices=None,
                alternatives=_as_drawn_before(session, result, ranked[0], found.nominal),
            )
        drawn = found.robust.drawn
        built = as_built_result(session.study, drawn.design, drawn.inputs)
        others = result.alternatives if found.robust is not found.nominal else None
        expected = to_expect(session, replace(result, spread=drawn.spread.reported(), as_built=built))
        return expected if others is None else replace(expected, alternatives=others)


def _as_drawn_before(session: StudySession, result: Result, best: SearchResult, nominal: JudgedDesign) -> list[Design]:
    """Return the best design as assumed and those after it, told by its own draws, as without a robust search."""
    wings = [session.design(best, "alternative"), *result.alternatives][:ALTERNATIVES]
    return to_expect(session, replace(result, alternatives=wings, spread=nominal.drawn.spread.reported())).alternatives


def _sure_wing(session: StudySession, drawn: DesignSpread) -> SureWing:
    return SureWing(
        words=drawn.result.choice.words,
        **rounded(at_edge(span_mm=drawn.result.traded["span"]), 1),
        gain=edge_gain(session.space, drawn.expected(session.study.fly.purpose)),
        met_pct=round(in_unit(drawn.met, "%"), 1),
    )


def _confidence(session: StudySession, judged: JudgedDesign) -> LimitConfidence:
    """Return the share of true draws in which a design meets each limit and all of them, and what they lack."""
    drawn, purpose = judged.drawn, session.study.fly.purpose
    met = judged.true.met_share()
    name, share = min(met.items(), key=lambda pair: pair[1])
    words = {limit.name: limit.words for limit in session.space.limits(drawn.result.choice)}
    numbers = at_edge(auw_g=drawn.result.all_up_mass, span_mm=drawn.result.traded["span"])
    return LimitConfidence(
        words=drawn.result.choice.words,
        **rounded(numbers, 4),
        gain=edge_gain(session.space, drawn.expected(purpose)),
        low=edge_gain(session.space, drawn.low),
        least_certain_limit=name,
        least_certain_limit_words=words[name],
        least_certain_limit_pct=round(in_unit(share, "%"), 2),
        met_share={limit: round(each, 4) for limit, each in met.items()},
        all_met_pct=round(in_unit(judged.true.met, "%"), 1),
        all_met_error_pct=round(in_unit(judged.true.error, "%"), 1),
        lacking=[
            LimitLack(limit, words[limit], short, unit) for limit, (short, unit) in judged.short.items() if short > 0
        ],
    )


def left_out(session: StudySession) -> list[PrunedChoice]:
    """Return the choices that were not searched, with the upper bounds of their gains."""
    return [
        PrunedChoice(choice.words, edge_gain(session.space, bound))
        for choice, bound in session.ranking.left_out.items()
    ]


def violation_sentences(session: StudySession, result: SearchResult) -> list[str]:
    """Return a sentence for each limit that a design violates, worst first, with its value and bound."""
    limits = {limit.name for limit in session.space.limits(result.choice)}
    states = {state.name: state for state in session.design(result, "least broken").limits}
    lines: list[str] = []
    for name, values in sorted(result.margins.items(), key=lambda each: float(each[1].min())):
        if float(values.min()) < (_NOISE if lines else MET_ABOVE) and name in limits:
            state = states[name]
            digits = next((d for d in range(3, 9) if f"{state.value:.{d}g}" != f"{state.bound:.{d}g}"), 9)
            value, bound = (f"{number:.{digits}g} {state.unit}".strip() for number in (state.value, state.bound))
            lines.append(f"{state.words} is {value} where {state.side} {bound} is asked")
    return lines
