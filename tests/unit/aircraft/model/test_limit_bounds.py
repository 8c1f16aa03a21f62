"""Limits that are set from the stock wing, and where they stop rising with it."""

from dataclasses import replace

import pytest
from places import STUDIES

from tradestudy.aircraft.anchor.calibration import anchor_of
from tradestudy.aircraft.model.limit_bounds import limits_of
from tradestudy.study.reader import read_study


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


def test_no_weaker_than_the_stock_wing_and_flat_enough_for_the_model(godwit):
    found = bounds(*godwit, failure_load_factor=5.5)
    assert found["failure_load_factor"] == (5.5, "the stock wing")
    assert found["tip_deflection"] == (0.10, "the model, which takes the wing as flat")


def test_a_far_stronger_stock_wing_sets_no_higher_bound(godwit):
    """Check that three times the pull-up of 4 g is the highest bound."""
    found = bounds(*godwit, failure_load_factor=60.0)
    assert found["failure_load_factor"] == (12.0, "enough; the stock wing bears more")


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
