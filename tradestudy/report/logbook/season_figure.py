"""The figure of a logbook: every flight as noted against what was expected of it, and the band of the range."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from matplotlib.figure import Figure

from tradestudy.files import write_atomically
from tradestudy.report.figures import style
from tradestudy.report.figures.all_figures import save_figure

_MOST_TICKS = 12


def season_figure(season: dict[str, Any]) -> Figure | None:
    """Return the figure of a season, or None without flights. ``season`` is that of the document of ``note``."""
    flights = season["flights"]
    if not flights:
        return None
    figure, (upper, lower) = style.new_figure(5.2, (1, 1.25), left=0.95, top=0.45, bottom=0.75, gap=0.55)
    places = range(1, len(flights) + 1)
    charged = [(place, one["charge"]) for place, one in zip(places, flights, strict=True) if one["charge"]]
    for place, one in charged:
        ends = [one[end] / one["middle"] for end in ("low", "high")]
        upper.plot([place, place], ends, color=style.STOCK_FILL, linewidth=9, solid_capstyle="butt", zorder=1)
    upper.axhline(1.0, color=style.INK, linewidth=0.8, zorder=2)
    upper.plot(
        [place for place, _ in charged],
        [one["noted"] / one["middle"] for _, one in charged],
        "D",
        color=style.STRETCHED_LINE,
        markersize=4.5,
        zorder=3,
    )
    style.name_axes(upper, up="charge used, over the expected")
    bands = [season["before"], *(one["range"] for one in flights)]
    steps = range(len(bands))
    low, middle, high = ([band[end] for band in bands] for end in ("low_km", "middle_km", "high_km"))
    lower.fill_between(steps, low, high, color=style.STRETCHED_FILL, zorder=1)
    lower.plot(steps, middle, "-", color=style.STRETCHED_LINE, zorder=2)
    style.name_axes(lower, along="flight", up="range of the stock wing [km]")
    every = -(-len(bands) // _MOST_TICKS)
    lower.set_xticks(list(steps)[::every])
    lower.set_xlim(-0.5, len(flights) + 0.5)
    return figure


def save_season(season: dict[str, Any], folder: Path) -> list[Path]:
    """Write logbook.json and the figure of a season into a folder, and return the paths of the files."""
    content = json.dumps(season, indent=2, ensure_ascii=False).encode("utf-8")
    figure = season_figure(season)
    return [
        write_atomically(folder / "logbook.json", content),
        *(save_figure(figure, folder / "logbook") if figure else ()),
    ]
