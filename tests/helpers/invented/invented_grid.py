"""An invented grid of span and sweep, with four limits and two sets of parts. Its numbers mean nothing."""

from dataclasses import replace

from tradestudy.results.grid_result import SHAPE_KEYS, GridAxis, GridPoint, GridResult, GridStock

SPANS, SWEEPS = [1250.0 + 50 * n for n in range(13)], [16.0 + 2 * n for n in range(9)]
LARGE, SMALL = "4S4P (laid in 2 rows of 8), 2 pairs of 3 mm rods, 10x6 propeller", "4S3P, 3 pairs of 4 mm rods"


def range_at(span, sweep):
    """Return the invented range [km], best at 1600 mm and 25 deg."""
    return 160 - ((span - 1600) / 60) ** 2 - ((sweep - 25) / 2) ** 2


def broken_at(span, sweep):
    """Return the words of the limit that closes a place of the map, or an empty text."""
    if sweep < 19:
        return "stall speed"
    if span > 1650 + 10 * (sweep - 20):
        return "bend of the tips in a pull-up"
    if sweep > 29 and span < 1500:
        return "pack as far back as it can lie"
    return "load factor at which it breaks in a pull-up" if span > 1700 else ""


def point(values, gain, broken, parts=SMALL):
    """Return one invented design."""
    words = broken or "climb at full throttle"
    shape = dict.fromkeys(SHAPE_KEYS)
    return GridPoint(values, 50.0, gain, gain, 1500.0, not broken, words, words, -0.1 if broken else 0.0, parts, shape)


def invented_grid():
    """Return the whole grid (results.grid_result.GridResult)."""
    axes = [
        GridAxis("span", "span", "mm", SPANS, False),
        GridAxis("sweep", "leading-edge sweep", "deg", SWEEPS, False),
    ]
    points = [
        point([span, sweep], range_at(span, sweep), broken_at(span, sweep), LARGE if span < 1500 else SMALL)
        for span in SPANS
        for sweep in SWEEPS
    ]
    stock, recommended = GridStock([1300.0, 22.0], 98.0, 98.0, 1500.0), GridStock([1460.0, 24.3], 152.0, 152.0, 1900.0)
    command, others = "tradestudy grid godwit.toml", "what is on no axis is searched"
    return GridResult("Godwit", "", command, {}, axes, "range_km", "range", "km", others, points, stock, recommended)


def invented_lines():
    """Return a grid of span and cells in parallel: each pack bends the tips beyond a span of its own."""
    grid = invented_grid()
    cells = GridAxis("parallel", "cells in parallel", "", [2, 3, 4], True)
    points = []
    for span in SPANS:
        for count in cells.values:
            broken = "bend of the tips in a pull-up" if span > 1500 + 50 * count else ""
            broken = "stall speed" if count == 4 and span < 1400 else broken
            points.append(point([span, count], 60 + 25 * count - ((span - 1400 - 50 * count) / 70) ** 2, broken))
    stock, recommended = GridStock([1300.0, 2], 98.0, 98.0, 1500.0), GridStock([1460.0, 4], 157.0, 157.0, 1900.0)
    return replace(grid, axes=[grid.axes[0], cells], points=points, stock=stock, recommended=recommended)
