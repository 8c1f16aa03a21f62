"""How a wing is launched, and what its builder is told about it."""

from dataclasses import replace

import pytest

from tradestudy.aircraft.anchor.calibration import stock_reference
from tradestudy.aircraft.assessment.launch import launch_flags, launch_numbers
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.limit_bounds import launch_speed, launch_way, limits_of, slowest_speed
from tradestudy.physics.flight.launch import LaunchData


@pytest.fixture(scope="module")
def wing(turnstone_study, turnstone_anchor):
    """Return the Turnstone without a word on its launch, and its anchor with a stock wing that is thrown."""
    study = replace(turnstone_study, fly=turnstone_study.fly.model_copy(update={"launch_speed": None}))
    _, stock = launched((study, turnstone_anchor))
    return study, replace(turnstone_anchor, reference=stock_reference(stock, turnstone_anchor.reference.stall_speed))


def launched(wing, **fly):
    study, anchor = wing
    study = replace(study, fly=study.fly.model_copy(update=fly))
    data = replace(
        anchor.data,
        launch=LaunchData(
            study.fly.launch_speed, study.fly.launch_height, study.fly.launch_angle, study.fly.launch_delay
        )
        if study.fly.launch in (None, "hand")
        else None,
    )
    return study, EvaluatedDesign(study, data, anchor.choice, anchor.variables)


def test_left_open_it_is_thrown_if_the_stock_wing_can_be(wing):
    study, anchor = wing
    assert anchor.reference.launch_height_left > 0.5 and launch_way(study, anchor.reference) == "hand"
    low = replace(anchor.reference, launch_height_left=0.4)
    assert launch_way(study, low) == "bungee" and launch_speed(study, low) == 14.0
    names = [{limit.name for limit in limits_of(study, each, anchor.choice, 1)} for each in (anchor.reference, low)]
    assert "launch_height_left" in names[0] and "launch_height_left" not in names[1]


def test_a_throw_sets_no_stall_speed_and_a_bungee_does(wing):
    study, anchor = wing
    by_ratio = study.limits.stall_speed_ratio * anchor.reference.stall_speed
    speeds = {}
    for way in ("hand", "bungee", "dolly", "wheels"):
        fly = study.fly.model_copy(update={"launch": way, "launch_speed": by_ratio})
        speeds[way] = slowest_speed(replace(study, fly=fly), anchor.reference)[0]
    assert speeds.pop("hand") == by_ratio
    assert set(speeds.values()) == {by_ratio / 1.1}


def test_numbers_of_a_throw(wing):
    numbers = launch_numbers(launched(wing)[1])
    assert numbers["launch_way"] == "hand"
    # the curve through what people throw, at 1.38 kg; half a metre per second in 7.5 to both sides
    assert numbers["launch_speed_kmh"] == pytest.approx(
        3.6 * 12 / (1 + (float(launched(wing)[1].shape.all_up_mass) / 2.75) ** 1.6)
    )
    assert numbers["throw_low_kmh"] == pytest.approx(numbers["launch_speed_kmh"] * (1 - 0.5 / 7.5))
    assert numbers["weak_throw_height_left_m"] < numbers["launch_height_left_m"]
    # common practice, no source: elevons 3 to 5 mm up; wider here, since chords differ
    assert -8.0 < numbers["launch_elevon_mm"] < -2.0


def test_a_throw_that_is_too_slow_asks_for_a_bungee(wing):
    (slow,) = launch_flags(launched(wing, launch="hand", launch_speed=5.5)[1])
    assert slow.startswith("a throw of 20 km/h does not make it fly") and "bungee" in slow
    assert launch_numbers(launched(wing, launch_speed=5.5)[1])["launch_way"] == "bungee"
    assert not launch_flags(launched(wing, launch="hand", launch_speed=10.0)[1])
    assert not launch_flags(launched(wing, launch="bungee")[1])
