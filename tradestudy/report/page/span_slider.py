"""The slider that steps through the wings by span, and the words shown at the dots of a figure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from markupsafe import escape
from matplotlib.figure import Figure

from tradestudy.quantities import printed, printed_bare, printed_table
from tradestudy.report.builds_words import carries_anything, carrying_cells, carrying_heads, payload_end
from tradestudy.report.placed import fill, join, plain_text
from tradestudy.report.words.gains import axis_words
from tradestudy.report.words.phrases import (
    NUMBER_WORDS,
    band_words,
    choice_words,
    complete_designs,
    design_number,
    letter_of,
    limiting_words,
    number_text,
    stretched_wing,
    weight_text,
    with_capital,
)
from tradestudy.report.words.purpose import Measure, front_axes, measure
from tradestudy.results.design import Design
from tradestudy.results.inputs import SpreadPercentiles
from tradestudy.results.result import Result

from .wing_view import Frame, frame_of, outline_path, paths_of, wings_along_span

# numbers shown under the drawing: key -> words; all other numbers are in the tables
_SHOWN = {
    "cruise_speed_kmh": "cruise",
    "cruise_current_a": "hold about",
    "stall_speed_kmh": "stall",
    "pack_position_mm": "pack middle",
    "roll_rate_deg_s": "roll rate",
    "limit_load_factor": "fly to",
}
_WING_HEADS = (
    "Wing",
    "Span [mm]",
    "",
    "Weight [g]",
    "Cruise [km/h]",
    "Hold [A]",
    "Stall [km/h]",
    "Balance mark [mm]",
    "Breaks at [times its weight]",
    "Built with",
    "What limits it",
)


def slider_values(result: Result) -> dict[str, Any] | None:
    """Return the drawing, the numbers and the steps of the slider, or None if no wing can be drawn."""
    wings = wings_along_span(result)
    if not wings:
        return None
    frame, shown = frame_of(wings), stretched_wing(result) or result.stock
    start = next((index for index, wing in enumerate(wings) if wing is shown), 0)
    steps = [_step(result, wing, frame, index) for index, wing in enumerate(wings)]
    return {
        "view_box": frame.view_box,
        "stock": outline_path(result.stock) if wings[0] is result.stock and shown is not result.stock else "",
        "start": start,
        "wing": steps[start],
        "banded": any(band for *_, band in steps[start]["figures"]),
        "steps": steps,
        "data": [{"label": step["label"], "paths": step["paths"], "fields": _fields(step)} for step in steps],
    }


def wing_heads(result: Result, wings: Sequence[Design]) -> list[str]:
    """Return the column heads for `wing_rows`, which include the study's measure."""
    known = measure(result)
    heads = [head or fill("{} [{}]", with_capital(known.axis), known.unit) for head in _WING_HEADS]
    if not carries_anything(wings):
        return heads
    built = heads.index("Built with")
    return [*heads[:built], *carrying_heads(result), *heads[built:], "What ends its payload"]


def front_wings(result: Result) -> list[Design]:
    """Return the wings of the front in the order of their letters."""
    up, along = front_axes(result)
    return complete_designs(result.front, along.key, up.key)


def wing_rows(result: Result, wings: Sequence[Design], lettered: bool = False) -> list[tuple[str, ...]]:
    """Return one row for each wing, with the columns of `wing_heads`."""
    key, carries = measure(result).key, carries_anything(wings)
    return [
        (
            letter_of(index) if lettered else _name(result, wing),
            design_number(wing, "span_mm"),
            number_text(getattr(wing.numbers, key), 1),
            design_number(wing, "auw_g"),
            design_number(wing, "cruise_speed_kmh"),
            design_number(wing, "cruise_current_a"),
            design_number(wing, "stall_speed_kmh"),
            design_number(wing, "cg_mm"),
            design_number(wing, "failure_load_factor"),
            *(carrying_cells(wing, result) if carries else []),
            choice_words(wing),
            limiting_words(wing, result),
            *([payload_end(wing)] if carries else []),
        )
        for index, wing in enumerate(wings)
    ]


def _name(result: Result, wing: Design) -> str:
    if wing is result.stock:
        return "stock wing, as it flies today"
    if wing is stretched_wing(result):
        return "recommended" if result.recommended else "best"
    return "best of its span"


