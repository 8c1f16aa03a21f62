"""Advice typed into the text of a study with nothing that fits makes it feasible at the first try."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from helpers.wings import turnstone
from helpers.with_keys import with_keys

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.limit_bounds import Limit
from tradestudy.commands.advised import value_and_bound
from tradestudy.commands.optimise import best_at_medians
from tradestudy.commands.study_session import StudySession
from tradestudy.search.infeasible import advice
from tradestudy.search.infeasible.limit_keys import key_changes, range_change, with_changes
from tradestudy.study.reader import read_study

ONE = {"choices.parallel": "[2]", "choices.rod_diameter": '["3 mm"]', "choices.rod_pairs": "[1]",
       "choices.propeller": '["8x5"]'}  # fmt: skip
ASKED = {
    "climb cannot be had": (turnstone.TEXT, ONE | {"limits.climb": '"7 m/s"'}, {"limits.climb"}),
    "two keys for one limit": (
        turnstone.TEXT,
        ONE | {"limits.stall_speed_ratio": "0.9", "fly.launch_speed": '"6.6 m/s"'},
        {"limits.stall_speed_ratio", "fly.launch_speed"},
    ),
    "a smaller static margin": (
        turnstone.TEXT,
        ONE | {"limits.static_margin": '["12 %", "15 %"]'},
        {"limits.static_margin"},
    ),
    "no key, but a lower throttle": (
        turnstone.TEXT,
        ONE | {"motor.maximum_current": '"12 A"'},
        {"choices.throttle_cap"},
    ),
}


@pytest.mark.thorough
@pytest.mark.parametrize("name", ASKED)
def test_advice_as_typed_makes_the_study_feasible(name, tmp_path):
    text, tight, keys = ASKED[name]
    path = tmp_path / "study.toml"
    path.write_text(with_keys(text, tight), encoding="utf-8")
    found = best_at_medians(StudySession(read_study(path), "test"))
    advised = {each.key: each.value for each in found.advice if not each.alone}
    assert found.conflict and set(advised) == keys and all(each.proven for each in found.advice if not each.alone)
    path.write_text(with_keys(path.read_text(encoding="utf-8"), advised), encoding="utf-8")
    assert not best_at_medians(StudySession(read_study(path), "test")).conflict


# --- values that are typed ---------------------------------------------------------------------------------

ANY = Choice(3, 2, 0.003, 1, "8x5")


def typed(study, anchor, limit, bound, steps_beyond=0):
    """Return the texts of the keys that move a limit to a bound."""
    changes = key_changes(study, anchor.reference, ANY, limit, bound, steps_beyond)
    return {change.key: change.text for change in changes}


def test_values_are_rounded_to_the_side_that_does(turnstone_study, turnstone_anchor):
    heavy = Limit("flying_weight", "flying weight", "all_up_mass", 1.63, 1.63, -1)
    climb = Limit("climb", "climb", "climb_speed", 2.6, 5.0, +1)
    up = Limit("up_elevon", "elevon", "elevon", -np.radians(7.5), 0.1, +1)
    stiff = Limit("yaw_stiffness", "yaw", "yaw_stiffness", 0.77 * 0.2, 0.2, +1)
    case = turnstone_study, turnstone_anchor
    assert typed(*case, heavy, 1.7312) == {"limits.flying_weight": '"1.74 kg"'}
    assert typed(*case, heavy, 0.9312) == {"limits.flying_weight": '"930 g"'}
    assert typed(*case, climb, 1.87) == {"limits.climb": '"1.8 m/s"'}
    assert typed(*case, climb, 1.87, 2) == {"limits.climb": '"1.6 m/s"'}
    assert typed(*case, up, -np.radians(8.11)) == {"limits.up_elevon": '"8.2 deg"'}
    assert typed(*case, stiff, 0.1438) == {"limits.yaw_stiffness_share": "0.71"}  # 0.719 of 0.2
    assert typed(*case, climb, 0.11) == {}  # the file allows 0.2 m/s at least


def test_twist_takes_control_with_the_square_of_speed(turnstone_study, turnstone_anchor):
    """Compare by hand: 0.325 left at the speed, so 0.675 lost; 0.6 lost at sqrt(0.6 / 0.675) = 0.943 of it."""
    roll = Limit("roll_control", "roll control left", "roll_control", 0.4, 1.0, +1)
    assert typed(turnstone_study, turnstone_anchor, roll, 0.325) == {"limits.control_speed_share": "0.78"}  # of 0.83


def test_a_longer_bay_grows_at_the_end_where_the_pack_lies(turnstone_study, turnstone_anchor):
    front = Limit("pack_forward", "pack", "pack_position", 0.117, 0.05, +1)
    aft = Limit("pack_aft", "pack", "pack_position", 0.131, 0.05, -1)
    case = turnstone_study, turnstone_anchor
    assert typed(*case, front, 0.1094) == {"bay[2].length": '"165 mm"', "bay[2].from_nose": '"38 mm"'}
    assert typed(*case, aft, 0.1334) == {"bay[2].length": '"160 mm"'}
    laid = replace(ANY, layout="3 x 2 x 1 fore and aft")  # a bay cut to its pack has no ends to type
    assert key_changes(*case[:1], turnstone_anchor.reference, laid, aft, 0.1334) == []


def test_changes_are_those_of_the_file(turnstone_study, turnstone_anchor, tmp_path):
    """Compare the changed study with the text of the same changes, read."""
    front = Limit("pack_forward", "pack", "pack_position", 0.117, 0.05, +1)
    climb = Limit("climb", "climb", "climb_speed", 2.6, 5.0, +1)
    changes = [
        *key_changes(turnstone_study, turnstone_anchor.reference, ANY, front, 0.1094),
        *key_changes(turnstone_study, turnstone_anchor.reference, ANY, climb, 1.87),
        range_change(turnstone_study, "extension", 0.0312),
    ]
    path = tmp_path / "study.toml"
    path.write_text(with_keys(turnstone.TEXT, {each.key: each.text for each in changes}), encoding="utf-8")
    made, read = with_changes(turnstone_study, changes), read_study(path)
    assert made.bay[1].length == pytest.approx(read.bay[1].length) and made.bay[1].length > 0.157
    assert made.bay[1].from_nose == pytest.approx(read.bay[1].from_nose)
    assert made.limits.climb == pytest.approx(read.limits.climb) == 1.8
    assert made.stretch.span == pytest.approx(read.stretch.span) and read.stretch.span[0] == pytest.approx(1.04)


def test_a_value_beside_its_bound_has_the_digits_it_deserves():
    up = Limit("up_elevon", "elevon", "elevon", 0.0, 0.1, +1)
    weight = Limit("flying_weight", "flying weight", "all_up_mass", 0.0, 1.0, -1)
    assert value_and_bound(up, -np.radians(4.31), -np.radians(4.1)) == "4.3 deg, at most 4.1"
    assert value_and_bound(weight, 1.7424, 1.63) == "1742 g, at most 1630"
    assert value_and_bound(weight, 1.63005, 1.63) == "1630.05 g, at most 1630.00"


@pytest.mark.parametrize("own, given, first", [(None, None, 0.95), (0.82, None, 0.80), (0.9, (0.9, 0.8), 0.85)])
def test_lower_throttle_caps_are_tried_in_steps_of_five_per_cent(turnstone_space, own, given, first):
    choice = replace(turnstone_space.anchor.choice, throttle_cap=own)
    study = SimpleNamespace(controller=SimpleNamespace(throttle_cap=1.0), choices=SimpleNamespace(throttle_cap=given))
    found = [
        other.throttle_cap for _, other in advice._other_parts(SimpleNamespace(study=study), choice, "throttle_cap")
    ]
    steps = [cap for cap in np.arange(first, 0.54, -0.05) if not any(abs(cap - one) < 1e-9 for one in given or ())]
    assert found == pytest.approx(steps)
