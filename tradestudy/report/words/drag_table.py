"""What holds the wings back in cruise, part by part: rows and sentences of one table."""

from __future__ import annotations

from tradestudy.quantities import in_unit
from tradestudy.report.placed import fill, join
from tradestudy.results.flight import DragBreakdown, DragPart
from tradestudy.results.result import Result

from .phrases import number_text, stretched_wing

DRAG_NOTE = (
    "Drag area is drag over dynamic pressure. No interference between things in the wind, or with the wing, "
    "is added: none is known for things of this size."
)
WHOLE, ITEMS = "whole", "all that is listed in the wind"


def drag_breakdowns(result: Result) -> list[tuple[str, DragBreakdown]]:
    """Return the drag of the wings whose drag is known part by part: stock, and the stretched one."""
    both = [("stock", result.stock), ("stretched", stretched_wing(result))]
    return [(name, design.drag_breakdown) for name, design in both if design is not None and design.drag_breakdown]


def drag_heads(result: Result) -> list[str]:
    """Return the heads of `drag_rows`: part, drag area and share of each wing, band, what it rests on."""
    wings = [head for name, _ in drag_breakdowns(result) for head in (fill("{} cm²", name), "%")]
    return ["held back in cruise by", *wings, "could be cm\N{SUPERSCRIPT TWO}", "how it is reckoned"]


def drag_rows(result: Result) -> list[tuple[str, ...]]:
    """Return rows under `drag_heads`, the whole last; bands are those of the last wing."""
    wings = [told for _, told in drag_breakdowns(result)]
    if not wings:
        return []
    parts = [{part.part: part for part in wing.parts} for wing in wings]
    rows = []
    for name in dict.fromkeys(name for wing in reversed(parts) for name in wing):
        last = next(wing[name] for wing in reversed(parts) if name in wing)
        counted = fill("{} \N{MULTIPLICATION SIGN} {}", last.count, name) if last.count > 1 else name
        figures = [figure for wing in parts for figure in _figures(wing.get(name))]
        rows.append((counted, *figures, _band(last.low_cm2, last.high_cm2), last.how))
    latest = wings[-1]
    if sum(part.listed for part in latest.parts) > 1:
        sums = [figure for wing in wings for figure in _share(wing.items_cm2, wing.total_cm2)]
        rows.append((ITEMS, *sums, _band(latest.items_low_cm2, latest.items_high_cm2), "each line off independently"))
    whole = [figure for wing in wings for figure in _share(wing.total_cm2, wing.total_cm2)]
    return [*rows, (WHOLE, *whole, "", "")]


def _figures(part: DragPart | None) -> tuple[str, str]:
    return ("", "") if part is None else (number_text(part.cm2, 1), number_text(part.share_pct, 1))


def _share(area: float, whole: float) -> tuple[str, str]:
    return number_text(area, 1), number_text(in_unit(area / whole, "%"), 1)


def _band(low: float | None, high: float | None) -> str:
    return "" if low is None or high is None else fill("{} to {}", number_text(low, 1), number_text(high, 1))


def glide_words(result: Result) -> list[str]:
    """Return lift over drag in cruise and the glide with the motor off, a sentence for each wing."""
    lines = []
    for name, told in drag_breakdowns(result):
        words = fill(
            "The {} wing at {} km/h: lift over drag {}",
            name,
            number_text(told.cruise_speed_kmh),
            number_text(told.lift_to_drag, 1),
        )
        if told.glide_parts:
            added = join(" and ", (fill("{} {} cm²", part.part, number_text(part.cm2, 1)) for part in told.glide_parts))
            words += fill(
                "; motor off it glides {} to 1, with {} more drag area", number_text(told.glide_ratio, 1), added
            )
        lines.append(words + ".")
    if lines and not any(told.glide_parts for _, told in drag_breakdowns(result)):
        lines.append(
            "It glides as far only with a propeller that adds no drag: list a folded, stopped or windmilling "
            "propeller under [[drag_item]] to see the glide with the motor off."
        )
    return lines
