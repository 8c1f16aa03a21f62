"""The table of drag in cruise, part by part, and sentences on the glide."""

from __future__ import annotations

from tradestudy.quantities import in_unit
from tradestudy.report.placed import fill, join
from tradestudy.results.flight import DragBreakdown, DragPart
from tradestudy.results.result import Result

from .phrases import Rows, band_words, number_text, stock_and_stretched

DRAG_NOTE = (
    "Drag area is drag divided by dynamic pressure. No interference between parts in the airflow, or with the wing, is "
    "added: none is known for parts of this size."
)
TOTAL, LISTED_PARTS = "total", "all parts of the drag list"


def drag_heads(result: Result) -> list[str]:
    """Return the column heads for `drag_rows`.

    The columns are the part, drag area and share for each wing, the band, and the method of calculation.
    """
    wings = [head for name, _ in _breakdowns(result) for head in (fill("{} cm²", name), "%")]
    return ["drag in cruise by part", *wings, "band cm²", "how it is calculated"]


def drag_rows(result: Result) -> Rows:
    """Return one row for each part, then the total, with the columns of `drag_heads`. Bands are for the last wing."""
    wings = [breakdown for _, breakdown in _breakdowns(result)]
    if not wings:
        return []
    parts = [{part.part: part for part in wing.parts} for wing in wings]
    rows = []
    for name in dict.fromkeys(name for wing in reversed(parts) for name in wing):
        last = next(wing[name] for wing in reversed(parts) if name in wing)
        counted = fill("{} \N{MULTIPLICATION SIGN} {}", last.count, name) if last.count > 1 else name
        figures = [figure for wing in parts for figure in _figures(wing.get(name))]
        rows.append((counted, *figures, band_words(last.low_cm2, last.high_cm2, 1), last.how))
    latest = wings[-1]
    if sum(part.listed for part in latest.parts) > 1:
        sums = [figure for wing in wings for figure in _share(wing.items_cm2, wing.total_cm2)]
        band = band_words(latest.items_low_cm2, latest.items_high_cm2, 1)
        rows.append((LISTED_PARTS, *sums, band, "each part off independently"))
    total = [figure for wing in wings for figure in _share(wing.total_cm2, wing.total_cm2)]
    return [*rows, (TOTAL, *total, "", "")]


def _breakdowns(result: Result) -> list[tuple[str, DragBreakdown]]:
    """Return the wings for which the drag of each part is known."""
    return [(name, wing.drag_breakdown) for name, wing in stock_and_stretched(result) if wing.drag_breakdown]


def _figures(part: DragPart | None) -> tuple[str, str]:
    return ("", "") if part is None else (number_text(part.cm2, 1), number_text(part.share_pct, 1))


def _share(area: float, total: float) -> tuple[str, str]:
    return number_text(area, 1), number_text(in_unit(area / total, "%"), 1)


def glide_words(result: Result) -> list[str]:
    """Return a sentence for each wing on its lift over drag in cruise and its glide with the motor off."""
    breakdowns = _breakdowns(result)
    lines = []
    for name, breakdown in breakdowns:
        words = fill(
            "The {} wing at {} km/h: lift over drag {}",
            name,
            number_text(breakdown.cruise_speed_kmh),
            number_text(breakdown.lift_to_drag, 1),
        )
        if breakdown.glide_parts:
            parts = [fill("{} {} cm²", part.part, number_text(part.cm2, 1)) for part in breakdown.glide_parts]
            words += fill(
                "; glide ratio with the motor off {} to 1, with more drag area: {}",
                number_text(breakdown.glide_ratio, 1),
                join(" and ", parts),
            )
        lines.append(words + ".")
    if lines and not any(breakdown.glide_parts for _, breakdown in breakdowns):
        lines.append(
            "The glide ratio is the same only if the propeller adds no drag: list a folded, stopped or windmilling "
            "propeller under [[drag_item]] to see the glide ratio with the motor off."
        )
    return lines
