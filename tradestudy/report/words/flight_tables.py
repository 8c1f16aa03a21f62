"""Tables of what is flown: where every watt goes, the mission part by part, propellers, motors and packs compared."""

from __future__ import annotations

import math
from typing import Any

from tradestudy.quantities import in_unit
from tradestudy.report.placed import fill, join
from tradestudy.results.club import ComparedParts
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from .phrases import comma_list, number_text, stretched_wing
from .pilot_card import cards, is_withheld, longest_words, no_card
from .purpose import measure

Rows = list[tuple[str, ...]]

WATT_HEADS = ["watts out of the cells", "cruise W", "%", "flat out W", "%"]
MISSION_HEADS = ["part", "air km/h", "min", "km", "Wh", "mAh", "A", "V", "left %"]
PART_HEADS = ["parts", "", "km/h", "A", "top\nkm/h", "pull\n/wt", "full\nA", "W/kg", "g/dm²", "goes first"]
PART_NOTE = (
    "Every combination flies the same wing at the same static margin; a propeller is taken to weigh what the one on "
    "the wing does. Pull over weight, full amps and W/kg are of a standing full throttle on a full pack; what goes "
    "first is told with the share of its maker's limit that is used then."
)
MISSION_NOTE = (
    "Each part begins and ends at once, on the charge that those before it have left; km are over the ground, of legs "
    "alone; volts are loaded, at the end of a part. What a climb gives back on the way down is not counted."
)


def watt_rows(design: Design) -> Rows:
    """Return where the watts go at cruise and flat out, most at cruise first, with the whole below; or nothing."""
    cruise, flat_out = design.watts, design.full_throttle_watts
    if not cruise or not flat_out:
        return []
    whole = sum(cruise.values()), sum(flat_out.values())

    def row(name: str, *watts: float) -> tuple[str, ...]:
        return (
            name,
            *(
                text
                for value, total in zip(watts, whole, strict=True)
                for text in (number_text(value, 1), number_text(in_unit(value / total, "%")))
            ),
        )

    parts = sorted(cruise, key=lambda part: -cruise[part])
    return [*(row(part, cruise[part], flat_out.get(part, 0.0)) for part in parts), row("whole", *whole)]


def watt_words(result: Result, design: Design) -> str:
    """Return at which speeds the watts are told."""
    numbers = design.numbers
    wing = "stock" if design is result.stock else "stretched"
    return fill(
        "The {} wing: cruise at {} km/h in the middle of the flight, flat out level at {} km/h on a full pack.",
        wing,
        number_text(numbers.cruise_speed_kmh),
        number_text(numbers.top_speed_kmh),
    )


def mission_rows(design: Design) -> Rows:
    """Return the parts of the mission that were flown, and the sum; nothing without a mission."""
    told = design.mission
    if not told:
        return []
    rows = [
        (
            row.name,
            number_text(row.airspeed_kmh),
            number_text(row.time_min, 1),
            _or_empty(row.km),
            number_text(row.wh, 1),
            number_text(row.mah),
            number_text(row.mean_a, 1),
            number_text(row.end_v, 1),
            number_text(row.charge_left_pct),
        )
        for row in told.parts
    ]
    return [
        *rows,
        (
            "together",
            "",
            number_text(told.time_min, 1),
            number_text(told.km, 1),
            number_text(told.wh, 1),
            number_text(told.mah),
            "",
            "",
            "",
        ),
    ]


def mission_words(design: Design) -> str:
    """Return what is left after the mission, or where it runs out; empty without a mission."""
    told = design.mission
    if not told:
        return ""
    if told.end_reason:
        flown = len(told.parts)
        return fill(
            "This mission cannot be flown. {}{}. {} of {} parts were begun.",
            told.end_reason[:1].upper(),
            told.end_reason[1:],
            flown,
            told.parts_requested,
        )
    return fill(
        "Above the reserve of {} % it leaves {} mAh: {} km or {} minutes more in cruise, still air.",
        number_text(told.reserve_pct),
        number_text(told.left_mah),
        number_text(told.left_km),
        number_text(told.left_min),
    )


def part_heads(result: Result) -> list[str]:
    """Return the heads of the table of parts compared."""
    known = measure(result)
    return [head or f"{known.axis}\n{known.unit}" for head in PART_HEADS]


