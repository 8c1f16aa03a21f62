"""Fronts of several quantities: published problems with known fronts, brute force, and pymoo's sorting and problems."""

import itertools
import math

import numpy as np
import pytest
from helpers.references.textbook_fronts import FRONTS
from pymoo.problems.many import DTLZ2
from pymoo.util.nds.non_dominated_sorting import NonDominatedSorting

from tradestudy.search import epsilon_constraint
from tradestudy.search.builds.many_levels import (
    CostedPoint,
    costed_front,
    distinct_points,
    falling_levels,
    many_knee,
    non_dominated_points,
)
from tradestudy.search.optimum import slsqp_minimum

STEP = 1e-30  # of the complex-step slopes


def dtlz2(x):
    """Return the three objectives of DTLZ2, to minimise, for x (n,) in 0..1; safe for complex numbers.

    Source: K. Deb, L. Thiele, M. Laumanns and E. Zitzler, Congress on Evolutionary Computation, 2002 (from memory).
    Its front is the octant of the unit sphere.
    """
    far = 1 + ((x[2:] - 0.5) ** 2).sum()
    first, second = 0.5 * np.pi * x[0], 0.5 * np.pi * x[1]
    return far * np.array([np.cos(first) * np.cos(second), np.cos(first) * np.sin(second), np.sin(first)])


def slopes_of(function, x):
    """Return the slopes (m, n) of a function of x (n,) by complex steps."""
    return np.stack([np.imag(function(x + 1j * STEP * unit)) / STEP for unit in np.eye(len(x))], axis=-1)


def least(weights, start, held=()):
    """Return the point of least weighted sum of the objectives of DTLZ2. ``held`` has (objective, level) pairs."""

    def margins(x):
        return np.array([level - dtlz2(x)[which] for which, level in held])

    end = slsqp_minimum(
        lambda x: float(np.dot(weights, dtlz2(x))),
        lambda x: weights @ slopes_of(dtlz2, x),
        np.asarray(start, float),
        [(0, 1)] * len(start),
        margins if held else None,
        (lambda x: -slopes_of(dtlz2, x)[[which for which, _ in held]]) if held else None,
        1e-12,
        100,
    )
    x = np.clip(end, 0, 1)
    return x if not held or margins(x).min() > -1e-7 else None


def pointed(x):
    first, second, third = dtlz2(x).tolist()
    return CostedPoint(-third, (first, second), x)


def in_two_steps(start, held):
    """Return the point of least third objective within levels; among equal ones, that of least first and second."""
    x = least(np.array([0.0, 0.0, 1.0]), start, held)
    if x is None:
        return None
    bounded = [*held, (2, float(dtlz2(x)[2]) + 1e-9)]
    refined = least(np.array([1.0, 1.0, 1e-3]), x, bounded)
    return pointed(x if refined is None else refined)


def test_dtlz2_is_the_problem_that_pymoo_has(random):
    x = random.random((20, 7))
    ours = np.array([dtlz2(each) for each in x])
    assert ours == pytest.approx(DTLZ2(n_var=7, n_obj=3).evaluate(x), rel=1e-12)


def test_front_of_dtlz2_is_the_octant_of_the_unit_sphere():
    """Check that every point lies on the sphere, and that every combination of levels has its best point.

    Tolerance 1e-5: searches end within 1e-9 in the objective, and meet levels to 1e-7.
    """
    start = np.array([0.9, 0.5, 0.2, 0.8, 0.6, 0.1, 0.5])
    corners = [in_two_steps(start, ())]
    corners += [pointed(least(np.array(weights), start)) for weights in ((1.0, 0.01, 0.02), (0.01, 1.0, 0.02))]
    even = np.linspace(1, 0.1, 5).tolist()  # at zero all slopes vanish, and no search finds its way along the edge

    def solve(tasks):
        held = [[(axis, level) for axis, level in enumerate(task.levels) if level < math.inf] for task in tasks]
        # slopes vanish at the corners, so that a search from there may find no way inward
        starts = [[*(one.solution for one in task.starts), start] for task in tasks]
        found = [[in_two_steps(x, each) for x in tried] for tried, each in zip(starts, held, strict=True)]
        return [max(filter(None, each), key=lambda point: point.gain, default=None) for each in found]

    line = costed_front({"sphere": corners}, solve, [[math.inf, *even], [math.inf, *even]])
    values = np.array([(*point.costs, -point.gain) for point in line])
    assert np.hypot.reduce(values, axis=1) == pytest.approx(1.0, abs=1e-5)
    for first, second in itertools.product(even, even):
        if first**2 + second**2 <= 1:
            inside = (values[:, 0] <= first + 1e-6) & (values[:, 1] <= second + 1e-6)
            assert values[inside, 2].min() == pytest.approx(math.sqrt(1 - first**2 - second**2), abs=1e-5)
    assert len(NonDominatedSorting().do(values, only_non_dominated_front=True)) == len(values) >= 11


