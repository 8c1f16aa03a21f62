"""Prices of limits, compared with solving again with each limit a little wider and a little narrower."""

from dataclasses import replace

import numpy as np
import pytest
from invented_result import sample_result

from tradestudy.aircraft.model.choices import Choice
from tradestudy.report.words.limit_prices import NOTHING, slack_heads, slack_rows, slack_words
from tradestudy.search import optimum
from tradestudy.search import search_space as spaces
from tradestudy.search.limit_prices import ActiveElement, FirstOrder, least_price, prices, step_of

SLOW, CAP = 9.9, 2.1015  # m/s, kg: limits that can just be met
BIG, SMALL, STIFFER = Choice(4, 4, 0.003, 2, "10x6"), Choice(4, 2, 0.003, 1, "10x6"), Choice(4, 2, 0.003, 2, "10x6")


@pytest.fixture(scope="module")
def study(godwit_study, godwit_anchor):
    """Return the Godwit with these parts only, and its limit on bending written as a number."""
    lists = godwit_study.choices.model_copy(
        update={"parallel": (2, 4), "rod_pairs": (1, 2), "rod_diameter": (0.003,), "propeller": ("10x6",)}
    )
    space = spaces.search_space(replace(godwit_study, choices=lists), godwit_anchor)
    bend = next(limit.bound for limit in space.limits(BIG) if limit.name == "tip_deflection")
    return with_limit(space.study, "limits", "tip_deflection", bend)


@pytest.fixture(scope="module")
def space(study, godwit_anchor):
    return spaces.search_space(study, godwit_anchor)


@pytest.fixture(scope="module")
def answers(space):
    return {
        choice: optimum.solve(space, choice, [spaces.starting_points(space)[0]]) for choice in (BIG, SMALL, STIFFER)
    }


def with_limit(study, table, name, value):
    """Return the study with one value replaced [SI]."""
    return replace(study, **{table: getattr(study, table).model_copy(update={name: value})})


def solved_again(study, anchor, answer, table, name, moved, side=0.1):
    """Return the gain for a step of one limit [km], from two searches a small share of a step to either side."""
    gains = []
    for share in (-side, side):
        wider = spaces.search_space(with_limit(study, table, name, moved(share)), anchor)
        found = optimum.solve(wider, answer.choice, [answer.variables])
        assert found.feasible
        gains.append(found.gain)
    return 1e-3 * (gains[1] - gains[0]) / (2 * side)


def priced(space, answer):
    return {row.limit: row.gain for row in prices(space, answer, lambda choices: {}).slack}


@pytest.mark.parametrize("choice", [BIG, SMALL])
def test_bend_and_margin_have_the_price_that_solving_again_gives(choice, study, space, answers):
    answer, bend = answers[choice], study.limits.tip_deflection
    told = priced(space, answer)
    assert set(told) == {"tip_deflection", "smallest_static_margin"}
    # tolerance 1 %: a search ends within 0.1 m of the maximum, and differences are 20 to 100 m
    assert told["tip_deflection"] == pytest.approx(
        solved_again(study, space.anchor, answer, "limits", "tip_deflection", lambda share: bend + 0.001 * share),
        rel=0.01,
    )
    low, high = study.limits.static_margin
    assert told["smallest_static_margin"] == pytest.approx(
        solved_again(study, space.anchor, answer, "limits", "static_margin", lambda share: (low - 0.01 * share, high)),
        rel=0.01,
    )


def test_stall_speed_and_weight_have_the_price_that_solving_again_gives(study, space, answers):
    """Check a wing that bends more and must fly slower, at a weight a little below its best."""
    slow = with_limit(
        with_limit(study, "limits", "tip_deflection", 1.3 * study.limits.tip_deflection), "fly", "launch_speed", SLOW
    )
    slow = with_limit(slow, "limits", "flying_weight", CAP)
    asked = spaces.search_space(slow, space.anchor)
    answer = optimum.solve(asked, BIG, [answers[BIG].variables])
    told = priced(asked, answer)
    assert answer.feasible and {"slowest_flight", "flying_weight"} <= set(told)
    # tolerance 2 %: such a wing can hardly fly, and its prices change quickly with every limit
    assert told["slowest_flight"] == pytest.approx(
        solved_again(slow, space.anchor, answer, "fly", "launch_speed", lambda share: SLOW + share / 3.6, side=0.02),
        rel=0.02,
    )
    assert told["flying_weight"] == pytest.approx(
        solved_again(
            slow, space.anchor, answer, "limits", "flying_weight", lambda share: CAP + 0.01 * share, side=0.02
        ),
        rel=0.02,
    )


