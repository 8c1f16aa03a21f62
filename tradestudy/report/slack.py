"""What a little slack would buy, in rows and sentences: each limit that stops the best wing, given way by a step."""

from __future__ import annotations

from tradestudy.search.result import Result

from .purpose import measure
from .words import figure_of, limit_words, told

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
    rows: list[tuple[str, ...]] = [
            (row["words"], limit_words(row["limit"], result.best), _gain(row["gain"]))
            for row in result.prices.get("slack", [])]
    return rows + [(row["words"], "–", NOTHING if row["gain"] is None else _gain(row["gain"]))
                   for row in result.prices.get("parts", [])]


def _gain(value: float) -> str:
    return ("+" if value > 0 else "") + figure_of(value, 2 if abs(value) < FEW else 0)


def slack_words(result: Result) -> list[str]:
    """Return what the table is about, and how well the conditions of an optimum hold; nothing where it is empty."""
    if not slack_rows(result) or result.best is None:
        return []
    known, found = measure(result), result.prices
    return [f"For the best span, {told(result.best, 'span_mm')} mm. {NOTE}",
            f"How surely it is the best near by: across the ranges of what is free the {known.noun} would change by "
            f"{found['slope']:.3g} {known.unit}, and the limits that stop it account for all but "
            f"{found['left_over']:.2g} {known.unit} of that."]
