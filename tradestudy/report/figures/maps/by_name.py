"""One figure of a result by its name, for Python."""

from __future__ import annotations

from matplotlib.figure import Figure

from tradestudy.errors import CommandError, near_match
from tradestudy.report.figures.all_figures import FIGURES
from tradestudy.results.grid_result import GridResult
from tradestudy.results.payload.payload_result import PayloadResult
from tradestudy.results.result import Result

from .grid_map import grid_map
from .payload import payload_figure


def figure(result: Result | GridResult | PayloadResult, name: str = "map") -> Figure:
    """Return one figure of a result as a matplotlib Figure, whose ``axes`` may be changed.

    A grid has a map, and a payload study one figure.

    Names for a Result are those of the files in ``figures/``, such as ``"span_trade"``. Raises CommandError for an
    unknown name, or if the result lacks the data.

    ::

        figure = ts.figure(ts.stretch(study), "span_trade")
        figure.axes[0].set_title("Our wing")
        figure.savefig("trade.png")
    """
    if isinstance(result, GridResult):
        if name != "map":
            raise CommandError(f'A grid has one figure, "map", and no "{name}".')
        return grid_map(result)
    if isinstance(result, PayloadResult):
        return payload_figure(result)
    if name not in FIGURES:
        raise CommandError(
            f'There is no figure "{name}".{near_match(name, list(FIGURES))} Known: {", ".join(FIGURES)}.'
        )
    drawn = FIGURES[name](result)
    if drawn is None:
        raise CommandError(f'This result lacks the data for "{name}"; ts.run holds all figures.')
    return drawn
