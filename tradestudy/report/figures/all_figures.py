"""Every figure of the report: a function of a Result each, and the saving of them all.

A figure is None if the Result does not hold what it needs. A new figure is listed in `FIGURES`; its title and its
caption are in `report.page.captions`.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import matplotlib
from matplotlib.figure import Figure

from tradestudy.files import write_atomically
from tradestudy.results.result import Result

from .along_span import handling, loading, structure_span
from .bars import drag, masses, watts
from .over_speed import control, speed
from .trade import span_trade_figure, weight_range_figure
from .wing_plan import planform

_RESOLUTION = 150  # dots an inch of the PNG files

FIGURES: dict[str, Callable[[Result], Figure | None]] = {
    "planform": planform,
    "span_trade": span_trade_figure,
    "handling": handling,
    "weight_range": weight_range_figure,
    "speed": speed,
    "watts": watts,
    "drag": drag,
    "masses": masses,
    "loading": loading,
    "structure_span": structure_span,
    "control": control,
}


def as_bytes(figure: Figure, form: str) -> bytes:
    """Return a figure as "svg" or "png" bytes, without date or random names: equal figures give equal bytes."""
    metadata = {"svg": {"Date": None, "Creator": "tradestudy"}, "png": {"Software": None}}[form]
    written = BytesIO()
    with (
        matplotlib.rc_context({"svg.hashsalt": "tradestudy", "svg.fonttype": "path"}),
        warnings.catch_warnings(),
    ):
        # a part with a name in a script that the font lacks is drawn as boxes; the page's tables spell it
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")
        figure.savefig(written, format=form, dpi=_RESOLUTION, metadata=metadata, facecolor=figure.get_facecolor())
    return written.getvalue()


def save_figure(figure: Figure, stem: Path) -> list[Path]:
    """Write one figure as SVG and PNG; return the files written."""
    return [write_atomically(stem.with_name(f"{stem.name}.{form}"), as_bytes(figure, form)) for form in ("svg", "png")]


def save_all(result: Result, folder: str | Path) -> list[Path]:
    """Write every figure that the Result allows as SVG and PNG into a folder; return the files written."""
    figures = ((name, draw(result)) for name, draw in FIGURES.items())
    return [file for name, figure in figures if figure for file in save_figure(figure, Path(folder) / name)]
