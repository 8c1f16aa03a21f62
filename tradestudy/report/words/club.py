"""Words and table rows about each club member's wing, also over span, and the shopping list."""

from __future__ import annotations

from collections import Counter

from tradestudy.quantities import exact, printed_bare
from tradestudy.report.placed import fill, join
from tradestudy.results.club import ClubSpan, ClubWing
from tradestudy.results.result import Result

from .phrases import number_text
from .purpose import measure

# columns of the table: head, unit, decimals, key; the balance mark is the same for all wings and is not a column
_COLUMNS = (
    ("Weight", "g", 0, "auw_g"),
    ("Pack, middle", "mm", 0, "pack_mm"),
    ("Up-elevon", "mm", 1, "up_elevon_mm"),
    ("Cruise", "km/h", 0, "cruise_speed_kmh"),
    ("Hold", "A", 1, "cruise_current_a"),
    ("Range", "km", 0, "range_km"),
    ("Out and home", "km", 0, "radius_km"),
    ("Usual flight", "min", 0, "usual_flight_min"),
    ("Stall", "km/h", 0, "stall_speed_kmh"),
    ("Climb", "m/s", 1, "climb_ms"),
)
# shorter heads for the terminal: key -> head
_SHORT_COLUMNS = {
    "auw_g": "weight g",
    "cg_mm": "balance mm",
    "pack_mm": "pack mm",
    "cruise_current_a": "hold A",
    "range_km": "range km",
    "radius_km": "out and home km",
}


def club_heads(short: bool = False) -> list[str]:
    """Return the column heads of the table of members' wings."""
    if short:
        return ["set", *_SHORT_COLUMNS.values(), "breaks"]
    return ["Set", *(fill("{} [{}]", head, unit) for head, unit, _, _ in _COLUMNS), "Breaks"]


def club_rows(result: Result, short: bool = False) -> list[tuple[str, ...]]:
    """Return one row for each set of equipment, with the columns of `club_heads`."""
    decimals_of = {key: decimals for _, _, decimals, key in _COLUMNS} | {"cg_mm": 0}
    columns = [(key, decimals_of[key]) for key in (_SHORT_COLUMNS if short else [column[-1] for column in _COLUMNS])]
    return [
        (
            _set_words(row),
            *(number_text(getattr(row, key), decimals) for key, decimals in columns),
            join(", ", row.violated_limits) or "nothing",
        )
        for row in result.club
    ]


def _set_words(row: ClubWing) -> str:
    flown = " (in use today)" if row.flown_today else ""
    if row.members == 1:
        return row.set + flown
    return fill("{}\N{NO-BREAK SPACE}\N{MULTIPLICATION SIGN}\N{NO-BREAK SPACE}{}{}", row.set, row.members, flown)


def mark_words(result: Result) -> str:
    """Return a sentence on the balance mark of all members' wings, measured from both ends of the root chord."""
    if not result.club:
        return ""
    ahead, behind = (number_text(getattr(result.club[0], key)) for key in ("cg_mm", "cg_from_trailing_edge_mm"))
    return fill(
        "The balance mark of all is {} mm behind the nose, {} mm ahead of the root trailing edge.", ahead, behind
    )


def balance_lines(result: Result) -> list[str]:
    """Return a sentence for each member's wing on how it reaches the balance mark."""
    lines = [fill("{}: {}.", row.set, row.balance) for row in result.club]
    heavier = any(row.ballast_g for row in result.club)
    return [*lines, "Ballast is not included in the weights above."] if heavier else lines


# --- members' wings over span ------------------------------------------------------------------------------

SPAN_NOTE = (
    "Each span has the wing that is best for the set in use today, with every set on board in turn. A star marks a "
    "wing that breaks a limit. The command club searches a wing of each member's own, and lead or more rods where "
    "they help."
)


