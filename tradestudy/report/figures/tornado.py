"""The figure of what moves the range most: for each input, the change at both ends of its band."""

from __future__ import annotations

from textwrap import shorten

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from tradestudy.quantities import exact, printed_bare
from tradestudy.report.words.input_effects import LEAST_CHANGE, EffectBar, effect_bars
from tradestudy.report.words.phrases import design_number, expected_band, stretched_wing
from tradestudy.results.result import Result

from . import style

_MOST = 8  # inputs that are drawn
_LINE, _BAR = 0.17, 0.145  # inches; height of a line of words and of a bar
_SPACE = 0.13  # inches between inputs
_LETTERS_PER_INCH = 13.5  # of small type
_COLUMN = 2.65  # inches, for the words beside the bars
_ROOM = 1.3  # extent of the axis over the longest bar, for the number at its end
_LOOKS = (("low", style.PACK_FILL), ("high", style.STRETCHED_LINE))


def tornado(result: Result, width: float = style.WIDTH) -> Figure | None:
    """Return the figure, or None without effects of inputs. The longest bars stand first.

    Bars begin at the range to expect. The lower bar of an input is that of the high end of its band. A diamond marks an
    end at which other parts or another span win. The shaded band holds eight in ten draws of all inputs at once.
    """
    bars, design = effect_bars(result)[:_MOST], stretched_wing(result) or result.stock
    if not bars:
        return None
    is_narrow = width < style.WIDTH
    left, top = (0.25, 0.85) if is_narrow else (_COLUMN, 0.55)
    letters = int(_LETTERS_PER_INCH * (width - 0.4 if is_narrow else _COLUMN))
    lines = [_lines(bar, letters) for bar in bars]
    rows = [(_LINE * len(each) if is_narrow else 0.0) + 2 * _BAR + _SPACE for each in lines]
    figure, (axes,) = style.new_figure(sum(rows) + top + 0.55, left=left, right=0.25, top=top, bottom=0.55, width=width)
    reach, band = _ROOM * bars[0].largest, expected_band(result, design, "range_km")
    if band:
        low, high = band[0] - band[1], band[2] - band[1]
        reach = max(reach, 1.05 * high, -1.05 * low)
        axes.axvspan(low, high, color=style.BAND, zorder=0, gid="band of the range")
    axes.set_xlim(-reach, reach)
    axes.set_ylim(sum(rows), 0)
    place = 0.0
    for bar, words, height in zip(bars, lines, rows, strict=True):
        above = place + _LINE * len(words) if is_narrow else place + 0.5 * _SPACE
        first = place if is_narrow else above + _BAR - 0.5 * _LINE * len(words)
        for number, line in enumerate(words):
            how = {"clip_on": False, "ha": "left"} if is_narrow else {"clip_on": False, "ha": "right"}
            style.write(axes, -reach, first + (number + 0.5) * _LINE, line, va="center", **how)
        _draw(axes, above, bar)
        place += height
    style.row_names(axes, [], [])
    axes.spines["left"].set_visible(False)
    axes.xaxis.set_major_formatter(lambda value, _: _signed(value, "g"))
    style.name_axes(axes, along=f"change from the {design_number(design, 'range_km')} km to expect [km]")
    _legend(axes, any(bar.flips for bar in bars), bool(band), width)
    return figure


def _lines(bar: EffectBar, letters: int) -> list[str]:
    """Return the name of an input, and its value and band."""
    return [shorten(words, letters, placeholder=" …") for words in (bar.key, bar.about)]


def _draw(axes: Axes, place: float, bar: EffectBar) -> None:
    """Draw the bars of both ends of one input from a place downwards, and the line from which they begin."""
    start = [place - 0.2 * _BAR, place + 2.2 * _BAR]
    axes.plot([0.0, 0.0], start, color=style.MARK, linewidth=1.2, zorder=3, gid=f"{bar.key} to expect")
    for (end, colour), change in zip(_LOOKS, bar.changes, strict=True):
        middle = place + 0.5 * _BAR
        place += _BAR
        if change is None:
            style.write(axes, 0.0, middle, " no such wing flies", va="center", color=style.QUIET)
            continue
        axes.barh([middle], [change], height=0.9 * _BAR, color=colour, zorder=2, gid=f"{bar.key} {end}")
        if abs(change) < LEAST_CHANGE:
            continue
        side = 1 if change > 0 else -1
        if end in bar.flips:
            style.mark(axes, change, middle, "D", 6, style.LIMIT, f"flip {bar.key} {end}", zorder=4)
        words = printed_bare(exact(change, _signed(change, ".1f")), "km")
        axes.annotate(
            words, (change, middle), ((9 if end in bar.flips else 4) * side, 0),
            textcoords="offset points", va="center", ha="left" if side > 0 else "right", fontsize=style.SMALL,
            color=style.INK,
        )  # fmt: skip


def _signed(value: float, form: str) -> str:
    words = f"{abs(value):{form}}"
    return words if float(words) == 0 else ("+" if value > 0 else "\N{MINUS SIGN}") + words


def _legend(axes: Axes, flips: bool, band: bool, width: float) -> None:
    known: list[Patch | Line2D] = [Patch(color=colour, label=f"at the {end} end of its band") for end, colour in _LOOKS]
    if band:
        known.append(Patch(color=style.BAND, label="eight in ten draws of all at once"))
    if flips:
        known.append(
            Line2D([], [], linestyle="none", marker="D", color=style.LIMIT, label="other parts or another span win")
        )
    axes.legend(
        handles=known, loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=1 if width < style.WIDTH else 2,
        frameon=False, fontsize=style.SMALL, labelcolor=style.INK, borderaxespad=0.1, handlelength=1.2,
        columnspacing=1.5, labelspacing=0.25,
    )  # fmt: skip
