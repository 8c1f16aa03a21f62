"""The span trade: for each span the best of everything else, and the flat band around the best."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from tradestudy.physics.flight import layout
from tradestudy.quantities import in_unit, to_si, with_unit
from tradestudy.results.trade import SpanBand

from .search_space import Space
from .search_task import Answer, Asked, merit
from .side_by_side import Chain, together

SPAN_POINTS = 13
EDGE_HALVINGS = 4  # from a step of the trade to a sixteenth of it: a few millimetres
CENTIMETRE = to_si(1, "cm", "length")
SLIVER = 1e-8  # m; a span that is a whole centimetre but for rounding counts as one
FLAT_SHARE = 0.02  # the answer is the band of spans that lose no more than this of what is wanted


def spans(space: Space, points: int = SPAN_POINTS) -> np.ndarray:
    """Return the spans of the trade, evenly spread between the study's ends. [m]"""
    low, high = space.bounds["extension"]
    return space.anchor.data.layout.stock.span + 2 * np.linspace(low, high, points)


def span_trade(
    space: Space, ranked: list[Answer], tell: Callable[[str], None] = lambda words: None, points: int = SPAN_POINTS
) -> list[Answer]:
    """Return the best answer at each span among the two best choices of ``ranked`` and the best of each pack.

    Each solve starts from the neighbouring span's answer of the same choice and goes outward from its own best span
    until it is no longer feasible. Spans that no choice can fly with are left out; where that leaves few, those half
    way between join them.
    """
    stock_span = space.anchor.data.layout.stock.span
    best: list[Answer | None] = [None] * points
    grid = spans(space, points)
    chains = []
    for answer in _followed(ranked):
        own = stock_span + 2 * answer.variables["extension"]
        longer = np.flatnonzero(grid >= own - 1e-9)
        for order in (longer, np.flatnonzero(grid < own - 1e-9)[::-1]):
            chains.append(_outward(answer, [(int(index), 0.5 * (float(grid[index]) - stock_span)) for index in order]))
    for found in together(space, chains, tell):
        for index, answer in found or []:
            best[index] = _better(best[index], answer)
    trade = [answer for answer in best if answer is not None and answer.feasible]
    if 2 <= len(trade) <= points // 2:
        trade += _half_way(space, trade, 0.5 * float(grid[1] - grid[0]), tell)
    return sorted(trade, key=lambda answer: answer.variables["extension"])


def _half_way(space: Space, trade: list[Answer], step: float, tell: Callable[[str], None]) -> list[Answer]:
    """Best answers half way between neighbours of a trade, by the choices of both, and half a ``step`` [m] past it."""
    asked = []
    for near, far in zip(trade, [*trade[1:], None], strict=True):
        extension = near.variables["extension"] + 0.5 * step
        if far is not None:
            extension = 0.5 * (near.variables["extension"] + far.variables["extension"])
        asked.append(
            [
                _outward(each, [(0, extension)])
                for each in (near, far)
                if each is not None and (each is near or each.choice != near.choice)
            ]
        )
    answers = iter(together(space, [chain for chains in asked for chain in chains], tell))
    best = [
        max((answer for _ in chains for _, answer in next(answers) or []), key=merit, default=None) for chains in asked
    ]
    return [answer for answer in best if answer is not None and answer.feasible]


def _outward(answer: Answer, places: list[tuple[int, float]]) -> Chain[list[tuple[int, Answer]]]:
    """One choice at (index, extension [m]) one after the other, as far as it can fly."""
    start, found = answer.variables, []
    for index, extension in places:
        there = yield Asked("solve", answer.choice, [start], {"extension": extension})
        found.append((index, there))
        if not there.feasible:
            break  # the spans that a choice can fly with are one stretch: farther out it only gets worse
        start = there.variables
    return found


def _followed(ranked: list[Answer]) -> list[Answer]:
    """The two best choices, and of every other pack its best: small packs rule where big ones cannot fly."""
    kept = [answer for answer in ranked[:2] if answer.feasible]
    for answer in ranked[2:]:
        if answer.feasible and all(answer.choice.pack_key != other.choice.pack_key for other in kept):
            kept.append(answer)
    return kept


