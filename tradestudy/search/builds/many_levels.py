"""A front of one gain and several costs, by the epsilon-constraint method, over all choices.

The gain is maximised while limits on all costs fall from level to level. Source: Y. Y. Haimes, L. S. Lasdon and D. A.
Wismer, IEEE Transactions on Systems, Man, and Cybernetics 1(3), 1971 (from memory). With one cost,
`epsilon_constraint.front_points` finds the same front, and spaces its points evenly.

This module is independent of wings: a function ``solve`` solves each subproblem. A quantity that is better when greater
is used as a cost with its sign changed.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np

from tradestudy.search.epsilon_constraint import exceeds, levels

_AT_ONCE = 2  # choices solved at once, for any number of workers, so that the front is always the same
_STARTS = 3  # most starts of the search of one choice at one node; it ends at the first that succeeds
_REACHED = 1e-6  # share of a gain; a known point this near to a bound of the gain reaches it


class CostedPoint(NamedTuple):
    """One point: its gain, its costs, and its solution."""

    gain: float
    costs: tuple[float, ...]
    solution: Any


class LevelTask(NamedTuple):
    """The task to maximise the gain of choice ``key`` with each cost at most its level. A level may be infinite.

    Searches begin at ``starts``, in order.
    """

    key: Any
    levels: tuple[float, ...]
    starts: list[CostedPoint]


SolveLevels = Callable[[list[LevelTask]], list[CostedPoint | None]]


def costed_front(
    known: dict[Any, list[CostedPoint]], solve: SolveLevels, falling: Sequence[Sequence[float]]
) -> list[CostedPoint]:
    """Return the non-dominated points, greatest gain first.

    ``known`` holds points of each choice: first that of greatest gain, then those of least cost. ``falling`` holds the
    levels of each cost, falling. Every combination of levels is one node.

    The gain of a choice can only fall with the levels. So its greatest gain at a node is bounded by that at every node
    above. A choice is solved at a node only if this bound exceeds the best gain known there. No point of its own may
    reach the bound. ``solve`` returns None for a subproblem without a solution.
    """
    points = {key: list(own) for key, own in known.items()}
    bounds: dict[tuple[int, ...], dict[Any, float]] = {}
    for node in itertools.product(*(range(len(each)) for each in falling)):
        at = tuple(each[place] for each, place in zip(falling, node, strict=True))
        above = [bounds[node[:axis] + (place - 1,) + node[axis + 1 :]] for axis, place in enumerate(node) if place]
        bound = {
            key: min((each[key] for each in above), default=own[0].gain)
            if all(min(point.costs[axis] for point in own) <= level for axis, level in enumerate(at))
            else -math.inf
            for key, own in points.items()
        }
        bounds[node] = _bounds_at(at, bound, points, solve)
    return non_dominated_points([point for own in points.values() for point in own])


def _bounds_at(
    at: tuple[float, ...], bound: dict[Any, float], points: dict[Any, list[CostedPoint]], solve: SolveLevels
) -> dict[Any, float]:
    """Return the bounds of the gain of each choice at one node, from those above it. New points are added."""
    within = {key: _best_within(own, at) for key, own in points.items()}
    best = max((point.gain for point in within.values() if point), default=-math.inf)

    def may_gain(key: Any) -> bool:
        own = within[key]
        reached = own is not None and own.gain >= bound[key] - _REACHED * abs(bound[key])
        return not reached and (best == -math.inf or exceeds(bound[key], best)) and bound[key] > -math.inf

    waiting = list(points)
    while waiting := sorted((key for key in waiting if may_gain(key)), key=lambda key: -bound[key]):
        keys, waiting = waiting[:_AT_ONCE], waiting[_AT_ONCE:]
        for key, found in zip(keys, solve([_task(key, at, points[key]) for key in keys]), strict=True):
            own = within[key]
            if found is not None:
                points[key].append(found)
            gains = [each.gain for each in (found, own) if each is not None]
            bound[key] = max(gains, default=-math.inf)
            best = max(best, bound[key])
    return bound


def _task(key: Any, at: tuple[float, ...], own: list[CostedPoint]) -> LevelTask:
    """Return the task of one choice. Searches begin at the points that exceed the levels least."""
    costs = np.array([point.costs for point in own])
    width = np.ptp(costs, axis=0)
    over = (np.maximum(costs - at, 0.0) / np.where(width > 0, width, 1.0)).sum(1)
    nearest = sorted(range(len(own)), key=lambda place: (over[place], -own[place].gain))
    return LevelTask(key, at, [own[place] for place in nearest[:_STARTS]])


def _best_within(points: list[CostedPoint], at: tuple[float, ...]) -> CostedPoint | None:
    inside = [each for each in points if all(cost <= level for cost, level in zip(each.costs, at, strict=True))]
    return max(inside, key=lambda point: point.gain, default=None)


def falling_levels(known: dict[Any, list[CostedPoint]], axis: int, count: int) -> list[float]:
    """Return about ``count`` levels of one cost, falling, after an infinite one.

    They cover the costs that each choice can have, from its least to that of its greatest gain, and include both ends
    of every range. Ranges that overlap are one.
    """
    ranges = sorted((min(point.costs[axis] for point in own), own[0].costs[axis]) for own in known.values())
    joined: list[tuple[float, float]] = []
    for low, high in ranges:
        if joined and low <= joined[-1][1]:
            joined[-1] = joined[-1][0], max(high, joined[-1][1])
        else:
            joined.append((low, high))
    return [math.inf, *levels(joined, count).tolist()[::-1]]


def non_dominated_points(points: Sequence[CostedPoint]) -> list[CostedPoint]:
    """Return the points that no other point dominates, greatest gain first. Of equal points, the first is returned."""
    if not points:
        return []
    cost = np.array([(-point.gain, *point.costs) for point in points])
    as_good = (cost[:, None] <= cost[None]).all(-1)  # [i, j]: i is at least as good as j in everything
    better = as_good & (cost[:, None] < cost[None]).any(-1)
    earlier = np.tri(len(points), k=-1, dtype=bool).T
    kept = np.flatnonzero(~(better.any(0) | (as_good & as_good.T & earlier).any(0)))
    return sorted((points[place] for place in kept.tolist()), key=lambda each: -each.gain)


def distinct_points(line: Sequence[CostedPoint], share: float) -> list[CostedPoint]:
    """Return a front without points that nearly equal another one: within a ``share`` of each range of the front.

    The points that are best in one quantity stay.
    """
    if not line:
        return []
    value = _shares(line)
    ends = list(dict.fromkeys(int(place) for place in value.argmax(0)))
    kept: list[int] = []
    for place in [*ends, *range(len(line))]:
        if all(np.abs(value[place] - value[other]).max() > share for other in kept):
            kept.append(place)
    return [line[place] for place in sorted(kept)]


def many_knee(line: Sequence[CostedPoint]) -> int | None:
    """Return the index of the knee: the point with the greatest sum of all quantities, each scaled to 0..1.

    0 is the worst on the front and 1 the best. The sum grows with the distance from the plane through the ends of the
    axes. With one cost, it is the point farthest from the line through both ends, as `epsilon_constraint.knee`. The
    result is None if a point that is best in one quantity has as great a sum.
    """
    if not line:
        return None
    value = _shares(line)
    total = value.sum(1)
    ends, farthest = total[value.argmax(0)].max(), int(total.argmax())
    return farthest if exceeds(total[farthest], ends) else None


def _shares(line: Sequence[CostedPoint]) -> np.ndarray:
    """Return gain and costs of each point (n, m), each scaled from 0, the worst of the front, to 1, the best."""
    value = np.array([(point.gain, *(-cost for cost in point.costs)) for point in line])
    low, high = value.min(0), value.max(0)
    return (value - low) / np.where(high > low, high - low, 1.0)
