"""A wing that breaks a limit: which ones, by how much, and what stands across every card and sheet of it."""

from __future__ import annotations

from tradestudy.report.placed import fill, join
from tradestudy.results.design import Design, LimitState
from tradestudy.results.result import Result

from .phrases import limit_words, number_text, short_number, stretched_wing

NOT_TO_BE_BUILT = "NOT TO BE BUILT AS IT STANDS"
MOST_DIGITS = 6  # behind the point, where a bound is missed by very little


def violated_limits(design: Design | None) -> list[LimitState]:
    """Return the limits that a wing breaks, worst first; none of the stock wing, which is held to none."""
    states = design.limits if design else []
    return sorted((state for state in states if not state.met), key=lambda state: state.margin)


def violated_limit_words(design: Design) -> list[str]:
    """Return the limits that a wing breaks in a builder's words, worst first, nothing said twice."""
    return list(dict.fromkeys(limit_words(state.name, design) for state in violated_limits(design)))


def violation_lines(design: Design) -> list[str]:
    """Return each limit that a wing breaks with how it stands and what is asked, worst first."""
    lines = []
    for state in violated_limits(design):
        value, bound = _distinct_texts(state.value, state.bound)
        lines.append(
            fill(
                "{}: {}, {} is asked",
                limit_words(state.name, design),
                join(" ", fill("{} {}", value, state.unit).split()),
                join(" ", fill("{} {} {}", state.side, bound, state.unit).split()),
            )
        )
    return lines


def _distinct_texts(value: float, bound: float) -> tuple[str, str]:
    """Two numbers as text, with as many digits as it takes to see that they differ."""
    pair = short_number(value), short_number(bound)
    for digits in range(1, MOST_DIGITS + 1):
        if pair[0] != pair[1]:
            break
        pair = number_text(value, digits), number_text(bound, digits)
    return pair


def warning_words(design: Design | None) -> str:
    """Return what stands across a card or sheet of a wing that breaks a limit; empty for one that breaks none."""
    if design is None or not violated_limits(design):
        return ""
    return fill("BREAKS A LIMIT: {}. {}", join(", ", violated_limit_words(design)), NOT_TO_BE_BUILT)


def refusal(result: Result, what: str, study: str = "") -> str:
    """Return why there is no card or sheet (``what``) of the wing proposed, and what to do.

    ``study`` is the study as a command line names it; without it, what to do is told for Python.
    """
    design = stretched_wing(result)
    assert design is not None
    missed, known = violation_lines(design), bool(study)
    count = "a limit" if len(missed) == 1 else fill("{} limits", len(missed))
    optimise = fill("tradestudy optimise {}", study) if known else "tradestudy.optimise(study)"
    lead = ("No wing of this study meets every limit. Which conflict, and how far each would have to give"
            if result.conflict else "To find a wing that meets every limit")  # fmt: skip
    return join(
        "\n",
        [
            fill("No {} for the wing of {} mm span: it breaks {}.", what, number_text(design.numbers.span_mm), count),
            *(fill("  {}", line) for line in missed),
            fill("{}: {}", lead, optimise),
            fill(
                "To have this one's all the same, marked as not to be built: {}", "--anyway" if known else "anyway=True"
            ),
        ],
    )
