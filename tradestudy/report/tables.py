"""Tables of a Result as CSV text, units in the column names. None where the Result holds nothing to tell."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Sequence
from io import StringIO
from pathlib import Path
from typing import Any

from tradestudy.files import write_atomically
from tradestudy.report.words.phrases import stopping_limits, stretched_wing
from tradestudy.results.design import Design
from tradestudy.results.grid_result import GridResult
from tradestudy.results.json_form import json_data
from tradestudy.results.numbers import KEYS
from tradestudy.results.result import Result

from .words.violated_limits import violated_limit_words

SPEED_COLUMNS = (
    "speed_kmh", "drag_n", "power_w", "range_km", "radius_km", "usual_flight_min", "endurance_min", "wh_per_km",
    "mah_per_km", "current_a", "throttle_pct", "elevon_deg", "elevon_mm",
)  # fmt: skip
DRAG_COLUMNS = ("count", "share_pct", "low_cm2", "high_cm2")
LIMIT_COLUMNS = ("name", "words", "value", "side", "bound", "unit", "margin", "active", "met", "origin")
STRUCTURE_COLUMNS = (
    "condition", "load_factor", "mode", "at_mm", "failure_load_factor", "weak_failure_load_factor",
    "tip_deflection_mm",
)  # fmt: skip


def span_trade(result: Result) -> str | None:
    """Return one row for each wing of the span trade."""
    return _designs(result.span_trade, result)


def weight_range(result: Result) -> str | None:
    """Return one row for each wing of the weight-range line."""
    return _designs(result.front, result)


def wings(result: Result) -> str | None:
    """Return the stock wing, the recommended and the best one, the alternatives and the single steps."""
    known = [result.stock, result.recommended, result.best, *result.alternatives, *result.steps]
    return _designs([design for design in known if design is not None], result)


def speed_card(result: Result) -> str | None:
    """Return what each wing does at each speed, stock first, and which limits it breaks."""
    rows = []
    for name, design in _both(result):
        columns = [getattr(design.curves, column) for column in SPEED_COLUMNS]
        count, breaks = len(columns[0]), "; ".join(violated_limit_words(design))
        rows += [
            [name, *(column[index] if len(column) == count else None for column in columns), breaks]
            for index in range(count)
        ]
    return _csv(["wing", *SPEED_COLUMNS, "breaks"], rows)


def masses(result: Result) -> str | None:
    """Return what each part weighs in both wings."""
    return _parts(result, "masses_g", "g")


def drag(result: Result) -> str | None:
    """Return the drag area of each part of both wings at cruise; share of the whole and band where they are known."""
    told = {
        name: {part.part: part for part in design.drag_breakdown.parts} if design.drag_breakdown else {}
        for name, design in _both(result)
    }
    more = [(name, column) for name in told for column in DRAG_COLUMNS] if all(told.values()) else []
    return _parts(
        result,
        "drag_cm2",
        "cm2",
        [f"{name}_{column}" for name, column in more],
        lambda part: [getattr(told[name].get(part), column, None) for name, column in more],
    )


def watts(result: Result) -> str | None:
    """Return where the cells' power goes in both wings at cruise, and flat out where that is known."""
    flat_out = {name: design.full_throttle_watts for name, design in _both(result) if design.full_throttle_watts}
    return _parts(
        result,
        "watts",
        "w",
        [f"{name}_flat_out_w" for name in flat_out],
        lambda part: [told.get(part) for told in flat_out.values()],
    )


def mission(result: Result) -> str | None:
    """Return each part of the mission as both wings fly it."""
    return _rows(
        [
            {"wing": name} | json_data(row)
            for name, design in _both(result)
            if design.mission
            for row in design.mission.parts
        ]
    )


def parts_compared(result: Result) -> str | None:
    """Return one row for each combination of propeller, motor and pack."""
    return _rows(json_data(result.compared))


def limits(result: Result) -> str | None:
    """Return how every limit stands at each wing that was held to them."""
    rows = [
        [name, *(getattr(state, column) for column in LIMIT_COLUMNS)]
        for name, design in _both(result)
        for state in design.limits
    ]
    return _csv(["wing", *LIMIT_COLUMNS], rows)


def structure(result: Result) -> str | None:
    """Return what breaks first, and where, under each load condition."""
    rows = [
        [name, *(getattr(row, column) for column in STRUCTURE_COLUMNS)]
        for name, design in _both(result)
        for row in design.structure
    ]
    return _csv(["wing", *STRUCTURE_COLUMNS], rows)


def club(result: Result) -> str | None:
    """Return one row for each member's set of equipment on the airframe proposed."""
    return _rows(json_data(result.club))


def shopping(result: Result) -> str | None:
    """Return what to buy, for one wing and for all."""
    return _rows(json_data(result.shopping))


def grid_table(result: GridResult) -> str:
    """Return one row for each design of a grid."""
    heads = list(result.points[0])
    return _csv(heads, [[point[head] for head in heads] for point in result.points]) or ""


