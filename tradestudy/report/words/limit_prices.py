"""Rows and sentences on what limits cost, on what flips the answer, and on the cost of the robust wing.

A limit is relaxed a little (prices), moved by a step that may change the parts (flips), or let go altogether.
"""

from __future__ import annotations

from tradestudy.quantities.limits import ROOM
from tradestudy.report.placed import fill, join
from tradestudy.results.design import Design
from tradestudy.results.result import Result
from tradestudy.results.trade import WORTH_BUILDING, Flip, LimitConfidence, RuleCost

from .gains import keeps_panels
from .phrases import comma_list, design_number, gain_text, limit_words, number_text, stretched_wing
from .purpose import measure

NOTHING = "no wing within every limit"
_FEW = 9.95  # km or min: smaller gains have two decimals
_NOTE = (
    "Each line is one small step by itself, with the best wing searched again after it. Gains are proportional to the "
    "step while it is small; solve the study again before a large one. Do not relax a limit that protects the wing: "
    "its price shows what that safety costs. A price holds until other parts win; tradestudy flips tells where."
)
FLIP_HEADS = ["Change", "Flips at about", "Then", "Gain", "Today's wing then"]
_FLIP_NOTE = (
    "Each line is one change by itself, all else as today. The best wing was searched again with every set of "
    "parts that is not far outside the limits today. "
    "The last column is the wing of today's answer, built all the same, beside the best after the change."
)
RULE_HEADS = ["Rule", "From", "Without it, or eased as stated"]
RULE_NOTE = (
    "Each line is the best wing searched again without that rule, or with the value stated in place of it, all else "
    "as before. It shows what the rule costs. "
    "Do not drop a rule that protects the wing."
)
_LITTLE_SPAN = 0.03  # share of the stock span; a wing stretched by less is hardly stretched; judgement
_MATTERS = 0.02  # share of the best gain from which a rule is worth a sentence: that of the flat band
_SAME_SPAN = 5.0  # mm
_NOTICED = 0.05  # km or min: nothing that a person would notice
_ALL_OF_STRENGTH = "strength"
_NOTHING_LEFT = 0.01  # km or min
_NAMED = 4  # flips of smaller loss that are named
_NO_FLIP = "nothing within one step changes the answer"
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
            "Check of the search, by its slopes: within the limits {} {} are left to gain, without them about {:.3g} "
            "{}.",
            "less than 0.01" if prices.unexplained < _NOTHING_LEFT else fill("{:.2g}", prices.unexplained),
            known.unit,
            prices.slope,
            known.unit,
        ),
        *_validity_words(result),
    ]


def _validity_words(result: Result) -> list[str]:
    """Return a sentence for each price that ends within one step, since other parts or another span then win."""
    prices, found = result.prices, result.flips
    if prices is None or found is None:
        return []
    flips = {row.name: row for row in found.rows if row.relaxes and row.at}
    return [
        fill(
            "The price of {} holds to about {}. Beyond it, this changes: {}.",
            limit_words(row.limit, result.best),
            flips[row.limit].at,
            comma_list(flips[row.limit].differences),
        )
        for row in prices.slack
        if row.limit in flips
    ]


def flip_rows(result: Result) -> list[tuple[str, ...]]:
    """Return rows with the columns of FLIP_HEADS, greatest loss first, for flips that were searched in full."""
    rows = result.flips.rows if result.flips else []
    return [
        (row.words, row.at or _share(row), _then(row), _flip_gain(row, result), _as_built(row, result))
        for row in rows
        if row.in_full
    ]


def flip_words(result: Result) -> list[str]:
    """Return sentences on what flips the answer, the verdict first, or none if nobody asked."""
    found = result.flips
    if found is None:
        return []
    tried = fill("{} changes were tried", found.examined)
    if not found.rows:
        return [fill("{}: {}, each with the likeliest parts.", _NO_FLIP[:1].upper() + _NO_FLIP[1:], tried)]
    lines = [fill("{}, and {} of them change the answer.", tried[:1].upper() + tried[1:], len(found.rows))]
    lines.append(fill("It costs most to be wrong here: {}.", _flip_phrase(found.rows[0], result)))
    near = nearest_flip(result)
    if near is not None and near is not found.rows[0]:
        lines.append(fill("Nearest is: {}.", _flip_phrase(near, result)))
    rest = [row for row in found.rows if not row.in_full]
    if rest:
        more = fill("; and {} more", len(rest) - _NAMED) if len(rest) > _NAMED else ""
        lines.append(
            fill(
                "Smaller losses, searched with the likeliest parts only: {}{}.",
                join("; ", [fill("{}: {}", row.words, _then(row)) for row in rest[:_NAMED]]),
                more,
            )
        )
    return [*lines, _FLIP_NOTE]


