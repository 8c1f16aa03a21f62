"""Measured against modelled, before and after a fit, and what to measure next: one figure."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from matplotlib.figure import Figure

from tradestudy.files import write_atomically

from . import drawing as ink
from .all_figures import as_bytes

ROW = 0.21  # inches for each line
LEFT = 3.3  # inches for the words
LONGEST = 48  # characters of a label
FACTOR_TICKS = (0.5, 0.7, 1.0, 1.4, 2.0)
FURTHEST = 60.0  # percent; what is further off is drawn at the edge


def residuals(told: dict[str, Any]) -> Figure | None:
    """Return how far the model was off each reading before and after, and the factors; None without readings."""
    rows, factors = told["readings"], told["factors"]
    if not rows:
        return None
    height = 1.9 + ROW * (len(rows) + len(factors))
    figure, (upper, lower) = ink.new_figure(
        height, (len(rows), len(factors)), left=LEFT, top=0.45, gap=0.85, shared=False
    )
    places = range(len(rows), 0, -1)
    for place, row in zip(places, rows, strict=True):
        upper.plot(
            [-2 * row["spread_pct"], 2 * row["spread_pct"]],
            [place, place],
            color=ink.STOCK_FILL,
            linewidth=5,
            solid_capstyle="butt",
            zorder=1,
        )
    for key, colour, marker, words in (
        ("off_before_pct", ink.STOCK, "o", "model as it was"),
        ("off_after_pct", ink.STRETCHED, "D", "fitted"),
    ):
        held = [min(max(row[key], -FURTHEST), FURTHEST) for row in rows]
        upper.plot(
            held,
            list(places),
            marker,
            color=colour,
            markersize=4.5,
            linestyle="None",
            label=words,
            zorder=3,
            markerfacecolor=ink.PAPER if marker == "o" else colour,
        )
    upper.axvline(0.0, color=ink.INK, linewidth=0.8)
    _rows(upper, list(places), [f"{row['kind']}: {row['what']}"[:LONGEST] for row in rows])
    ink.name_axes(upper, along="model less measured [%]; bars: twice its spread")
    upper.legend(fontsize=ink.SMALL, frameon=False, loc="lower center", bbox_to_anchor=(0.5, 1.0), ncols=2)
    places = range(len(factors), 0, -1)
    for place, row in zip(places, factors, strict=True):
        lower.plot(
            [row["low_before"], row["high_before"]],
            [place, place],
            color=ink.STOCK_FILL,
            linewidth=5,
            solid_capstyle="butt",
        )
        lower.plot([row["low"], row["high"]], [place, place], color=ink.STRETCHED, linewidth=2)
        lower.plot([row["factor"]], [place], "D", color=ink.STRETCHED, markersize=4.5)
    lower.set_xscale("log")
    lower.set_xticks(FACTOR_TICKS, [f"{tick:g}" for tick in FACTOR_TICKS])
    lower.minorticks_off()
    lower.axvline(1.0, color=ink.INK, linewidth=0.8)
    _rows(lower, list(places), [row["words"] for row in factors])
    ink.name_axes(lower, along="times the model; nine of ten lie on the line (grey: before)")
    return figure


def _rows(axes: Any, places: list[int], words: list[str]) -> None:
    axes.set_yticks(places, words)
    axes.set_ylim(0.3, len(places) + 0.7)
    axes.grid(False, axis="y")
    axes.grid(True, axis="x", color=ink.FAINT, linewidth=0.6)


def save_fit(told: dict[str, Any], folder: Path) -> list[Path]:
    """Write what a fit tells, and its figure, into a folder; return the files written."""
    files = [write_atomically(folder / "fit.json", json.dumps(told, indent=2, ensure_ascii=False).encode("utf-8"))]
    figure = residuals(told)
    for form in ("svg", "png") if figure else ():
        files.append(write_atomically(folder / f"fit.{form}", as_bytes(figure, form)))  # type: ignore[arg-type]
    return files
