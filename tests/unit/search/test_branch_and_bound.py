"""Relaxed rods: the upper bound with which branches stay unsearched, with diameter and number of rods as variables."""

from dataclasses import replace

import numpy as np
import pytest
from helpers.wings.turnstone import space_with_known_results

from tradestudy.search import branch_and_bound, optimum
from tradestudy.search.branch_and_bound import Ranking
from tradestudy.search.search_space import starting_points
from tradestudy.search.search_task import SearchTask

ENDS = {"rod_diameter": (0.002, 0.003), "rod_pairs": (1.0, 2.0)}


def of_propellers(gain):
    """Return a gain function that depends on the propeller alone."""
    return lambda choice, variables: gain[choice.propeller]


def test_a_bound_is_searched_with_rods_free_between_the_ends_of_the_branch(turnstone_space):
    """Check that relaxed rods start from the middle of their ranges, near the stock wing first.

    Lower branches are also searched from the far start.
    """
    space = space_with_known_results(turnstone_space, of_propellers({"8x5": 50e3, "8x6": 40e3}))
    ranking = Ranking(space)
    ranking.best(4)
    relaxed = [task for task in space.engine.tasks if task.relaxed]
    assert [(task.choice.propeller, task.relaxed) for task in relaxed] == [("8x5", ENDS), ("8x6", ENDS), ("8x6", ENDS)]
    near, far = starting_points(space)
    middle = {"rod_diameter": 0.0025, "rod_pairs": 1.5}
    assert [task.starts for task in relaxed] == [[near | middle], [near | middle], [far | middle]]
    # four sets of parts with the other propeller were never searched; their upper bounds are reported
    assert {choice.propeller for choice in ranking.left_out} == {"8x6"} and len(ranking.left_out) == 4
    assert set(ranking.left_out.values()) == {40e3 + space.engine.RELAXED}
    assert not any(task.choice.propeller == "8x6" for task in space.engine.tasks if not task.relaxed)


def test_a_branch_is_searched_where_its_bound_may_win(turnstone_space):
    """Check that a bound no better than the fourth best excludes a branch, and one that reaches it does not."""
    for behind, left in ((499.0, 0), (501.0, 4)):
        space = space_with_known_results(turnstone_space, of_propellers({"8x5": 50e3, "8x6": 50e3 - behind - 5.0}))
        ranking = Ranking(space)
        ranking.best(4)
        assert len(ranking.left_out) == left, behind  # 5 m: a bound is raised by 1e-4 of itself


def test_a_pack_at_the_end_of_its_own_bay_is_tried_in_the_stock_wings_bay(turnstone_space, monkeypatch):
    """Check that the wing with the stock wing's bay wins where it gains more, and that a free pack stays."""
    methods = {name: getattr(Ranking, name) for name in ("_searched", "_twice_searched")}
    for end, tried in (("pack_aft", True), ("pack_forward", True), ("climb", False)):
        space = space_with_known_results(turnstone_space, lambda choice, _: 60e3 if choice.raised_lid else 50e3)
        held = replace(space.choices[0], raised_lid=0.003)  # stands for the same parts in another bay
        monkeypatch.setattr(branch_and_bound, "in_stock_bay", lambda space, choice, held=held: held)

        def ending(results, name):
            return lambda *given: [replace(each, margins={name: np.zeros(1)}) for each in results(*given)]

        for seen_in in methods:  # after the first search, or only after the second
            with monkeypatch.context() as patched:
                for name, results in methods.items():
                    patched.setattr(Ranking, name, ending(results, end if name == seen_in else "climb"))
                best = Ranking(space).complete()[0]
            assert (best.choice == held) is tried, (end, seen_in)
        assert held not in space.choices  # the space is as it was


@pytest.fixture(scope="module")
def poses(turnstone_space):
    """Return a problem with relaxed rods at the rods of a set of parts, and the problem and point of that set
    itself."""
    space = turnstone_space
    choices = [choice for choice in space.choices if choice.propeller == "8x5"]
    relaxed = optimum.ScaledProblem(space, choices[0], relaxed=ENDS)
    relaxed.allowed = np.inf
    return relaxed, [(choice, optimum.ScaledProblem(space, choice)) for choice in choices]


def test_relaxed_rods_are_free_and_pass_through_every_choice(poses, turnstone_space):
    relaxed, each = poses
    assert set(relaxed.free) == {*each[0][1].free, "rod_diameter", "rod_pairs"} and len(each) == 4
    at = starting_points(turnstone_space)[0]
    seen = []
    for choice, own in each:
        rods = {"rod_diameter": choice.rod_diameter, "rod_pairs": float(choice.rod_pairs)}
        here, there = relaxed.scaled(at | rods), own.scaled(at)
        seen.append(own.objective(there))
        # the same numbers in the same model
        assert relaxed.objective(here) == pytest.approx(seen[-1], rel=1e-12)
        np.testing.assert_allclose(relaxed.margins(here), own.margins(there), rtol=1e-10, atol=1e-12)
    assert len(np.unique(np.round(seen, 9))) == 4  # the rods change the weight


def test_slopes_along_relaxed_rods(poses, turnstone_space):
    """Compare with central differences over a ten-thousandth of the range. Curvature has an effect of a millionth."""
    relaxed, _ = poses
    point = relaxed.scaled(starting_points(turnstone_space)[0] | {"rod_diameter": 0.0024, "rod_pairs": 1.3})
    margins, gain = relaxed.margin_slopes(point), relaxed.objective_slope(point)
    for name in ENDS:
        column, move = relaxed.free.index(name), 1e-4 * (np.array(relaxed.free) == name)
        ahead, behind = relaxed.margins(point + move), relaxed.margins(point - move)
        np.testing.assert_allclose(margins[:, column], (ahead - behind) / 2e-4, rtol=1e-4, atol=1e-6)
        assert gain[column] == pytest.approx(
            (relaxed.objective(point + move) - relaxed.objective(point - move)) / 2e-4, rel=1e-4
        )
        assert abs(gain[column]) > 1e-4 and np.abs(margins[:, column]).max() > 1e-2


def test_a_search_with_relaxed_rods_gains_no_less_than_any_of_the_branch(turnstone_space):
    """Check the weakest and heaviest rods of the branch, each searched.

    The relaxed search ends elsewhere than it began.
    """
    space = turnstone_space
    choices = [choice for choice in space.choices if choice.propeller == "8x5"]
    start = starting_points(space)[0]
    bound = optimum.search_result(
        space, SearchTask("solve", choices[0], [start | {"rod_diameter": 0.0025, "rod_pairs": 1.5}], relaxed=ENDS)
    )
    ends = [optimum.search_result(space, SearchTask("solve", choice, [start])) for choice in (choices[0], choices[-1])]
    assert bound.feasible and any(end.feasible for end in ends)
    # tolerance 1e-5: accuracy of a search
    assert all(end.gain <= bound.gain * (1 + 1e-5) for end in ends if end.feasible)
    assert abs(bound.variables["rod_diameter"] - 0.0025) + abs(bound.variables["rod_pairs"] - 1.5) > 0.01