def club_span_heads(result: Result) -> list[str]:
    """Return the column heads of the table of members' wings over span."""
    known = measure(result)
    sets = [fill("{} [{}, g]", row.set, known.unit) for row in _by_span(result)[0]] if result.club_spans else []
    return ["Span [mm]", *sets, "Meets every limit"]


def club_span_rows(result: Result) -> list[tuple[str, ...]]:
    """Return one row for each span: what each member's wing gives and weighs, and which of them meet every limit."""
    return [
        (
            join("", [number_text(rows[0].span_mm), ", recommended" if rows[0].recommended else ""]),
            *(_gives_and_weighs(row, result) for row in rows),
            "all" if all(map(_fits, rows)) else join(", ", [row.set for row in rows if _fits(row)]) or "none",
        )
        for rows in _by_span(result)
    ]


def club_span_words(result: Result) -> list[str]:
    """Return sentences on the span that suits most members, what it costs them, and what stops the others."""
    spans = _by_span(result)
    if not spans:
        return []
    known, most = measure(result), _most_suited(spans, result)
    built = next((rows for rows in spans if rows[0].recommended), most)
    suited = [row for row in most if _fits(row)]
    if len(suited) == len(most):
        lines = [fill("{} mm suits every member: all wings meet every limit there.", number_text(most[0].span_mm))]
    elif suited:
        names, span = _and([row.set for row in suited]), number_text(most[0].span_mm)
        lines = [fill("No span suits every member. Most wings meet every limit at {} mm: {}.", span, names)]
    else:
        lines = ["At no span does a member's wing meet every limit."]
    if suited and most is not built:
        fly = [row.set for row in built if _fits(row)]
        lines.append(
            fill(
                "The recommended {} mm is the best for the set in use today; there {}.",
                number_text(built[0].span_mm),
                fill("only {} meets every limit", fly[0]) if len(fly) == 1 else _meet(fly),
            )
        )
        changes = [
            fill("{} {} {}", row.set, _signed(_gain(row, result) - _gain(old, result)), known.unit)
            for row, old in zip(most, built, strict=True)
            if _fits(row)
        ]
        lines.append(fill("Against the recommended span, {} mm gives {}.", number_text(most[0].span_mm), _and(changes)))
    return lines + _stopped(most, spans)


def _stopped(most: list[ClubSpan], spans: list[list[ClubSpan]]) -> list[str]:
    """Return a sentence for each member whose wing breaks a limit at the span that suits most."""
    lines = []
    for index, row in enumerate(most):
        if _fits(row):
            continue
        fits = [rows[index] for rows in spans if _fits(rows[index])]
        where = (
            fill("; it would do at {} mm", join(", ", [number_text(one.span_mm) for one in fits]))
            if fits
            else "; no span of the table mends that"
        )
        why = join(", ", row.violated_limits) or "the pack does not reach its place"
        lines.append(fill("{} breaks at {} mm: {}{}.", row.set, number_text(row.span_mm), why, where))
    return lines


def _by_span(result: Result) -> list[list[ClubSpan]]:
    """Return the rows of each span, in order of span. Each has all sets in the order of the study."""
    spans: dict[float, list[ClubSpan]] = {}
    for row in result.club_spans:
        spans.setdefault(float(row.span_mm), []).append(row)
    return list(spans.values())


def _fits(row: ClubSpan) -> bool:
    return not row.violated_limits and row.pack_in_bay


def _gain(row: ClubSpan, result: Result) -> float:
    return float(getattr(row, measure(result).headline_key) or 0.0)


def _signed(change: float) -> str:
    return exact(change, f"{change:+.1f}".replace("-", "\N{MINUS SIGN}"))


def _gives_and_weighs(row: ClubSpan, result: Result) -> str:
    known = measure(result)
    gain = printed_bare(number_text(getattr(row, known.headline_key), 1), known.unit)
    return fill("{}{}, {}", gain, "" if _fits(row) else "*", printed_bare(number_text(row.auw_g), "g"))


