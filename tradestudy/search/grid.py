"""The span trade: for each span the best of everything else, and the flat band around the best."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from .optimum import Answer, Space, merit, solve
from .result import Band

SPAN_POINTS = 13
FLAT_SHARE = 0.02  # the answer is the band of spans that lose no more than this of the range


def spans(space: Space, points: int = SPAN_POINTS) -> np.ndarray:
    """Return the spans of the trade, evenly spread between the study's ends. [m]"""
    low, high = space.bounds["extension"]
    return space.anchor.data.layout.stock.span + 2 * np.linspace(low, high, points)


def span_trade(space: Space, ranked: list[Answer], tell: Callable[[str], None] = lambda words: None,
               points: int = SPAN_POINTS) -> list[Answer]:
    """Return the best answer at each span among the two best choices of ``ranked`` and the best of each pack.

    Each solve starts from the neighbouring span's answer of the same choice and goes outward from its own best span
    until it is no longer feasible. Spans that no choice can fly with are left out.
    """
    stock_span = space.anchor.data.layout.stock.span
    best: list[Answer | None] = [None] * points
    grid = spans(space, points)
    for answer in _followed(ranked):
        own = stock_span + 2 * answer.variables["extension"]
        longer = np.flatnonzero(grid >= own - 1e-9)
        for order in (longer, np.flatnonzero(grid < own - 1e-9)[::-1]):
            start = answer.variables
            for index in order:
                held = {"extension": 0.5 * (float(grid[index]) - stock_span)}
                tell(f"span {1e3 * grid[index]:.0f} mm with {answer.choice.words}")
                found = solve(space, answer.choice, [start], held)
                best[index] = _better(best[index], found)
                if not found.feasible:
                    break  # the spans that a choice can fly with are one stretch: farther out it only gets worse
                start = found.variables
    return [answer for answer in best if answer is not None]


def _followed(ranked: list[Answer]) -> list[Answer]:
    """The two best choices, and of every other pack size its best: small packs rule where big ones cannot fly."""
    kept = [answer for answer in ranked[:2] if answer.feasible]
    for answer in ranked[2:]:
        if answer.feasible and all(answer.choice.parallel != other.choice.parallel for other in kept):
            kept.append(answer)
    return kept


def _better(first: Answer | None, second: Answer) -> Answer:
    return second if first is None or merit(second) > merit(first) else first


def flat_band(space: Space, best: Answer, trade: list[Answer]) -> Band:
    """Return the whole centimetre of span to build, inside the band that loses under 2 % of the range.

    Inside the band, uncut rods decide: the longest span whose rods need no splice, else the best span itself.
    """
    stock_span = space.anchor.data.layout.stock.span
    top = stock_span + 2 * best.variables["extension"]
    points = sorted({stock_span + 2 * a.variables["extension"]: a.range for a in trade if a.feasible}.items()
                    | {(top, best.range)})
    span, reach = np.array([p[0] for p in points]), np.array([p[1] for p in points])
    enough = (1 - FLAT_SHARE) * reach.max()
    low, high = _edge(span, reach, enough, top, -1), _edge(span, reach, enough, top, +1)
    rods = space.anchor.data.layout.rods
    if rods:
        spare = stock_span - 2 * (rods[0].outer_end - rods[0].inner_end)
        uncut = 2 * space.study.stretch.rod_length_sold + spare
        if low - 1e-9 <= uncut < top:
            centimetre = math.floor(100 * uncut + 1e-6) / 100
            if centimetre >= low - 1e-9:
                return _band(centimetre, low, high, top,
                             f"rods of {1e3 * space.study.stretch.rod_length_sold:.0f} mm then need no splice")
    shortest, longest = math.ceil(100 * low - 1e-6) / 100, math.floor(100 * high + 1e-6) / 100
    centimetre = min(max(round(100 * top) / 100, shortest), longest)
    return _band(centimetre, low, high, top, "the best span, to the whole centimetre")


def _edge(span, reach, enough, top, side) -> float:
    """Where range falls below ``enough`` on one side of the best span, linear between the points."""
    inside = [(s, r) for s, r in zip(span, reach, strict=True) if side * (s - top) >= -1e-9]
    inside.sort(key=lambda pair: side * pair[0])
    for (s0, r0), (s1, r1) in zip(inside, inside[1:], strict=False):
        if r1 < enough <= r0:
            return float(s0 + (s1 - s0) * (r0 - enough) / (r0 - r1))
    return float(inside[-1][0])


def _band(centimetre, low, high, top, reason) -> Band:
    return Band(int(round(1e3 * centimetre)), 1e3 * float(low), 1e3 * float(high), 1e3 * float(top), reason)
