"""Numbers and warnings of the drive, and the effect of a study's keys on them, for the demo's stock wing."""

import re
from dataclasses import replace

import numpy as np
import pytest
from helpers.places import STUDIES

from tradestudy.aircraft.anchor.calibration import anchor_of, stretched_data
from tradestudy.aircraft.assessment import drive
from tradestudy.aircraft.model import power_data
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.limit_bounds import limits_of
from tradestudy.commands.kept_results import inputs_text
from tradestudy.errors import StudyContradicted
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.propulsion import drive_train
from tradestudy.physics.propulsion.motor import WARM_RESISTANCE
from tradestudy.physics.propulsion.propeller_blade import BLADE_STATIONS, MEAN_CHORD
from tradestudy.physics.propulsion.propeller_table import propeller_coefficients
from tradestudy.study.reader import read_study
from tradestudy.study.schema.fitted import fitted_table
from tradestudy.study.schema.power import MotorTestTable

RPM = 2 * np.pi / 60


@pytest.fixture(scope="module")
def godwit():
    return read_study(STUDIES / "godwit.toml")


@pytest.fixture(scope="module")
def anchor(godwit):
    return anchor_of(godwit)


def _changed(study, **tables):
    """Return a study with some keys of some tables changed, in SI units."""
    return replace(study, **{name: getattr(study, name).model_copy(update=values) for name, values in tables.items()})


def _design(study, anchor, speed=14.0):
    data = stretched_data(study, anchor, anchor.choice, anchor.variables["cruise_speed"])
    return EvaluatedDesign(study, data, anchor.choice, anchor.variables | {"cruise_speed": speed})


def _words(study, anchor, speed=14.0):
    return drive.drive_flags(_design(study, anchor, speed))


def test_numbers_are_those_of_the_powertrain(godwit, anchor):
    sweep = _design(godwit, anchor)
    numbers = drive.drive_numbers(sweep)
    data = sweep.data.power
    full = drive_train.full_throttle(sweep.powertrain, 0.0, data.air_density, 1.0, data.avionics_power)
    assert numbers["static_thrust_g"] == pytest.approx(1e3 * full.shaft.thrust / GRAVITY)
    assert numbers["low_pack_current_a"] < full.pack_current
    assert numbers["cruise_rpm"] < numbers["full_throttle_rpm"]
    assert 15 < numbers["motor_cruise_c"] < numbers["motor_full_throttle_c"]
    assert numbers["first_rating"] == "motor" and numbers["throttle_within_ratings_pct"] == 100


def test_a_sound_drive_has_no_flags(godwit, anchor):
    assert _words(godwit, anchor) == []


def test_the_rating_that_goes_first_and_the_throttle_that_keeps_it(godwit, anchor):
    """Check that the advice of the warning works: with the stated throttle cap, the current is the rated one."""
    for table, key, name in (
        ("motor", "maximum_current", "motor"),
        ("controller", "maximum_current", "controller"),
        ("pack", "maximum_current", "cells"),
        ("pack", "connector_current", "connector"),
    ):
        study = _changed(godwit, **{table: {key: 14.0}})
        sweep = _design(study, anchor)
        found, share, kept = drive.first_rating(sweep, 1.0)
        assert found == name and share > 1.3
        assert f"the {name} goes first: {100 * share:.0f} % of its rated current" in " ".join(_words(study, anchor))
        capped = _design(
            _changed(study, controller={"throttle_cap": kept} | ({key: 14.0} if table == "controller" else {})), anchor
        )
        data = capped.data.power
        point = drive_train.full_throttle(capped.powertrain, np.zeros(1), data.air_density, 1.0, data.avionics_power)
        # caps are tried every 2.5 % of throttle, with straight lines between: tolerance 1 % of current
        assert max(drive.rating_shares(capped, point)[name]) == pytest.approx(1.0, abs=0.01)


def test_missing_thrust_is_reported_with_speed_and_newtons(godwit, anchor):
    study = _changed(godwit, controller={"throttle_cap": 0.3})
    sweep = _design(study, anchor)
    speed = 22.0
    full = drive_train.full_throttle(
        sweep.powertrain, np.array([speed]), sweep.data.power.air_density, 1.0, sweep.data.power.avionics_power
    )
    thrust, need = float(full.shaft.thrust[0]), float(sweep.drag(speed)[0])
    assert _words(study, anchor, speed)[0] == (
        f"its largest throttle (30 %) on a full pack does not carry it at 79 km/h: {thrust:.1f} N of thrust for "
        f"{need:.1f} N of drag, {need - thrust:.1f} N are missing"
    )