def test_place_of_the_equipment_has_the_price_that_solving_again_gives(study, space, answers):
    """Check the wing with the small pack and two rod pairs, limited by the places of pack and autopilot."""
    answer = answers[STIFFER]
    told = priced(space, answer)
    gains = []
    for move in (-0.005, 0.005):
        things = tuple(
            thing.model_copy(update={"may_move": (thing.may_move[0], thing.may_move[1] + move)})
            if thing.may_move
            else thing
            for thing in study.equipment
        )
        wider = spaces.search_space(replace(study, equipment=things), space.anchor)
        gains.append(optimum.solve(wider, STIFFER, [answer.variables]).gain)
    # tolerance 5 %: 7 m of gain, with searches that end within 0.1 m
    assert told["largest_equipment_position"] == pytest.approx(1e-3 * (gains[1] - gains[0]), rel=0.05)


def test_next_part_up_is_reported_as_solved(space, answers):
    """Check from one rod pair to two on the small pack, and from two cells in parallel to four, too heavy for any
    wing."""
    broken = replace(answers[BIG], choice=replace(BIG, rod_pairs=1), feasible=False)
    known = {STIFFER: answers[STIFFER], broken.choice: broken}
    told = {
        row.words: row.gain
        for row in prices(space, answers[SMALL], lambda choices: {choice: known[choice] for choice in choices}).parts
    }
    more = 1e-3 * (answers[STIFFER].gain - answers[SMALL].gain)
    assert told == {
        "rod pairs: 2 instead of 1": pytest.approx(more, abs=1e-6),  # rounded to a millimetre
        "cells in parallel: 4 instead of 2": None,
    }


def test_limits_that_do_the_same_work_buy_nothing_alone():
    """Check max x with x <= 1 twice and y <= 1: one limit on x gains nothing alone, both together gain one per unit."""
    columns = np.array([[-1.0, -1.0, 0.0], [0.0, 0.0, -1.0]])
    found = FirstOrder([ActiveElement(name, 0, None) for name in "aby"], columns, np.array([0.3, 0.7, 2.0]), 1.0, 0.0)
    prices_of = [
        least_price(found, np.array(weights, float))
        for weights in ((1, 0, 0), (0, 1, 0), (1, 1, 0), (0, 0, 1), (2, 2, 1))
    ]
    assert prices_of == pytest.approx([0, 0, 1, 2, 4], abs=1e-9)  # tolerance of a linear programme


def test_slack_in_words():
    result = sample_result()
    assert slack_heads(result)[-1] == "gain in range km"
    assert slack_rows(result) == [
        ("10 mm more bay for the pack", "pack against the front of its bay", "+1.74"),
        ("1 km/h more stall speed", "stall speed against stock", "+0.32"),
        ("rod pairs: 2 instead of 1", "–", "\N{MINUS SIGN}2.20"),
        ("cells in parallel: 3 instead of 2", "–", NOTHING),
    ]
    first, second = slack_words(result)
    assert first.startswith("For the best span, 1517 mm.")
    assert "would change by 31.4 km" in second and "all of that but 0.0042 km" in second
    assert slack_words(sample_result(prices={})) == [] and slack_rows(sample_result(prices={})) == []


def test_every_limit_can_be_given_a_step_that_widens_it(space, answers):
    """Check that every limit that stops a wing has a price: a step in words, and margins that all grow by it."""
    pose = optimum.ScaledProblem(space, BIG)
    x = pose.scaled(answers[BIG].variables)
    slopes, owner = pose.margin_slopes(x), [limit.name for limit in pose.limits for _ in range(pose.size(limit))]
    steps = {limit.name: step_of(pose, limit, answers[BIG]) for limit in pose.limits}
    assert all(words and np.all(widened > 0) for words, widened in steps.values())
    # cruise over stall: 1.25 instead of 1.3 allows slower flight, as the derivative by cruise speed shows, too
    speed, column = answers[BIG].variables["cruise_speed"], pose.free.index("cruise_speed")
    by_speed = slopes[np.array(owner) == "cruise_over_stall", column] / pose.width[column]
    # 1e-4: differences of 10 mm/s against the exact derivative
    assert steps["cruise_over_stall"][1] == pytest.approx(by_speed * speed * (1.3 / 1.25 - 1), rel=1e-4)