TABLES: dict[str, Callable[[Result], str | None]] = {
    "wings": wings, "span_trade": span_trade, "weight_range": weight_range, "speed_card": speed_card,
    "masses": masses, "drag": drag, "watts": watts, "limits": limits, "structure": structure,
    "club": club, "shopping": shopping, "mission": mission, "parts_compared": parts_compared,
}  # fmt: skip


def save_tables(result: Result, folder: str | Path) -> list[Path]:
    """Write every table the Result allows as CSV into a folder; return the files written."""
    found = ((Path(folder) / f"{name}.csv", table(result)) for name, table in TABLES.items())
    return [write_atomically(file, text.encode("utf-8")) for file, text in found if text is not None]


def _both(result: Result) -> list[tuple[str, Design]]:
    design = stretched_wing(result)
    return [("stock", result.stock), *([("stretched", design)] if design else [])]


def _designs(designs: Sequence[Design], result: Result) -> str | None:
    chosen = list(dict.fromkeys(name for design in designs for name in design.choices.known() if name != "words"))
    rows = [
        [
            design.label,
            *(getattr(design.numbers, key) for key in KEYS),
            *(getattr(design.choices, name) for name in chosen),
            "; ".join(design.active_limits),
            "; ".join(stopping_limits(design, result)),
        ]
        for design in designs
    ]
    return _csv(["label", *KEYS, *chosen, "active_limits", "what_stops_it"], rows)


def _rows(entries: list[dict[str, Any]]) -> str | None:
    """Rows of plain dicts that share their keys; lists inside are told with semicolons."""
    return _csv(entries[0], [[_told(value) for value in entry.values()] for entry in entries]) if entries else None


def _told(value: Any) -> Any:
    return "; ".join(str(one) for one in value) if isinstance(value, list) else value


def _parts(
    result: Result,
    group: str,
    unit: str,
    more_heads: Sequence[str] = (),
    more: Callable[[str], list[Any]] = lambda part: [],
) -> str | None:
    wings_with = [(name, getattr(design, group)) for name, design in _both(result)]
    parts = list(dict.fromkeys(part for _, values in wings_with for part in values))
    rows = [[part, *(values.get(part, 0.0) for _, values in wings_with), *more(part)] for part in parts]
    return _csv(["part", *(f"{name}_{unit}" for name, _ in wings_with), *more_heads], rows)


def _csv(heads: Iterable[str], rows: list[list[Any]]) -> str | None:
    if not rows:
        return None
    text = StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(heads)
    writer.writerows([[_cell(value) for value in row] for row in rows])
    return text.getvalue()


def _cell(value: Any) -> Any:
    """Numbers as they are; words from a study cannot start a formula in a spreadsheet."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t", "\r"):
        return "'" + value
    return value


READING_HEADS = ["measured", "unit", "read", "model", "fitted", "off %", "\N{PLUS-MINUS SIGN} %"]
FACTOR_HEADS = ["times the model", "before", "fitted", "9 of 10 lie", ""]
NEXT_HEADS = ["to measure next", "band km", "narrower"]


def reading_table(told: dict[str, Any]) -> list[tuple[str, ...]]:
    """Return a row for each reading."""
    return [
        (
            f"{row['kind']}: {row['what']}",
            row["unit"],
            _three(row["measured"]),
            _three(row["before"]),
            _three(row["after"]),
            f"{row['off_after_pct']:+.1f}",
            f"{row['spread_pct']:.1f}",
        )
        for row in told["readings"]
    ]


def factor_table(told: dict[str, Any]) -> list[tuple[str, ...]]:
    """Return a row for each factor."""
    return [
        (
            row["words"],
            f"{row['low_before']:.2f}-{row['high_before']:.2f}",
            f"{row['factor']:.3f}",
            f"{row['low']:.2f}-{row['high']:.2f}",
            "" if row["told"] else "as before",
        )
        for row in told["factors"]
    ]


def next_table(told: dict[str, Any]) -> list[tuple[str, ...]]:
    """Return a row for each measurement that could come next, the best first."""
    return [(row["what"], f"{row['band_km']:.1f}", f"{row['shrinks_pct']:.0f} %") for row in told["next"]]


def range_words(told: dict[str, Any]) -> list[str]:
    """Return the range of the stock wing before and after, in sentences."""
    before, after = told["range_km"]["before"], told["range_km"]["after"]
    return [
        f"Range of the stock wing in still air, by these factors: {after['middle']:.0f} km, eight of ten between "
        f"{after['low']:.0f} and {after['high']:.0f} km; before, {before['middle']:.0f} km, between "
        f"{before['low']:.0f} and {before['high']:.0f} km."
    ]


def next_words(told: dict[str, Any]) -> str:
    """Return what to measure next, in a sentence."""
    best = told["next"][0]
    if best["shrinks_pct"] < 1:
        return "None of these would make the range band narrower by a hundredth."
    return (
        f"Measure next: {best['what']}; the band of the range, eight of ten, gets {best['shrinks_pct']:.0f} % "
        f"narrower, with readings taken to {best['noise']}."
    )


def _three(value: float) -> str:
    return f"{value:.0f}" if abs(value) >= 1000 else f"{value:.3g}"