def test_a_propeller_that_may_burst(godwit, anchor):
    """Check the largest rpm of a propeller of 10 in: by common practice 145 000 over 10, or its maker's value."""
    study = _changed(godwit, propeller={"maximum_rpm": 9000 * RPM})
    (words,) = _words(study, anchor)
    assert words.endswith("rpm at full throttle; its maker allows 9000: it may burst")
    study = _changed(godwit, motor={"speed_constant": 2.0 * godwit.motor.speed_constant, "resistance": 0.02})
    assert "a stiff propeller of 10 in bears, by common practice, 14500: it may burst" in " ".join(
        _words(study, anchor)
    )


def test_a_motor_that_would_burn(godwit, anchor):
    study = _changed(godwit, motor={"mass": 0.012, "resistance": 0.2})
    assert any(
        words.startswith("if it lasts minutes, cruise brings the motor's copper") for words in _words(study, anchor)
    )


def test_a_motor_that_is_hot_only_after_minutes_of_full_throttle_gets_a_time(godwit, anchor):
    """Check a small motor on the flown stock wing: normal use is said to be fine, and the advised cap is cool."""
    study = _changed(godwit, motor={"mass": 0.070})
    design = _design(study, anchor)
    assert drive.drive_numbers(design)["motor_full_throttle_c"] > 120.0
    (words,) = [each for each in drive.drive_flags(design) if "copper" in each]
    found = re.fullmatch(
        r"full throttle at top speed may last about (\d+) s, then the motor's copper is at 120 C \(estimate, good to a "
        r"factor of two in the rise\); with 10 % of full throttle it stays near (\d+) C\. A throttle cap of (\d+) % "
        r"\(controller\.throttle_cap\) may last",
        words,
    )
    seconds, normal, cap = map(int, found.groups())
    assert 5 < seconds < 600 and normal < 100
    capped = _design(_changed(study, controller={"throttle_cap": cap / 100}), anchor)
    hottest = drive._winding(capped, *_at_top_speed(capped, design.speed_card.top_speed))
    assert 373.15 < hottest < 394.15
    all_day = _changed(study, fly={"full_throttle_share": 0.6})
    assert any("with 60 % of full throttle" in each for each in _words(all_day, anchor))
    burning = _changed(study, motor={"mass": 0.070, "resistance": 0.3}, fly={"full_throttle_share": 0.6})
    assert any("too soon for the 60 % of full throttle" in each for each in _words(burning, anchor))


def _at_top_speed(design, speed):
    shaft = design.full_throttle([speed]).shaft
    return float(shaft.motor_current[0]), float(shaft.revolutions[0])


def test_a_cap_counts_in_every_full_throttle_and_in_the_limit(godwit, anchor):
    """Check that a throttle cap affects every full throttle and the limit: slower, weaker, and less current.

    No flight may end above it.
    """
    plain, capped = (_design(_changed(godwit, controller={"throttle_cap": cap}), anchor) for cap in (1.0, 0.7))
    slow = 1.05 * plain.stall().speed
    assert capped.top_speed(slow) < 0.85 * plain.top_speed(slow)
    study = _changed(godwit, controller={"throttle_cap": 0.7})
    held = {limit.name: limit for limit in limits_of(study, anchor.reference, anchor.choice, 1)}
    assert held["end_throttle"].bound == 0.7


def test_cold_and_old_packs_sag(godwit):
    new = power_data.pack_of(godwit)
    old = power_data.pack_of(_changed(godwit, pack={"temperature": 273.15, "health": 0.8}))
    assert old.cell_capacity == pytest.approx(0.8 * new.cell_capacity)
    assert old.cell_resistance == pytest.approx(2 * 2 * new.cell_resistance)
    read = power_data.pack_of(_changed(godwit, pack={"resistance": 0.15, "temperature": 273.15}))
    assert 4 / 2 * read.cell_resistance + read.wiring_resistance == pytest.approx(0.15)


def test_a_motor_test_takes_the_place_of_the_catalogue(godwit):
    """Check the resistance from a bench reading at 12 V, 20 A and 7200 rpm of a motor with 820 rpm/V.

    It is 12 - 8.78 - 0.2 V of the switches, over the motor's own current.
    """
    plain = power_data.motor_with_test(godwit)
    assert plain.test is None and plain.motor.resistance_factor == pytest.approx(WARM_RESISTANCE)
    study = replace(godwit, motor_test=MotorTestTable(voltage="12 V", current="20 A", rpm="7200 rpm"))
    motor, test = power_data.motor_with_test(study)
    loaded = motor.resistance * motor.resistance_factor
    assert loaded == pytest.approx(test.resistance)
    assert loaded == pytest.approx((12 - 7200 / 820) / 20 - 0.010, rel=0.05)  # the controller needs 3 % of the current
    lines = " ".join(drive.drive_scatter(study))
    assert f"{1e3 * loaded:.0f} mohm by its bench test" in lines
    assert "2 to 3 times" in " ".join(drive.drive_scatter(godwit)) and "2 to 3 times" not in lines
    wrong = replace(godwit, motor_test=MotorTestTable(current="2 A", rpm="16000 rpm"))
    with pytest.raises(
        StudyContradicted,
        match=r"motor_test says that 16\.\d\d V across the motor turn it at 16000 rpm; "
        r"by motor.speed_constant that takes 19\.51 V without any load\. Look at that constant and the "
        r"readings\.$",
    ):
        power_data.motor_with_test(wrong)


