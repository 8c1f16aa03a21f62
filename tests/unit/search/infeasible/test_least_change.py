"""The search for the least change of a study's keys: what the least value of a variable adds to it."""

from dataclasses import replace

import numpy as np
import pytest

from tradestudy.aircraft.model.choices import Choice
from tradestudy.search.infeasible import least_change
from tradestudy.search.search_space import search_space

ONE = Choice(4, 2, 0.003, 2, "10x6")


def test_a_third_of_static_margin_costs_as_much_as_a_margin_of_one(godwit_study, godwit_anchor, monkeypatch):
    """Check the last margin of the search: static margin less the study's least 0.05, over 0.33, with its slopes."""
    lists = godwit_study.choices.model_copy(
        update={"parallel": (2,), "rod_pairs": (2,), "rod_diameter": (0.003,), "propeller": ("10x6",)}
    )
    space = search_space(replace(godwit_study, choices=lists), godwit_anchor)
    asked = {}

    def noted(problem, start, **functions):
        asked.update(functions)
        return start

    monkeypatch.setattr(least_change, "end_of_search", noted)
    problem = least_change.change_problem(space, ONE)
    middle, place = np.full(len(problem.free), 0.5), problem.free.index("static_margin")
    least_change.least_change(problem, middle)
    count = len(asked["bounds"]) - len(middle)  # a slack of each key
    low, high = problem.bounds["static_margin"]
    assert low < 0.05 < high
    for share in (0.25, 0.75):
        point = np.append(np.where(np.arange(len(middle)) == place, share, 0.5), np.zeros(count))
        assert asked["margins"](point)[-1] == pytest.approx((low + share * (high - low) - 0.05) / 0.33, rel=1e-12)
        along = np.append(np.where(np.arange(len(middle)) == place, (high - low) / 0.33, 0.0), np.zeros(count))
        slopes = asked["margin_slopes"](point)[-1]
        assert slopes[: len(middle)] == pytest.approx(along[: len(middle)], rel=1e-12)
        assert sorted(slopes[len(middle) :]) == [0.0] * (count - 1) + [1.0]  # its own key's slack makes up for it
