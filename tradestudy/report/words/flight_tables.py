"""Tables on where the power goes, on the parts of the mission, and on the propellers, motors and packs compared."""

from __future__ import annotations

import math

from tradestudy.quantities import in_unit
from tradestudy.report.placed import fill, join
from tradestudy.results.club import ComparedParts
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from .phrases import Rows, comma_list, number_text, with_capital
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


def mission_words(design: Design) -> str:
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
