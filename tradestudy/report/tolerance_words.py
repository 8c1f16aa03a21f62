"""Rows and sentences on the new wing as it may come out of the shop, and what to measure on the finished wing."""

from __future__ import annotations

from tradestudy.quantities import from_edge
from tradestudy.results.cutting import BuildCheck
from tradestudy.results.design import Design
from tradestudy.results.inputs import AsBuilt, LimitAsBuilt
from tradestudy.results.result import Result

from .placed import fill, join
from .words.phrases import Rows, design_number, number_text, stretched_wing

TOLERANCE_HEADS = ("Nine wings of ten keep", "Within", "Range, low / high end [%]", "All limits met without it [%]")
LIMIT_HEADS = ("Limit", "Met by shop [%]", "By inputs [%]", "By both [%]", "Nine of ten lack at most", "Moved most by")
MEASURE_HEADS = ("Measure", "As designed", "Accepted", "With what, where")
MEASURE_TITLE = "Measure on the finished wing"
_WORDS = {
    "washout": "washout",
    "twist_difference": "washout of one half over the other",
    "sweep": "sweep",
    "core_chord": "chord of the cores",
    "rod_depth": "depth of the slots",
    "balance": "balance mark",
    "weight": "flying weight",
}
_HELPS = 5.0  # percentage points; a tolerance that helps less is not told to be held more closely
_ROOMY = 80.0  # %; where fewer wings meet every limit, the robust search is named
_SURE = 99.5  # %; a limit that is met more often by shop and inputs gets no row
_AT_THE_TIP = ("washout", "sweep")  # angles that are measured in mm at the tip
_MOST_NAMED = 3


def as_built_words(result: Result) -> str:
    """Return one or two sentences: how many such wings meet every limit, and what matters most."""
    known = result.as_built
    if known is None:
        return ""
    lead = fill("As built with usual care, {} in 100 such wings meet every limit", number_text(known.met_pct))
    if known.near_pct > known.met_pct + 0.5:
        lead = fill(
            "{}. In 100, {} miss none by more than a small step{}",
            lead,
            number_text(known.near_pct),
            _most_lacking(known),
        )
    return join(" ", [fill("{}.", lead), *_held(result, known)])


def _most_lacking(known: AsBuilt) -> str:
    """Return what nine wings of ten lack at most, for the limits met least often."""
    rows = [row for row in known.limits if row.short > 0][:_MOST_NAMED]
    parts = [fill("{} {}", row.words, _lacking(row)) for row in rows]
    return fill(" (nine of ten lack at most: {})", join("; ", parts)) if parts else ""


def _lacking(row: LimitAsBuilt) -> str:
    return fill("{:.2g} {}", row.short, row.unit).rstrip() if row.short > 0 else "nothing"


def _held(result: Result, known: AsBuilt) -> list[str]:
    """Return a sentence on the tolerance that matters most, if holding it more closely helps."""
    name, held = known.matters_most, known.held_met_pct
    if not name or held is None:
        return []
    own = next(one for one in known.effects if one.name == name)
    if held < known.met_pct + _HELPS:
        helps = own.met_without_pct >= known.met_pct + _HELPS
        return [fill("The {} matters most.", _WORDS[name])] if helps else []
    return [
        fill(
            "The {} matters most: held within {}{} instead of {}, {} in 100 meet every limit.",
            _WORDS[name],
            known.held_to,
            _in_mm(stretched_wing(result), name),
            own.tolerance,
            number_text(held),
        )
    ]


def _in_mm(design: Design | None, name: str) -> str:
    """Return half of an angle's band in mm at the tip, or nothing for what is measured in its own unit."""
    checks = design.cutting.checks if design is not None and design.cutting else []
    bands = [0.25 * (one.high - one.low) for one in checks if one.name == name and name in _AT_THE_TIP]
    return fill(" ({} mm at the tip)", number_text(bands[0], 1)) if bands else ""


def as_built_lines(result: Result) -> list[str]:
    """Return the answer, what the shop costs, and what holds level a wing whose halves differ."""
    known, design = result.as_built, stretched_wing(result)
    if known is None or design is None:
        return []
    low, high = (_km(end, design) for end in known.range_change_pct)
    lines = [
        as_built_words(result),
        fill(
            "By the shop alone, the range of eight wings of ten lies between {} and {} km of the {} km as designed.",
            low,
            high,
            design_number(design, "range_km"),
        ),
    ]
    if known.roll_trim_deg:
        lines.append(
            fill(
                "Halves that differ in washout{} roll the wing. It takes {} deg of elevon each way, {} mm at the "
                "trailing edge, to hold it level.",
                _difference(design),
                number_text(known.roll_trim_deg, 1),
                number_text(known.roll_trim_mm, 1),
            )
        )
    if known.met_both_pct is not None and known.met_inputs_pct is not None:
        lines.append(
            fill(
                "With the inputs in doubt as well, {} in 100 draws meet every limit. With a perfect shop it would "
                "be {} in 100.",
                number_text(known.met_both_pct),
                number_text(known.met_inputs_pct),
            )
        )
    if known.met_pct < _ROOMY:
        lines.append("A wing with room for the shop gives up some range: tradestudy optimise STUDY --robust.")
    return lines


def _km(change_pct: float, design: Design) -> str:
    """Return a change of the range with its sign."""
    return _signed(from_edge("change_pct", change_pct) * design.numbers.range_km)


def _difference(design: Design) -> str:
    checks = design.cutting.checks if design.cutting else []
    high = [one.high for one in checks if one.name == "twist_difference"]
    return fill(" by {} mm at the tips", number_text(high[0], 1)) if high else ""


def _signed(value: float) -> str:
    text = number_text(abs(value), 1)
    return text if abs(value) < 0.05 else ("+" if value > 0 else "\N{MINUS SIGN}") + text


def tolerance_rows(result: Result) -> Rows:
    """Return one row for each tolerance of the shop, with the columns of TOLERANCE_HEADS."""
    known = result.as_built
    return [
        (
            _WORDS[one.name],
            one.tolerance,
            join(" / ", ["no flight" if side is None else _signed(side) for side in one.range_change_pct]),
            number_text(one.met_without_pct),
        )
        for one in (known.effects if known else [])
    ]


def as_built_rows(result: Result) -> Rows:
    """Return one row for each limit that some wing misses, with the columns of LIMIT_HEADS."""
    known = result.as_built
    return [
        (
            row.words,
            number_text(row.met_pct),
            number_text(row.met_inputs_pct),
            number_text(row.met_both_pct),
            _lacking(row),
            fill("{} ({} %)", _WORDS[row.matters], number_text(row.matters_pct)) if row.matters else "",
        )
        for row in (known.limits if known else [])
        if min(row.met_pct, 100.0 if row.met_both_pct is None else row.met_both_pct) < _SURE
    ]


def measure_rows(design: Design) -> Rows:
    """Return one row for each thing to measure on the finished wing, with the columns of MEASURE_HEADS."""
    return [(check.what, *check_values(check), check.how) for check in design.cut.checks]


def check_values(check: BuildCheck) -> tuple[str, str]:
    """Return the value as designed and the band that is accepted, as text."""
    digits = 0 if check.unit == "g" or check.name == "balance" else 1  # the mark is told to the mm everywhere
    low, value, high = (number_text(one, digits) for one in (check.low, check.value, check.high))
    return fill("{} {}", value, check.unit), fill("{} to {} {}", low, high, check.unit)
