"""Servo, horn and push rod of one design, and the speed that the stock wing has flown: numbers and their effects."""

from dataclasses import replace

import numpy as np
import pytest
from helpers.invented.invented_result import design, sample_result

from tradestudy.aircraft.assessment import twist_and_flutter
from tradestudy.aircraft.assessment.linkage import linkage_numbers
from tradestudy.aircraft.assessment.twist_and_flutter import control_curves
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.physics.aeroelastic import elevon_hinge
from tradestudy.report.words.structure import control_rows, control_words

TOP = 33.0  # m/s, top speed


@pytest.fixture(scope="module")
def sweep(godwit_anchor):
    return SpeedSweep(godwit_anchor.data, godwit_anchor.choice, godwit_anchor.variables)


def evaluated(study, sweep):
    """Return the same wing and lattice with another study."""
    return EvaluatedDesign(study, sweep.data, sweep.choice, sweep.variables, sweep.wings)


def linkage_of(study, sweep, speed=TOP, **changed):
    """Return numbers of the study with keys of [linkage] changed."""
    told = study.linkage.model_copy(update=changed)
    return linkage_numbers(evaluated(replace(study, linkage=told), sweep), speed)


def test_no_numbers_without_a_linkage(godwit_study, sweep):
    assert linkage_numbers(evaluated(replace(godwit_study, linkage=None), sweep), TOP) == {}


def test_hinge_moment_is_near_that_of_a_flat_flap_at_no_incidence(godwit_study, godwit_anchor, sweep):
    """Compare the hinge moment with Glauert's b2 alone, for the stock wing's mean elevon and a section without
    camber."""
    data = sweep.data
    flat = data.flight.camber._replace(lift_coefficient=0.0, moment_coefficient=0.0)
    level = data.level._replace(flight=data.flight._replace(camber=flat))
    plain = SpeedSweep(replace(data, level=level), godwit_anchor.choice, godwit_anchor.variables)
    stock, study = data.layout.stock, godwit_study
    slope = (stock.tip_set_back + stock.tip_chord - stock.root_chord) / (0.5 * stock.span)  # slope of the hinge line
    pressure = 0.5 * data.flight.air_density * TOP**2
    length = stock.elevon_outer_end - stock.elevon_inner_end
    flap = elevon_hinge.hinge_coefficients(1 - stock.hinge_fraction).deflection * study.elevon.up_travel
    alone = abs(flap) * pressure * stock.elevon_chord**2 * length * np.cos(np.arctan(slope)) ** 3
    # taper changes it by 2 %, incidence of level flight by a few hundredths
    assert linkage_of(study, plain)["hinge_moment_ncm"] == pytest.approx(100 * alone, rel=0.05)
    # a reflexed mean line presses the elevon down before it is deflected upwards
    assert linkage_of(study, sweep)["hinge_moment_ncm"] > 1.05 * linkage_of(study, plain)["hinge_moment_ncm"]


def test_the_search_holds_at_full_speed_what_is_reported_at_that_speed(godwit_study, sweep):
    full = godwit_study.fly.never_exceed_speed / 1.2
    needed = linkage_of(godwit_study, sweep, full)["servo_needed_ncm"]
    assert 100 * sweep.evaluation.servo.servo_load.max() == pytest.approx(needed, abs=1e-3)
    up, down = sweep.evaluation.servo.servo_load
    assert up > down  # a reflexed mean line presses the elevon down
    assert sweep.evaluation.by_name()["servo_load"].shape == (2,)


def test_arms_move_the_servo_and_not_the_air(godwit_study, sweep):
    before = linkage_of(godwit_study, sweep)
    longer = linkage_of(godwit_study, sweep, horn=2 * godwit_study.linkage.horn)
    assert longer["hinge_moment_ncm"] == before["hinge_moment_ncm"]
    assert longer["servo_needed_ncm"] == pytest.approx(0.5 * before["servo_needed_ncm"], rel=1e-3)
    # torque is proportional to speed squared
    assert longer["servo_speed_kmh"] == pytest.approx(np.sqrt(2) * before["servo_speed_kmh"], rel=1e-4)
    # play and compliance are measured at the trailing edge, so the hole in the horn has no effect
    for name in ("elevon_play_deg", "elevon_left_pct", "elevon_natural_frequency_hz"):
        assert longer[name] == pytest.approx(before[name], rel=1e-9)
    assert before["servo_needed_ncm"] == pytest.approx(
        elevon_hinge.TORQUE_RESERVE * before["hinge_moment_ncm"] * 10 / 14, rel=1e-3
    )


