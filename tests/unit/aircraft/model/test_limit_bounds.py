"""Limits that are set from the stock wing, and where they stop rising with it."""

from dataclasses import replace

import pytest
from helpers.places import STUDIES

from tradestudy.aircraft.anchor.calibration import anchor_of
from tradestudy.aircraft.model.limit_bounds import limits_of
from tradestudy.study.reader import read_study
from tradestudy.study.schema.key_types import DefaultUsed


@pytest.fixture(scope="module")
def godwit(tmp_path_factory):
    """Return the Godwit without a strength of its own, and its anchor."""
    lines = (STUDIES / "godwit.toml").read_text(encoding="utf-8").splitlines(keepends=True)
    path = tmp_path_factory.mktemp("godwit") / "godwit.toml"
    path.write_text("".join(line for line in lines if not line.startswith("failure_load_factor")), encoding="utf-8")
    study = read_study(path)
    return study, anchor_of(study)


def bounds(study, anchor, **changes):
    reference = replace(anchor.reference, **changes)
    found = limits_of(study, reference, anchor.choice, anchor.data.strip_count)
    return {limit.name: (limit.bound, limit.origin) for limit in found}


@pytest.mark.parametrize(
    ("own", "bound"),
    [
        (5.5, (5.5, "the stock wing")),  # below 1.5 times the pull-up of 4 g
        (6.5, (6.0, "safety factor of 1.5")),  # 0.8 of it would be less than flights need
        (9.0, (7.2, "0.8 of the stock wing's")),
        (60.0, (12.0, "enough; the stock wing bears more")),  # three times the pull-up
    ],
)
def test_strength_is_what_flights_need_or_a_share_of_a_strong_stock_wing(godwit, own, bound):
    value, origin = bounds(*godwit, failure_load_factor=own)["failure_load_factor"]
    assert (pytest.approx(value), origin) == bound


@pytest.mark.parametrize(
    ("own", "bound"),
    [
        (0.09, (0.05, "common practice")),
        (0.031, (0.031, "the stock wing")),
        (0.001, (0.02, "common practice; the stock wing has less")),
    ],
)
def test_a_stock_wing_with_tips_near_the_stall_lowers_their_floor_to_an_extent(godwit, own, bound):
    assert bounds(*godwit, tips_left=own)["tips_left"] == bound


@pytest.mark.parametrize(
    ("own", "bound"),
    [
        (0.15, (0.196133, "linkage.servo_torque")),  # 2 kg cm, as given
        (0.25, (0.25, "what the stock wing needs")),
        (0.40, (1.5 * 0.196133, "what the stock wing needs")),  # no more than their torque without a reserve
    ],
)
def test_a_stock_wing_with_weak_servos_may_use_up_their_reserve(godwit, own, bound):
    value, origin = bounds(*godwit, servo_load=own)["servo_torque"]
    assert (pytest.approx(value), origin) == bound


def test_assumed_servos_are_no_weaker_than_the_stock_wing_needs(godwit):
    study, anchor = godwit
    kept = [line for line in study.defaults_used if not line.key.startswith("linkage")]
    used = DefaultUsed(
        "linkage.servo_torque", "20 N cm", "common practice", None, None, "", ("linkage", "servo_torque")
    )
    guessed = replace(study, defaults_used=(*kept, used))
    for own, bound, origin, whose in (
        (0.15, 1.5 * 0.196133, "usual servos, assumed, without a reserve", "practice"),
        (0.40, 1.5 * 0.40, "1.5 of what the stock wing needs", "your stock wing"),
    ):
        reference = replace(anchor.reference, servo_load=own)
        found = {limit.name: limit for limit in limits_of(guessed, reference, anchor.choice, anchor.data.strip_count)}
        limit = found["servo_torque"]
        assert (limit.bound, limit.origin, limit.whose) == (pytest.approx(bound), origin, whose)


def test_a_bend_as_far_as_the_model_holds(godwit):
    assert bounds(*godwit)["tip_deflection"] == (0.10, "it takes the wing as flat")


def test_yaw_and_roll_are_limited_by_a_share_of_the_stock_wing(godwit):
    found = bounds(*godwit, yaw_stiffness=0.03, roll_per_metre=0.4)
    assert found["yaw_stiffness"] == (pytest.approx(0.024), "0.8 of the stock wing's")
    assert found["roll_per_metre"] == (pytest.approx(0.28), "0.7 of the stock wing's")


def test_what_the_stock_wing_lacks_is_no_yardstick(godwit):
    assert "yaw_stiffness" not in bounds(*godwit, yaw_stiffness=-0.001)


def test_every_limit_says_who_asks_for_it(godwit):
    found = bounds(*godwit)
    assert all(origin for _, origin in found.values())
    assert found["climb"][1] == "the study" and found["up_elevon"][1] == "the study"  # given in [limits]
    assert found["full_throttle_motor"][1] == "motor.maximum_current"
    assert found["cell_current"][1] == "the cell's maker"
    assert found["pack_forward"][1] == "the bay nose"