def _better(first: Answer | None, second: Answer) -> Answer:
    return second if first is None or merit(second) > merit(first) else first


def flat_band(space: Space, best: Answer, trade: list[Answer]) -> SpanBand:
    """Return the whole centimetre of span to build, inside the band that loses under 2 % of what is wanted.

    Inside the band, uncut rods decide: the longest span whose rods need no splice, else the best span itself.
    """
    top = _span(space, best)
    points = sorted({_span(space, a): a for a in [*trade, best] if a.feasible}.items())
    enough = (1 - FLAT_SHARE) * max(answer.gain for _, answer in points)
    edges = together(space, [_edge(space, points, best, enough, side) for side in (-1, +1)])
    low, high = (top if edge is None else edge for edge in edges)
    shortest, longest = _whole(math.ceil, low - SLIVER), _whole(math.floor, high + SLIVER)
    if shortest > longest:
        return _band(top, low, high, top, "the best span: no whole centimetre lies in the band")
    uncut = _uncut_span(space, best, points)
    if shortest <= uncut < top and uncut < points[-1][0]:
        centimetre = min(_whole(math.floor, uncut + SLIVER), longest)
        if centimetre >= shortest:
            return _band(
                centimetre,
                low,
                high,
                top,
                f"rods of {with_unit(space.study.stretch.rod_length_sold, 'mm')} then need no splice",
            )
    centimetre = min(max(_whole(round, top), shortest), longest)
    return _band(centimetre, low, high, top, "the best span, to the whole centimetre")


def _whole(rounded: Callable[[float], int], span: float) -> float:
    """Return a span rounded to whole centimetres. [m]"""
    return CENTIMETRE * rounded(span / CENTIMETRE)


def _span(space: Space, answer: Answer) -> float:
    return float(space.anchor.data.layout.stock.span + 2 * answer.variables["extension"])


def _uncut_span(space: Space, best: Answer, points: list[tuple[float, Answer]]) -> float:
    """Longest span whose rods, laid along the sweep of the trade's wings, are not longer than sold. [m]"""
    data = space.anchor.data.layout
    sold, spans = space.study.stretch.rod_length_sold, [span for span, _ in points]
    if not data.rods:
        return math.inf
    data = data._replace(scheme=space.data(best.choice).layout.scheme, keep="sweep_angle")
    lengths = [
        float(
            layout.longest_rod(
                data,
                layout.wing_outline(
                    data, *(np.asarray(answer.variables[name]) for name in ("extension", "sweep", "washout"))
                ),
            )
        )
        for _, answer in points
    ]
    if lengths[-1] <= sold:
        return math.inf
    return float(np.interp(sold, lengths, spans)) if lengths[0] <= sold else 0.0


def _edge(space: Space, points: list[tuple[float, Answer]], best: Answer, enough: float, side: int) -> Chain[float]:
    """Span at which the gain falls below ``enough`` on one side of the best: bisected with the best choice. [m]"""
    inside = sorted((p for p in points if side * (p[0] - _span(space, best)) >= -1e-9), key=lambda p: side * p[0])
    good, bad = inside[0], None
    for point in inside[1:]:
        if point[1].gain < enough:
            bad = point
            break
        good = point
    if bad is None:
        return good[0]
    near, far = good[0], bad[0]
    answer = good[1]
    for _ in range(EDGE_HALVINGS):
        middle = 0.5 * (near + far)
        held = {"extension": 0.5 * (middle - space.anchor.data.layout.stock.span)}
        found = yield Asked("solve", answer.choice, [answer.variables], held)
        if found.feasible and found.gain >= enough:
            near, answer = middle, found
        else:
            far = middle
    return near


def _band(centimetre, low, high, top, reason) -> SpanBand:
    return SpanBand(round(in_unit(centimetre, "mm")), in_unit(low, "mm"), in_unit(high, "mm"), in_unit(top, "mm"), reason)
