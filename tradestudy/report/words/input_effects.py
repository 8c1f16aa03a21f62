"""What each open input is worth and how far off the whole answer may be, as rows and sentences."""

from __future__ import annotations

from collections.abc import Sequence

from tradestudy.quantities import in_unit
from tradestudy.report.placed import fill, join
from tradestudy.results.inputs import Assumed, InputEffect
from tradestudy.results.result import Result

from .phrases import design_number, limit_words, number_text, stretched_wing

EFFECT_HEADS = ("key", "assumed", "could be", "range km", "balance mm", "pack mm", "breaks at")
CHANGES = ("range_km", "balance_mm", "pack_mm", "failure_load_factor")
LEAST_TOLD = {"range_km": 0.05, "balance_mm": 0.05, "pack_mm": 0.5, "failure_load_factor": 0.05}
MOST_TOLD, SURE = 4, 0.9  # inputs named for the spread of the range; share of draws that a limit should hold in
DIGITS = {"range_km": 1, "balance_mm": 1, "pack_mm": 0, "failure_load_factor": 1}


def effect_rows(result: Result) -> list[tuple[str, ...]]:
    """Return rows under WORTH_HEADS, most worth first, of every input that moves something shown."""
    return [
        (
            row.key,
            row.value if row.kind == "assumed" else fill("{} ({})", row.value, row.kind),
            row.band,
            *(change_words(getattr(row, name), name) for name in CHANGES),
        )
        for row in result.input_effects
        if has_effect(row)
    ]


def has_effect(row: InputEffect) -> bool:
    """True for a row of ``Result.input_effects`` with a change to speak of."""
    return any(change_words(getattr(row, name), name) for name in CHANGES)


def change_words(sides: Sequence[float | None], name: str) -> str:
    """Return the changes at both ends of a band; empty where there is none to speak of."""
    if all(side is None or abs(side) < LEAST_TOLD[name] for side in sides):
        return "" if any(side is not None for side in sides) else "cannot be"
    return join(" / ", ("cannot be" if side is None else _signed(side, DIGITS[name]) for side in sides))


def _signed(value: float, digits: int) -> str:
    words = number_text(abs(value), digits)
    return words if float(f"{abs(float(value)):.{digits}f}") == 0 else ("+" if value > 0 else "\N{MINUS SIGN}") + words


def reference_words(result: Result) -> str:
    """Return which wing the table speaks of, and what its columns mean."""
    design = stretched_wing(result) or result.stock
    return fill(
        "Changes of a wing of {} mm span, {} km range, balance mark {} mm behind the nose, breaking at {} "
        "g, with each input at either end of its band and the model tied to the stock wing again. Ranked "
        "by range and balance mark: a tenth of the range counts as much as 6 mm.",
        design_number(design, "span_mm"),
        design_number(design, "range_km"),
        design_number(design, "cg_mm"),
        design_number(design, "failure_load_factor", 1),
    )


def uncertainty_words(result: Result) -> list[str]:
    """Return what to measure first and how far off the whole answer may be, a sentence each."""
    known = result.uncertainty
    if not known:
        return []
    lines = [known.measure_first, known.strength_first]
    lines.append(
        fill(
            "All of it together (root of the sum of squares, without what [fly] says): range "
            "\N{PLUS-MINUS SIGN}{} km, balance mark \N{PLUS-MINUS SIGN}{} mm. Beside it the models of section "
            "drag and propeller scatter by \N{PLUS-MINUS SIGN}{} km.",
            number_text(known.range_km, 1),
            number_text(known.balance_mm, 1),
            number_text(known.model_range_km, 1),
        )
    )
    lines += spread_lines(result)
    still = [row.key for row in result.input_effects if not has_effect(row)]
    if still:
        lines.append(fill("Next to no effect on any of these: {}.", join(", ", still)))
    return [line for line in lines if line]


def spread_lines(result: Result) -> list[str]:
    """Return what all inputs off at once say of the range and of the limits, a sentence each; empty where not drawn."""
    known = result.spread
    if not known:
        return []
    low, middle, high = (number_text(value) for value in known.percentiles.range_km)
    lines = [
        fill(
            "Drawn {} times, all inputs within their bands and the models within theirs: range {} km in the "
            "middle, one in ten under {}, one in ten over {}.",
            known.draws,
            middle,
            low,
            high,
        )
    ]
    if known.variance_shares:
        parts = join(
            ", ",
            (fill("{} {} %", each.key, number_text(in_unit(each.share, "%"))) for each in known.variance_shares[:MOST_TOLD]),
        )
        lines.append(fill("What makes the range uncertain (share of its variance): {}.", parts))
    design = stretched_wing(result) or result.stock
    doubtful = [
        fill("{} {} %", limit_words(name, design), number_text(in_unit(share, "%")))
        for name, share in sorted(known.met_share.items(), key=lambda pair: pair[1])
        if share < SURE
    ]
    if doubtful:
        lines.append(
            fill(
                "Limits met in fewer than nine of ten draws (a wing at its limit is met in about half of them): {}.",
                join(", ", doubtful),
            )
        )
    return lines


def assumed_rows(result: Result) -> list[dict[str, str]]:
    """Return what was assumed or listed, most worth first where known: key, value, band, moves, origin and CHANGES."""
    known = {row.key: (rank, row) for rank, row in enumerate(result.input_effects)}
    used = [each for each in result.defaults_used if not each.is_choice]
    used += [
        Assumed(
            row.key,
            row.value,
            "sizes and coefficients of all that [[drag_item]] lists",
            row.band,
            row.moves,
            is_choice=False,
        )
        for row in result.input_effects
        if row.kind == "listed"
    ]
    used.sort(key=lambda each: known[each.key][0] if each.key in known else len(known))
    return [
        {
            **{name: getattr(each, name) for name in ("key", "value", "band", "moves", "origin")},
            **{
                name: change_words(getattr(known[each.key][1], name), name) if each.key in known else ""
                for name in CHANGES
            },
        }
        for each in used
    ]


def open_choice_rows(result: Result) -> list[Assumed]:
    """Return what the builder may choose and did not, with what was taken and why."""
    return [each for each in result.defaults_used if each.is_choice]


def measurement_rows(result: Result) -> list[dict[str, str]]:
    """Return what the accuracy of the builder's own measurements is worth: key, value, band and CHANGES."""
    return [
        {
            **{name: getattr(row, name) for name in ("key", "value", "band")},
            **{name: change_words(getattr(row, name), name) for name in CHANGES},
        }
        for row in result.input_effects
        if row.kind == "measured" and has_effect(row)
    ]
