"""Tables of a Result as CSV text, with units in the column names.

The functions return None if the Result holds no data for their table.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Sequence
from io import StringIO
from pathlib import Path
from typing import Any

from tradestudy.files import write_atomically
from tradestudy.quantities import printed, printed_axis, printed_column
from tradestudy.results.design import Design
from tradestudy.results.grid_result import GridResult
from tradestudy.results.json_form import json_data
from tradestudy.results.numbers import KEYS
from tradestudy.results.payload.payload_result import PayloadResult
from tradestudy.results.result import Result

from .words.phrases import stock_and_stretched, stopping_limits, violated_limit_words

_SPEED_COLUMNS = (
    "speed_kmh", "drag_n", "power_w", "range_km", "radius_km", "usual_flight_min", "endurance_min", "wh_per_km",
    "mah_per_km", "current_a", "throttle_pct", "elevon_deg", "elevon_mm",
)  # fmt: skip
_DRAG_COLUMNS = ("count", "share_pct", "low_cm2", "high_cm2")
_LIMIT_COLUMNS = ("name", "words", "value", "side", "bound", "unit", "margin", "active", "met", "whose", "origin")
_KEY = "which"  # column of names by which a price of the study finds a thing: as in the study, in any units
_OF_UNIT = ("value", "bound", "count_per_wing", "total")  # columns in the unit that a row names
_STRUCTURE_COLUMNS = (
    "condition", "load_factor", "mode", "at_mm", "failure_load_factor", "weak_failure_load_factor",
    "tip_deflection_mm",
)  # fmt: skip


def grid_table(result: GridResult) -> str:
    """Return the table of a grid, with one row for each design."""
    rows = [result.row(point) for point in result.points]
    return _csv(list(rows[0]), [list(row.values()) for row in rows]) or ""


def payload_table(result: PayloadResult) -> str:
    """Return the table of a payload study, with one row for each wing and payload."""
    rows = result.rows()
    return _csv(list(rows[0]), [list(row.values()) for row in rows]) or ""


def save_tables(result: Result, folder: str | Path) -> list[Path]:
    """Write every table for which the Result holds data into a folder as CSV, and return the paths of the files."""
    tables = ((Path(folder) / f"{name}.csv", table(result)) for name, table in TABLES.items())
    return [write_atomically(file, text.encode("utf-8")) for file, text in tables if text is not None]


def _wings(result: Result) -> str | None:
    """Return the table of wings: stock, recommended and best wing, alternatives and single changes."""
    known = [result.stock, result.recommended, result.best, *result.alternatives, *result.steps]
    return _designs([design for design in known if design is not None], result)


def _speed_card(result: Result) -> str | None:
    """Return the table of speeds: the numbers of each wing at each speed, stock wing first, and its violated limits."""
    rows = []
    for name, design in stock_and_stretched(result):
        columns = [getattr(design.curves, column) for column in _SPEED_COLUMNS]
        count, violated = len(columns[0]), "; ".join(violated_limit_words(design))
        rows += [
            [name, *(column[index] if len(column) == count else None for column in columns), violated]
            for index in range(count)
        ]
    return _csv(["wing", *_SPEED_COLUMNS, "breaks"], rows)


def _drag(result: Result) -> str | None:
    """Return the table of drag areas at cruise: each part with its share of the total and its band, if known."""
    parts = {
        name: {part.part: part for part in design.drag_breakdown.parts} if design.drag_breakdown else {}
        for name, design in stock_and_stretched(result)
    }
    more = [(name, column) for name in parts for column in _DRAG_COLUMNS] if all(parts.values()) else []
    return _parts(
        result,
        "drag_cm2",
        "cm2",
        [f"{name}_{column}" for name, column in more],
        lambda part: [getattr(parts[name].get(part), column, None) for name, column in more],
    )


def _watts(result: Result) -> str | None:
    """Return the table of where the power of the cells goes at cruise, and at full throttle if that is known."""
    full_throttle = {
        name: design.full_throttle_watts for name, design in stock_and_stretched(result) if design.full_throttle_watts
    }
    return _parts(
        result,
        "watts",
        "w",
        [f"{name}_flat_out_w" for name in full_throttle],
        lambda part: [watts.get(part) for watts in full_throttle.values()],
    )


def _mission(result: Result) -> str | None:
    """Return the table of the mission, with its parts for both wings."""
    return _rows(
        [
            {"wing": name} | json_data(row)
            for name, design in stock_and_stretched(result)
            if design.mission
            for row in design.mission.parts
        ]
    )


def _per_wing(result: Result, field: str, columns: Sequence[str]) -> str | None:
    """Return the table of a list that each wing has, such as its limits. The columns are fields of the list's items."""
    rows = [
        [name, *(getattr(row, column) for column in columns)]
        for name, design in stock_and_stretched(result)
        for row in getattr(design, field)
    ]
    return _csv(["wing", *columns], rows)


