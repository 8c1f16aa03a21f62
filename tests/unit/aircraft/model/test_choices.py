"""Another motor, pack, scheme or throttle cap in place of the study's own: what changes, and what stays."""

from dataclasses import replace

import numpy as np
import pytest

from tradestudy.aircraft.anchor.calibration import anchor_of, stretched_data
from tradestudy.aircraft.model.choices import Choice, choice_of, choices_at_edge, study_with_choice
from tradestudy.aircraft.model.limit_bounds import limits_of
from tradestudy.aircraft.model.pack_fit import pack_box
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.quantities import parse_quantity
from tradestudy.results.design import Design
from tradestudy.search import optimum
from tradestudy.search.search_space import all_choices, search_space, starting_points

OTHER = {
    "motor": "slower winding",
    "pack": "2.5 Ah high-current cells",
    "series": 4,
    "parallel": 2,
    "scheme": "tip",
    "throttle_cap": 0.8,
}


@pytest.fixture(scope="module")
def other(godwit_anchor):
    """Return a set of parts that differs from the stock wing in everything except rods and propeller."""
    return replace(godwit_anchor.choice, **OTHER)


def with_choices(study, **lists):
    """Return the study with one rod, pack and propeller to try, and the given keys."""
    alone = {"parallel": None, "rod_pairs": None, "rod_diameter": None, "propeller": None}
    return replace(study, choices=study.choices.model_copy(update=alone | lists))


def test_parts_named_take_the_place_of_the_own(godwit_study, godwit_anchor, other):
    study = study_with_choice(godwit_study, other)
    slower = parse_quantity("690 rpm/V", "speed_constant")
    assert study.motor.speed_constant == slower < godwit_study.motor.speed_constant
    assert study.motor.from_nose == godwit_study.motor.from_nose  # it is on the same mount
    assert study.pack.cell == "18650 2.5 Ah" and study.pack.health == 1.0
    assert study.stretch.scheme == "tip" and study.stretch.sweep is None
    assert study.controller.throttle_cap == 0.8
    assert study_with_choice(study, other) == study  # applying it twice changes nothing more
    # the study's own set of parts changes nothing
    assert study_with_choice(godwit_study, godwit_anchor.choice) == godwit_study


def test_what_was_measured_of_the_own_part_does_not_pass_to_another(godwit_study, other):
    worn = replace(godwit_study, pack=godwit_study.pack.model_copy(update={"resistance": 0.05, "health": 0.8}))
    assert study_with_choice(worn, other).pack.resistance is None and study_with_choice(worn, other).pack.health == 1.0
    tested = replace(godwit_study, motor_test="a bench reading")
    assert study_with_choice(tested, other).motor_test is None
    assert study_with_choice(tested, replace(other, motor="")).motor_test == "a bench reading"


def test_cells_nobody_laid_out_lie_as_the_bay_lets_them(godwit_study, other):
    listed = godwit_study.pack_choice[0].model_copy(update={"cells_across": None})
    length, width, _ = pack_box(replace(godwit_study, pack_choice=(listed,)), other)
    as_told = pack_box(godwit_study, other)
    assert length * width == pytest.approx(as_told[0] * as_told[1], rel=0.2)  # eight cells need the same floor area
    assert width < as_told[1]  # stated: all eight abreast


def test_model_and_limits_follow(godwit_study, godwit_anchor, other):
    own, there = (stretched_data(godwit_study, godwit_anchor, choice, 10.0) for choice in (godwit_anchor.choice, other))
    assert there.power.powertrain.throttle_cap == 0.8 and own.power.powertrain.throttle_cap == 1.0
    assert there.power.powertrain.motor.speed_constant < own.power.powertrain.motor.speed_constant
    assert there.layout.scheme == "tip" and own.layout.scheme == "scaled"
    assert there.layout.unlisted == own.layout.unlisted  # the mass not itemised is that of the stock wing
    bounds = {limit.name: limit.bound for limit in limits_of(godwit_study, godwit_anchor.reference, other, 1)}
    assert bounds["full_throttle_motor"] == 26.0 and bounds["end_throttle"] == 0.8


def test_every_combination_once_and_with_its_own_words(godwit_study):
    study = with_choices(
        godwit_study,
        parallel=(2, 4),
        motor=("slower winding",),
        scheme=("tip", "scaled"),
        pack=("2.5 Ah high-current cells",),
        throttle_cap=(0.8, 1.0),
    )
    found = all_choices(study)
    assert len(found) == 2 * 2 * 2 * 3  # "scaled" and 100 % are in the study anyway
    assert len(set(found)) == len({choice.words for choice in found}) == len(found)
    assert {choice.pack_key for choice in found} == {("", 4, 2), ("", 4, 4), ("2.5 Ah high-current cells", 4, 2)}


def test_a_scheme_frees_what_it_can(godwit_study, godwit_anchor):
    study = with_choices(godwit_study, scheme=("plug", "tip"))
    space = search_space(study, godwit_anchor)
    scaled, plug, tip = space.choices
    stock = godwit_anchor.data.layout.stock
    assert optimum.ScaledProblem(space, scaled).free == [
        "extension",
        "washout",
        "sweep",
        "tip_chord",
        "static_margin",
        "cruise_speed",
        "equipment_position",
    ]
    assert (
        "sweep" not in optimum.ScaledProblem(space, plug).free
        and "washout" not in optimum.ScaledProblem(space, plug).free
    )
    for kept in (plug, tip):
        assert space.bounds_of(kept)["tip_chord"] == (stock.tip_chord, stock.tip_chord)
    assert space.bounds_of(plug)["sweep"] == (stock.sweep, stock.sweep)
    assert "washout" in optimum.ScaledProblem(space, tip).free and "sweep" not in optimum.ScaledProblem(space, tip).free
    answer = optimum.solve(space, plug, starting_points(space)[:1])
    assert answer.variables["sweep"] == stock.sweep and answer.variables["washout"] == stock.washout
    assert answer.gain != pytest.approx(optimum.solve(space, scaled, starting_points(space)[:1]).gain, rel=1e-4)


def test_an_unstretched_wing_is_the_same_under_every_scheme(godwit_study, godwit_anchor):
    """Check that an unstretched wing is the same under every scheme.

    Strips differ, so lift and drag agree as meshes do.

    Weights agree to rounding.
    """
    sweep = [
        SpeedSweep(
            stretched_data(godwit_study, godwit_anchor, replace(godwit_anchor.choice, scheme=scheme), 10.0),
            godwit_anchor.choice,
            godwit_anchor.variables,
        )
        for scheme in ("scaled", "plug", "tip")
    ]
    # the added piece has a least length of about a tenth of a millimetre
    assert np.ptp([float(each.shape.all_up_mass) for each in sweep]) < 1e-4  # kg
    drags = [float(each.speed_card.at("drag", 15.0)) for each in sweep]
    assert np.ptp(drags) < 0.01 * drags[0]  # span efficiency by the default mesh: 0.4 %; section strips differ as well


def test_a_choice_goes_through_a_result(other):
    for choice in (other, Choice(4, 2, 0.003, 1, "10x6")):
        assert choice_of(Design("best", {}, choices_at_edge(choice), {}, [])) == choice


def test_the_calibration_does_not_depend_on_the_choices(godwit_study, godwit_anchor):
    study = with_choices(godwit_study, motor=("slower winding",), scheme=("tip",))
    again = anchor_of(study)
    assert again.factors == godwit_anchor.factors and again.unlisted == godwit_anchor.unlisted
