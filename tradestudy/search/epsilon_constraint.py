"""A front by the epsilon-constraint method: the greatest gain at each level of cost over all choices.

Both ends are exact.

The gain is maximised while a limit on the cost falls from level to level. Source: Y. Y. Haimes, L. S. Lasdon and D. A.
Wismer, IEEE Transactions on Systems, Man, and Cybernetics 1(3), 1971 (from memory).

This module is independent of wings: a function ``solve`` solves each subproblem. Gain is maximised and cost is bounded
from above. A quantity that is better when greater is used as a cost with its sign changed.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

_CHOICES_AT_ONCE = 2  # choices solved at once, for any number of workers, so that the front is always the same
_EQUAL = 1e-9  # share by which a gain must be exceeded to count as exceeded
_AT_END = 1e-3  # share of a choice's cost range; at a level this near its least cost, that end is the result


class FrontPoint(NamedTuple):
    """One point of a front: its gain, its cost, and its solution."""

    gain: float
    cost: float
    solution: Any


class Ends(NamedTuple):
    """Both ends of one choice: the points of greatest gain and of least cost."""

    best: FrontPoint
    least: FrontPoint


class Subproblem(NamedTuple):
    """The task to maximise the gain of choice ``key`` at a cost of at most ``level``.

    Searches begin at ``starts``, in order.
    """

    key: Any
    level: float
    starts: list[FrontPoint]


Solve = Callable[[list[Subproblem]], list[FrontPoint | None]]


def front_points(ends: dict[Any, Ends], solve: Solve, points: int) -> list[FrontPoint]:
    """Return about ``points`` non-dominated points, cheapest first.

    They are evenly spaced in cost where the front exists.

    Levels fall, and the gain of a choice can only fall with them. So the gain of its last point is an upper bound. A
    choice is solved again only if this bound exceeds the best gain at the level. The search starts from its last point.
    ``solve`` returns None for a subproblem without a solution.
    """
    if not ends:
        return []
    every = levels(cost_intervals(list(ends.values())), points)
    last = {key: pair.best for key, pair in ends.items()}
    found = [_best_at(level, ends, last, solve) for level in reversed(every)]
    known = [end for pair in ends.values() for end in pair]
    cheapest = min(known, key=lambda end: (end.cost, -end.gain))
    greatest = max(known, key=lambda end: (end.gain, -end.cost))
    step = float(np.min(np.diff(every))) if len(every) > 1 else 0.0
    return spread_out(non_dominated([*found, cheapest, greatest]), 0.5 * step)


def _best_at(level: float, ends: dict[Any, Ends], last: dict[Any, FrontPoint], solve: Solve) -> FrontPoint:
    """Return the best point at a cost of at most ``level``. ``last`` maps each choice to its last point.

    It is updated.
    """
    candidates, best = [], None
    for key, (greatest, least) in ends.items():
        if least.cost > level:
            continue
        if level - least.cost <= _AT_END * (greatest.cost - least.cost):
            last[key] = least
        if last[key].cost > level:
            candidates.append(key)
        for end in (last[key], least):
            if end.cost <= level and (best is None or end.gain > best.gain):
                best = end
    assert best is not None, "no level lies below the least cost of all"
    while candidates := sorted(
        (key for key in candidates if exceeds(last[key].gain, best.gain)), key=lambda key: -last[key].gain
    ):
        keys, candidates = candidates[:_CHOICES_AT_ONCE], candidates[_CHOICES_AT_ONCE:]
        solved = solve([Subproblem(key, level, [last[key], ends[key].least]) for key in keys])
        for key, point in zip(keys, solved, strict=True):
            last[key] = ends[key].least if point is None else point
            best = max(best, last[key], key=lambda point: point.gain)
    return best


def exceeds(gain: float, other: float) -> bool:
    """Return whether a gain is greater than another by more than rounding."""
    return gain > other + _EQUAL * max(1.0, abs(other))


def cost_intervals(ends: list[Ends]) -> list[tuple[float, float]]:
    """Return the intervals of cost (low, high) that a front between these ends can cover, in rising order.

    The interval of a choice ends at the cost at which a known point reaches its greatest gain.
    """
    known = [end for pair in ends for end in pair]
    intervals = []
    for best, least in ends:
        top = min(point.cost for point in known if point.gain >= best.gain)
        if top >= least.cost:
            intervals.append((least.cost, top))
    joined: list[tuple[float, float]] = []
    for low, high in sorted(intervals):
        if joined and low <= joined[-1][1]:
            joined[-1] = joined[-1][0], max(high, joined[-1][1])
        else:
            joined.append((low, high))
    return joined


def levels(intervals: list[tuple[float, float]], points: int) -> np.ndarray:
    """Return about ``points`` levels of cost in rising order. They include both ends of every interval."""
    total = sum(high - low for low, high in intervals)
    parts = []
    for low, high in intervals:
        share = (high - low) / total if total > 0 else 0.0
        steps = max(1, round((points - len(intervals)) * share)) if high > low else 0
        parts.append(np.linspace(low, high, steps + 1))
    return np.concatenate(parts)


def non_dominated(points: list[FrontPoint]) -> list[FrontPoint]:
    """Return the non-dominated points, cheapest first. Of equal points, the first is returned."""
    line: list[FrontPoint] = []
    for point in sorted(points, key=lambda each: (each.cost, -each.gain)):
        if not line or exceeds(point.gain, line[-1].gain):
            line.append(point)
    return line


def spread_out(line: list[FrontPoint], step: float) -> list[FrontPoint]:
    """Return a front without points whose cost is less than ``step`` above the previous point. Both ends are kept."""
    kept = line[:1]
    for point in line[1:-1]:
        if point.cost >= kept[-1].cost + step:
            kept.append(point)
    if len(line) > 1:
        if len(kept) > 1 and line[-1].cost < kept[-1].cost + step:
            kept.pop()
        kept.append(line[-1])
    return kept


def knee(costs: Any, gains: Any) -> int | None:
    """Return the index of the knee: the point that lies farthest from the chord, on its better side.

    Points are sorted by cost, cheapest first. The chord joins both ends, with both axes scaled to 0..1 between them.
    The result is None with fewer than three points, or if no point lies on the better side. Source: I. Das, Structural
    Optimization 18, 1999 (from memory), for a front of two quantities.
    """
    cost, gain = np.asarray(costs, float), np.asarray(gains, float)
    if len(cost) < 3 or cost[-1] <= cost[0] or gain[-1] <= gain[0]:
        return None
    distance = (gain - gain[0]) / (gain[-1] - gain[0]) - (cost - cost[0]) / (cost[-1] - cost[0])
    farthest = int(np.argmax(distance))
    return farthest if distance[farthest] > _EQUAL else None
