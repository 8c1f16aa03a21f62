"""Missions on a real model: sums, single parts against cruise, and what ends them."""

from dataclasses import replace

import pytest
from helpers.places import GODWIT

from tradestudy.aircraft.anchor.calibration import calibrated_wing
from tradestudy.aircraft.assessment import mission as missions
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.physics.air import GRAVITY
from tradestudy.report.words.flight_tables import mission_rows, mission_words
from tradestudy.study.reader import read_study
from tradestudy.study.schema.flight import MissionPartTable

STUDY = read_study(GODWIT)
SPEED = 14.4  # m/s


@pytest.fixture(scope="module")
def wing():
    stock = calibrated_wing(STUDY)
    return stock.speed_sweep.cruising_at(SPEED)


def with_study(wing, study):
    """Return the same wing and lattice with another study."""
    return EvaluatedDesign(study, wing.data, wing.choice, wing.variables, wing.wings)


def fly(wing, *parts):
    mission = tuple(MissionPartTable(**part) for part in parts)
    return missions.simulate_mission(with_study(wing, replace(STUDY, mission=mission)))


def report_of(wing, mission):
    """Return the words of a report on it."""
    design = type("Design", (), {"mission": mission})
    return mission_words(design), mission_rows(design)


def test_the_demo_mission_adds_up(wing):
    mission = missions.simulate_mission(with_study(wing, STUDY))
    rows = mission.parts
    assert [row.kind for row in rows] == ["launch", "climb", "leg", "loiter", "dash", "leg"] and not mission.end_reason
    assert mission.km == pytest.approx(60) and mission.time_min == pytest.approx(sum(row.time_min for row in rows))
    assert rows[-1].charge_left_pct == pytest.approx(100 - mission.mah / 100)  # of 10 Ah
    assert mission.left_mah == pytest.approx(8000 - mission.mah)
    for row in rows:  # the mean voltage lies between that of a full pack and that at the end
        assert 3.4 * 4 < row.wh / row.mah * 1e3 < 4.2 * 4
        assert row.mean_a == pytest.approx(row.mah / row.time_min * 60 / 1e3, rel=1e-3)
    out, home = rows[2], rows[5]
    assert out.airspeed_kmh > home.airspeed_kmh and out.ground_kmh < home.ground_kmh
    words, table = report_of(wing, mission)
    assert f"leaves {mission.left_mah:.0f} mAh" in words and len(table) == 7 and table[-1][0] == "total"


def test_a_leg_to_the_reserve_is_the_range(wing):
    """Check the complete range as one leg without wind, one metre shorter and one metre longer (1e-5 of it)."""
    reach = float(wing.power_at(SPEED).range[0])
    part = {"kind": "leg", "wind": "0 m/s", "airspeed": f"{SPEED} m/s"}
    enough = fly(wing, part | {"distance": f"{reach - 5:.1f} m"})
    assert not enough.end_reason and enough.parts[0].charge_left_pct == pytest.approx(20, abs=0.01)
    short = fly(wing, part | {"distance": f"{reach + 20_000:.1f} m", "name": "too far"})
    assert "too far (part 1): the reserve is reached after" in short.end_reason and "20.0 km short" in short.end_reason
    assert short.km == pytest.approx(1e-3 * reach, rel=1e-4) and short.left_mah == 0
    words, _ = report_of(wing, short)
    assert words.startswith("This mission cannot be completed. Too far (part 1): the reserve is reached after")


def test_a_climb_costs_its_height(wing):
    """Check the energy of a climb above that of level flight of equal time.

    It is weight times height over the efficiency of propeller and motor, which is between 0.4 and 0.75.
    """
    climb = fly(wing, {"kind": "climb", "height": "100 m", "rate": "2 m/s"}).parts[0]
    level = fly(wing, {"kind": "loiter", "time": "50 s", "airspeed": f"{SPEED} m/s"}).parts[0]
    assert climb.time_min == pytest.approx(50 / 60, abs=1e-5)
    height = float(wing.shape.all_up_mass) * GRAVITY * 100 / 3600
    assert 0.4 < height / (climb.wh - level.wh) < 0.75


def test_a_loiter_is_as_slow_as_is_safe(wing):
    row = fly(wing, {"kind": "loiter", "time": "10 min"}).parts[0]
    assert row.airspeed_kmh == pytest.approx(
        3.6 * 1.5 * wing.speed_card.stall_speed, rel=0.02
    )  # the least power is at a lower speed
    assert row.km is None and row.time_min == pytest.approx(10)


def test_four_pieces_are_enough_for_a_long_dash(wing, monkeypatch):
    """Check ten minutes at full throttle, a quarter of the charge, against 32 pieces: 1e-3 of the charge used."""
    dash = {"kind": "dash", "time": "10 min"}
    few = fly(wing, dash).parts[0]
    monkeypatch.setattr(missions, "PIECES", 32)
    assert few.mah == pytest.approx(fly(wing, dash).parts[0].mah, rel=1e-3)
    # it gets slower as the pack empties, and never as fast as with a full one
    assert few.airspeed_kmh < 3.6 * wing.speed_card.top_speed


@pytest.mark.parametrize(
    ("part", "words"),
    [
        (
            {"kind": "leg", "distance": "5 km", "wind": "30 m/s", "airspeed": "14 m/s"},
            "leg (part 1) cannot be flown: a wind of 108 km/h leaves it no progress along that track at 50 km/h "
            "through the air",
        ),
        (
            {"kind": "leg", "distance": "5 km", "wind": "30 m/s", "wind_from": "90 deg", "airspeed": "14 m/s"},
            "a wind of 108 km/h leaves it no progress along that track",
        ),
        (
            {"kind": "loiter", "time": "5 min", "airspeed": "20 km/h"},
            "20 km/h is not between its stall at 31 and its top",
        ),
        ({"kind": "loiter", "time": "5 min", "airspeed": "300 km/h"}, "300 km/h is not between its stall"),
        ({"kind": "climb", "height": "100 m", "rate": "20 m/s"}, "of the throttle that the pack can then feed"),
        ({"kind": "dash", "time": "2 h"}, "dash (part 1): the reserve is reached after"),
        ({"kind": "loiter", "time": "10 h"}, "the reserve is reached after"),
    ],
)
def test_a_part_that_cannot_be_flown_is_reported(wing, part, words):
    mission = fly(wing, part)
    assert words in mission.end_reason and mission.left_km == 0
    assert report_of(wing, mission)[0].startswith("This mission cannot be completed.")


def test_the_best_speed_of_a_leg_rises_into_the_wind(wing):
    speeds = [
        fly(wing, {"kind": "leg", "distance": "2 km", "wind": f"{wind} m/s"}).parts[0].airspeed_kmh
        for wind in (0, 3, 6, 9)
    ]
    assert speeds == sorted(speeds) and speeds[0] < speeds[1] < speeds[2] < speeds[3]


def test_a_wing_that_cannot_cruise_flies_no_part(wing):
    card, weak = wing.speed_card, with_study(wing, STUDY)
    weak.speed_card = replace(card, columns=card.columns | {"throttle": card.columns["throttle"] + 1})
    mission = missions.simulate_mission(weak)
    assert mission.parts == [] and mission.end_reason.startswith("at no speed well above its stall")
    assert report_of(wing, mission)[0].endswith("0 of 6 parts were begun.")


def test_no_mission_no_words(wing):
    assert missions.simulate_mission(with_study(wing, replace(STUDY, mission=()))) is None
    assert report_of(wing, {}) == ("", [])
