"""Assumed values that the stock wing's own full throttle raises: a wing that flies today must not be refused."""

import pytest
from helpers.edited import edited
from helpers.places import STUDIES

from tradestudy.aircraft.anchor.calibration import stretched_data
from tradestudy.aircraft.anchor.full_throttle_defaults import (
    CONTROLLER_CURRENT,
    MOTOR_CURRENT,
    NEVER_EXCEED,
    with_full_throttle_defaults,
)
from tradestudy.aircraft.assessment.full_design import assess_design
from tradestudy.aircraft.model.limit_bounds import limits_of
from tradestudy.commands.study_session import StudySession
from tradestudy.quantities import parse_quantity
from tradestudy.study.reader import read_study

TEXT = (STUDIES / "lapwing.toml").read_text(encoding="utf-8")


THIRSTY = (("520 rpm/V", "980 rpm/V"), ('"10x7"', '"11x7"'))


def study_with(folder, *edits):
    path = folder / "wing.toml"
    path.write_text(edited(TEXT, *edits), encoding="utf-8")
    return read_study(path)


@pytest.mark.parametrize(
    "edits",
    [
        (),
        (('"2500 mAh"', '"1200 mAh"'),),  # less drag than the model: faster than the model without calibration
        (('"2500 mAh"', '"3900 mAh"'),),  # more drag than the model
        THIRSTY,  # draws more current than the assumed controller allows
    ],
    ids=["as it stands", "less drag", "more drag", "thirsty motor"],
)
def test_the_stock_wing_meets_the_limits_that_are_set_from_it(tmp_path, edits):
    work = StudySession(study_with(tmp_path, *edits), "test")
    anchor = work.anchor
    data = stretched_data(work.study, anchor, anchor.choice, work.space.slowest_speed)
    limits = limits_of(work.study, anchor.reference, anchor.choice, data.strip_count)
    wing = assess_design(work.study, data, anchor.choice, anchor.variables, "stock again", limits)
    broken = [state.name for state in wing.limits if not state.met]
    assert not broken


def test_a_controller_is_raised_to_what_the_wing_draws_and_reported(tmp_path):
    study = study_with(tmp_path, *THIRSTY)
    whole = with_full_throttle_defaults(study)
    assert study.controller.maximum_current == 60
    assert whole.controller.maximum_current > 60
    defaults = {used.key: used for used in whole.defaults_used}
    assert defaults[CONTROLLER_CURRENT].value == f"{whole.controller.maximum_current:.0f} A"
    assert "draws at full throttle today" in defaults[CONTROLLER_CURRENT].origin
    # a controller below what flies today is no part of the band, whether its likely value was raised or not
    drawn = whole.controller.maximum_current / 1.1
    for key in (CONTROLLER_CURRENT, MOTOR_CURRENT):
        assert parse_quantity(defaults[key].low) == pytest.approx(drawn, abs=0.1)
        assert drawn <= parse_quantity(defaults[key].low) < parse_quantity(defaults[key].value)


def test_the_band_of_a_current_holds_what_the_stock_wing_draws(tmp_path):
    """Check a controller whose likely rating is above the current drawn, and whose band begins below it."""
    study = study_with(tmp_path, ("520 rpm/V", "760 rpm/V"))
    whole = with_full_throttle_defaults(study)
    low, usual = ({used.key: used.low for used in each.defaults_used}[CONTROLLER_CURRENT] for each in (whole, study))
    assert whole.controller.maximum_current == study.controller.maximum_current
    assert parse_quantity(usual) < parse_quantity(low) < whole.controller.maximum_current


def test_what_is_given_is_not_touched(tmp_path):
    path = tmp_path / "wing.toml"
    path.write_text(
        TEXT + '\n[motor]\nmaximum_current = "20 A"\n[controller]\nmaximum_current = "25 A"\n[fly]\n'
        'never_exceed_speed = "100 km/h"\n',
        encoding="utf-8",
    )
    study = read_study(path)
    assert with_full_throttle_defaults(study) is study
    assert not {NEVER_EXCEED, MOTOR_CURRENT, CONTROLLER_CURRENT} & {used.key for used in study.defaults_used}


def test_a_pack_of_assumed_cells_that_flies_today_is_not_set_aside_but_to_be_looked_up(tmp_path):
    study = study_with(
        tmp_path,
        ("35 mm class, 520 rpm/V", "35 mm, 1300 rpm/V"),
        ('"6S1P Li-ion"', '"4S LiPo"'),
        ('"490 g"', '"520 g"'),
        ('"2500 mAh"', '"3400 mAh"'),
    )
    work = StudySession(study, "test")
    defaults = {used.key: used for used in work.study.defaults_used}
    assert work.study.pack.maximum_current > 50  # a usual cell of that kind allows 50 A
    assert "look up" in defaults["pack.maximum_current"].origin
    assert any("pack.maximum_current" in note for note in work.stock_result().notes)
    assert not any("cell current" in reason for reason in work.space.excluded)