def flip_phrase(result: Result) -> str:
    """Return one phrase on what flips the answer, or an empty text if nobody asked."""
    found = result.flips
    if found is None:
        return ""
    if not found.rows:
        return _NO_FLIP
    near = nearest_flip(result)
    shown = [found.rows[0], *([near] if near is not None and near is not found.rows[0] else [])]
    return join("; ", [_flip_phrase(row, result) for row in shown])


def nearest_flip(result: Result) -> Flip | None:
    """Return the flip after the least share of its change, or None if no place is known."""
    known = [row for row in (result.flips.rows if result.flips else []) if row.step_share_pct is not None]
    return min(known, key=lambda row: row.step_share_pct or 0.0, default=None)


def _flip_phrase(row: Flip, result: Result) -> str:
    """Return a flip in one phrase, such as "static margin 8 % (flips at about 7 %): pack 4S2P, -45 km"."""
    place = fill(" (flips at about {})", row.at) if row.at else ""
    return join(", ", [fill("{}{}: {}", row.words, place, _then(row)), _flip_gain(row, result)])


def _then(row: Flip) -> str:
    """Return what is different after a flip, with the span."""
    parts = list(row.differences)
    if row.span_mm is not None and not any(part.startswith("span ") for part in parts):
        parts.append(fill("span {} mm", number_text(row.span_mm)))
    return comma_list(parts)


def _flip_gain(row: Flip, result: Result) -> str:
    known = measure(result)
    if row.change is None:
        return "no range at all" if known.unit == "km" else "no flight at all"
    sign = "+" if row.change > 0 else "−" if row.change < 0 else ""
    return fill("{}{} {}{}", sign, gain_text(abs(row.change)), known.unit, known.suffix)


def _as_built(row: Flip, result: Result) -> str:
    """Return what today's wing loses after a change, or the limit that it breaks."""
    if row.breaks:
        return fill("breaks: {}", row.breaks)
    if row.lost is None:
        return "cannot be built"
    known = measure(result)
    return fill("loses {} {}{}", gain_text(row.lost), known.unit, known.suffix) if row.lost >= _NOTICED else "as good"


def _share(row: Flip) -> str:
    return "–" if row.step_share_pct is None else fill("{} % of the way", number_text(row.step_share_pct))


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
        row(fill("{} to expect, {}", known.axis, known.unit), "gain", 1),
        row(fill("{} that {:g} of 100 draws reach, {}", known.axis, result.robust.chance_pct, known.unit), "low", 1),
        ("limit met least often", wings[0].least_certain_limit_words, wings[1].least_certain_limit_words),
        row("met in % of draws", "least_certain_limit_pct", 1),
        ("all limits met in % of true draws", *map(_all_met, wings)),
        (fill("lacks at most in {:g} of 100", result.robust.chance_pct), *map(_lacking, wings)),
    ]


SURE_TITLE = "What sureness costs"


def sure_heads(result: Result) -> list[str]:
    """Return the column heads for `sure_rows`."""
    known = measure(result)
    return ["built with", "span mm", fill("{} {}", known.axis, known.unit), "all limits met, about % of draws"]


def sure_rows(result: Result) -> list[tuple[str, ...]]:
    """Return a row for each wing that trades the measure for sureness, if there are at least two."""
    wings = result.robust.trade if result.robust else []
    if len(wings) < 2:
        return []
    return [(each.words, number_text(each.span_mm), gain_text(each.gain), number_text(each.met_pct)) for each in wings]


def _all_met(wing: LimitConfidence) -> str:
    return fill("{} \N{PLUS-MINUS SIGN} {}", number_text(wing.all_met_pct), number_text(wing.all_met_error_pct))


