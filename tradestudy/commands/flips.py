"""The command ``flips``: what changes the answer, one step or one band's end away."""

from __future__ import annotations

from dataclasses import replace
from typing import Unpack

from tradestudy.quantities import at_edge, from_edge, in_unit
from tradestudy.results.json_form import json_data
from tradestudy.results.result import Result
from tradestudy.results.trade import Flip, Flips
from tradestudy.search.limit_prices import edge_gain
from tradestudy.search.search_task import SearchResult
from tradestudy.search.span_trade import flat_band, span_trade
from tradestudy.uncertainty.flips.find_flips import FoundFlip, find_flips

from .assess import drawn_result
from .kept_results import FLIPS
from .optimise import best_at_medians
from .study_session import SearchOptions, StudySession, StudySource, opened


def flips(study: StudySource, **options: Unpack[SearchOptions]) -> Result:
    """Return the best design, with the changes that flip it (``Result.flips``), greatest loss first.

    A change is one step of a limit, a bound or a decision, or one end of the band of an uncertain input. It flips the
    answer if other parts then win, or the best span leaves today's flat band. Where an earlier search is interrupted
    and its record is kept, the same call goes on from there. Raises RunFailed
    if the study has no result.

    ::

        ts.flips(study, workers=2).flips.rows
    """
    with opened(study, "flips", **options) as session:
        result = best_at_medians(session)
        if result.conflict:
            return result
        return drawn_result(session, replace(result, flips=_searched_flips(session)))


def _searched_flips(session: StudySession) -> Flips:
    """Return the flips with gains at the medians of the inputs. The record keeps them."""
    ranked = session.ranked()
    best = ranked[0]
    band = flat_band(session.space, best, span_trade(session.space, ranked, session.report_progress))
    flat = from_edge("span_mm", band.low_mm), from_edge("span_mm", band.high_mm)
    found = find_flips(session.space, ranked, flat, session.report_progress)
    complete = Flips(
        rows=[_row(session, best, each) for each in found.flips], examined=found.examined, impossible=found.impossible
    )
    session.record.keep([(FLIPS, json_data(complete))])
    return complete


def _row(session: StudySession, best: SearchResult, found: FoundFlip) -> Flip:
    """Return one flip in the units shown to the user."""
    change, answer, space = found.change, found.answer, session.space
    winner, built, place = answer.winner, answer.built, answer.place
    breaks = ""
    if built is not None and not built.feasible:
        worst = min(built.margins, key=lambda name: float(built.margins[name].min()))
        breaks = next((limit.words for limit in space.limits(best.choice) if limit.name == worst), worst)
    lost = None
    if winner is not None and built is not None and built.feasible:
        lost = edge_gain(space, max(winner.gain - built.gain, 0.0))
    return Flip(
        name=change.name,
        kind=change.kind,
        words=change.words,
        relaxes=change.relaxes,
        at="" if place is None or not change.divisible else change.value(place),
        step_share_pct=None if place is None else round(in_unit(place, "%"), 1),
        differences=answer.differences,
        span_mm=None if winner is None else at_edge(span_mm=winner.traded["span"])["span_mm"],
        parts="" if winner is None else winner.choice.words,
        gain=None if winner is None else edge_gain(space, winner.gain),
        change=None if winner is None else edge_gain(space, winner.gain - best.gain),
        lost=lost,
        breaks=breaks,
        in_full=answer.in_full,
        band_end=change.band_end,
    )
