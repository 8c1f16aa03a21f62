"""``tradestudy bands``: what each open input is worth, and which to measure first."""

from __future__ import annotations

from functools import partial
from typing import Any

from . import shared
from .app import CAUTION, AsJson, FittedFile, OutFolder, StudyPath, print_json, print_table, say


@partial(shared.asks_for_a_design, leave_out=("cruise_speed",))
def bands(
    study: StudyPath,
    as_json: AsJson = False,
    out: OutFolder = None,
    fitted: FittedFile = None,
    asked: Any = None,
) -> None:
    """Tell what each open input is worth and which to measure first, on one stretched wing asked for as in assess."""
    from tradestudy.commands import assess as command

    result = shared.one_design("bands", study, out, fitted, lambda work: command.bands(work, asked))
    design = result.best
    if as_json:
        print_json(
            shared.document(
                result,
                design=design.summary() if design else None,
                input_effects=result.input_effects,
                uncertainty=result.uncertainty,
            )
        )
        return
    from tradestudy.report.words.input_effects import EFFECT_HEADS, effect_rows, reference_words, uncertainty_words

    say(reference_words(result))
    print()
    print_table(list(EFFECT_HEADS), effect_rows(result))
    print()
    for line in uncertainty_words(result):
        say(line)
    print()
    say(CAUTION)
