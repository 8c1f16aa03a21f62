"""The span trade: the best design at each span, and the flat band around the best span."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from tradestudy.aircraft.model.designs import WING_SHAPE
from tradestudy.physics.flight import layout, rod_sets
from tradestudy.quantities import in_unit, to_si, with_unit
from tradestudy.results.trade import SpanBand

from .engines.progress import Progress, no_progress
from .parallel import SearchChain, run_chains
from .search_space import SearchSpace
from .search_task import SearchResult, SearchTask, merit

SPAN_POINTS = 13
_EDGE_HALVINGS = 4  # how often the step in span is halved at an end of the flat band: to a sixteenth, a few millimetres
FLAT_SHARE = 0.02  # share of the gain that a span in the flat band may lose
_CENTIMETRE = to_si(1, "cm", "length")
_ROUNDING = 1e-8  # m; a span this near to a whole centimetre counts as whole


def spans(space: SearchSpace, points: int = SPAN_POINTS) -> np.ndarray:
    """Return the spans of the trade, evenly spaced between the study's bounds. [m]"""
    low, high = space.bounds["extension"]
    return space.anchor.data.layout.stock.span + 2 * np.linspace(low, high, points)


def span_trade(
    space: SearchSpace,
    ranked: list[SearchResult],
    report_progress: Progress = no_progress,
    points: int = SPAN_POINTS,
) -> list[SearchResult]:
    """Return the best result at each span.

    It compares the two best choices of ``ranked`` and the best choice of each pack.

    Each choice is searched outward from its own best span until it is infeasible. Each search starts from the result at
    the neighbouring span. Spans without a feasible choice are left out. If few spans remain, spans half way between
    them are added.
    """
    stock_span = space.anchor.data.layout.stock.span
    best: list[SearchResult | None] = [None] * points
    grid = spans(space, points)
    chains = []
    for result in _followed(ranked):
        own = _span(space, result)
        longer = np.flatnonzero(grid >= own - 1e-9)
        for order in (longer, np.flatnonzero(grid < own - 1e-9)[::-1]):
            places = [(int(index), 0.5 * (float(grid[index]) - stock_span)) for index in order]
            chains.append(_outward(result, places))
    for results in run_chains(space, chains, report_progress):
        for index, result in results or []:
            known = best[index]
            if known is None or merit(result) > merit(known):
                best[index] = result
    trade = [result for result in best if result is not None and result.feasible]
    if 2 <= len(trade) <= points // 2:
        trade += _half_way(space, trade, 0.5 * float(grid[1] - grid[0]), report_progress)
    return sorted(trade, key=lambda result: result.variables["extension"])


def _half_way(
    space: SearchSpace, trade: list[SearchResult], step: float, report_progress: Progress
) -> list[SearchResult]:
    """Return the best results half way between neighbours of a trade, with the choices of both.

    Beyond the last result, an extension longer by half a ``step`` [m] is tried.
    """
    chains: list[list[SearchChain]] = []
    for near, far in zip(trade, [*trade[1:], None], strict=True):
        extension = near.variables["extension"] + 0.5 * step
        if far is not None:
            extension = 0.5 * (near.variables["extension"] + far.variables["extension"])
        starts = [near] if far is None or far.choice == near.choice else [near, far]
        chains.append([_outward(start, [(0, extension)]) for start in starts])
    results = iter(run_chains(space, [chain for group in chains for chain in group], report_progress))
    best = [
        max((result for _ in group for _, result in next(results) or []), key=merit, default=None) for group in chains
    ]
    return [result for result in best if result is not None and result.feasible]


def _outward(start: SearchResult, places: list[tuple[int, float]]) -> SearchChain[list[tuple[int, SearchResult]]]:
    """Return the results of one choice at places (index, extension [m]), in turn, up to the first infeasible one."""
    variables, results = start.variables, []
    for index, extension in places:
        result = yield SearchTask("solve", start.choice, [variables], {"extension": extension})
        results.append((index, result))
        if not result.feasible:
            break  # the feasible spans of a choice are one interval
        variables = result.variables
    return results


def _followed(ranked: list[SearchResult]) -> list[SearchResult]:
    """Return the two best results, and the best of every other pack.

    Small packs may be best where large ones cannot fly.
    """
    kept = [result for result in ranked[:2] if result.feasible]
    for result in ranked[2:]:
        if result.feasible and all(result.choice.pack_key != other.choice.pack_key for other in kept):
            kept.append(result)
    return kept


# --- the flat band -----------------------------------------------------------------------------------------


def flat_band(space: SearchSpace, best: SearchResult, trade: list[SearchResult]) -> SpanBand:
    """Return the flat band of `flat_band_and_ends`."""
    return flat_band_and_ends(space, best, trade)[0]


