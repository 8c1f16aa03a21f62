"""Rows and sentences on what limits cost, relaxed a little or let go altogether, and on the cost of the robust wing."""

from __future__ import annotations

from tradestudy.report.placed import fill, join
from tradestudy.results.design import Design
from tradestudy.results.result import Result
from tradestudy.results.trade import RuleCost

from .phrases import comma_list, design_number, gain_text, limit_words, number_text, stretched_wing
from .purpose import measure

NOTHING = "no wing within every limit"
_FEW = 9.95  # km or min: smaller gains have two decimals
_NOTE = (
    "Each line is one small step by itself, with the best wing searched again after it. Gains are proportional to the "
    "step while it is small; solve the study again before a large one. Do not relax a limit that protects the wing: "
    "its price shows what that safety costs."
)
RULE_HEADS = ["Rule", "From", "Without it"]
RULE_NOTE = (
    "Each line is the best wing searched again without that rule, all else as before. It shows what the rule costs. "
    "Do not drop a rule that protects the wing."
)
_LITTLE_SPAN = 0.03  # share of the stock span; a wing stretched by less is hardly stretched; judgement
_MATTERS = 0.02  # share of the best gain from which a rule is worth a sentence: that of the flat band
_SAME_SPAN = 5.0  # mm
_NOTICED = 0.05  # km or min: nothing that a person would notice
_ALL_OF_STRENGTH = "strength"
_NO_GAIN = "no gain"


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


def robust_heads(result: Result) -> list[str]:
    """Return the column heads for `robust_rows`."""
    sure = result.robust is not None and result.robust.reached
    return ["", "best as assumed", "robust wing" if sure else "most robust found"]


def robust_rows(result: Result) -> list[tuple[str, ...]]:
    """Return rows with the columns of `robust_heads`, or none if no robust wing was requested."""
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
        row(fill("{} that {:g} of 100 draws reach, {}", known.axis, result.robust.chance_pct, known.unit), "low", 1),
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
                "No wing that was found meets every limit in {}. The most robust one is shown{}: the limit that it "
                "meets least often, {}, is met in {:.0f}. Measure more inputs to narrow their bands "
                "(tradestudy bands), or relax a limit.",
                share,
                ", which is the best one as assumed" if plain == robust else "",
                robust.least_certain_limit_words,
                robust.least_certain_limit_pct,
            )
        ]
    cost = plain.low - robust.low
    return [
        fill(
            "Every limit is met in at least {}. That costs {} {} of what {:g} of 100 such wings reach. Measure more "
            "inputs to narrow their bands and to lower this cost (tradestudy bands).",
            share,
            number_text(cost, 1),
            known.unit,
            result.robust.chance_pct,
        )
    ]


def rule_rows(result: Result) -> list[tuple[str, str, str]]:
    """Return (rule, whose it is, the answer without it) for every rule that stops the best wing."""
    design = result.best
    if design is None:
        return []
    return [
        (_rule(cost, design, result), _whose(cost, design), _without(cost, design, result))
        for cost in result.rule_costs
    ]


def rule_words(result: Result) -> str:
    """Return one phrase with the rules whose loss would help, and the gain, or an empty text if none stops the wing."""
    rows = rule_rows(result)
    if not rows:
        return ""
    helps = [fill("{} (from {}): without it {}", *row) for row in rows if row[-1] != _NO_GAIN]
    return join("; ", helps) if helps else "dropping any one of them gains nothing"


def deciding_words(result: Result) -> list[str]:
    """Return one sentence on what decides the span if the best wing is hardly longer than the stock wing, or none."""
    design, stock = stretched_wing(result), result.stock
    best = result.best
    if design is None or best is None or not result.rule_costs:
        return []
    if design.numbers.span_mm > (1.0 + _LITTLE_SPAN) * stock.numbers.span_mm:
        return []
    gain = getattr(best.numbers, measure(result).key) or 0.0
    longer = [
        cost
        for cost in result.rule_costs
        if cost.gain > _MATTERS * gain and cost.span_mm > best.numbers.span_mm + _SAME_SPAN
    ]
    if not longer:
        return ["No rule keeps the span short: more span gains hardly anything here, so leave it."]
    first = max(longer, key=lambda cost: cost.gain)
    return [
        fill(
            "One rule keeps the span short: {} (from {}). Without it: {}.",
            _rule(first, best, result),
            _whose(first, best),
            _without(first, best, result),
        )
    ]


def _rule(cost: RuleCost, design: Design, result: Result) -> str:
    if len(cost.limits) > 1:
        return _ALL_OF_STRENGTH
    known = (design, result.recommended, result.best, result.stock)
    words = limit_words(cost.limits[0], *known)
    return fill("{}, moved to {}", words, cost.moved_to) if cost.moved_to else words


def _whose(cost: RuleCost, design: Design) -> str:
    """Return whose rule it is."""
    if cost.whose:
        return cost.whose
    whose = [state.whose for state in design.limits if state.name in cost.limits and state.whose]
    return comma_list(list(dict.fromkeys(whose))) or "you"


def _without(cost: RuleCost, best: Design, result: Result) -> str:
    """Return the change of the best wing without a rule, such as "+140 mm, +12 km"."""
    known, span = measure(result), cost.span_mm - best.numbers.span_mm
    parts = [fill("{} mm span", _signed(span))] if abs(span) >= _SAME_SPAN else []
    if cost.gain < _NOTICED:
        return _NO_GAIN
    parts.append(fill("+{} {}{}", gain_text(cost.gain), known.unit, known.suffix))
    if cost.words != best.choices.words:
        parts.append(fill("with {}", cost.words))
    return join(", ", parts)


def _signed(value: float) -> str:
    return fill("{}{}", "+" if value > 0 else "", number_text(value))