TABLES: dict[str, Callable[[Result], str | None]] = {
    "wings": _wings,
    "span_trade": lambda result: _designs(result.span_trade, result),
    "weight_range": lambda result: _designs(result.front, result),
    "builds": lambda result: _designs(result.builds, result),
    "speed_card": _speed_card,
    "masses": lambda result: _parts(result, "masses_g", "g"),
    "drag": _drag,
    "watts": _watts,
    "limits": lambda result: _per_wing(result, "limits", _LIMIT_COLUMNS),
    "structure": lambda result: _per_wing(result, "structure", _STRUCTURE_COLUMNS),
    "club": lambda result: _rows(json_data(result.club)),
    "club_spans": lambda result: _rows(json_data(result.club_spans)),
    "shopping": lambda result: _rows(json_data(result.shopping)),
    "mission": _mission,
    "parts_compared": lambda result: _rows(json_data(result.compared)),
}


def _designs(designs: Sequence[Design], result: Result) -> str | None:
    """Return a table with one row for each wing: its numbers, its parts and what limits it."""
    choices = list(dict.fromkeys(name for design in designs for name in design.choices.known() if name != "words"))
    rows = [
        [
            design.label,
            *(getattr(design.numbers, key) for key in KEYS),
            *(getattr(design.choices, name) for name in choices),
            "; ".join(design.active_limits),
            "; ".join(stopping_limits(design, result)),
        ]
        for design in designs
    ]
    return _csv(["label", *KEYS, *choices, "active_limits", "what_stops_it"], rows)


def _rows(entries: list[dict[str, Any]]) -> str | None:
    """Return a table from dicts with the same keys. Items of a list within a cell are separated by semicolons."""
    return _csv(entries[0], [list(entry.values()) for entry in entries]) if entries else None


def _parts(
    result: Result,
    group: str,
    unit: str,
    more_heads: Sequence[str] = (),
    more: Callable[[str], list[Any]] = lambda part: [],
) -> str | None:
    """Return a table with one row for each part: its value in each wing, then the columns that ``more`` adds."""
    wings = [(name, getattr(design, group)) for name, design in stock_and_stretched(result)]
    parts = list(dict.fromkeys(part for _, values in wings for part in values))
    rows = [[part, *(values.get(part, 0.0) for _, values in wings), *more(part)] for part in parts]
    return _csv(["part", *(f"{name}_{unit}" for name, _ in wings), *more_heads], rows)


def _csv(heads: Iterable[str], rows: list[list[Any]]) -> str | None:
    if not rows:
        return None
    heads = list(heads)
    scales = [printed_column(head) for head in heads]
    unit = heads.index("unit") if "unit" in heads else None
    for place, row in enumerate(rows):
        own = printed_axis(f"[{row[unit]}]") if unit is not None else None
        named = [scale or (own if head in _OF_UNIT else None) for head, scale in zip(heads, scales, strict=True)]
        scaled = zip(heads, row, named, strict=True)
        rows[place] = [value if head == _KEY else in_scale(value, scale) for head, value, scale in scaled]
        if own and unit is not None:
            rows[place][unit] = own.name[1:-1]
    heads = [scale.name if scale else head for scale, head in zip(scales, heads, strict=True)]
    text = StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(heads)
    writer.writerows([[_cell(value) for value in row] for row in rows])
    return text.getvalue()


def in_scale(value: Any, scale: Any) -> Any:
    """Return a number in the units that are printed, with as many digits as it deserves, and a text in them.

    ``scale`` is that of its column (`printed_column`), or None.
    """
    if isinstance(value, int | float) and not isinstance(value, bool):
        return round(scale.there(float(value)), 4) if scale else value
    if isinstance(value, list) and scale:
        return [in_scale(each, scale) for each in value]
    return printed(value)


def _cell(value: Any) -> Any:
    """Return a value that is safe in a spreadsheet: text from a study cannot start a formula."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        value = "; ".join(str(each) for each in value)
    if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t", "\r"):
        return "'" + value
    return value
