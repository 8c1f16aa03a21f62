"""``tradestudy stretch``: how far to extend the span."""

from __future__ import annotations

from typing import Any

from . import shared
from .app import CAUTION, AsJson, StudyPath, print_json, print_table, say


@shared.searches
def stretch(study: StudyPath, as_json: AsJson = False, how: Any = None) -> None:
    """Show what each span would give, everything else at its best, and the span to build."""
    from dataclasses import asdict

    from tradestudy.commands import trade

    result = shared.searched("stretch", study, how, trade.stretch)
    if as_json:
        print_json(
            shared.document(
                result,
                band=asdict(result.band) if result.band else None,
                recommended=result.recommended.summary() if result.recommended else None,
                points=[design.summary() for design in result.span_trade],
            )
        )
        return
    from tradestudy.report.words.phrases import comma_list, design_number, stopping_limits
    from tradestudy.report.words.purpose import measure

    if result.span_trade:
        known = measure(result)
        print_table(
            ["span mm", f"{known.axis} {known.unit}", "weight g", "stall km/h", "what is bought", "what stops it"],
            [
                (
                    design_number(d, "span_mm"),
                    design_number(d, known.key, 1),
                    design_number(d, "auw_g"),
                    design_number(d, "stall_speed_kmh"),
                    d.choices.words,
                    comma_list(stopping_limits(d, result)),
                )
                for d in result.span_trade
            ],
        )
        print()
    shared.print_first_screen(result)
    print()
    say(CAUTION)