def _step(result: Result, wing: Design, frame: Frame, index: int) -> dict[str, Any]:
    """Return one wing of the slider: its paths, its words, and its numbers as (words, number, unit, band)."""
    known, spread = measure(result), result.spread
    name = _name(result, wing)
    step = {
        "name": name,
        "span": fill("{} mm", design_number(wing, "span_mm")),
        "label": fill("{} mm, {}", plain_text(design_number(wing, "span_mm")), name),
        "balance": fill("{} mm", design_number(wing, "cg_mm")),
        "ahead": fill("{} mm", design_number(wing, "cg_from_trailing_edge_mm")),
        "built": choice_words(wing),
        "stops": limiting_words(wing, result),
        "paths": paths_of(wing, frame),
        "figures": _figures(wing, known, spread.percentiles if spread and wing is result.recommended else None),
    }
    return {part: value if part == "paths" else printed(value) for part, value in step.items()}


def _fields(step: dict[str, Any]) -> dict[str, str]:
    """Return the parts of the page that change with the selected wing: name of a field -> its words as markup."""
    words = {name: step[name] for name in ("name", "span", "balance", "ahead", "built", "stops")}
    for index, (_, figure, _, band) in enumerate(step["figures"]):
        words |= {f"figure-{index}": figure, f"band-{index}": band}
    return {name: str(escape(each)) for name, each in words.items()}


def _figures(wing: Design, known: Measure, spread: SpreadPercentiles | None) -> list[tuple[str, str, str, str]]:
    """Return the main numbers of a wing as (words, number, unit, band)."""
    first = [
        (known.key, known.axis, number_text(getattr(wing.numbers, known.key), 0), known.unit),
        ("auw_g", "weight", weight_text(wing), "g"),
    ]
    more = [(key, words, design_number(wing, key), NUMBER_WORDS[key][1]) for key, words in _SHOWN.items()]
    rows = []
    for key, words, figure, unit in [*first, *more]:
        low, _, high = getattr(spread, key, None) or (None, None, None)
        (_, unit), (row,) = printed_table(("", unit), [("", figure)])
        band = printed_bare(band_words(low, high, NUMBER_WORDS[key][2]), NUMBER_WORDS[key][1])
        rows.append((words, row[1], unit, band))
    return rows


def point_spots(name: str, figure: Figure, result: Result) -> list[dict[str, Any]]:
    """Return the dots of a figure that show words when selected.

    Each has its position in per cent of the figure and its words. ``step`` is the index of its wing on the slider, or
    None.
    """
    known = measure(result)
    if name == "span_trade":
        wings = complete_designs(result.span_trade, "span_mm", known.key, "auw_g", "stall_speed_kmh")
        line = fill("points {}", known.key)
    elif name == "weight_range":
        wings, line = front_wings(result), "front"
    else:
        return []
    places = _places(figure, line)
    if len(places) != len(wings):
        return []
    along = wings_along_span(result) if name == "span_trade" else []
    return [
        {
            "left": left,
            "top": top,
            "words": _spot_words(name, index, wing, result),
            "step": next((step for step, other in enumerate(along) if other is wing), None),
        }
        for index, ((left, top), wing) in enumerate(zip(places, wings, strict=True))
    ]


def _places(figure: Figure, gid: str) -> list[tuple[str, str]]:
    """Return the positions of a line's points, in per cent from the left and the top of its figure."""
    wide, tall = figure.bbox.width, figure.bbox.height
    for axes in figure.axes:
        for line in axes.lines:
            if line.get_gid() == gid:
                points = axes.transData.transform(line.get_xydata())
                return [(f"{100 * x / wide:.2f}", f"{100 - 100 * y / tall:.2f}") for x, y in points]
    return []


def _spot_words(name: str, index: int, wing: Design, result: Result) -> str:
    known, numbers = measure(result), wing.numbers
    gain = number_text(getattr(numbers, known.key), 1)
    parts = [
        fill("span {} mm", design_number(wing, "span_mm")),
        fill("{} {} {}", known.axis, gain, known.unit),
        fill("weight {} g", design_number(wing, "auw_g")),
    ]
    if name == "weight_range":
        more = [axis for axis in reversed(front_axes(result)) if axis.key not in ("span_mm", known.key, "auw_g")]
        parts += [fill("{} {}", axis.words, axis_words(axis, wing)) for axis in more]
    parts.append(
        fill("cruise {} km/h at {} A", design_number(wing, "cruise_speed_kmh"), design_number(wing, "cruise_current_a"))
    )
    lead = fill("{}: ", letter_of(index)) if name == "weight_range" else ""
    return fill(
        "{}{}. {}. Limited by: {}.",
        lead,
        join(", ", parts),
        choice_words(wing),
        limiting_words(wing, result),
    )