def test_warm_copper_and_the_drive_as_built(godwit, anchor):
    """Check copper at 0.393 % per kelvin above 20 C, and that the drive's factor and its fitted one multiply."""
    built = _changed(godwit, built={"drive_power_factor": 1.1})
    fitted = replace(built, fitted=fitted_table({"drive_power": 1.2}))
    for study, factor in ((built, 1.1), (fitted, 1.32)):
        train = power_data.power_data(study, anchor.data.flight, "10x6").powertrain
        assert train.drive_power_factor == pytest.approx(factor)
    cool = power_data.motor_of(_changed(godwit, motor={"winding_temperature": 293.15}))
    assert WARM_RESISTANCE / cool.resistance_factor == pytest.approx(1.1965)


@pytest.fixture
def with_blade(godwit, tmp_path):
    """Return the demo with a measured blade: the generic one of its label, written to a file."""
    radius = BLADE_STATIONS * 0.127
    angle = np.degrees(np.minimum(np.arctan(0.1524 / (2 * np.pi * radius)), np.radians(42.0)))
    lines = [f"{r:.4f},{c:.4f},{b:.3f}" for r, c, b in zip(BLADE_STATIONS, MEAN_CHORD, angle, strict=True)]
    (tmp_path / "mine.csv").write_text("# by ruler\nr/R,c/R,beta\n" + "\n".join(lines) + "\n", encoding="utf-8")
    return _changed(replace(godwit, path=tmp_path / "study.toml"), propeller={"blade": "mine.csv"})


def test_a_measured_blade(godwit, with_blade):
    """Check that the shape of the generic blade read from a file gives the generic propeller within 2 %.

    The file has a tenth of a degree, and straight lines between 18 stations.
    """
    generic, measured = (power_data.propeller_of(study, "10x6") for study in (godwit, with_blade))
    ratio = np.linspace(0, 0.6, 7)
    for one, other in zip(
        propeller_coefficients(measured, ratio, 600.0), propeller_coefficients(generic, ratio, 600.0), strict=True
    ):
        assert one == pytest.approx(other, abs=0.02 * other[0])
    assert power_data.propeller_of(with_blade, "11x7").diameter == pytest.approx(0.2794)  # another size uses its label
    assert power_data.propeller_band(with_blade).static_thrust < power_data.propeller_band(godwit).static_thrust
    assert "is its blade as measured" in drive.drive_scatter(with_blade)[0]


def test_a_blade_measured_anew_is_solved_anew(with_blade):
    """Check that results kept from an earlier run depend on the files beside the study, too."""
    before = inputs_text(with_blade)
    file = with_blade.file_path("mine.csv")
    file.write_text(file.read_text(encoding="utf-8").replace("0.0600", "0.0700"), encoding="utf-8")
    assert inputs_text(with_blade) != before


def test_a_third_blade_and_another_section(with_blade):
    """Check that half as much blade again gives about a third more static thrust, and a flat plate as section less."""

    def static(**keys):
        study = _changed(with_blade, propeller={"blade": "mine.csv", **keys})
        return propeller_coefficients(power_data.propeller_of(study, "10x6"), 0.0, 600.0)[0]

    assert 1.2 < static(blades=3) / static() < 1.5
    assert static(blade_section="naca0006") < 0.95 * static()


def test_a_propeller_outside_its_table_is_flagged(godwit, anchor, tmp_path):
    """Check the warning for a propeller measured only at 4000 rpm and up to J = 0.5, which is used far outside both."""
    rows = "\n".join(f"{0.05 * i:.2f},{0.11 - 0.0075 * i:.4f},{0.05 - 0.001 * i:.4f},4000" for i in range(11))
    (tmp_path / "mine.csv").write_text("J,CT,CP,rpm\n" + rows + "\n", encoding="utf-8")
    study = _changed(replace(godwit, path=tmp_path / "study.toml"), propeller={"table": "mine.csv"})
    words = _words(study, anchor)
    beyond = [line for line in words if line.endswith("thrust and power there are extrapolated, not measured")]
    assert any(
        line.startswith("standing at full throttle the propeller turns") and "measured is 4000 to 4000" in line
        for line in beyond
    )
    assert any(
        line.startswith("at top speed the propeller works at J = ") and "measured is 0.00 to 0.50" in line
        for line in beyond
    )
    assert power_data.propeller_band(study) is None
