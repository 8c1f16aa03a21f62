"""Rows and sentences on the effect of each uncertain input and on the width of the band of the result."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from tradestudy.quantities import from_edge, in_unit
from tradestudy.report.placed import fill, join
from tradestudy.results.inputs import Assumed, InputEffect
from tradestudy.results.result import Result

from .phrases import Rows, design_number, limit_words, measure_first_words, number_text, stretched_wing

EFFECT_HEADS = ("key", "assumed", "could be", "range km", "balance mm", "pack mm", "breaks at")
_CHANGED = ("range_km", "balance_mm", "pack_mm", "failure_load_factor")
LEAST_CHANGE = 0.05  # km; smaller changes of the range are not shown
_LEAST_SHOWN = {"range_km": LEAST_CHANGE, "balance_mm": 0.05, "pack_mm": 0.5, "failure_load_factor": 0.05}
# most inputs named as causes of the range band; least share of random draws in which a limit should be met
_MOST_LISTED, _SAFE_SHARE = 4, 0.9
_MOST_IN_WORDS = 3  # inputs that the words about the bars name
_DIGITS = {"range_km": 1, "balance_mm": 1, "pack_mm": 0, "failure_load_factor": 1}


def effect_rows(result: Result) -> Rows:
    """Return one row for every input that has an effect, largest effect first, with the columns of EFFECT_HEADS."""
    return [
        (
            _named_key(row),
            row.value if row.kind == "assumed" else fill("{} ({})", row.value, row.kind),
            row.band,
            *changes(row).values(),
        )
        for row in result.input_effects
        if has_effect(row)
    ]


def _named_key(row: InputEffect) -> str:
    """Return the key of an input, with the name of its item if it has one."""
    return f"{row.key} ({row.name})" if row.name else row.key


def has_effect(row: InputEffect) -> bool:
    """Return whether any change in a row of ``Result.input_effects`` is large enough to show."""
    return any(changes(row).values())


def changes(row: InputEffect) -> dict[str, str]:
    """Return the text for each result: its changes when the input is at either end of its band."""
    return {name: change_words(getattr(row, name), name) for name in _CHANGED}


def change_words(sides: Sequence[float | None], name: str) -> str:
    """Return the changes at both ends of a band as text, which is empty if they are too small to show."""
    if all(side is None or abs(side) < _LEAST_SHOWN[name] for side in sides):
        return "" if any(side is not None for side in sides) else "not possible"
    return join(" / ", ("not possible" if side is None else _signed(side, _DIGITS[name]) for side in sides))


def _signed(value: float, digits: int) -> str:
    words = number_text(abs(value), digits)
    return words if float(f"{abs(float(value)):.{digits}f}") == 0 else ("+" if value > 0 else "\N{MINUS SIGN}") + words


class EffectBar(NamedTuple):
    """The changes of the range [km] with one input, or one error of the shop, at both ends of its band.

    ``about`` holds its value and band in words. ``flips`` names the ends at which other parts or another span win.
    """

    key: str
    about: str
    changes: tuple[float | None, float | None]
    flips: tuple[str, ...] = ()

    @property
    def largest(self) -> float:
        """The larger change without its sign. [km]"""
        return max((abs(each) for each in self.changes if each is not None), default=0.0)


def effect_bars(result: Result) -> list[EffectBar]:
    """Return a bar for every input and every tolerance of the shop that moves the range, the largest first.

    Changes are from the range to expect of the stretched wing.
    """
    bars = [
        EffectBar(
            _named_key(row),
            _value_in_band(row),
            (row.range_km[0], row.range_km[1]),
            _flipping_ends(row.key, result),
        )
        for row in result.input_effects
    ]
    design = stretched_wing(result)
    if result.as_built and design and result.input_effects:
        for one in result.as_built.effects:
            low, high = (
                None if end is None else from_edge("change_pct", end) * design.numbers.range_km
                for end in one.range_change_pct
            )
            about = fill("\N{PLUS-MINUS SIGN}{}, by the shop", one.tolerance)
            bars.append(EffectBar(f"build_tolerance.{one.name}", about, (low, high)))
    shown = [bar for bar in bars if bar.largest >= _LEAST_SHOWN["range_km"]]
    return sorted(shown, key=lambda bar: -bar.largest)


def _value_in_band(row: InputEffect) -> str:
    """Return the value of an input and its band, such as "25 mohm, 20 to 40 mohm"."""
    between = " " if row.band.startswith("\N{PLUS-MINUS SIGN}") else ", "
    return between.join(part for part in (row.value, row.band) if part)


def _flipping_ends(key: str, result: Result) -> tuple[str, ...]:
    rows = result.flips.rows if result.flips else []
    return tuple(dict.fromkeys(row.band_end for row in rows if row.name == key and row.band_end))


def bar_words(result: Result) -> list[str]:
    """Return sentences on what moves the range most, and on the inputs that change the answer; none without bars."""
    bars, design = effect_bars(result), stretched_wing(result) or result.stock
    if not bars:
        return []
    lines = [
        fill(
            "Of {} km to expect, these move most: {}. Each bar is one input at one end of its band, the wing as it is.",
            design_number(design, "range_km"),
            join("; ", [_bar_phrase(bar) for bar in bars[:_MOST_IN_WORDS]]),
        )
    ]
    return [*lines, flipping_words(result)]


def flipping_words(result: Result) -> str:
    """Return a sentence on the inputs with which other parts or another span win."""
    if result.flips is None:
        return "Which of them change the parts or the span: tradestudy flips."
    bars = [bar for bar in effect_bars(result) if bar.flips]
    if not bars:
        return "No input changes the parts or the span, within its band."
    ends = [fill("{} at its {} end", bar.key, " and its ".join(bar.flips)) for bar in bars]
    return fill("Other parts or another span win (diamonds in the figure): {}.", join(", ", ends))


def _bar_phrase(bar: EffectBar) -> str:
    ends = [_signed(side, 1) for side in bar.changes if side is not None and abs(side) >= _LEAST_SHOWN["range_km"]]
    return fill("{} by {} km", bar.key, join(" or ", ends))


def reference_words(result: Result) -> str:
    """Return sentences on which wing the table is for, and what its columns mean."""
    design = stretched_wing(result) or result.stock
    return fill(
        "The table shows what changes if an input is at the low or at the high end of its band. The wing has {} mm of "
        "span and {} km of range. Its balance mark is {} mm behind the nose; it breaks at {} times its weight. For "
        "each line the model is calibrated to the stock wing again. The order is by range and balance mark: a tenth of "
        "the range counts as much as 6 mm.",
        design_number(design, "span_mm"),
        design_number(design, "range_km"),
        design_number(design, "cg_mm"),
        design_number(design, "failure_load_factor", 1),
    )


def first_words(result: Result) -> list[str]:
    """Return sentences on what to measure first, and on the range to expect with its band."""
    known = result.uncertainty
    lines = [measure_first_words(result), known.strength_first] if known else []
    return [line for line in [*lines, *spread_lines(result)[:1]] if line]


def uncertainty_words(result: Result) -> list[str]:
    """Return sentences on what to measure first, and on the width of the bands of the result."""
    known = result.uncertainty
    if not known:
        return []
    lines = [measure_first_words(result), known.strength_first]
    lines += spread_lines(result)
    without = [row.key for row in result.input_effects if not has_effect(row)]
    if without:
        lines.append(fill("Almost no effect on any of these: {}.", join(", ", without)))
    return [line for line in lines if line]


def spread_lines(result: Result) -> list[str]:
    """Return sentences on the range band and the limits at risk when all inputs vary at once, or none if unknown."""
    known = result.spread
    if not known:
        return []
    drawn = known.percentiles
    low, middle, high = (number_text(value) for value in drawn.range_km)
    lines = [
        fill(
            "Range: {} km to expect; one wing in ten flies less than {} km, and one in ten more than {} km. All inputs "
            "and models were varied {} times within their bands, except those of [fly].",
            middle,
            low,
            high,
            known.draws,
        ),
        fill(
            "Balance mark: eight in ten from {} to {} mm.",
            number_text(drawn.balance_mm[0], 1),
            number_text(drawn.balance_mm[2], 1),
        ),
    ]
    if (share := known.over_medians.get("range_km", 1)) != 1:
        lines.append(
            fill(
                "The search compares wings at the middle value of every input. What to expect is {} times that range: "
                "the middle of the varied wings. Ranges, times and currents of all wings are told in that way.",
                number_text(share, 2),
            )
        )
    if known.variance_shares:
        parts = join(
            ", ",
            (
                fill("{} {} %", each.key, number_text(in_unit(each.share, "%")))
                for each in known.variance_shares[:_MOST_LISTED]
            ),
        )
        lines.append(fill("What makes the range unsure, by its share: {}.", parts))
    design = stretched_wing(result) or result.stock
    doubtful = [
        fill("{}, {} of 100", limit_words(name, design), number_text(in_unit(share, "%")))
        for name, share in sorted(known.met_share.items(), key=lambda pair: pair[1])
        if share < _SAFE_SHARE
    ]
    if doubtful:
        lines.append(
            fill(
                "Some limits may not hold as built. So many of such wings meet them: {}. A wing at its limit "
                "meets it half of the time.",
                join("; ", doubtful),
            )
        )
    return lines


LEDGER_HEADS = ("Measured", "Where", "Measured as", "Eight in ten", "To expect", "Unit", "Percentile")


def ledger_rows(result: Result) -> Rows:
    """Return one row for each measured aircraft or drive: its value, and what the model draws for it."""
    rows: Rows = []
    for case in result.ledger:
        digits = 4 if case.high < 1 else 0
        measured, low, middle, high = (
            number_text(value, digits) for value in (case.measured, case.low, case.middle, case.high)
        )
        band = fill("{} to {}", low, high)
        rows.append((case.what, case.at, measured, band, middle, case.unit, number_text(case.percentile)))
    return rows


def ledger_sources(result: Result) -> list[str]:
    """Return one sentence for each source of the rows of `ledger_rows`."""
    first = {case.source: case.what for case in reversed(result.ledger)}
    return [fill("{}: {}.", what, source) for source, what in reversed(first.items())]


LEDGER_WORDS = (
    "The model was held against aircraft and drives that others measured, with no more knowledge than a builder has.",
    "The percentile says how many of a hundred draws lie below the measurement. For drag and watts a low one means "
    "that the model is too pessimistic.",
)


def assumed_inputs(result: Result) -> list[tuple[Assumed, dict[str, str]]]:
    """Return the assumed and listed inputs, largest effect first, each with its `changes`.

    The changes are empty texts where the effect is unknown.
    """
    known = {row.key: (rank, row) for rank, row in enumerate(result.input_effects)}
    inputs = [each for each in result.defaults_used if not each.is_choice]
    inputs += [
        Assumed(
            row.key,
            row.value,
            "sizes and coefficients of everything listed under [[drag_item]]",
            row.band,
            row.moves,
            is_choice=False,
        )
        for row in result.input_effects
        if row.kind == "listed"
    ]
    inputs.sort(key=lambda each: known[each.key][0] if each.key in known else len(known))
    return [
        (each, changes(known[each.key][1]) if each.key in known else dict.fromkeys(_CHANGED, "")) for each in inputs
    ]


def measurement_rows(result: Result) -> Rows:
    """Return rows on the effect of the accuracy of the builder's own measurements: key, value, band and changes."""
    return [
        (row.key, row.value, row.band, *changes(row).values())
        for row in result.input_effects
        if row.kind == "measured" and has_effect(row)
    ]
