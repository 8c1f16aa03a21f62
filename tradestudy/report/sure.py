"""What it takes for every limit to be held as surely as asked: the plain best and the robust wing side by side."""

from __future__ import annotations

from tradestudy.search.result import Result

from .purpose import measure
from .words import figure_of

SURE_HEADS = ["", "best as assumed", "best as sure as asked"]


def sure_rows(result: Result) -> list[tuple[str, ...]]:
    """Return rows under SURE_HEADS; none where nobody asked."""
    found = result.robust
    if not found:
        return []
    known, wings = measure(result), (found["plain"], found["robust"])

    def row(head: str, key: str, digits: int = 0) -> tuple[str, str, str]:
        return head, figure_of(wings[0][key], digits), figure_of(wings[1][key], digits)

    return [("what is bought", wings[0]["words"], wings[1]["words"]), row("span mm", "span_mm"),
            row("flying weight g", "auw_g"), row(f"{known.axis} as assumed, {known.unit}", "gain", 1),
            row(f"{known.axis} in nine of ten, {known.unit}", "low", 1),
            ("limit met least often", wings[0]["least_sure_words"], wings[1]["least_sure_words"]),
            row("met in % of draws", "least_sure_pct", 1)]


def sure_words(result: Result) -> list[str]:
    """Return what was asked and what it costs."""
    found = result.robust
    if not found:
        return []
    known, plain, robust = measure(result), found["plain"], found["robust"]
    asked = f"{found['chance_pct']:g} of 100 ways the wing may come out"
    if plain == robust and found["reached"]:
        return [f"The best wing holds every limit in at least {asked}, as it is."]
    if not found["reached"]:
        return [f"No wing was found that holds every limit in {asked}. The surest of those looked at is shown: its "
                f"least sure limit, {robust['least_sure_words']}, is met in {robust['least_sure_pct']:.0f}. What is "
                "measured narrows the bands (tradestudy bands), and a limit may give."]
    cost = plain["low"] - robust["low"]
    return [f"Every limit is held in at least {asked}. That costs {figure_of(cost, 1)} {known.unit} of what nine of "
            "ten wings reach: the price of not knowing better. What is measured narrows the bands (tradestudy bands)."]
