"""``tradestudy bands``: the effect of each uncertain input on one wing, and the input to measure first."""

from __future__ import annotations

from functools import partial
from typing import Any

from tradestudy.report.words.gains import named_wing
from tradestudy.report.words.input_effects import (
    EFFECT_HEADS,
    effect_rows,
    first_words,
    flipping_words,
    reference_words,
    uncertainty_words,
)

from . import output, session
from .options import AsJson, Everything, FittedFile, OutFolder, study_keys, wing_options
from .study_request import StudyRequest
from .terminal import print_table, say, show

_MOST_INPUTS = 8  # inputs that are listed without --all


@study_keys
@partial(wing_options, leave_out=("cruise_speed",))
def bands(
    study: StudyRequest,
    everything: Everything = False,
    as_json: AsJson = False,
    out: OutFolder = None,
    fitted: FittedFile = None,
    requested: Any = None,
) -> None:
    """Show the effect of each uncertain input on one wing, as in assess, and what to measure first."""
    from tradestudy.commands import assess as command

    result = session.compute_design("bands", study, out, fitted, lambda opened: command.bands(opened, requested))
    design = result.best
    if as_json:
        output.print_document(
            result,
            wing=result.which_wing,
            design=design.summary() if design else None,
            input_effects=result.input_effects,
            uncertainty=result.uncertainty,
        )
        return

    rows = effect_rows(result)
    for line in named_wing(result):
        say(line)
    if everything:
        show()
        say(f"{result.which_wing} {reference_words(result)}\n")
        print_table(EFFECT_HEADS, rows)
        show()
        for line in uncertainty_words(result):
            say(line)
    else:
        for line in first_words(result):
            say(line)
        say("\nWhat moves it most:\n")
        print_table(EFFECT_HEADS, rows[:_MOST_INPUTS])
    if result.flips is not None:
        say(f"\n{flipping_words(result)}")
    output.say_end("", f"all {len(rows)} inputs, causes and limits at risk", everything)
