"""Fronts by epsilon-constraint: textbook fronts in closed form, many sets of parts, and filtering against pymoo."""

import numpy as np
import pytest
from helpers.references.textbook_fronts import FRONTS, binh_korn, binh_korn_front
from pymoo.problems.multi import BNH
from pymoo.util.nds.non_dominated_sorting import NonDominatedSorting

from tradestudy.search import epsilon_constraint
from tradestudy.search.epsilon_constraint import Ends, FrontPoint


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


def test_the_most_promising_choices_are_solved_first():
    """Check that of three rounds of choices one is solved, if the first reaches more than the bounds of the others."""
    at_once = epsilon_constraint._CHOICES_AT_ONCE
    bounds = dict(enumerate(range(10, 10 + 3 * at_once)))  # gain at the last level; all cost too much now
    last = {key: FrontPoint(float(bound), 2.0, None) for key, bound in bounds.items()}
    ends = {key: Ends(point, FrontPoint(0.0, 0.5, None)) for key, point in last.items()}
    asked = []

    def solve(asks):
        asked.extend(ask.key for ask in asks)
        return [FrontPoint(bounds[ask.key] - 0.5, 1.0, None) for ask in asks]

    assert epsilon_constraint._best_at(1.0, ends, last, solve).gain == max(bounds.values()) - 0.5
    assert sorted(asked) == list(bounds)[-at_once:]


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
    assert epsilon_constraint.knee([2, 2, 2], [0, 1, 2]) is None  # all cost the same, or gain the same
    assert epsilon_constraint.knee([0, 1, 2], [2, 2, 2]) is None
