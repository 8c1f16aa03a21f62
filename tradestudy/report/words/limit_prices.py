"""What a little slack would buy, in rows and sentences: each limit that stops the best wing, given way by a step."""

from __future__ import annotations

from tradestudy.report.placed import fill
from tradestudy.results.result import Result

from .phrases import design_number, limit_words, number_text
from .purpose import measure

NOTHING = "no wing within every limit"
FEW = 9.95  # km or min; fewer are told to the hundredth
NOTE = (
    "Each line is one small step by itself, and the best wing found anew after it. Gains are in proportion to the "
    "step while it is small; solve the study again before a large one. A limit that keeps a wing whole is no place "
    "to save: its price tells what that safety costs."
)


def slack_heads(result: Result) -> list[str]:
    """Return the heads of the table."""
    known = measure(result)
    return ["what is given up or bought", "it eases", fill("more {} {}", known.axis, known.unit)]


def slack_rows(result: Result) -> list[tuple[str, ...]]:
    """Return rows of (step, limit that it eases, gain), most first; then what the next parts up would do."""
    known = result.prices
    if known is None:
        return []
    return [
        *((row.words, limit_words(row.limit, result.best), _gain(row.gain)) for row in known.slack),
        *((row.words, "–", _gain(row.gain)) for row in known.parts),
    ]


def _gain(value: float | None) -> str:
    if value is None:
        return NOTHING
    return ("+" if value > 0 else "") + number_text(value, 2 if abs(value) < FEW else 0)


def slack_words(result: Result) -> list[str]:
    """Return what the table is about, and how well the conditions of an optimum hold; nothing where it is empty."""
    if not slack_rows(result) or result.best is None or result.prices is None:
        return []
    known, found = measure(result), result.prices
    return [
        fill("For the best span, {} mm. {}", design_number(result.best, "span_mm"), NOTE),
        fill(
            "How surely it is the best near by: across the ranges of what is free the {} would change by "
            "{:.3g} {}, and the limits that stop it account for all but {:.2g} {} of that.",
            known.noun,
            found.slope,
            known.unit,
            found.unexplained,
            known.unit,
        ),
    ]


ROBUST_HEADS = ["", "best as assumed", "best as sure as asked"]


def robust_rows(result: Result) -> list[tuple[str, ...]]:
    """Return rows under SURE_HEADS; none where nobody asked."""
    found = result.robust
    if not found:
        return []
    known, wings = measure(result), (found.nominal, found.robust)

    def row(head: str, key: str, digits: int = 0) -> tuple[str, str, str]:
        return head, number_text(getattr(wings[0], key), digits), number_text(getattr(wings[1], key), digits)

    return [
        ("what is bought", wings[0].words, wings[1].words),
        row("span mm", "span_mm"),
        row("flying weight g", "auw_g"),
        row(fill("{} as assumed, {}", known.axis, known.unit), "gain", 1),
        row(fill("{} in nine of ten, {}", known.axis, known.unit), "low", 1),
        ("limit met least often", wings[0].least_certain_limit_words, wings[1].least_certain_limit_words),
        row("met in % of draws", "least_certain_limit_pct", 1),
    ]


def robust_words(result: Result) -> list[str]:
    """Return what was asked and what it costs."""
    found = result.robust
    if not found:
        return []
    known, plain, robust = measure(result), found.nominal, found.robust
    asked = fill("{:g} of 100 ways the wing may come out", found.chance_pct)
    if plain == robust and found.reached:
        return [fill("The best wing holds every limit in at least {}, as it is.", asked)]
    if not found.reached:
        return [
            fill(
                "No wing was found that holds every limit in {}. The surest of those looked at is shown: its "
                "least sure limit, {}, is met in {:.0f}. What is measured narrows the bands (tradestudy "
                "bands), and a limit may give.",
                asked,
                robust.least_certain_limit_words,
                robust.least_certain_limit_pct,
            )
        ]
    cost = plain.low - robust.low
    return [
        fill(
            "Every limit is held in at least {}. That costs {} {} of what nine of ten wings reach: the price "
            "of not knowing better. What is measured narrows the bands (tradestudy bands).",
            asked,
            number_text(cost, 1),
            known.unit,
        )
    ]
