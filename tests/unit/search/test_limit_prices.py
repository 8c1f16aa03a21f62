"""Prices of limits, compared with solving again with each limit a little wider and a little narrower."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from helpers.invented.invented_result import sample_result

from tradestudy.aircraft.model.choices import Choice
from tradestudy.report.words.limit_prices import NOTHING, slack_heads, slack_rows, slack_words
from tradestudy.search import limit_prices as module
from tradestudy.search import optimum
from tradestudy.search import search_space as spaces
from tradestudy.search.limit_prices import ActiveElement, FirstOrder, least_price, prices, step_of

SLOW, CAP = 9.7, 2.57  # m/s, kg: limits that can just be met
BIG, SMALL, STIFFER = Choice(4, 4, 0.003, 3, "10x6"), Choice(4, 2, 0.003, 2, "10x6"), Choice(4, 2, 0.003, 3, "10x6")


@pytest.fixture(scope="module")
def space(godwit_study, godwit_anchor):
    """Return the Godwit with these parts only, all packs in the bay of the stock wing, and tips that may stall early.

    So each limit below stops the wing without another one near it.
    """
    bays = tuple(bay.model_copy(update={"cut_to_pack": False}) for bay in godwit_study.bay)
    lists = godwit_study.choices.model_copy(
        update={"parallel": (2, 4), "rod_pairs": (2, 3), "rod_diameter": (0.003,), "propeller": ("10x6",)}
    )
    limits = godwit_study.limits.model_copy(update={"tips_left": 0.0})
    return spaces.search_space(replace(godwit_study, choices=lists, bay=bays, limits=limits), godwit_anchor)


@pytest.fixture(scope="module")
def answers(space):
    return {
        choice: optimum.solve(space, choice, [spaces.starting_points(space)[0]]) for choice in (BIG, SMALL, STIFFER)
    }


def with_limit(study, table, name, value):
    """Return the study with one value replaced [SI]."""
    return replace(study, **{table: getattr(study, table).model_copy(update={name: value})})


def solved_again(space_of, answer, side=0.1, more_starts=()):
    """Return the gain for a step of one limit [km], from two searches a small share of a step to either side.

    ``space_of(share)`` is the search space with the limit wider by that share of its step.
    """
    gains = []
    for share in (-side, side):
        found = optimum.solve(space_of(share), answer.choice, [answer.variables, *more_starts])
        assert found.feasible
        gains.append(found.gain)
    return 1e-3 * (gains[1] - gains[0]) / (2 * side)


def widened(space, table, name, moved):
    """Return a function for the search space with one value of the study replaced by ``moved(share)`` [SI]."""
    return lambda share: spaces.search_space(with_limit(space.study, table, name, moved(share)), space.anchor)


def equipment_moved(space, step):
    """Return a function for the search space in which equipment may move aft by a share of a step [m] more."""

    def moved(share):
        things = tuple(
            thing.model_copy(update={"may_move": (thing.may_move[0], thing.may_move[1] + share * step)})
            if thing.may_move
            else thing
            for thing in space.study.equipment
        )
        return spaces.search_space(replace(space.study, equipment=things), space.anchor)

    return moved


def priced(space, answer):
    return {row.limit: row.gain for row in prices(space, answer, lambda choices: {}).slack}


@pytest.mark.thorough
@pytest.mark.parametrize("choice", [BIG, SMALL], ids=["big", "small"])
def test_bend_and_margin_have_the_price_that_solving_again_gives(choice, space, answers):
    """Check wings that may bend 8 % less than their best."""
    (limit,) = [limit for limit in space.limits(choice) if limit.name == "tip_deflection"]
    bend = 0.92 * (limit.bound - limit.scale * float(answers[choice].margins["tip_deflection"][0]))
    asked = widened(space, "limits", "tip_deflection", lambda share: bend + 0.001 * share)
    answer = optimum.solve(asked(0), choice, [answers[choice].variables])
    told = priced(asked(0), answer)
    assert answer.feasible and {"tip_deflection", "smallest_static_margin"} <= set(told)
    # tolerance 1 %: a search ends within 0.1 m of the maximum, and differences are 20 to 100 m
    assert told["tip_deflection"] == pytest.approx(solved_again(asked, answer, side=0.05), rel=0.01)
    low, high = space.study.limits.static_margin
    assert told["smallest_static_margin"] == pytest.approx(
        solved_again(widened(asked(0), "limits", "static_margin", lambda share: (low - 0.01 * share, high)), answer),
        rel=0.01,
    )


@pytest.mark.thorough
@pytest.mark.parametrize(
    "name, step, more", [("fits_section", 0.001, 0.02), ("pack_aft", 0.010, 0.02), ("failure_load_factor", 0.1, 0.1)]
)  # steps in the words of each limit: m, m, load factor
def test_room_and_strength_have_the_price_that_solving_again_gives(name, step, more, space, answers):
    """Check a wing that must keep a little more of one scaled margin than its best has."""
    (limit,) = [limit for limit in space.limits(SMALL) if limit.name == name]
    kept = float(answers[SMALL].margins[name].min()) + more

    def asked(share):
        return replace(space, required_margins={name: kept - share * step / limit.scale})

    answer = optimum.solve(asked(0), SMALL, [answers[SMALL].variables])
    told = priced(asked(0), answer)
    assert answer.feasible and name in told
    # tolerance 2 %: differences of a few metres and more, with searches that end within 0.1 m
    assert told[name] == pytest.approx(solved_again(asked, answer, side=0.05), rel=0.02)


def test_stall_speed_and_weight_have_the_price_that_solving_again_gives(space):
    """Check a wing that must fly slower, at a weight a little below its best."""
    slow = with_limit(with_limit(space.study, "fly", "launch_speed", 1.1 * SLOW), "limits", "flying_weight", CAP)
    asked = spaces.search_space(slow, space.anchor)
    answer = optimum.solve(asked, BIG, spaces.starting_points(asked)[:1])
    told = priced(asked, answer)
    assert answer.feasible and {"slowest_flight", "flying_weight"} <= set(told)
    # tolerance 2 %: such a wing can hardly fly, and its prices change quickly with every limit
    stall = widened(asked, "fly", "launch_speed", lambda share: 1.1 * (SLOW + share / 3.6))
    assert told["slowest_flight"] == pytest.approx(solved_again(stall, answer, side=0.02), rel=0.02)
    weight = widened(asked, "limits", "flying_weight", lambda share: CAP + 0.01 * share)
    assert told["flying_weight"] == pytest.approx(solved_again(weight, answer, side=0.02), rel=0.02)


def test_place_of_the_equipment_has_the_price_that_solving_again_gives(space, answers):
    """Check the wing with the big pack, limited by the places of pack and autopilot."""
    answer = answers[BIG]
    told = priced(space, answer)
    # so little is gained that a search from the answer may stop where it starts: another one starts further away
    again = solved_again(equipment_moved(space, 0.010), answer, side=1, more_starts=spaces.starting_points(space)[:1])
    # tolerance 5 %: 6 m of gain, with searches that end within 0.1 m
    assert told["largest_equipment_position"] == pytest.approx(again, rel=0.05)


def test_next_part_up_is_reported_as_solved(space, answers):
    """Check from two rod pairs to three on the small pack, and from two cells in parallel to four, that no wing
    carries."""
    broken = replace(answers[BIG], choice=replace(BIG, rod_pairs=2), feasible=False)
    known = {STIFFER: answers[STIFFER], broken.choice: broken}
    told = {
        row.words: row.gain
        for row in prices(space, answers[SMALL], lambda choices: {choice: known[choice] for choice in choices}).parts
    }
    more = 1e-3 * (answers[STIFFER].gain - answers[SMALL].gain)
    assert told == {
        "rod pairs: 3 instead of 2": pytest.approx(more, abs=1e-6),  # rounded to a millimetre
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
        ("10 mm more bay for the pack", "pack as far forward as it can lie", "+1.74"),
        ("1 km/h more stall speed", "stall speed against stock", "+0.32"),
        ("rod pairs: 2 instead of 1", "–", "\N{MINUS SIGN}2.20"),
        ("cells in parallel: 3 instead of 2", "–", NOTHING),
    ]
    first, second = slack_words(result)
    assert first.startswith("For the best span, 1517 mm.")
    assert "within the limits less than 0.01 km are left to gain, without them about 31.4 km" in second
    assert slack_words(sample_result(prices={})) == [] and slack_rows(sample_result(prices={})) == []


def test_every_limit_can_be_given_a_step_that_widens_it(space, answers):
    """Check that every limit that stops a wing has a price: a step in words, and margins that all grow by it."""
    pose = optimum.ScaledProblem(space, BIG)
    x = pose.scaled(answers[BIG].variables)
    slopes, owner = pose.margin_slopes(x), [limit.name for limit in pose.limits for _ in range(pose.size(limit))]
    steps = {limit.name: step_of(pose, limit, answers[BIG]) for limit in pose.limits}
    assert all(words and np.all(widened > 0) for words, widened in steps.values())
    # cruise over stall: 1.45 instead of 1.5 allows slower flight, as the derivative by cruise speed shows, too
    speed, column = answers[BIG].variables["cruise_speed"], pose.free.index("cruise_speed")
    by_speed = slopes[np.array(owner) == "cruise_over_stall", column] / pose.width[column]
    # 1e-4: differences of 10 mm/s against the exact derivative
    assert steps["cruise_over_stall"][1] == pytest.approx(by_speed * speed * (1.5 / 1.45 - 1), rel=1e-4)


def test_parts_are_exchanged_one_at_a_time(turnstone_space):
    """Check that two rods more are the next size, a pack brings its cells, and two new parts at once are no step."""
    own = replace(turnstone_space.anchor.choice, rod_pairs=2, parallel=2, propeller="8x6", motor="", pack="")
    one_part = [
        replace(own, rod_pairs=3),
        replace(own, propeller="9x6"),
        replace(own, motor="larger"),
        replace(own, pack="flat", series=own.series + 1, parallel=1),
    ]
    others = [replace(own, rod_pairs=4), replace(own, rod_pairs=1), replace(own, propeller="9x6", motor="larger")]
    space = SimpleNamespace(study=turnstone_space.study, choices=[*others, *one_part, own])
    found = module._next_parts(space, own)
    assert [choice for _, choice in found] == one_part
    assert [words for words, _ in found][:2] == [
        "rod pairs: 3 instead of 2",
        "a 9x6 propeller instead of 8x6",
    ]
