"""Words on a wing that breaks limits: by how much, the warning on its cards and sheets, or why it gets none."""

from __future__ import annotations

import math

from tradestudy.quantities.limit_remedies import REMEDIES
from tradestudy.report.placed import fill, join
from tradestudy.results.design import Design, LimitState
from tradestudy.results.result import Result

from .phrases import limit_words, number_text, short_number, stretched_wing, violated_limit_words, violated_limits

_MOST_DIGITS = 6  # most decimal places, used if a bound is missed by very little


def violation_lines(design: Design) -> list[str]:
    """Return one line for each limit that a wing breaks, with its value, its bound and what would help, worst first."""
    lines = []
    for state in violated_limits(design):
        value, bound = _distinct_texts(state.value, state.bound)
        lines.append(
            fill(
                "{}: {}, required: {}",
                limit_words(state.name, design),
                join(" ", fill("{} {}", value, state.unit).split()),
                join(" ", fill("{} {} {}", state.side, bound, state.unit).split()),
            )
            + _what_helps(state)
        )
    return lines


def _what_helps(state: LimitState) -> str:
    """Return what would help against one broken limit, and whether the miss is smaller than the model can tell."""
    remedy = REMEDIES.get(state.name)  # None for a limit from another version of the program
    if remedy is None:
        return ""
    missed = abs(state.value - state.bound)
    small = "; less than two builds of one plan differ" if missed <= remedy.scatter else ""
    return f"{small}; what helps: {remedy.words.replace('{}', str(math.ceil(missed)))}"


def _distinct_texts(value: float, bound: float) -> tuple[str, str]:
    """Return two numbers as texts with enough digits to show that they differ."""
    pair = short_number(value), short_number(bound)
    for digits in range(1, _MOST_DIGITS + 1):
        if pair[0] != pair[1]:
            break
        pair = number_text(value, digits), number_text(bound, digits)
    return pair


def warning_words(design: Design | None) -> str:
    """Return the warning on every card and sheet of a wing that breaks a limit, or an empty text."""
    if design is None or not violated_limits(design):
        return ""
    return fill("BREAKS A LIMIT: {}. NOT TO BE BUILT AS IT STANDS", join(", ", violated_limit_words(design)))


def refusal(result: Result, what: str, study: str = "") -> str:
    """Return the message on why the stretched wing gets no card or sheet, and what to do about it.

    ``what`` names the card or sheet. ``study`` is the study as typed on a command line. If it is empty, the advice is
    for use from Python.
    """
    design = stretched_wing(result)
    assert design is not None
    violations = violation_lines(design)
    count = "a limit" if len(violations) == 1 else fill("{} limits", len(violations))
    optimise = fill("tradestudy optimise {}", study) if study else "tradestudy.optimise(study)"
    lead = (
        "No wing of this study meets every limit. To see which limits conflict, and by how much each would have to give"
        if result.conflict
        else "To find a wing that meets every limit"
    )
    lines = [
        fill("No {} for the wing of {} mm span: it breaks {}.", what, number_text(design.numbers.span_mm), count),
        *(fill("  {}", line) for line in violations),
        fill("{}: {}", lead, optimise),
        fill("To get it anyway, marked as not to be built: {}", "--anyway" if study else "anyway=True"),
    ]
    return join("\n", lines)
