"""Textbook problems of two objectives with fronts in closed form, posed for fronts by epsilon-constraint."""

from dataclasses import dataclass

import numpy as np

from tradestudy.search.epsilon_constraint import Ends, FrontPoint
from tradestudy.search.optimum import slsqp_minimum


@dataclass
class Textbook:
    """Two objectives to minimise over a box scaled to 0..1, with limits that are positive if met, all with
    derivatives."""

    box: np.ndarray  # shape (n, 2)
    objectives: list  # list of functions x -> (value, derivatives of shape (n,))
    limits: list
    start: np.ndarray

    def least(self, which, level=None, start=None):
        """Return the point of least ``which`` objective, with the other at most at a level."""
        low, width = self.box[:, 0], np.diff(self.box)[:, 0]
        scale = [max(1.0, abs(each(self.start)[0])) for each in self.objectives]
        held = list(self.limits)
        if level is not None:
            other = self.objectives[1 - which]
            held.append(lambda x: ((level - other(x)[0]) / scale[1 - which], -other(x)[1] / scale[1 - which]))
        begin = (np.asarray(self.start if start is None else start, float) - low) / width
        end = slsqp_minimum(
            lambda z: self.objectives[which](low + z * width)[0] / scale[which],
            lambda z: self.objectives[which](low + z * width)[1] * width / scale[which],
            begin,
            [(0, 1)] * len(low),
            lambda z: np.array([limit(low + z * width)[0] for limit in held]),
            lambda z: np.array([limit(low + z * width)[1] * width for limit in held]),
            1e-12,
        )
        x = low + np.clip(end, 0, 1) * width
        met = all(limit(x)[0] > -1e-6 for limit in held)
        first, second = (each(x)[0] for each in self.objectives)
        return FrontPoint(-second, first, x) if met else None  # the first objective is the cost

    def ends(self):
        """Return both ends in two steps each: least in one objective, then least in the other among those."""
        cheap = self.least(0)
        best = self.least(1)
        return Ends(self.least(0, -best.gain + 1e-9, best.solution), self.least(1, cheap.cost + 1e-9, cheap.solution))

    def solve(self, asks):
        """Return the solutions of the subproblems of `epsilon_constraint.front_points`."""
        assert all(start.cost is not None for ask in asks for start in ask.starts)
        return [self.least(1, ask.level, ask.starts[0].solution) for ask in asks]


def binh_korn():
    """Return the problem of T. T. Binh and U. Korn, MOBES, 1997 (from memory).

    It has two circles as limits, of which the second is never active.
    """
    return Textbook(
        np.array([[0.0, 5.0], [0.0, 3.0]]),
        [lambda x: (4 * x @ x, 8 * x), lambda x: ((x - 5) @ (x - 5), 2 * (x - 5))],
        [
            lambda x: ((25 - (x - [5, 0]) @ (x - [5, 0])) / 25, -2 * (x - [5, 0]) / 25),
            lambda x: (((x - [8, -3]) @ (x - [8, -3]) - 7.7) / 25, 2 * (x - [8, -3]) / 25),
        ],
        np.array([2.0, 2.0]),
    )


def binh_korn_front(first):
    """Return the second objective for a value of the first: on x1 = x2 up to 3, then on x2 = 3."""
    x1 = np.where(first <= 72, np.sqrt(first / 8), np.sqrt(np.maximum(first / 4 - 9, 0)))
    x2 = np.minimum(x1, 3)
    return (x1 - 5) ** 2 + (x2 - 5) ** 2


def constr_ex():
    """Return CONSTR of K. Deb, Multi-Objective Optimization using Evolutionary Algorithms, 2001 (from memory)."""
    return Textbook(
        np.array([[0.1, 1.0], [0.0, 5.0]]),
        [
            lambda x: (x[0], np.array([1.0, 0.0])),
            lambda x: ((1 + x[1]) / x[0], np.array([-(1 + x[1]) / x[0] ** 2, 1 / x[0]])),
        ],
        [
            lambda x: ((x[1] + 9 * x[0] - 6) / 6, np.array([9.0, 1.0]) / 6),
            lambda x: ((-x[1] + 9 * x[0] - 1) / 6, np.array([9.0, -1.0]) / 6),
        ],
        np.array([0.8, 1.0]),
    )


def constr_ex_front(first):
    """Return the second objective: on the first limit from x1 = 7/18 (where both meet) to 2/3, then on x2 = 0."""
    return np.where(first < 2 / 3, (7 - 9 * first) / first, 1 / first)


FRONTS = {
    # Ends by hand: Binh and Korn's at the origin and at (5, 3); Constr-Ex at the crossing of its limits and at (1, 0).
    "Binh and Korn": (binh_korn, binh_korn_front, (0.0, 50.0), (136.0, 4.0)),
    "Constr-Ex": (constr_ex, constr_ex_front, (7 / 18, 9.0), (1.0, 1.0)),
}
