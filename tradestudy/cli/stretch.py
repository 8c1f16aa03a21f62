"""``tradestudy stretch``: the best wing of each span, and the span to build."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from tradestudy.quantities import in_unit
from tradestudy.report.words.phrases import comma_list, design_number, limit_list, stopping_limits
from tradestudy.report.words.purpose import measure

from . import output, result_tables, session
from .options import AsJson, Everything, search_options, study_keys
from .study_request import StudyRequest
from .terminal import print_table, say, show

_MOST_SPANS = 9  # spans that are listed without --all
_SAME_SPAN = 1.0  # mm


@study_keys
@search_options
def stretch(study: StudyRequest, everything: Everything = False, as_json: AsJson = False, search: Any = None) -> None:
    """Show the best wing of each span, and the span to build; for a club, each member's wing at each span."""
    from tradestudy.commands import trade

    result = session.compute_search("stretch", study, search, trade.stretch)
    if as_json:
        output.print_document(
            result,
            band=asdict(result.band) if result.band else None,
            recommended=result.recommended.summary() if result.recommended else None,
            points=[design.summary() for design in result.span_trade],
            club_spans=result.club_spans,
        )
        return

    result_tables.print_decision(result)
    show()
    if result.span_trade:
        objective = measure(result)
        print_table(
            [
                "span mm",
                f"{objective.axis} {objective.unit}",
                "weight g",
                "stall km/h",
                "built with",
                *(["what limits it"] if everything else []),
            ],
            [
                (
                    design_number(design, "span_mm"),
                    design_number(design, objective.key, 1),
                    design_number(design, "auw_g"),
                    design_number(design, "stall_speed_kmh"),
                    design.choices.words,
                    *([comma_list(stopping_limits(design, result))] if everything else []),
                )
                for design in (result.span_trade if everything else output.some(result.span_trade, _MOST_SPANS))
            ],
        )
        _print_what_stops(result, study)
    if everything:
        show()
        result_tables.print_first_screen(result)
    result_tables.print_club_spans(result)
    output.say_end(f"assess {study}", "every span that was tried, and what stops it", everything)


def _print_what_stops(result: Any, study: StudyRequest) -> None:
    """Print where the table ends, and what ends it, if the study would go on to a longer span."""
    last, longest = result.span_trade[-1], in_unit(study.read().stretch.span[1], "mm")
    if longest - last.numbers.span_mm > _SAME_SPAN:
        stops = limit_list(stopping_limits(last, result))
        say(
            f"No longer wing that was tried, up to {longest:.0f} mm, meets every limit."
            + (f" What stops it at {last.numbers.span_mm:.0f} mm: {stops}." if stops else "")
        )