def test_play_and_give_by_hand(godwit_study, sweep):
    found = linkage_of(godwit_study, sweep)
    chord = sweep.data.layout.stock.elevon_chord
    assert found["elevon_play_deg"] == pytest.approx(np.degrees(0.3e-3 / chord), abs=1e-3)
    # 200 g at the trailing edge turn it 2 mm over its chord: this is the spring about the hinge, compared with the
    # air's
    spring = 0.2 * 9.80665 * chord / (2e-3 / chord)
    turned = np.radians(10.0)
    air = linkage_of(godwit_study, sweep, give=None)["hinge_moment_ncm"] / 100 / godwit_study.elevon.up_travel * turned
    assert found["elevon_left_pct"] == pytest.approx(100 * spring * turned / (spring * turned + air), rel=0.05)
    slow = linkage_of(godwit_study, sweep, speed=1.0)
    assert slow["elevon_left_pct"] == pytest.approx(100.0, abs=0.05)  # without air load nothing is lost
    unknown = linkage_of(godwit_study, sweep, play=None, give=None, give_weight=None)
    assert all(unknown[name] is None for name in ("elevon_play_deg", "elevon_left_pct", "elevon_natural_frequency_hz"))
    heavy = linkage_of(godwit_study, sweep, elevon_weight=0.040)
    lighter = linkage_of(godwit_study, sweep, elevon_weight=0.010)
    assert heavy["elevon_unbalance_gcm"] == pytest.approx(4 * lighter["elevon_unbalance_gcm"], rel=1e-3)
    assert heavy["elevon_natural_frequency_hz"] == pytest.approx(0.5 * lighter["elevon_natural_frequency_hz"], rel=1e-3)


def flutter_of(study, sweep, servo_speed=None):
    held = control_curves(sweep, np.linspace(10.0, 40.0, 31)).numbers
    return twist_and_flutter.flutter_numbers(evaluated(study, sweep), held, servo_speed)


def test_servo_torque_bounds_the_advice(godwit_study, sweep):
    free, bound = flutter_of(godwit_study, sweep), flutter_of(godwit_study, sweep, 70.0)
    assert bound["advised_speed_kmh"] == 70.0 < free["advised_speed_kmh"]
    assert bound["advised_speed_why"] == "the servos no longer hold full elevon"
    assert flutter_of(godwit_study, sweep, 500.0) == free


def test_speed_flown_lifts_the_low_end_of_the_band(godwit_study, godwit_anchor, sweep):
    """Check that speeds which the stock wing has flown are excluded from its band.

    A stretched wing's moves in proportion.
    """
    before = flutter_of(godwit_study, sweep)
    seen = replace(godwit_study, fly=godwit_study.fly.model_copy(update={"fastest_flown": 110 / 3.6}))
    after = flutter_of(seen, sweep)
    assert before["flutter_low_kmh"] < 110 and after["flutter_low_kmh"] == pytest.approx(110, abs=0.01)
    assert after["flutter_kmh"] == before["flutter_kmh"]
    longer = SpeedSweep(godwit_anchor.data, godwit_anchor.choice, godwit_anchor.variables | {"extension": 0.1})
    plain, told = flutter_of(godwit_study, longer), flutter_of(seen, longer)
    assert told["flutter_low_kmh"] == pytest.approx(110 * plain["flutter_kmh"] / before["flutter_kmh"], rel=1e-3)


def test_words_say_what_is_not_known_and_what_is_too_weak():
    wing = design()
    calm = control_words(sample_result())
    assert not any(line.startswith("Take care") for line in calm)
    assert [line[:40] for line in calm if line.startswith("NOT")] == ["NOT COMPUTED: flutter of the elevons abo"]
    weak = replace(wing, numbers=replace(wing.numbers, servo_needed_ncm=23.4, servo_speed_kmh=88.0))
    assert (
        "Take care: full elevon at top speed needs 23.4 N cm from each servo of the stretched wing, reserve included; "
        "they have 18.0. They are strong enough up to 88 km/h."
    ) in control_words(sample_result(recommended=weak))
    stock = sample_result().stock
    loose = replace(stock, numbers=replace(stock.numbers, elevon_play_deg=1.2))
    assert any("free play of 1.2 deg" in line for line in control_words(sample_result(stock=loose)))
    silent = {
        name: None
        for name in (
            "servo_torque_ncm",
            "servo_needed_ncm",
            "servo_speed_kmh",
            "hinge_moment_ncm",
            "elevon_left_pct",
            "elevon_play_deg",
            "elevon_natural_frequency_hz",
            "elevon_unbalance_gcm",
        )
    }
    bare = sample_result(
        stock=replace(stock, numbers=replace(stock.numbers, **silent)),
        recommended=replace(wing, numbers=replace(wing.numbers, **silent)),
    )
    assert any(line.startswith("NOT COMPUTED: how far the servos hold") for line in control_words(bare))
    assert not any("servo" in words for words, *_ in control_rows(bare))
