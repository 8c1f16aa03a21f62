"""Tables on drag part by part, on power, on the parts of the mission, and on propellers, motors and packs compared."""

from __future__ import annotations

import math

from tradestudy.quantities import in_unit
from tradestudy.report.placed import fill, join
from tradestudy.results.club import ComparedParts
from tradestudy.results.design import Design
from tradestudy.results.flight import DragBreakdown, DragPart
from tradestudy.results.look.look import AfterRelease
from tradestudy.results.result import Result

from .phrases import Rows, band_words, comma_list, number_text, stock_and_stretched, with_capital
from .purpose import measure

WATT_HEADS = ["power out of the cells", "cruise W", "%", "full throttle W", "%"]
MISSION_HEADS = ["part", "air km/h", "min", "km", "Wh", "mAh", "A", "V", "left %"]
_PART_HEADS = ["parts", "", "km/h", "A", "top\nkm/h", "thrust\n/weight", "full\nA", "W/kg", "g/dm²", "nearest rating"]
PART_NOTE = (
    "Every combination flies the same wing at the same static margin; each propeller is assumed to weigh the same as "
    "the one on the wing. Thrust over weight, full amps and W/kg are for standing full throttle on a full pack. The "
    "nearest rating is the part that comes closest to its maker's limit then, with the share of that limit in use."
)
MISSION_NOTE = (
    "Each part begins and ends at once, with the charge that the parts before it have left. Kilometres are over the "
    "ground and of legs only; volts are under load, at the end of a part. Energy that a climb gives back in descent is "
    "not counted."
)
DRAG_NOTE = (
    "Drag area is drag divided by dynamic pressure. No interference between parts in the airflow, or with the wing, is "
    "added: none is known for parts of this size."
)
TOTAL, LISTED_PARTS = "total", "all parts of the drag list"


def watt_rows(design: Design) -> Rows:
    """Return rows on where the power goes at cruise and at full throttle, or none without such data.

    They are sorted by the power at cruise, largest first. The total is last.
    """
    cruise, full_throttle = design.watts, design.full_throttle_watts
    if not cruise or not full_throttle:
        return []
    totals = sum(cruise.values()), sum(full_throttle.values())

    def row(name: str, *watts: float) -> tuple[str, ...]:
        pairs = (
            (number_text(value, 1), number_text(in_unit(value / total, "%")))
            for value, total in zip(watts, totals, strict=True)
        )
        return name, *(text for pair in pairs for text in pair)

    parts = sorted(cruise, key=lambda part: -cruise[part])
    return [*(row(part, cruise[part], full_throttle.get(part, 0.0)) for part in parts), row("total", *totals)]


def watt_words(result: Result, design: Design) -> str:
    """Return a sentence on the speeds for which the power is given."""
    return fill(
        "The {} wing: cruise at {} km/h in the middle of the flight, full throttle in level flight at {} km/h on a "
        "full pack.",
        "stock" if design is result.stock else "stretched",
        number_text(design.numbers.cruise_speed_kmh),
        number_text(design.numbers.top_speed_kmh),
    )


def mission_rows(design: Design) -> Rows:
    """Return a row for each part of the mission and one for their sum, or none without a mission."""
    mission = design.mission
    if not mission:
        return []
    rows = [
        (
            row.name,
            number_text(row.airspeed_kmh),
            number_text(row.time_min, 1),
            "" if row.km is None else number_text(row.km, 1),
            number_text(row.wh, 1),
            number_text(row.mah),
            number_text(row.mean_a, 1),
            number_text(row.end_v, 1),
            number_text(row.charge_left_pct),
        )
        for row in mission.parts
    ]
    sums = number_text(mission.time_min, 1), number_text(mission.km, 1), number_text(mission.wh, 1)
    return [*rows, ("total", "", *sums, number_text(mission.mah), "", "", "")]


def mission_words(design: Design | AfterRelease) -> str:
    """Return a sentence on the charge left after the mission, or on where it ends early. Empty without a mission."""
    mission = design.mission
    if not mission:
        return ""
    if mission.end_reason:
        return fill(
            "This mission cannot be completed. {}. {} of {} parts were begun.",
            with_capital(mission.end_reason),
            len(mission.parts),
            mission.parts_requested,
        )
    return fill(
        "Above the reserve of {} % it leaves {} mAh: {} km or {} minutes more in cruise, still air.",
        number_text(mission.reserve_pct),
        number_text(mission.left_mah),
        number_text(mission.left_km),
        number_text(mission.left_min),
    )


def part_heads(result: Result) -> list[str]:
    """Return the column heads of the table of parts compared."""
    known = measure(result)
    return [head or f"{known.axis}\n{known.unit}" for head in _PART_HEADS]


