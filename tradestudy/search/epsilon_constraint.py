"""A front by epsilon-constraint: the most gain at each level of cost, across choices, both ends exact.

After Y. Y. Haimes, L. S. Lasdon and D. A. Wismer, IEEE Transactions on Systems, Man, and Cybernetics 1(3), 1971 (from
memory): one quantity is made greatest while a limit on the other falls from level to level. Knows nothing of wings:
``solve`` answers what is asked, gain is made greatest and cost is bounded from above (a quantity that should be great
comes with its sign turned).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

ABREAST = 2  # choices asked for at a time, whatever number of workers there is: so the answers do not hang on it
EQUAL = 1e-9  # share by which a gain must be beaten
AT_END = 1e-3  # of a choice's range of cost: a level so near to its least cost is answered by that


class Found(NamedTuple):
    """One point: what it gains, what it costs, and what it is."""

    gain: float
    cost: float
    what: Any


class Ends(NamedTuple):
    """Both ends of one choice: its greatest gain, and its least cost."""

    best: Found
    least: Found


class Ask(NamedTuple):
    """The greatest gain of a choice ``key`` wanted at a cost of at most ``level``; search from ``starts``, in order."""

    key: Any
    level: float
    starts: list[Found]


Solve = Callable[[list[Ask]], list[Found | None]]


def front(ends: dict[Any, Ends], solve: Solve, points: int) -> list[Found]:
    """Return about ``points`` non-dominated points, cheapest first, evenly spread in cost wherever the front has any.

    Levels fall. A choice's gain can only fall with them, so its last answer bounds it from above: a choice is asked
    again only while that bound beats the best answer of the level, and its search starts from that last answer.
    ``solve`` answers None where it finds nothing.
    """
    if not ends:
        return []
    every = levels(stretches(list(ends.values())), points)
    standing = {key: pair.best for key, pair in ends.items()}
    found = [_under(level, ends, standing, solve) for level in reversed(every)]
    known = [end for pair in ends.values() for end in pair]
    line = non_dominated(
        found + [min(known, key=lambda end: (end.cost, -end.gain)), max(known, key=lambda end: (end.gain, -end.cost))]
    )
    return spread_out(line, 0.5 * _step(every))


def _under(level: float, ends: dict[Any, Ends], standing: dict[Any, Found], solve: Solve) -> Found:
    """Return the best point at a cost of at most ``level``; answers move on in ``standing``."""
    open_, best = [], None
    for key, (most, least) in ends.items():
        if least.cost > level:
            continue
        if level - least.cost <= AT_END * (most.cost - least.cost):
            standing[key] = least
        if standing[key].cost > level:
            open_.append(key)
        for end in (standing[key], least):
            if end.cost <= level and (best is None or end.gain > best.gain):
                best = end
    assert best is not None, "no level lies below the least cost of all"
    while open_ := sorted(
        (key for key in open_ if beats(standing[key].gain, best.gain)), key=lambda key: -standing[key].gain
    ):
        asked, open_ = open_[:ABREAST], open_[ABREAST:]
        answers = solve([Ask(key, level, [standing[key], ends[key].least]) for key in asked])
        for key, answer in zip(asked, answers, strict=True):
            standing[key] = ends[key].least if answer is None else answer
            best = max(best, standing[key], key=lambda point: point.gain)
    return best


def beats(gain: float, other: float) -> bool:
    """Return whether a gain is greater by more than rounding."""
    return gain > other + EQUAL * max(1.0, abs(other))


def stretches(ends: list[Ends]) -> list[tuple[float, float]]:
    """Return the stretches of cost, (n) pairs from low to high, on which a front between such ends can lie.

    A choice leaves the front where some known point has its greatest gain for less.
    """
    known = [end for pair in ends for end in pair]
    spans = []
    for best, least in ends:
        top = min(point.cost for point in known if point.gain >= best.gain)
        if top >= least.cost:
            spans.append((least.cost, top))
    joined: list[tuple[float, float]] = []
    for low, high in sorted(spans):
        if joined and low <= joined[-1][1]:
            joined[-1] = joined[-1][0], max(high, joined[-1][1])
        else:
            joined.append((low, high))
    return joined


def levels(spans: list[tuple[float, float]], points: int) -> np.ndarray:
    """Return levels of cost, rising, both ends of every stretch among them, about ``points`` in all."""
    whole = sum(high - low for low, high in spans)
    found = []
    for low, high in spans:
        share = (high - low) / whole if whole > 0 else 0.0
        steps = max(1, round((points - len(spans)) * share)) if high > low else 0
        found.append(np.linspace(low, high, steps + 1))
    return np.concatenate(found)


def _step(every: np.ndarray) -> float:
    steps = np.diff(every)
    return float(np.min(steps)) if len(steps) else 0.0


def non_dominated(points: list[Found]) -> list[Found]:
    """Return the points that no other beats in both gain and cost, cheapest first; of equal ones the first."""
    line: list[Found] = []
    for point in sorted(points, key=lambda each: (each.cost, -each.gain)):
        if not line or beats(point.gain, line[-1].gain):
            line.append(point)
    return line


def spread_out(line: list[Found], step: float) -> list[Found]:
    """Return a front without points whose cost is less than ``step`` above the last one kept; both ends stay."""
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
    """Return which point (cheapest first) lies farthest on the better side of the chord between both ends.

    In axes scaled to one between the ends. None with fewer than three points, or where none lies beyond the chord. The
    rule is that of I. Das, Structural Optimization 18, 1999 (from memory) on a front of two.
    """
    cost, gain = np.asarray(costs, float), np.asarray(gains, float)
    if len(cost) < 3 or cost[-1] <= cost[0] or gain[-1] <= gain[0]:
        return None
    beyond = (gain - gain[0]) / (gain[-1] - gain[0]) - (cost - cost[0]) / (cost[-1] - cost[0])
    at = int(np.argmax(beyond))
    return at if beyond[at] > EQUAL else None
