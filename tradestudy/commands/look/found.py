"""The wings that a search found, each with its look, ready for the sliders of a live page."""

from __future__ import annotations

from tradestudy.aircraft.model.choices import choice_of, variables_of
from tradestudy.commands.study_session import ALTERNATIVES
from tradestudy.results.look.look import WingLook
from tradestudy.results.look.sliders import FoundWing, FoundWings
from tradestudy.results.result import Result
from tradestudy.search.search_task import SearchResult

from .looks import look_of
from .work import Work

SPANS, FRONT = "spans", "front"  # kinds of searches besides that of the best wing


def found_wings(work: Work, kind: str, result: Result) -> FoundWings:
    """Return the wings of the Result of `optimise`, `stretch` ("spans") or `front` ("front").

    The recommended wing comes first, then the best one and its alternatives. Wings of a span trade are by span, those
    of a front in its order. If no wing meets every limit, it is the nearest one.
    """
    built = [result.recommended] if result.recommended else []
    if result.best is None or result.conflict:
        designs = [result.best] if result.best else []
    elif kind == SPANS:
        designs = sorted([*result.span_trade, *built], key=lambda design: design.numbers.span_mm)
    elif kind == FRONT:
        designs = result.front or result.builds
    else:
        designs = [*built, result.best, *result.alternatives]
    wings = [_found(design.label, look_of(work, choice_of(design), variables_of(design))) for design in designs]
    return FoundWings(kind, work.study_id, wings, result.message, stopped=False)


def best_so_far(work: Work, kind: str, known: list[SearchResult]) -> FoundWings:
    """Return the best wings of a search that was stopped. ``known`` are its results so far (`Ranking.known`)."""
    kept = [each for each in known if each.feasible][: 1 + ALTERNATIVES]
    labels = ["best so far", *["alternative"] * ALTERNATIVES]
    wings = [
        _found(label, look_of(work, each.choice, each.variables)) for label, each in zip(labels, kept, strict=False)
    ]
    sentence = "Stopped before any set of parts was searched."
    if known:
        sets = "1 set" if len(known) == 1 else f"{len(known)} sets"
        sentence = f"Stopped after {sets} of parts. What was found is kept, so the next search goes on from there."
    return FoundWings(kind, work.study_id, wings, sentence, stopped=True)


def _found(label: str, look: WingLook) -> FoundWing:
    return FoundWing(look.name, label, look)
