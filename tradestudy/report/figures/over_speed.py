"""Figures against airspeed: power and range, and the control that is left as the wing twists."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from tradestudy.report.words.phrases import design_number, number_text
from tradestudy.report.words.purpose import measure
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from . import style
from .style import DrawnWing, wings_with_curves

_CONTROL_LEFT = 0.4  # least share of the stiff wing's control; below it a wing responds late, common practice
_FADED = 0.7  # how far a curve is hidden at speeds that are not for cruise
_CONTROL_SHOWN = (-0.15, 1.12)  # limits of the control axis; below 0 control is reversed


def speed(result: Result, width: float = style.WIDTH) -> Figure | None:
    """Return the figure of power and the study's measure against airspeed, or None without such curves.

    The cruise of each wing is marked. Speeds below the least cruise and above the advised maximum are faded.
    """
    wings = wings_with_curves(result, "speed_kmh")
    if not wings:
        return None
    figure, panels = style.new_figure(6.0, (1, 1), left=0.62, top=0.42, gap=0.42, width=width)
    panels[0].set_xlim(*style.axis_limits([value for wing in wings for value in wing.design.curves.speed_kmh], 0.03))
    shown, known = wings[-1].design, measure(result)
    cruise, current = design_number(shown, "cruise_speed_kmh"), design_number(shown, "cruise_current_a")
    _speed_panel(panels[0], wings, "power_w", f"cruise {cruise} km/h\nhold about {current} A")
    _speed_panel(panels[1], wings, known.key, f"{design_number(shown, known.key, 0)} {known.unit}")
    _fade(panels, shown)
    style.name_axes(panels[0], up="power from the pack [W]")
    style.name_axes(panels[1], along="airspeed [km/h]", up=f"{known.axis} [{known.unit}]")
    return figure


def _fade(panels: list[Axes], design: Design) -> None:
    """Fade speeds that are not for cruise: below the least cruise, and above the advised maximum. Name both ends."""
    left, right = panels[0].get_xlim()
    floors = [each.bound for each in design.limits if each.name == "cruise_over_stall" and each.unit == "km/h"]
    floor = floors[0] if floors else None
    # each name stands where its panel is empty: power is low at the least cruise, range is low at the highest speed
    ends = [
        (floor, True, "least cruise", panels[0], 90),
        (design.numbers.advised_speed_kmh, False, "advised highest", panels[1], 0),
    ]
    for speed_kmh, below, words, named, turned in ends:
        if speed_kmh is None or not left < speed_kmh < right:
            continue
        start, stop = (left, speed_kmh) if below else (speed_kmh, right)
        for axes in panels:
            axes.axvspan(start, stop, color=style.PAPER, alpha=_FADED, zorder=2.5, linewidth=0, gid=f"beyond {words}")
            axes.axvline(speed_kmh, color=style.QUIET, linewidth=0.9, linestyle=":", zorder=2.5, gid=words)
        top = named.get_ylim()[1]
        text = f"{words}{' ' if turned else chr(10)}{number_text(speed_kmh)} km/h "
        style.write(named, speed_kmh, 0.98 * top, text, ha="right", va="top", rotation=turned, color=style.QUIET)


def _speed_panel(axes: Axes, wings: list[DrawnWing], key: str, at_cruise: str) -> None:
    """Draw the curve of each wing with its name and its cruise. ``at_cruise`` labels the cruise of the last wing."""
    labels = []
    highest_end = max(getattr(wing.design.curves, key)[-1] for wing in wings)
    for wing in wings:
        along, up = wing.design.curves.speed_kmh, getattr(wing.design.curves, key)
        style.curve(axes, along, up, wing.colour, f"{key} {wing.name}", wing.line)
        place = -len(along) // 6
        labels.append(style.Label(along[place], up[place], wing.name, wing.colour, 1 if up[-1] >= highest_end else -1))
        cruise = wing.design.numbers.cruise_speed_kmh
        height, last = style.interpolate(along, up, cruise), wing is wings[-1]
        colour = style.MARK if last else wing.colour
        style.mark(axes, cruise, height, "o", 7, colour, f"cruise {key} {wing.name}", zorder=4)
        if last:
            axes.axvline(cruise, color=style.MARK, linewidth=1.2, zorder=1, gid="cruise")
            labels.insert(0, style.Label(cruise, height, at_cruise, style.MARK))
    values = [value for wing in wings for value in getattr(wing.design.curves, key)]
    axes.set_ylim(*style.axis_limits(values, 0.14, zero=True))
    style.label_points(axes, labels)


def control(result: Result) -> Figure | None:
    """Return the figure of roll and pitch control against airspeed, or None without such curves.

    A band below each curve shows the effect of debonded film.
    """
    wings = wings_with_curves(result, "roll_control")
    if not wings:
        return None
    figure, panels = style.new_figure(5.2, (1, 1), left=0.62, top=0.42, gap=0.42)
    panels[0].set_xlim(*style.axis_limits([value for wing in wings for value in wing.design.curves.speed_kmh], 0.03))
    for axes, key in zip(panels, ("roll_control", "pitch_control"), strict=True):
        _control_panel(axes, wings, key)
    style.name_axes(panels[0], up="roll control left [-]")
    style.name_axes(panels[1], along="airspeed [km/h]", up="pitch control left [-]")
    return figure


def _control_panel(axes: Axes, wings: list[DrawnWing], key: str) -> None:
    axes.set_ylim(*_CONTROL_SHOWN)
    axes.axhline(_CONTROL_LEFT, color=style.LIMIT, linewidth=1.2, gid=f"{key} least")
    words = f"{_CONTROL_LEFT:g} of a stiff wing's"
    labels = [style.Label(axes.get_xlim()[0], _CONTROL_LEFT, words, style.LIMIT, -1)]
    for wing, place in zip(wings, (0.35, 0.6), strict=False):
        curves = wing.design.curves
        along, nominal, weak = (np.array(getattr(curves, each)) for each in ("speed_kmh", key, f"{key}_weak"))
        axes.fill_between(
            along, weak, nominal, color=wing.colour, alpha=0.14, linewidth=0, gid=f"{key} loose {wing.name}"
        )
        style.curve(axes, along, nominal, wing.colour, f"{key} {wing.name}", wing.line)
        index = int(place * (len(along) - 1))
        height = float(np.clip(nominal[index], *_CONTROL_SHOWN))
        labels.append(style.Label(float(along[index]), height, wing.name, wing.colour, 1))
    style.label_points(axes, labels)
