"""Rods cut from the length that is sold, with the fewest lengths: one-dimensional cutting stock with a saw cut.

First fit, longest first, is optimal if it meets a lower bound. Otherwise all ways to fill a length are listed. An
integer program takes the fewest of them that give every piece (Gilmore and Gomory, 1961), and proves the optimum.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

_STEP = 1e-4  # m; lengths are compared in whole steps of this size, finer than a saw
_ROUNDING = 1e-2  # step; what floating point may add to a length
_MOST_WAYS = 30_000  # ways to fill a length; with more, first fit stands and its lower bound is given
_MOST_SECONDS = 20.0  # of the integer program


class CutPlan(NamedTuple):
    """The pieces to cut from each length sold, longest first [m], and the least number of lengths that is possible.

    Where ``least`` is below the number of lengths, the optimum is not proven.
    """

    lengths: list[list[float]]
    least: int

    @property
    def is_proven(self) -> bool:
        """Return whether no plan needs fewer lengths."""
        return len(self.lengths) == self.least


def lengths_to_buy(pieces: Sequence[float], sold: float, saw_cut: float = 0.0) -> CutPlan:
    """Return how to cut the ``pieces`` from the fewest lengths ``sold``. [m]

    A piece longer than that consists of full lengths and a remainder, joined by sleeves. Between two pieces, the saw
    takes ``saw_cut``.
    """
    short: list[float] = []
    for piece in pieces:
        full = max(math.ceil((piece / _STEP - _ROUNDING) / (sold / _STEP)) - 1, 0)
        short += [sold] * full + [piece - full * sold]
    # each piece with its saw cut, in a length with room for one cut more: the last piece needs none
    sizes = [math.ceil((piece + saw_cut) / _STEP - _ROUNDING) for piece in short]
    room = math.floor((sold + saw_cut) / _STEP + _ROUNDING)
    order = sorted(range(len(short)), key=lambda at: -sizes[at])
    filled = _first_fit([sizes[at] for at in order], room)
    least = _least(sizes, room)
    if len(filled) > least:
        filled, least = _fewest(Counter(sizes), room, filled, least)
    waiting: dict[int, list[float]] = {}
    for at in order:
        waiting.setdefault(sizes[at], []).append(short[at])
    return CutPlan([[waiting[size].pop(0) for size in cut] for cut in filled], least)


def _first_fit(sizes: Sequence[int], room: int) -> list[list[int]]:
    """Return the sizes in lengths of ``room``, each in the first length that can take it. Sizes fall."""
    lengths: list[list[int]] = []
    for size in sizes:
        home = next((cut for cut in lengths if sum(cut) + size <= room), None)
        if home is None:
            lengths.append(home := [])
        home.append(size)
    return lengths


def _least(sizes: Sequence[int], room: int) -> int:
    """Return a lower bound on the number of lengths: by the sum, and by pieces too long to share one.

    It is the bound L2 of Martello and Toth (1990).
    """
    best = math.ceil(sum(sizes) / room)
    for small in {0, *(size for size in sizes if 2 * size <= room)}:
        alone = sum(size > room - small for size in sizes)
        halves = [size for size in sizes if room - small >= size and 2 * size > room]
        rest = sum(size for size in sizes if 2 * size <= room and size >= small)
        spare = len(halves) * room - sum(halves)
        best = max(best, alone + len(halves) + max(0, math.ceil((rest - spare) / room)))
    return best


def _fewest(pieces: Counter[int], room: int, known: list[list[int]], least: int) -> tuple[list[list[int]], int]:
    """Return the sizes in the fewest lengths, and a lower bound, that is their number where it is proven."""
    kinds = sorted(pieces, reverse=True)
    ways: list[tuple[int, ...]] = []
    for way in _ways(kinds, [pieces[size] for size in kinds], room):
        ways.append(way)
        if len(ways) > _MOST_WAYS:
            return known, least
    need = np.array([pieces[size] for size in kinds])
    found = milp(
        np.ones(len(ways)),
        integrality=np.ones(len(ways)),
        bounds=Bounds(0, len(known)),
        constraints=LinearConstraint(np.array(ways).T, lb=need),
        options={"time_limit": _MOST_SECONDS},
    )
    if found.x is None:
        return known, least
    bound = max(least, math.ceil(found.mip_dual_bound - 1e-6))
    left, lengths = Counter(pieces), []
    for way, times in zip(ways, np.rint(found.x).astype(int), strict=True):
        for _ in range(times):
            cut = [size for size, count in zip(kinds, way, strict=True) for _ in range(min(count, left[size]))]
            left.subtract(cut)
            lengths.append(cut)
    lengths = [cut for cut in lengths if cut]
    return (lengths, bound) if len(lengths) < len(known) else (known, bound)


def _ways(kinds: Sequence[int], most: Sequence[int], room: int) -> Iterator[tuple[int, ...]]:
    """Yield how many of each kind fill a length so that no piece of another kind would fit. Kinds fall in size."""
    if len(kinds) == 1:
        yield (min(most[0], room // kinds[0]),)
        return
    for count in range(min(most[0], room // kinds[0]), -1, -1):
        left = room - count * kinds[0]
        for rest in _ways(kinds[1:], most[1:], left):
            used = sum(size * number for size, number in zip(kinds[1:], rest, strict=True))
            if count == min(most[0], room // kinds[0]) or left - used < kinds[0]:
                yield (count, *rest)
