"""A page with one picture, wide and narrow, and its table: of a grid of designs, or of payloads."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from matplotlib.figure import Figure

from tradestudy.quantities import exactly
from tradestudy.report.figures import style
from tradestudy.report.figures.all_figures import as_bytes
from tradestudy.report.figures.dark import with_dark_variant
from tradestudy.report.figures.maps.grid_map import grid_map
from tradestudy.report.figures.maps.payload import payload_figure
from tradestudy.report.words.payload import payload_words as words
from tradestudy.results.grid_result import GridResult
from tradestudy.results.payload.payload_result import PayloadResult

from .printed_page import printed_page

PAGE_CAUTION = (
    "These are estimates for comparing builds, not proof of airworthiness. Load the finished wing on the bench first, "
    "keep to local flying rules and to the cell maker's limits, and never fly over people."
)
_MOST_ROWS = 60  # of the table; the CSV file has all


def grid_page(result: GridResult) -> str:
    """Return the page of a grid: its picture, and a table of the best designs."""
    result = exactly(result)
    met = sorted((point for point in result.points if point.met), key=lambda point: -(point.gain or 0.0))
    lead = [f"{len(result.points)} designs, {len(met)} meet every limit; {result.others}."]
    if met:
        place = ", ".join(
            f"{axis.words} {_value(value)} {axis.unit}".rstrip()
            for axis, value in zip(result.axes, met[0].values, strict=True)
        )
        built = f", built with {met[0].parts}" if met[0].parts else ""
        lead.insert(0, f"The best of them has {met[0].gain:.0f} {result.gain_unit} at {place}{built}.")
    if parts := result.winning_parts():
        lead.append(f"Which parts win where every limit is met: {'; '.join(parts)}.")
    heads = [f"{axis.words} {axis.unit}".strip() for axis in result.axes]
    heads += [f"{result.gain_words} {result.gain_unit}", "weight g", "cruise km/h", "built with", "nearest limit"]
    rows = [
        [
            *map(_value, point.values),
            f"{point.gain:.1f}",
            f"{point.auw_g:.0f}",
            f"{point.cruise_speed_kmh:.1f}",
            point.parts,
            point.limit_words,
        ]
        for point in met[:_MOST_ROWS]
    ]
    names = " and ".join(axis.words for axis in result.axes)
    title = f"{result.gain_words.capitalize()} of the {result.study_name} over {names}"
    return picture_page(title, lead, lambda width: grid_map(result, width), heads, rows, result.command)


def _value(value: Any) -> str:
    return value if isinstance(value, str) else f"{value:g}"


def payload_page(result: PayloadResult, mass_g: float | None = None) -> str:
    """Return the page of a payload study. ``mass_g`` is the payload to tell."""
    result = exactly(result)
    title = f"{result.gain_words.capitalize()} of the {result.study_name} over payload"
    heads, rows = words.heads(result, words.POINT_HEADS), words.point_rows(result)
    lead = words.payload_verdict(result, mass_g)
    return picture_page(title, lead, lambda width: payload_figure(result, width), heads, rows, result.command)


def picture_page(
    title: str,
    lead: Sequence[str],
    draw: Callable[[float], Figure],
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    command: str,
) -> str:
    """Return a page with one picture and one table.

    ``draw`` returns the picture for a width in inches: a telephone held upright gets a narrow one with the same type.
    The picture has a variant for readers who prefer dark.
    """
    wide, narrow = (
        "data:image/svg+xml;base64," + b64encode(with_dark_variant(as_bytes(draw(width), "svg"))).decode("ascii")
        for width in (style.WIDTH, style.PHONE_WIDTH)
    )
    values: dict[str, Any] = {"title": title, "lead": lead, "heads": heads, "rows": rows, "command": command}
    page = _environment().get_template("map.html.j2")
    return printed_page(page.render(**values, wide=wide, narrow=narrow, caution=PAGE_CAUTION))


@lru_cache(maxsize=1)
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("tradestudy.report.page"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
