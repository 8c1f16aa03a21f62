"""What a limit costs, compared with a study that never had it."""

from dataclasses import replace

import pytest
from helpers.places import GODWIT, STUDIES

from tradestudy.search import optimum
from tradestudy.search.engines.progress import no_progress
from tradestudy.search.search_space import search_space, starting_points
from tradestudy.search.without_limits import whose_bound, without_limits
from tradestudy.study.reader import read_study

pytestmark = pytest.mark.thorough

CAP = 2.50  # kg: stops the best wing


@pytest.fixture(scope="module")
def capped(godwit_study, godwit_anchor):
    """Return the Godwit's search space with one set of parts and a limit on flying weight that stops it.

    The tips may stall early, which otherwise stops it first.
    """
    bays = tuple(bay.model_copy(update={"cut_to_pack": False}) for bay in godwit_study.bay)
    lists = godwit_study.choices.model_copy(
        update={"parallel": (4,), "rod_pairs": (2, 3), "rod_diameter": (0.003,), "propeller": ("10x6",)}
    )
    limits = godwit_study.limits.model_copy(update={"flying_weight": CAP, "tips_left": 0.0})
    return search_space(replace(godwit_study, choices=lists, bay=bays, limits=limits), godwit_anchor)


@pytest.fixture(scope="module")
def best(capped):
    """Return the best result of every choice of the capped space, best first."""
    results = [optimum.solve(capped, choice, starting_points(capped)) for choice in capped.choices]
    return sorted(results, key=lambda each: (each.feasible, each.gain), reverse=True)


@pytest.fixture(scope="module")
def found(capped, best):
    return {each.names: each for each in without_limits(capped, best[0], best, no_progress)}


def test_the_limit_on_weight_costs_what_a_study_without_it_gains(capped, best, found):
    free = replace(capped.study, limits=capped.study.limits.model_copy(update={"flying_weight": None}))
    unlimited = search_space(free, capped.anchor)
    expected = max(
        (optimum.solve(unlimited, choice, [best[0].variables]) for choice in unlimited.choices),
        key=lambda each: (each.feasible, each.gain),
    )
    answer = found[("flying_weight",)].result
    assert answer.feasible
    assert answer.gain == pytest.approx(expected.gain, rel=1e-4)
    assert answer.gain > 1.0002 * best[0].gain
    assert answer.all_up_mass > CAP + 0.003


def test_no_rule_is_worth_less_than_nothing(best, found):
    assert found and best[0].feasible
    for each in found.values():
        assert each.result.gain >= best[0].gain * (1 - 1e-5)


def test_the_margin_moves_to_that_of_practice(found):
    moved = found.get(("smallest_static_margin",))
    if moved is None:
        pytest.fail("the demo's margin of 5 % is expected to stop it")
    assert moved.moved_to == pytest.approx(0.04)
    assert moved.result.variables["static_margin"] >= 0.04 - 1e-9


def test_the_space_itself_is_not_changed(capped):
    assert capped.let_go == () and capped.moved_bounds == {}
    assert any(limit.name == "flying_weight" for limit in capped.limits(capped.choices[0]))


def test_the_record_tells_the_answers_apart(capped):
    from tradestudy.search.search_task import SearchTask

    task = SearchTask("solve", capped.choices[0], [])
    changed = [
        capped,
        replace(capped, let_go=("climb",)),
        replace(capped, let_go=("flying_weight",)),
        replace(capped, moved_bounds={"static_margin": (0.04, 0.15)}),
        replace(capped, required_margins={"climb": 0.1}),
    ]
    keys = [repr(space.key(task)) for space in changed]
    assert len(set(keys)) == len(keys)


def test_whose_a_bound_is():
    """Check bounds that a study holds, and bounds that it leaves to the stock wing or to practice."""
    small = read_study(STUDIES / "lapwing.toml")
    least, slowest = ("smallest_static_margin",), ("smallest_cruise_speed",)
    assert whose_bound(small, 0.06, least) == "your stock wing" and whose_bound(small, 0.03, least) == "practice"
    assert whose_bound(small, 0.06, ("largest_static_margin",)) == whose_bound(small, 0.06, slowest) == "practice"
    assert whose_bound(small, 0.06, ("largest_span",)) == "you" and whose_bound(small, 0.06, ("climb",)) == ""
    assert whose_bound(read_study(GODWIT), 0.06, least) == "you"  # [limits] holds static_margin
