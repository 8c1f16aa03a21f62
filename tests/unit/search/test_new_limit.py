"""A new limit: with one entry in the declarations, every room uses it."""

from dataclasses import replace

import pytest

from tradestudy.aircraft.assessment.full_design import assess_design
from tradestudy.aircraft.model.choices import Choice
from tradestudy.quantities.limits import AT_LEAST, LIMITS, FixedBound, LimitDeclaration, Step
from tradestudy.report.words.phrases import limit_words
from tradestudy.search import optimum
from tradestudy.search import search_space as spaces
from tradestudy.search.infeasible import conflicts
from tradestudy.search.limit_prices import prices

ONE = Choice(4, 2, 0.003, 2, "9x6")
HEAVIER = 0.06  # kg above the best weight without the limit


@pytest.fixture(scope="module")
def study(godwit_study):
    lists = godwit_study.choices.model_copy(
        update={"parallel": (2,), "rod_pairs": (2,), "rod_diameter": (0.003,), "propeller": ("9x6",)}
    )
    return replace(godwit_study, choices=lists)


@pytest.fixture(scope="module")
def free(study, godwit_anchor):
    """Return the best wing without a limit on least weight."""
    space = spaces.search_space(study, godwit_anchor)
    return optimum.solve(space, ONE, [spaces.starting_points(space)[0]])


@pytest.fixture
def declared(free, monkeypatch):
    """Declare a limit on least weight."""
    entry = LimitDeclaration(
        "class_weight",
        "weight for its class",
        "all_up_mass",
        AT_LEAST,
        FixedBound(free.all_up_mass + HEAVIER, "rules of the class"),
        Step(0.01, "10 g less for the class"),
        conflict="weight by the rules",
    )
    monkeypatch.setitem(LIMITS, entry.name, entry)
    return entry


def test_one_entry_makes_a_limit(study, godwit_anchor, free, declared):
    assert free.feasible and declared.name not in free.margins
    space = spaces.search_space(study, godwit_anchor)
    limit = space.limits(ONE)[-1]
    assert (limit.name, limit.bound, limit.scale) == ("class_weight", *[free.all_up_mass + HEAVIER] * 2)

    best = optimum.solve(space, ONE, [free.variables])
    assert best.feasible and best.all_up_mass == pytest.approx(limit.bound, rel=1e-4)  # the search meets it
    assert "class_weight" in optimum.active_limits(space, best)

    row = next(row for row in prices(space, best, lambda choices: {}).slack if row.limit == "class_weight")
    assert row.words == "10 g less for the class" and row.gain > 0

    wing = assess_design(study, space.data(ONE), ONE, best.variables, "best", space.limits(ONE))
    state = wing.limits[-1]
    assert (state.name, state.words, state.unit, state.side) == (
        "class_weight",
        "weight for its class",
        "g",
        "at least",
    )
    assert state.bound == pytest.approx(1e3 * limit.bound) and state.origin == "rules of the class" and state.active
    assert limit_words("class_weight", wing) == "weight for its class"


def test_one_entry_can_conflict(study, godwit_anchor, free, declared):
    most = study.limits.model_copy(update={"flying_weight": declared.bound.bound - 0.02})
    space = spaces.search_space(replace(study, limits=most), godwit_anchor)
    found = conflicts.conflict(space, [optimum.closest_to_feasible(space, free)])
    lines, enough = found.lines, found.one_suffices
    least = 1e3 * declared.bound.bound
    assert enough and lines[0] == (
        f"flying weight at most {least - 20:.4g} g and weight by the rules at least {least:.4g} g cannot both hold, "
        "even with every other limit dropped"
    )
    assert lines[2].startswith("letting the weight by the rules go to ") and lines[2].endswith(" g would do")