def flat_band_and_ends(
    space: SearchSpace, best: SearchResult, trade: list[SearchResult]
) -> tuple[SpanBand, list[SearchResult]]:
    """Return the flat band with the span to build in it, in whole centimetres, and the wings at both of its ends.

    At every span in the band, the best wing that meets all limits loses less than 2 % of the gain. The span to build is
    the longest in the band whose rods need no splice, or else the best span.
    """
    by_span = sorted({_span(space, result): result for result in [*trade, best] if result.feasible}.items())
    results = [result for _, result in by_span]
    enough = (1 - FLAT_SHARE) * max(result.gain for result in results)
    found = run_chains(space, [_edge(space, results, best, enough, side) for side in (-1, +1)])
    edges = [best if edge is None else edge for edge in found]
    low, high = (_span(space, edge) for edge in edges)
    return _chosen(space, best, results, low, high), edges


def _chosen(space: SearchSpace, best: SearchResult, results: list[SearchResult], low: float, high: float) -> SpanBand:
    """Return the flat band from ``low`` to ``high`` [m] with the span to build."""
    top = _span(space, best)
    shortest, longest = _whole(math.ceil, low - _ROUNDING), _whole(math.floor, high + _ROUNDING)
    if shortest > longest:
        return _band(top, low, high, top, "the best span: no whole centimetre lies in the band")
    uncut = _uncut_span(space, best, results)
    if shortest <= uncut < min(top, _span(space, results[-1])):
        centimetre = min(_whole(math.floor, uncut + _ROUNDING), longest)
        if centimetre >= shortest:
            sold = with_unit(space.study.stretch.rod_length_sold, "mm")
            return _band(centimetre, low, high, top, f"rods of {sold} then need no splice")
    centimetre = min(max(_whole(round, top), shortest), longest)
    return _band(centimetre, low, high, top, "the best span, to the whole centimetre")


def _edge(
    space: SearchSpace, results: list[SearchResult], best: SearchResult, enough: float, side: int
) -> SearchChain[SearchResult]:
    """Return the result on one side of the best where the flat band ends.

    The feasible spans of a choice are one interval, so there is no gap between neighbouring results of the same choice.
    Between two choices, the first is searched to the span where its gain falls below ``enough``. The band continues
    only if the second has enough gain from there.
    """
    top = _span(space, best)
    outward = sorted(
        (result for result in results if side * (_span(space, result) - top) >= -1e-9),
        key=lambda result: side * _span(space, result),
    )
    near = outward[0]
    for far in outward[1:]:
        if far.gain < enough or far.choice != near.choice:
            inner, outer = _span(space, near), _span(space, far)
            for _ in range(_EDGE_HALVINGS):
                middle = 0.5 * (inner + outer)
                result = yield _at_span(space, near, middle)
                if result.feasible and result.gain >= enough:
                    inner, near = middle, result
                else:
                    outer = middle
            if far.gain < enough:
                return near
            if outer != _span(space, far):
                result = yield _at_span(space, far, outer)
                if not result.feasible or result.gain < enough:
                    return near
        near = far
    return near


def _at_span(space: SearchSpace, start: SearchResult, span: float) -> SearchTask:
    """Return the search with a result's choice at a span [m], starting from that result."""
    extension = 0.5 * (span - space.anchor.data.layout.stock.span)
    return SearchTask("solve", start.choice, [start.variables], {"extension": extension})


def _whole(rounded: Callable[[float], int], span: float) -> float:
    """Return a span rounded to whole centimetres by the function ``rounded``. [m]"""
    return _CENTIMETRE * rounded(span / _CENTIMETRE)


def _span(space: SearchSpace, result: SearchResult) -> float:
    return float(space.anchor.data.layout.stock.span + 2 * result.variables["extension"])


def _uncut_span(space: SearchSpace, best: SearchResult, results: list[SearchResult]) -> float:
    """Return the longest span whose rods are no longer than the length sold. [m]

    Rods follow the sweep of the trade's wings.
    """
    data = space.anchor.data.layout
    sold = space.study.stretch.rod_length_sold
    if not data.rods:
        return math.inf
    data = data._replace(scheme=space.data(best.choice).layout.scheme, keep="sweep_angle")
    lengths = []
    for result in results:
        shape = [np.asarray(result.variables[name]) for name in WING_SHAPE]
        lengths.append(float(rod_sets.longest_rod(data, layout.wing_outline(data, *shape))))
    if lengths[-1] <= sold:
        return math.inf
    return float(np.interp(sold, lengths, [_span(space, result) for result in results])) if lengths[0] <= sold else 0.0


def _band(span: float, low: float, high: float, best: float, reason: str) -> SpanBand:
    return SpanBand(round(in_unit(span, "mm")), in_unit(low, "mm"), in_unit(high, "mm"), in_unit(best, "mm"), reason)
