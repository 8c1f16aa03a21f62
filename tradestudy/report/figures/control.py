"""What twist leaves of the controls as the wing flies faster: stock and stretched, film well stuck and loose."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from tradestudy.results.design import Design
from tradestudy.results.result import Result

from . import drawing as ink
from .along_span import wings_with_curves

LEFT = 0.4  # of the stiff wing's control; below it a wing is steered late, common practice
SHOWN = (-0.15, 1.12)  # reversed controls are not worth more paper


def control(result: Result) -> Figure | None:
    """Return roll and pitch control over airspeed, the loose film as a band below; None without curves."""
    wings = wings_with_curves(result, "roll_control")
    if not wings:
        return None
    figure, panels = ink.new_figure(5.2, (1, 1), left=0.62, top=0.42, gap=0.42)
    speeds = [value for _, design, _, _ in wings for value in design.curves.speed_kmh]
    panels[0].set_xlim(*ink.axis_limits(speeds, 0.03))
    for axes, key in zip(panels, ("roll_control", "pitch_control"), strict=True):
        _panel(axes, wings, key)
    ink.name_axes(panels[0], up="roll control left [-]")
    ink.name_axes(panels[1], along="airspeed [km/h]", up="pitch control left [-]")
    return figure


def _panel(axes: Axes, wings: list[tuple[str, Design, str, str]], key: str) -> None:
    axes.set_ylim(*SHOWN)
    axes.axhline(LEFT, color=ink.LIMIT, linewidth=1.2, gid=f"{key} least")
    labels = [ink.Label(axes.get_xlim()[0], LEFT, f"{LEFT:g} of a stiff wing's", ink.LIMIT, -1)]
    for (name, design, colour, line), place in zip(wings, (0.35, 0.6), strict=False):
        along, nominal, weak = (np.array(getattr(design.curves, each)) for each in ("speed_kmh", key, f"{key}_weak"))
        axes.fill_between(along, weak, nominal, color=colour, alpha=0.14, linewidth=0, gid=f"{key} loose {name}")
        axes.plot(along, nominal, color=colour, linewidth=1.8, linestyle=line, gid=f"{key} {name}")
        index = int(place * (len(along) - 1))
        labels.append(ink.Label(float(along[index]), float(np.clip(nominal[index], *SHOWN)), name, colour, 1))
    ink.label_points(axes, labels)
