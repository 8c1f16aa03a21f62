"""Fronts by epsilon-constraint: textbook fronts in closed form, many sets of parts, and filtering against pymoo."""

from dataclasses import dataclass

import numpy as np
import pytest
from pymoo.problems.multi import BNH
from pymoo.util.nds.non_dominated_sorting import NonDominatedSorting

from tradestudy.search import epsilon_constraint
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


@pytest.mark.parametrize("name", FRONTS)
def test_textbook_fronts(name):
    problem, closed, cheapest, best = FRONTS[name]
    posed = problem()
    line = epsilon_constraint.front_points({name: posed.ends()}, posed.solve, 25)
    first, second = np.array([(point.cost, -point.gain) for point in line]).T
    assert len(line) == 25
    # Tolerance 1e-5 of the objectives' ranges: SLSQP to 1e-12 of objectives of order one, limits met to 1e-6 of their
    # scale.
    ranges = np.abs(np.subtract(best, cheapest))
    assert (first[0], second[0]) == pytest.approx(cheapest, abs=1e-5 * ranges.max())
    assert (first[-1], second[-1]) == pytest.approx(best, abs=1e-5 * ranges.max())
    assert np.abs(second - closed(first)) / ranges[1] == pytest.approx(0, abs=1e-5)
    # evenly spaced in the first objective, to the same digits
    assert np.ptp(np.diff(first)) < 1e-4 * np.mean(np.diff(first))


def test_binh_and_korn_is_the_problem_that_pymoo_has(random):
    """Compare the problem and its closed front with those of another library."""
    x = random.random((40, 2)) * [5, 3]
    other = BNH().evaluate(x, return_values_of=["F", "G"])
    posed = binh_korn()
    ours = np.array([[each(point)[0] for each in posed.objectives] for point in x])
    assert ours == pytest.approx(other[0], rel=1e-12)
    assert [[limit(point)[0] >= 0 for limit in posed.limits] for point in x] == (other[1] <= 0).tolist()
    first, second = BNH().pareto_front(100).T
    assert binh_korn_front(first) == pytest.approx(second, abs=1e-9)


def shifted(along, up):
    """Return a set of parts whose gain is a parabola of its cost, best ``up`` at ``along``.

    The least cost is 1 less.
    """

    def gain(cost):
        return up - (np.minimum(cost, along) - along) ** 2

    return gain, Ends(FrontPoint(up, along, along), FrontPoint(gain(along - 1), along - 1, along - 1))


@pytest.mark.parametrize("points", [8, 25, 60])
def test_front_across_choices_is_their_envelope(random, points):
    """Compare with the envelope on the same levels, without use of bounds.

    No set of parts is searched where its last result already decided.
    """
    for _ in range(20):
        known = {key: shifted(*pair) for key, pair in enumerate(random.random((6, 2)) * [4, 2])}
        asked = []

        def solve(asks, asked=asked, known=known):
            asked.extend(asks)
            return [FrontPoint(float(known[ask.key][0](ask.level)), ask.level, None) for ask in asks]

        ends = {key: ends for key, (_, ends) in known.items()}
        line = epsilon_constraint.front_points(ends, solve, points)
        for point in line:
            reached = [gain(point.cost) for gain, pair in known.values() if pair.least.cost <= point.cost + 1e-12]
            assert point.gain == pytest.approx(max(reached), abs=1e-9)
        every = [end for pair in ends.values() for end in pair]
        assert line[0].cost == min(end.cost for end in every)
        assert line[-1].gain == max(end.gain for end in every)
        assert len(asked) < 0.5 * points * len(known)


def test_levels_skip_what_no_choice_reaches():
    """Check two sets of parts far apart in cost: all points are on either, in proportion to their ranges."""
    ends = [shifted(2.0, 1.0)[1], shifted(9.0, 3.0)[1]]
    spans = epsilon_constraint.cost_intervals(ends)
    assert spans == [(1.0, 2.0), (8.0, 9.0)]
    levels = epsilon_constraint.levels(spans, 12)
    assert levels == pytest.approx([1, 1.2, 1.4, 1.6, 1.8, 2, 8, 8.2, 8.4, 8.6, 8.8, 9])


def test_intervals_that_touch_are_one():
    assert epsilon_constraint.cost_intervals([shifted(2.0, 1.0)[1], shifted(3.0, 3.0)[1]]) == [(1.0, 3.0)]


def test_search_that_finds_nothing_leaves_the_known_end():
    ends = {"a": shifted(2.0, 1.0)[1]}
    line = epsilon_constraint.front_points(ends, lambda asks: [None] * len(asks), 10)
    assert [(point.cost, point.gain) for point in line] == [(1.0, 0.0), (2.0, 1.0)]
    assert epsilon_constraint.front_points({}, lambda asks: [], 10) == []


@pytest.mark.parametrize("whole", [False, True])
def test_non_dominated_agrees_with_pymoo(random, whole):
    for _ in range(50):
        points = random.integers(1, 8, (30, 2)).astype(float) if whole else random.random((30, 2))
        first = NonDominatedSorting().do(points * [1, -1], only_non_dominated_front=True)
        kept = epsilon_constraint.non_dominated([FrontPoint(gain, cost, None) for cost, gain in points])
        assert {(point.cost, point.gain) for point in kept} == {tuple(points[i]) for i in first}


def test_spread_out_keeps_ends_and_order():
    line = [FrontPoint(10.0 + step, 1 + 1e-3 * step, step) for step in range(9)] + [FrontPoint(30.0, 1.5, 9)]
    kept = epsilon_constraint.spread_out(line, 2.5e-3)
    assert [point.solution for point in kept] == [0, 3, 6, 9]


def test_knee_is_farthest_from_the_chord():
    """Check that a quarter circle has its knee at 45 degrees, in any units. A straight or sagging line has none."""
    angle = np.linspace(0, np.pi / 2, 9)
    assert epsilon_constraint.knee(7 - 3 * np.cos(angle), 1e5 * np.sin(angle)) == 4
    assert epsilon_constraint.knee([0, 1, 2], [0, 1, 2]) is None
    assert epsilon_constraint.knee([0, 1, 2], [0, 0.5, 2]) is None
    assert epsilon_constraint.knee([0, 1], [0, 1]) is None