def _lacking(wing: LimitConfidence) -> str:
    """Return how far each limit falls short, in its own unit."""
    parts = [fill("{} {:.2g} {}", one.words, one.short, one.unit).rstrip() for one in wing.lacking]
    return join("; ", parts) if parts else "nothing"


def robust_words(result: Result) -> list[str]:
    """Return sentences on what robust wing was requested and what it costs."""
    if not result.robust:
        return []
    known, plain, robust = measure(result), result.robust.nominal, result.robust.robust
    share = fill("{:g} of 100 draws of the uncertain inputs and of the shop", result.robust.chance_pct)
    looked = fill(
        "Sets of parts searched with room for that: {}. Each further one has less gain even without room.",
        result.robust.looked,
    )
    if plain == robust and result.robust.reached:
        return [fill("The best wing already meets every limit at once in at least {}.", share)]
    if not result.robust.reached:
        return [
            fill(
                "No wing that was found meets every limit at once in {}. The most robust one is shown{}: it meets all "
                "of them in {}, and the limit that it meets least often, {}, in {:.0f}. Measure more inputs to narrow "
                "their bands (tradestudy bands), hold [build_tolerance] more closely, or relax a limit.",
                share,
                ", which is the best one as assumed" if plain == robust else "",
                number_text(robust.all_met_pct),
                robust.least_certain_limit_words,
                robust.least_certain_limit_pct,
            ),
            looked,
        ]
    cost = plain.low - robust.low
    return [
        fill(
            "Every limit is met at once in at least {}, by true draws. That costs {} {} of what {:g} of 100 such wings "
            "reach. Measure more inputs to narrow their bands and to lower this cost (tradestudy bands).",
            share,
            number_text(cost, 1),
            known.unit,
            result.robust.chance_pct,
        ),
        looked,
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
    """Return one phrase with the rules whose loss would help, and the gain.

    The text is empty if no rule stops the wing, or if the panels stay as they are.
    """
    rows = rule_rows(result)
    design = stretched_wing(result)
    if not rows or design is None or keeps_panels(design):  # no rule holds back a wing that stays as it is
        return ""
    helps = [
        fill("{} (from {}): {}{}", rule, whose, "" if cost.moved_to else "without it ", words)
        for (rule, whose, words), cost in zip(rows, result.rule_costs, strict=True)
        if words != _NO_GAIN
    ]
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
    least = WORTH_BUILDING if keeps_panels(design) else _MATTERS
    costly = [cost for cost in result.rule_costs if cost.gain > least * gain]
    by_gain = sorted(costly, key=lambda cost: -cost.gain)
    longer = [cost for cost in by_gain if cost.span_mm > (1.0 + _LITTLE_SPAN) * best.numbers.span_mm]
    lines = []
    if not longer and not keeps_panels(design):  # of kept panels the advice says it
        lines.append("No rule keeps the span short: more span gains hardly anything here, so leave it.")
    named = {"the span short": longer[:1], "the range short": [cost for cost in by_gain[:1] if cost not in longer]}
    for what, costs in named.items():
        lines += [
            fill(
                "One rule keeps {}: {} (from {}). {}: {}.",
                what,
                _rule(cost, best, result),
                _whose(cost, best),
                "Eased" if cost.moved_to else "Without it",
                _without(cost, best, result),
            )
            for cost in costs
        ]
    return lines


def _rule(cost: RuleCost, design: Design, result: Result) -> str:
    if len(cost.limits) > 1:
        return _ALL_OF_STRENGTH
    known = (design, result.recommended, result.best, result.stock)
    return limit_words(cost.limits[0], *known)


def _whose(cost: RuleCost, design: Design) -> str:
    """Return whose rule it is."""
    if cost.whose:
        return cost.whose
    states = [state for state in design.limits if state.name in cost.limits and state.whose]
    whose = [f"{state.whose}: {state.origin}" if state.whose == ROOM else state.whose for state in states]
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
    gained = join(", ", parts)
    return fill("at {} instead {}", cost.moved_to, gained) if cost.moved_to else gained


def _signed(value: float) -> str:
    return fill("{}{}", "+" if value > 0 else "", number_text(value))
