"""The list of all figures of the report, and the functions that save them.

Each figure is a function of a Result that returns None if the Result lacks the data. A new figure is listed in
`FIGURES`. Its title and its caption are in `report.page.captions`.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable, Mapping
from io import BytesIO
from pathlib import Path
from typing import Any, NamedTuple

import matplotlib
from matplotlib.figure import Figure

from tradestudy.files import write_atomically
from tradestudy.quantities import printed_in
from tradestudy.results.result import Result

from . import style
from .along_span import handling, loading, structure_span
from .bars import drag, masses, watts
from .builds import builds_figure
from .over_speed import control, speed
from .pack_section import pack_section
from .side_view import side_view
from .tornado import tornado
from .trade import span_trade_figure, weight_range_figure
from .wing_plan import planform

_RESOLUTION = 150  # dots per inch in PNG files
_COMPRESSION = 3  # of PNG files, 0 to 9: half the time of the usual 6, and a seventh more bytes

FIGURES: dict[str, Callable[[Result], Figure | None]] = {
    "planform": planform,
    "side_view": side_view,
    "pack_section": pack_section,
    "span_trade": span_trade_figure,
    "handling": handling,
    "weight_range": weight_range_figure,
    "builds": builds_figure,
    "speed": speed,
    "watts": watts,
    "drag": drag,
    "masses": masses,
    "loading": loading,
    "structure_span": structure_span,
    "control": control,
    "tornado": tornado,
}
# figures that the page shows unfolded have a variant for phones
PHONE_FIGURES: dict[str, Callable[[Result, float], Figure | None]] = {
    "span_trade": span_trade_figure,
    "weight_range": weight_range_figure,
    "builds": builds_figure,
    "speed": speed,
    "tornado": tornado,
}


def as_bytes(figure: Figure, form: str) -> bytes:
    """Return the bytes of a figure as "svg" or "png". There is no date or random name: equal figures, equal bytes."""
    options: dict[str, dict[str, Any]] = {
        "svg": {"metadata": {"Date": None, "Creator": "tradestudy"}},
        "png": {"metadata": {"Software": None}, "pil_kwargs": {"compress_level": _COMPRESSION}},
    }
    written = BytesIO()
    with (
        matplotlib.rc_context({"svg.hashsalt": "tradestudy", "svg.fonttype": "path"}),
        warnings.catch_warnings(),
    ):
        # The font lacks some scripts. A name in such a script appears as boxes here, but properly in the tables.
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")
        figure.savefig(written, format=form, dpi=_RESOLUTION, facecolor=figure.get_facecolor(), **options[form])
    return written.getvalue()


class Drawn(NamedTuple):
    """A figure and its SVG file, which the folder and the page share. ``narrow`` is its variant for phones."""

    figure: Figure
    svg: bytes
    narrow: Drawn | None = None


def draw_all(result: Result) -> dict[str, Drawn]:
    """Return every figure that the Result has data for, by its name in `FIGURES`."""
    with printed_in(result.units):
        drawn = {name: _drawn(draw(result)) for name, draw in FIGURES.items()}
        narrow = {
            name: _drawn(draw(result, style.PHONE_WIDTH)) for name, draw in PHONE_FIGURES.items() if drawn.get(name)
        }
    return {name: each._replace(narrow=narrow.get(name)) for name, each in drawn.items() if each}


def _drawn(figure: Figure | None) -> Drawn | None:
    return Drawn(figure, as_bytes(figure, "svg")) if figure else None


def save_figure(figure: Figure, stem: Path) -> list[Path]:
    """Write one figure as SVG and PNG, and return the paths of both files."""
    return [write_atomically(stem.with_name(f"{stem.name}.{form}"), as_bytes(figure, form)) for form in ("svg", "png")]


def save_all(drawn: Mapping[str, Drawn], folder: str | Path) -> list[Path]:
    """Write every figure into a folder, as SVG and PNG, and return the paths. All are drawn before one is written."""
    contents: dict[str, bytes] = {}
    for name, (figure, svg, _) in drawn.items():
        contents |= {f"{name}.svg": svg, f"{name}.png": as_bytes(figure, "png")}
    return [write_atomically(Path(folder) / name, content) for name, content in contents.items()]
