"""What may be moved on a live page: sliders within the study's bounds, parts with reasons, and keys of the study."""

import pytest
from helpers.places import GODWIT

from tradestudy.commands.look.controls import controls
from tradestudy.commands.look.looks import look
from tradestudy.commands.look.work import Work
from tradestudy.results.json_form import json_data
from tradestudy.study.edits.edit_study import edited_study
from tradestudy.study.reader import read_study


@pytest.fixture(scope="module")
def moved(work):
    return controls(work)


def test_sliders_have_the_bounds_of_the_study_and_a_tick_at_the_stock_wing(moved):
    sliders = {slider.key: slider for slider in moved.sliders}
    span = sliders["span_mm"]
    assert (span.low, span.high, span.stock, span.unit) == (1300.0, 1800.0, 1300.0, "mm")
    sweep = sliders["sweep_deg"]
    assert (sweep.low, sweep.high) == (16.0, 30.0) and sweep.stock == pytest.approx(26.565, abs=1e-3)
    assert sliders["pack_position_mm"].stock == 128.0
    assert sliders["equipment_position_mm"].low == 180.0
    assert all(slider.step > 0 and slider.low <= slider.high and not slider.fixed_why for slider in moved.sliders)


def test_every_end_of_a_slider_and_every_part_gives_a_look(work, moved):
    for slider in moved.sliders:
        for end in (slider.low, slider.high):
            wing = {"variables": {"cruise_speed_kmh": 60, slider.key: end}}
            numbers = json_data(look(work, wing).numbers)
            assert numbers.get(slider.key, end) == pytest.approx(end, abs=1e-3)
    for part in moved.parts:
        for option in part.options:
            choices = json_data(look(work, {"choice": {part.key: option.value}}).choices)
            assert choices[part.key] == option.value


def test_a_study_that_frees_less_says_why(tmp_path):
    text = GODWIT.read_text(encoding="utf-8")
    kept = [line for line in text.splitlines() if not line.startswith(("sweep =", 'washout = ["0 deg"', "may_move"))]
    path = tmp_path / "godwit.toml"
    path.write_text("\n".join(kept), encoding="utf-8")
    sliders = {slider.key: slider for slider in controls(Work(read_study(path))).sliders}
    reasons = {key: slider.fixed_why for key, slider in sliders.items() if slider.fixed_why}
    assert set(reasons) == {"sweep_deg", "washout_deg"}
    assert "stretch.washout" in reasons["washout_deg"]
    assert "equipment_position_mm" not in sliders


def test_a_part_that_cannot_be_says_why(work):
    made = controls(work.edited({"choices.propeller": ["10x6", "20x8"], "choices.parallel": [2, 12]}))
    options = {part.key: {option.value: option.not_possible for option in part.options} for part in made.parts}
    assert options["propeller"]["10x6"] == "" and "into the elevons" in options["propeller"]["20x8"]
    assert options["parallel"][2] == "" and "12P" in options["parallel"][12]


def test_keys_of_the_study_have_their_values_and_what_is_allowed(work, moved):
    keys = {key.key: key for key in moved.study_keys}
    reserve, wind, launch = keys["fly.reserve"], keys["fly.wind"], keys["fly.launch"]
    assert (reserve.value, reserve.number, reserve.unit, reserve.low, reserve.high) == ("20 %", 20.0, "%", 0.0, 90.0)
    assert reserve.given and not wind.given
    assert (wind.value, wind.number, wind.unit) == ("4 m/s", 4.0, "m/s")
    assert launch.options == ["hand", "bungee", "dolly", "wheels"] and launch.value == "bungee"
    for key in moved.study_keys:
        if key.value:
            value = key.number if not key.unit and not key.options else key.value
            assert edited_study(work.study, {key.key: value}).text


def test_a_number_in_the_unit_of_the_file_has_its_bounds_in_that_unit(work):
    keys = {key.key: key for key in controls(work.edited({"fly.launch_speed": "20 mph"})).study_keys}
    speed = keys["fly.launch_speed"]
    assert (speed.number, speed.unit) == (20.0, "mph")
    assert speed.low == pytest.approx(10 / 1.609344, abs=1e-3)
