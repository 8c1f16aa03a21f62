"""The figure of a fit: errors of the model before and after the fit, and the fitted factors."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from matplotlib.figure import Figure

from tradestudy.files import write_atomically
from tradestudy.report.figures import style
from tradestudy.report.figures.all_figures import save_figure

_ROW = 0.21  # inches, height of a row
LEFT = 3.3  # inches, width of the labels
LONGEST = 48  # characters; longer labels are cut
_FACTOR_TICKS = (0.5, 0.7, 1.0, 1.4, 2.0)
_FURTHEST = 60.0  # per cent; larger errors are drawn at the edge


def residuals(fit: dict[str, Any]) -> Figure | None:
    """Return the figure of a fit, or None if the fit has no readings.

    It shows the error of the model at each reading before and after the fit, and the fitted factors.
    """
    rows, factors = fit["readings"], fit["factors"]
    if not rows:
        return None
    height = 1.9 + _ROW * (len(rows) + len(factors))
    figure, (upper, lower) = style.new_figure(
        height, (len(rows), len(factors)), left=LEFT, top=0.45, gap=0.85, shared=False
    )
    places = range(len(rows), 0, -1)
    for place, row in zip(places, rows, strict=True):
        upper.plot(
            [-2 * row["spread_pct"], 2 * row["spread_pct"]],
            [place, place],
            color=style.STOCK_FILL,
            linewidth=5,
            solid_capstyle="butt",
            zorder=1,
        )
    for key, colour, marker, words in (
        ("off_before_pct", style.STOCK_LINE, "o", "model as it was"),
        ("off_after_pct", style.STRETCHED_LINE, "D", "fitted"),
    ):
        shown = [min(max(row[key], -_FURTHEST), _FURTHEST) for row in rows]
        upper.plot(
            shown,
            list(places),
            marker,
            color=colour,
            markersize=4.5,
            linestyle="None",
            label=words,
            zorder=3,
            markerfacecolor=style.PAPER if marker == "o" else colour,
        )
    upper.axvline(0.0, color=style.INK, linewidth=0.8)
    _rows(upper, list(places), [f"{row['kind']}: {row['what']}"[:LONGEST] for row in rows])
    style.name_axes(upper, along="model minus measured [%]; bars: twice its standard deviation")
    upper.legend(fontsize=style.SMALL, frameon=False, loc="lower center", bbox_to_anchor=(0.5, 1.0), ncols=2)
    places = range(len(factors), 0, -1)
    for place, row in zip(places, factors, strict=True):
        lower.plot(
            [row["low_before"], row["high_before"]],
            [place, place],
            color=style.STOCK_FILL,
            linewidth=5,
            solid_capstyle="butt",
        )
        lower.plot([row["low"], row["high"]], [place, place], color=style.STRETCHED_LINE, linewidth=2)
        lower.plot([row["factor"]], [place], "D", color=style.STRETCHED_LINE, markersize=4.5)
    lower.set_xscale("log")
    lower.set_xticks(_FACTOR_TICKS, [f"{tick:g}" for tick in _FACTOR_TICKS])
    lower.minorticks_off()
    lower.axvline(1.0, color=style.INK, linewidth=0.8)
    _rows(lower, list(places), [row["words"] for row in factors])
    style.name_axes(lower, along="factor on the model; nine in ten are on the line (grey: before)")
    return figure


def _rows(axes: Any, places: list[int], words: list[str]) -> None:
    style.row_names(axes, places, words)
    axes.set_ylim(0.3, len(places) + 0.7)


def save_fit(fit: dict[str, Any], folder: Path) -> list[Path]:
    """Write fit.json and the figure of a fit into a folder, and return the paths of the files."""
    files = [write_atomically(folder / "fit.json", json.dumps(fit, indent=2, ensure_ascii=False).encode("utf-8"))]
    figure = residuals(fit)
    return files + (save_figure(figure, folder / "fit") if figure else [])