def _most_suited(spans: list[list[ClubSpan]], result: Result) -> list[ClubSpan]:
    """Return the span where most wings meet every limit; of several, the one where these fly farthest in all."""

    def suits(rows: list[ClubSpan]) -> tuple[int, float]:
        fit = [row for row in rows if _fits(row)]
        return sum(int(row.members) for row in fit), sum(int(row.members) * _gain(row, result) for row in fit)

    return max(spans, key=suits)


def _meet(names: list[str]) -> str:
    return fill("{} meet every limit", _and(names)) if names else "no wing meets every limit"


def _and(words: list[str]) -> str:
    return join(" and ", [join(", ", words[:-1]), words[-1]]) if len(words) > 1 else join("", words)


def shopping_heads(result: Result) -> tuple[str, ...]:
    """Return the column heads of `shopping_rows`. There is a column of prices if the study has prices."""
    priced = (fill("Price [{}]", result.currency) if result.currency else "Price",) if _has_prices(result) else ()
    return ("Part", "Each", "One wing", "All wings", "Unit", *priced)


def shopping_rows(result: Result) -> list[tuple[str, ...]]:
    """Return one row for each item to buy, with the columns of `shopping_heads`."""
    priced = _has_prices(result)
    return [
        (
            row.what,
            row.description,
            _amount(row.count_per_wing, row.unit),
            _amount(row.total, row.unit),
            row.unit,
            *([price_text(row.price)] if priced else []),
        )
        for row in result.shopping
        if not row.owned
    ]


def price_words(result: Result) -> list[str]:
    """Return sentences on the total of the shopping list and what it leaves out, or none without prices."""
    if not _has_prices(result):
        return []
    total = fill("{:.2f}", sum(float(row.price) for row in result.shopping if row.price is not None))
    lines = [fill("In all {}, at the prices of the study, less what it says is owned.", in_currency(total, result))]
    free = [row.what for row in result.shopping if row.price is None and not row.owned]
    if free:
        lines.append(fill("No price is known for these, so the total leaves them out: {}.", join("; ", free)))
    return lines


def in_currency(price: str, result: Result) -> str:
    """Return the text of a price with its currency."""
    return fill("{} {}", price, result.currency) if result.currency else price


def price_text(value: float | None) -> str:
    """Return a price as text with two decimals, or a dash."""
    return number_text(value, 2)


def _has_prices(result: Result) -> bool:
    return any(row.price is not None for row in result.shopping)


def cutting_lines(result: Result) -> list[str]:
    """Return a sentence for each kind of rod on how to cut those of all wings. There are none for one wing alone."""
    lines = []
    for row in result.shopping:
        if row.cuts_mm and row.wings > 1 and not row.owned:
            cuts = Counter(join(" + ", [number_text(float(piece)) for piece in cut]) for cut in row.cuts_mm)
            ways = join(", ", [fill("{} x ({})", count, cut) for cut, count in cuts.items()])
            apart = number_text(row.count_per_wing * row.wings)
            fewer = (
                fill(", {} if each wing is cut by itself", apart) if row.total < row.count_per_wing * row.wings else ""
            )
            proven = ", and no way needs fewer" if row.is_fewest else ""
            lines.append(fill("{}: {} lengths{}{}: {} mm.", row.what, number_text(row.total), fewer, proven, ways))
    return lines


def owned_words(result: Result) -> str:
    """Return a sentence on what is not on the list since it is owned, or an empty one."""
    owned = [row.what for row in result.shopping if row.owned]
    return fill("Not on the list, since the study says that it is owned: {}.", join("; ", owned)) if owned else ""


def _amount(value: float, unit: str) -> str:
    return number_text(value, 3 if unit == "m²" else 1 if unit in ("litres", "g") else 0)


def wings_to_build(result: Result) -> int:
    """Return the number of wings that the shopping list is for."""
    return max((row.wings for row in result.shopping), default=1)
