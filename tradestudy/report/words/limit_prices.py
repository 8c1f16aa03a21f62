"""Rows and sentences on the gain from relaxing each active limit a little, and on the cost of the robust wing."""

from __future__ import annotations

from tradestudy.report.placed import fill
from tradestudy.results.result import Result

from .phrases import design_number, limit_words, number_text
from .purpose import measure

NOTHING = "no wing within every limit"
_FEW = 9.95  # km or min: smaller gains have two decimals
_NOTE = (
    "Each line is one small step by itself, with the best wing searched again after it. Gains are proportional to the "
    "step while it is small; solve the study again before a large one. Do not relax a limit that protects the wing: "
    "its price shows what that safety costs."
)


def slack_heads(result: Result) -> list[str]:
    """Return the column heads for `slack_rows`."""
    known = measure(result)
    return ["step", "limit that it relaxes", fill("gain in {} {}", known.axis, known.unit)]


def slack_rows(result: Result) -> list[tuple[str, ...]]:
    """Return rows (step, limit that it relaxes, gain), largest gain first, then rows for the next larger parts."""
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
    return ("+" if value > 0 else "") + number_text(value, 2 if abs(value) < _FEW else 0)


def slack_words(result: Result) -> list[str]:
    """Return sentences on what the table shows and how well the optimality conditions hold. Empty without a table."""
    if not slack_rows(result) or result.best is None or result.prices is None:
        return []
    known, prices = measure(result), result.prices
    return [
        fill("For the best span, {} mm. {}", design_number(result.best, "span_mm"), _NOTE),
        fill(
            "Check that it is a local optimum: across the ranges of the variables the {} would change by {:.3g} {}, "
            "and the active limits account for all of that but {:.2g} {}.",
            known.noun,
            prices.slope,
            known.unit,
            prices.unexplained,
            known.unit,
        ),
    ]


ROBUST_HEADS = ["", "best as assumed", "robust wing"]


def robust_rows(result: Result) -> list[tuple[str, ...]]:
    """Return rows with the columns of ROBUST_HEADS, or none if no robust wing was requested."""
    if not result.robust:
        return []
    known, wings = measure(result), (result.robust.nominal, result.robust.robust)

    def row(head: str, key: str, digits: int = 0) -> tuple[str, str, str]:
        return head, number_text(getattr(wings[0], key), digits), number_text(getattr(wings[1], key), digits)

    return [
        ("built with", wings[0].words, wings[1].words),
        row("span mm", "span_mm"),
        row("flying weight g", "auw_g"),
        row(fill("{} as assumed, {}", known.axis, known.unit), "gain", 1),
        row(fill("{} that nine of ten reach, {}", known.axis, known.unit), "low", 1),
        ("limit met least often", wings[0].least_certain_limit_words, wings[1].least_certain_limit_words),
        row("met in % of draws", "least_certain_limit_pct", 1),
    ]


def robust_words(result: Result) -> list[str]:
    """Return sentences on what robust wing was requested and what it costs."""
    if not result.robust:
        return []
    known, plain, robust = measure(result), result.robust.nominal, result.robust.robust
    share = fill("{:g} of 100 draws of the uncertain inputs", result.robust.chance_pct)
    if plain == robust and result.robust.reached:
        return [fill("The best wing already meets every limit in at least {}.", share)]
    if not result.robust.reached:
        return [
            fill(
                "No wing meets every limit in {}. The most robust wing of the search is shown: the limit that it meets "
                "least often, {}, is met in {:.0f}. Measure more inputs to narrow their bands (tradestudy bands), or "
                "relax a limit.",
                share,
                robust.least_certain_limit_words,
                robust.least_certain_limit_pct,
            )
        ]
    cost = plain.low - robust.low
    return [
        fill(
            "Every limit is met in at least {}. That costs {} {} of what nine of ten wings reach. Measure more inputs "
            "to narrow their bands and to lower this cost (tradestudy bands).",
            share,
            number_text(cost, 1),
            known.unit,
        )
    ]
