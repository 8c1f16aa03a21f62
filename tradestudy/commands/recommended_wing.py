"""The wing that a study recommends: the one wing of ``assess``, ``bands``, ``cruise``, ``buildsheet`` and ``compare``.

It is the best wing whose span is one to build. Where new panels gain hardly anything, it is the one that keeps the
panels of the stock wing. `recommended_search` finds it, `recommended_wing` finds it once and keeps it in the record, so
that every command shows the same wing.
"""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

from tradestudy.quantities import from_edge, in_unit
from tradestudy.results.trade import WORTH_BUILDING, SpanBand
from tradestudy.search.engines.progress import no_progress
from tradestudy.search.engines.record import Record
from tradestudy.search.parallel import run_tasks
from tradestudy.search.search_task import SearchResult, SearchTask, from_json, merit, to_json
from tradestudy.search.single_changes import kept_panels
from tradestudy.search.span_trade import FLAT_SHARE, flat_band_and_ends, span_trade

from .kept_results import RECOMMENDED, RECORD, recommended_words, results_folder
from .study_session import StudySession

_KEPT = f"new panels gain less than {in_unit(WORTH_BUILDING, '%'):.0f} %"
_NEAREST = "the nearest one, since no wing of this study meets every limit"


class SpanSearch(NamedTuple):
    """The best result at each span, the flat band, and the recommended result."""

    trade: list[SearchResult]
    band: SpanBand
    recommended: SearchResult


class RecommendedWing(NamedTuple):
    """The recommended result of a study, and words that say where it comes from."""

    result: SearchResult
    words: str


def recommended_search(session: StudySession) -> SpanSearch:
    """Return the span trade of a feasible study and its recommended wing, which the record then holds."""
    space, ranked = session.space, session.ranked()
    best = ranked[0]
    trade = span_trade(space, ranked, session.report_progress)
    band, ends = flat_band_and_ends(space, best, trade)
    # the line of the trade reaches both ends of the band
    known = {each.variables["extension"] for each in trade}
    trade += [each for each in ends if each.variables["extension"] not in known]
    trade.sort(key=lambda each: each.variables["extension"])
    stock_span = session.anchor.data.layout.stock.span
    fixed = {"extension": 0.5 * (from_edge("span_mm", band.span_mm) - stock_span)}
    near = min(trade, key=lambda each: abs(each.variables["extension"] - fixed["extension"]))
    starts = [best] if near is best else [best, near]
    tasks = [SearchTask("solve", each.choice, [each.variables], fixed) for each in starts]
    found = [result for result in run_tasks(space, tasks, session.report_progress) if result is not None]
    wing = max(found, key=merit, default=best)
    if not wing.feasible or wing.gain < (1 - FLAT_SHARE) * best.gain:
        wing = best
        reason = "the best span: no whole centimetre near it will do"
        band = replace(band, span_mm=round(band.best_mm), reason=reason)
    if kept := kept_panels(space, best, (1 - WORTH_BUILDING) * best.gain):
        wing = kept
        band = replace(band, span_mm=round(in_unit(stock_span, "mm")), reason=_KEPT)
    session.record.keep([(RECOMMENDED, to_json(wing))])
    return SpanSearch(trade, band, wing)


def recommended_wing(session: StudySession) -> RecommendedWing:
    """Return the recommended wing of a study: the one that is kept, or else one found now and kept from here on.

    It is looked for in the session's own record, and in that of ``results/<study>``. If no wing meets every limit, it
    is the one that misses them least.
    """
    return kept_wing(session) or _found(session)


def kept_wing(session: StudySession) -> RecommendedWing | None:
    """Return the recommended wing of a study if it is kept, or None: no search."""
    folder = session.record.folder
    known = session.record.known(RECOMMENDED)
    if known is None:
        folder = results_folder(session.study)
        known = _known_elsewhere(session, folder / RECORD)
    if known is None:
        return None
    result = from_json(known)
    return RecommendedWing(result, recommended_words(folder) if result.feasible else _NEAREST)


def _known_elsewhere(session: StudySession, file: Path) -> Any:
    """Return what another record knows of the recommended wing of the same study, and keep it in the session's own."""
    if not os.path.isfile(file) or session.record.folder == file.parent:
        return None
    other = Record(file, session.inputs, no_progress)
    known = other.known(RECOMMENDED)
    other.close()
    if known is not None:
        session.record.keep([(RECOMMENDED, known)])
    return known


def _found(session: StudySession) -> RecommendedWing:
    best = session.ranked()[0]
    if best.feasible:
        best = recommended_search(session).recommended
    else:
        session.record.keep([(RECOMMENDED, to_json(best))])
    words = f"{recommended_words(None)}, found now"
    return RecommendedWing(best, words if best.feasible else _NEAREST)