def part_names(result: Result) -> list[str]:
    """Return which motor each letter stands for, and which pack each figure; nothing where none were compared."""
    if not result.compared:
        return []
    return [
        "Motors: " + join(", ", (fill("{} {}", letter, name) for name, letter in _letters(result).items())) + ".",
        "Packs: " + join(", ", (fill("{} {}", number, name) for name, number in _numbers(result).items())) + ".",
    ]


def _letters(result: Result) -> dict[str, str]:
    return {name: chr(ord("A") + index) for index, name in enumerate(_named(result, "motor"))}


def _numbers(result: Result) -> dict[str, str]:
    return {name: str(index) for index, name in enumerate(_named(result, "pack"), start=1)}


def _named(result: Result, kind: str) -> list[str]:
    """Every motor or pack once, the wing's own first."""
    own_first = sorted(result.compared, key=lambda row: not row.own)
    return list(dict.fromkeys(getattr(row, kind) for row in own_first))


def part_rows(result: Result) -> Rows:
    """Return one row for each combination of parts, best first; what breaks something stands below, marked."""
    rows = []
    for row in result.compared:
        told = ("* " if row.violations else "") + _called(result, row) + (" own" if row.own else "")
        if row.gain is None:
            rows.append((told, *[""] * (len(PART_HEADS) - 1)))
            continue
        rows.append(
            (
                told,
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
    """Return which parts serve the study's purpose best and by how much, then why each marked row is marked."""
    known, lines = measure(result), []
    sound = [row for row in result.compared if not row.violations]
    own = next((row for row in result.compared if row.own), None)
    if not result.compared:
        return []
    if not sound:
        lines.append("No combination of these parts keeps to every limit.")
    elif sound[0].own:
        more = fill(", by {} over the next", _more(sound[0], sound[1])) if len(sound) > 1 else ""
        lines.append(fill("What the wing has {}{}.", known.best, more))
    else:
        lines.append(
            fill("{} {}: {} {}", _called(result, sound[0]), known.best, number_text(sound[0].gain, 1), known.unit)
            + (fill(", {} more than what the wing has.", _more(sound[0], own)) if own and own.gain else ".")
        )
    reasons: dict[str, list[str]] = {}
    for row in result.compared:
        if row.violations:
            reasons.setdefault(join("; ", row.violations), []).append(_called(result, row))
    return [*lines, *(fill("* {}: {}.", comma_list(called), reason) for reason, called in reasons.items())]


def _called(result: Result, row: ComparedParts) -> str:
    """A combination in short, such as 10x6 A1."""
    return fill("{} {}{}", row.propeller, _letters(result)[row.motor], _numbers(result)[row.pack])


def _more(best: ComparedParts, other: ComparedParts) -> str:
    return fill("{} %", number_text(in_unit((best.gain or 0.0) / (other.gain or math.inf) - 1, "%"), 1))


def template_values(result: Result, anyway: bool = False) -> dict[str, Any]:
    """Return all of it as the page's template asks for it; ``anyway`` as in `pilot_card.card_text`."""
    wings = reported_wings(result)
    return {
        "cards": cards(result, anyway), "no_card": no_card(result, anyway),
        "longest": [(name, longest_words(design)) for name, design in wings
                    if design.pilot_card and not is_withheld(design, anyway)],
        "watts": [(name, watt_rows(design), watt_words(result, design)) for name, design in wings if watt_rows(design)],
        "watt_heads": WATT_HEADS,
        "missions": [(name, mission_rows(design), mission_words(design), bool(design.mission.end_reason))
                     for name, design in wings if design.mission],
        "mission_heads": MISSION_HEADS, "mission_note": MISSION_NOTE,
        "compared": part_rows(result), "compared_heads": part_heads(result), "compared_note": PART_NOTE,
        "compared_words": [*part_names(result), *part_words(result)],
    }  # fmt: skip


def _or_empty(value: float | None) -> str:
    return "" if value is None else number_text(value, 1)


def reported_wings(result: Result) -> list[tuple[str, Design]]:
    """Return the wings that are told in full, the stretched one first."""
    both = [("Stretched", stretched_wing(result)), ("Stock", result.stock)]
    return [(name, design) for name, design in both if design is not None]