def part_names(result: Result) -> list[str]:
    """Return lines that explain the letter of each motor and the number of each pack, or none without a comparison."""
    if not result.compared:
        return []
    return [
        "Motors: " + join(", ", (fill("{} {}", letter, name) for name, letter in _letters(result).items())) + ".",
        "Packs: " + join(", ", (fill("{} {}", number, name) for name, number in _numbers(result).items())) + ".",
    ]


def _letters(result: Result) -> dict[str, str]:
    return {name: chr(ord("A") + index) for index, name in enumerate(_names(result, "motor"))}


def _numbers(result: Result) -> dict[str, str]:
    return {name: str(index) for index, name in enumerate(_names(result, "pack"), start=1)}


def _names(result: Result, kind: str) -> list[str]:
    """Return the names of all motors or packs compared, each once, with the wing's own first."""
    own_first = sorted(result.compared, key=lambda row: not row.own)
    return list(dict.fromkeys(getattr(row, kind) for row in own_first))


def part_rows(result: Result) -> Rows:
    """Return one row for each combination of parts, best first. Combinations that break a limit are last and marked."""
    rows = []
    for row in result.compared:
        name = ("* " if row.violations else "") + _short_name(result, row) + (" own" if row.own else "")
        if row.gain is None:
            rows.append((name, *[""] * (len(_PART_HEADS) - 1)))
            continue
        rows.append(
            (
                name,
                number_text(row.gain, 1),
                number_text(row.speed_kmh),
                number_text(row.hold_a, 1),
                number_text(row.top_speed_kmh),
                number_text(row.thrust_to_weight, 2),
                number_text(row.full_throttle_current_a),
                number_text(row.w_per_kg),
                number_text(row.wing_loading_g_dm2, 1),
                fill("{} {}%", row.first_rating, number_text(row.first_rating_pct)),
            )
        )
    return rows


def part_words(result: Result) -> list[str]:
    """Return sentences on which parts are best for the study's purpose and by how much, then why rows are marked."""
    known, lines = measure(result), []
    sound = [row for row in result.compared if not row.violations]
    own = next((row for row in result.compared if row.own), None)
    if not result.compared:
        return []
    if not sound:
        lines.append("No combination of these parts meets every limit.")
    elif sound[0].own:
        more = fill(", {} more than the next best", _more(sound[0], sound[1])) if len(sound) > 1 else ""
        lines.append(fill("The wing's own parts are best: it {}{}.", known.best, more))
    else:
        lines.append(
            fill("{} {}: {} {}", _short_name(result, sound[0]), known.best, number_text(sound[0].gain, 1), known.unit)
            + (fill(", {} more than the wing's own parts.", _more(sound[0], own)) if own and own.gain else ".")
        )
    reasons: dict[str, list[str]] = {}
    for row in result.compared:
        if row.violations:
            reasons.setdefault(join("; ", row.violations), []).append(_short_name(result, row))
    return [*lines, *(fill("* {}: {}.", comma_list(names), reason) for reason, names in reasons.items())]


def _short_name(result: Result, row: ComparedParts) -> str:
    """Return the short name of a combination, such as 10x6 A1."""
    return fill("{} {}{}", row.propeller, _letters(result)[row.motor], _numbers(result)[row.pack])


def _more(best: ComparedParts, other: ComparedParts) -> str:
    return fill("{} %", number_text(in_unit((best.gain or 0.0) / (other.gain or math.inf) - 1, "%"), 1))


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
        figures = [figure for wing in parts for figure in _drag_figures(wing.get(name))]
        rows.append((counted, *figures, band_words(last.low_cm2, last.high_cm2, 1), last.how))
    latest = wings[-1]
    if sum(part.listed for part in latest.parts) > 1:
        sums = [figure for wing in wings for figure in _area_and_share(wing.items_cm2, wing.total_cm2)]
        band = band_words(latest.items_low_cm2, latest.items_high_cm2, 1)
        rows.append((LISTED_PARTS, *sums, band, "each part off independently"))
    total = [figure for wing in wings for figure in _area_and_share(wing.total_cm2, wing.total_cm2)]
    return [*rows, (TOTAL, *total, "", "")]


def _breakdowns(result: Result) -> list[tuple[str, DragBreakdown]]:
    """Return the wings for which the drag of each part is known."""
    return [(name, wing.drag_breakdown) for name, wing in stock_and_stretched(result) if wing.drag_breakdown]


def _drag_figures(part: DragPart | None) -> tuple[str, str]:
    return ("", "") if part is None else (number_text(part.cm2, 1), number_text(part.share_pct, 1))


def _area_and_share(area: float, total: float) -> tuple[str, str]:
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
