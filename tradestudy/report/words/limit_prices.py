"""What a little slack would buy, in rows and sentences: each limit that stops the best wing, given way by a step."""

from __future__ import annotations

from tradestudy.results.result import Result

from .limits_and_answer import figure_of, limit_words, told
from .purpose import measure

NOTHING = "no wing within every limit"
FEW = 9.95  # km or min; fewer are told to the hundredth
NOTE = ("Each line is one small step by itself, and the best wing found anew after it. Gains are in proportion to the "
        "step while it is small; solve the study again before a large one. A limit that keeps a wing whole is no place "
        "to save: its price tells what that safety costs.")


def slack_heads(result: Result) -> list[str]:
    """Return the heads of the table."""
    known = measure(result)
    return ["what is given up or bought", "it eases", f"more {known.axis} {known.unit}"]


def slack_rows(result: Result) -> list[tuple[str, ...]]:
    """Return rows of (step, limit that it eases, gain), most first; then what the next parts up would do."""
    known = result.prices
    if known is None:
        return []
    return [*((row.words, limit_words(row.limit, result.best), _gain(row.gain)) for row in known.slack),
            *((row.words, "–", _gain(row.gain)) for row in known.parts)]


def _gain(value: float | None) -> str:
    if value is None:
        return NOTHING
    return ("+" if value > 0 else "") + figure_of(value, 2 if abs(value) < FEW else 0)


def slack_words(result: Result) -> list[str]:
    """Return what the table is about, and how well the conditions of an optimum hold; nothing where it is empty."""
    if not slack_rows(result) or result.best is None or result.prices is None:
        return []
    known, found = measure(result), result.prices
    return [f"For the best span, {told(result.best, 'span_mm')} mm. {NOTE}",
            f"How surely it is the best near by: across the ranges of what is free the {known.noun} would change by "
            f"{found.slope:.3g} {known.unit}, and the limits that stop it account for all but "
            f"{found.left_over:.2g} {known.unit} of that."]


SURE_HEADS = ["", "best as assumed", "best as sure as asked"]


def sure_rows(result: Result) -> list[tuple[str, ...]]:
    """Return rows under SURE_HEADS; none where nobody asked."""
    found = result.robust
    if not found:
        return []
    known, wings = measure(result), (found.plain, found.robust)

    def row(head: str, key: str, digits: int = 0) -> tuple[str, str, str]:
        return head, figure_of(getattr(wings[0], key), digits), figure_of(getattr(wings[1], key), digits)

    return [("what is bought", wings[0].words, wings[1].words), row("span mm", "span_mm"),
            row("flying weight g", "auw_g"), row(f"{known.axis} as assumed, {known.unit}", "gain", 1),
            row(f"{known.axis} in nine of ten, {known.unit}", "low", 1),
            ("limit met least often", wings[0].least_sure_words, wings[1].least_sure_words),
            row("met in % of draws", "least_sure_pct", 1)]


def sure_words(result: Result) -> list[str]:
    """Return what was asked and what it costs."""
    found = result.robust
    if not found:
        return []
    known, plain, robust = measure(result), found.plain, found.robust
    asked = f"{found.chance_pct:g} of 100 ways the wing may come out"
    if plain == robust and found.reached:
        return [f"The best wing holds every limit in at least {asked}, as it is."]
    if not found.reached:
        return [f"No wing was found that holds every limit in {asked}. The surest of those looked at is shown: its "
                f"least sure limit, {robust.least_sure_words}, is met in {robust.least_sure_pct:.0f}. What is "
                "measured narrows the bands (tradestudy bands), and a limit may give."]
    cost = plain.low - robust.low
    return [f"Every limit is held in at least {asked}. That costs {figure_of(cost, 1)} {known.unit} of what nine of "
            "ten wings reach: the price of not knowing better. What is measured narrows the bands (tradestudy bands)."]