@pytest.mark.parametrize("name", FRONTS)
def test_front_of_two_objectives_is_that_of_the_textbook(name):
    """Compare with the fronts in closed form of the problems in `textbook_fronts`, as the method for one cost does."""
    problem, closed, cheapest, best = FRONTS[name]
    posed = problem()
    known = {name: [CostedPoint(end.gain, (end.cost,), end.solution) for end in posed.ends()]}
    even = np.linspace(best[0], cheapest[0], 9).tolist()

    def solve(tasks):
        found = [posed.least(1, task.levels[0], task.starts[0].solution) for task in tasks]
        return [one and CostedPoint(one.gain, (one.cost,), one.solution) for one in found]

    line = costed_front(known, solve, [[math.inf, *even]])
    first, second = np.array([(point.costs[0], -point.gain) for point in line]).T
    ranges = np.abs(np.subtract(best, cheapest))
    assert len(line) >= 9 and np.abs(second - closed(first)) / ranges[1] == pytest.approx(0, abs=1e-5)
    assert (first.min(), first.max()) == pytest.approx((cheapest[0], best[0]), abs=1e-5 * ranges[0])


def bowl(ends, up):
    """Return a choice whose gain is ``up`` less the squared distance of two costs to its best ones, and its points."""
    best = np.array(ends)

    def gain(levels):
        costs = np.minimum(best, levels)
        return (up - float(((best - costs) ** 2).sum()), tuple(costs.tolist())) if min(costs - best) >= -1 else None

    known = [CostedPoint(up, tuple(ends), None)]
    known += [CostedPoint(*gain(best - axis), None) for axis in np.eye(2)]
    return gain, known


def test_front_across_choices_is_their_best_at_every_node(random):
    """Compare with brute force over all choices and levels. Bounds must leave out some of the searches."""
    for _ in range(20):
        made = {key: bowl(random.random(2) * 3, float(random.random() * 2)) for key in range(6)}
        known, asked = {key: points for key, (_, points) in made.items()}, []

        def solve(tasks, made=made, asked=asked):
            asked.extend(tasks)
            found = [made[task.key][0](np.array(task.levels)) for task in tasks]
            return [one and CostedPoint(*one, None) for one in found]

        falling = [falling_levels(known, axis, 5) for axis in (0, 1)]
        line = costed_front(known, solve, falling)
        nodes = list(itertools.product(*falling))
        for node in nodes:
            every = [one[0] for gain, _ in made.values() if (one := gain(np.array(node)))]
            reached = [
                one.gain
                for one in line
                if all(cost <= level + 1e-12 for cost, level in zip(one.costs, node, strict=True))
            ]
            assert max(reached, default=-9.0) == pytest.approx(max(every, default=-9.0), abs=1e-6)
        assert len(asked) < 0.5 * len(nodes) * len(made)


def test_search_that_finds_nothing_leaves_the_known_points():
    _, known = bowl((1.0, 2.0), 1.0)
    line = costed_front({"a": known}, lambda tasks: [None] * len(tasks), [[math.inf, 1.0, 0.0], [math.inf, 2.0, 1.0]])
    assert line == [known[0], *sorted(known[1:], key=lambda one: -one.gain)]


@pytest.mark.parametrize("whole", [False, True])
def test_non_dominated_points_agree_with_pymoo(random, whole):
    for _ in range(30):
        values = random.integers(1, 6, (40, 3)).astype(float) if whole else random.random((40, 3))
        first = NonDominatedSorting().do(values * [-1, 1, 1], only_non_dominated_front=True)
        kept = non_dominated_points([CostedPoint(row[0], (row[1], row[2]), None) for row in values.tolist()])
        assert {(one.gain, *one.costs) for one in kept} == {tuple(values[place]) for place in first}
        assert len({(one.gain, *one.costs) for one in kept}) == len(kept)
    assert non_dominated_points([]) == []


def test_levels_cover_what_each_choice_can_cost():
    known = {
        "near": [CostedPoint(2.0, (3.0,), None), CostedPoint(1.0, (2.0,), None)],
        "far": [CostedPoint(3.0, (9.0,), None)],
    }
    assert falling_levels(known, 0, 4) == [math.inf, 9.0, 3.0, 2.5, 2.0]


def test_knee_of_the_sphere_lies_in_its_middle():
    """Check it on a grid over the octant; a hollow front has none. With two quantities it is as for those."""
    angles = np.linspace(0, np.pi / 2, 9)
    points = [
        CostedPoint(math.sin(up), (-math.cos(up) * math.cos(side), -math.cos(up) * math.sin(side)), None)
        for up, side in itertools.product(angles, angles)
    ]
    middle = points[many_knee(points)]
    assert [middle.gain, *(-cost for cost in middle.costs)] == pytest.approx([3**-0.5] * 3, abs=0.06)  # 11 degrees
    hollow = [CostedPoint(-point.gain, tuple(-cost for cost in point.costs), None) for point in points]
    assert many_knee(hollow) is None
    costs, gains = 7 - 3 * np.cos(angles), 1e5 * np.sin(angles)
    line = [CostedPoint(gain, (cost,), None) for gain, cost in zip(gains, costs, strict=True)]
    assert many_knee(line) == epsilon_constraint.knee(costs, gains) == 4
    assert many_knee(line[:2]) is None and many_knee([]) is None


def test_nearly_equal_points_are_one_and_the_best_ones_stay():
    line = [CostedPoint(1.0 - 1e-3 * place, (10.0 - 0.01 * place, 5.0), place) for place in range(3)]
    line.append(CostedPoint(0.2, (1.0, 5.0), 3))
    assert [one.solution for one in distinct_points(line, 0.01)] == [0, 3]
    assert distinct_points([], 0.01) == []
