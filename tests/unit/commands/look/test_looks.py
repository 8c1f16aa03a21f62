"""One look at a wing shows the numbers that `assess` gives for it, and what follows it too."""

from dataclasses import asdict, fields

import pytest
from helpers.places import GODWIT, STUDIES

from tradestudy.aircraft.model.speed_sweep import NeverFlies, SpeedSweep
from tradestudy.commands.assess import assess, flown_as_expected
from tradestudy.commands.look.controls import controls
from tradestudy.commands.look.looks import after_release, look, stock_look
from tradestudy.commands.look.work import Work
from tradestudy.commands.study_session import StudySession
from tradestudy.errors import CommandError
from tradestudy.results.flight import Curves
from tradestudy.results.inputs import SpreadPercentiles, SpreadResult
from tradestudy.results.json_form import json_data, part_from_json
from tradestudy.results.look.look import WingLook
from tradestudy.study.edits.edit_study import EditRefused
from tradestudy.study.reader import read_study
from tradestudy.uncertainty.expected import expected_wing

WIDE = {"variables": {"span_mm": 1480, "sweep_deg": 24, "washout_deg": 2.2, "cruise_speed_kmh": 62}}
HEAVY = {
    "choice": {"parallel": 3, "rod_pairs": 3, "propeller": "11x6"},
    "variables": {"span_mm": 1620, "tip_chord_mm": 160, "static_margin_pct": 8, "cruise_speed_kmh": 58},
}


@pytest.fixture(scope="module")
def session(godwit_study):
    return StudySession(godwit_study, "assess", tasks=1)


def known_of(look):
    """Return the numbers of a look that exist."""
    return {name: value for name, value in asdict(look.numbers).items() if value is not None and name != "payload_g"}


@pytest.mark.parametrize(
    "wing, asked",
    [
        (WIDE, {"span": "1480 mm", "sweep": "24 deg", "washout": "2.2 deg", "cruise_speed": "62 km/h"}),
        (
            HEAVY,
            {"parallel": 3, "rod_pairs": 3, "propeller": "11x6", "span": "1620 mm", "tip_chord": "160 mm"}
            | {"static_margin": "8 %", "cruise_speed": "58 km/h"},
        ),
    ],
    ids=["wide", "heavy"],
)
def test_numbers_limits_curves_and_drawing_are_those_of_assess(work, session, wing, asked):
    # `assess` changes the wing half way to the longest span here, so what is not asked for is given to both
    same = {"sweep": "26.565051177 deg", "washout": "1.5 deg", "tip_chord": "172 mm", "static_margin": "8 %"} | asked
    seen = look(work, wing | {"variables": {"static_margin_pct": 8.0} | wing["variables"]})
    full = assess(session, **same).best
    for name, value in known_of(seen).items():
        assert value == pytest.approx(getattr(full.numbers, name), rel=1e-6, abs=2e-4), name
    ours = {state.name: state for state in seen.limits}
    assert set(ours) == {state.name for state in full.limits}
    for state in full.limits:
        assert ours[state.name].margin == pytest.approx(state.margin, rel=1e-5, abs=1e-6), state.name
        assert ours[state.name].value == pytest.approx(state.value, rel=1e-5, abs=1e-5), state.name
    assert [each.margin for each in seen.limits] == sorted(each.margin for each in seen.limits)
    for name in ("speed_kmh", "range_km", "current_a", "radius_km"):
        assert getattr(seen.curves, name) == pytest.approx(getattr(full.curves, name), rel=1e-5), name
    for name in ("x_mm", "y_mm", "elevon_x_mm", "elevon_y_mm"):
        assert getattr(seen.outline, name) == getattr(full.outline, name)
    assert [json_data(rod) for rod in seen.outline.rods] == [
        pytest.approx(json_data(rod), abs=2e-3) for rod in full.outline.rods
    ]
    assert seen.outline.packs == full.outline.packs
    assert seen.outline.parts == full.outline.parts
    solids = {solid.name: solid for solid in full.body.solids}
    for solid in seen.body.solids:
        assert solid.vertices_mm == solids[solid.name].vertices_mm


def test_a_wing_without_a_cruise_speed_flies_at_the_best_one(work):
    wing = {"variables": {"span_mm": 1550}}
    seen = look(work, wing)
    assert seen.best_speed_kmh == seen.numbers.cruise_speed_kmh
    for step in (-3, 3):
        other = look(work, {"variables": {"span_mm": 1550, "cruise_speed_kmh": seen.best_speed_kmh + step}})
        slow = other.numbers.cruise_speed_kmh < other.least_cruise_kmh
        assert other.numbers.range_km < seen.numbers.range_km or slow


def test_a_pack_that_is_moved_lies_where_it_was_put(work):
    seen = look(work, {"variables": {"pack_position_mm": 141.5, "span_mm": 1400, "cruise_speed_kmh": 60}})
    assert seen.numbers.pack_position_mm == pytest.approx(141.5, abs=1e-3)
    back = look(work, {"choice": json_data(seen.choices), "variables": json_data(seen.variables)})
    assert back.numbers == seen.numbers
    assert seen.pack_reach.at_mm == pytest.approx(141.5, abs=1e-3)
    assert seen.pack_reach.left_mm == pytest.approx(
        min(141.5 - seen.pack_reach.front_mm, seen.pack_reach.back_mm - 141.5), abs=1e-3
    )


def test_a_wing_that_a_moved_pack_makes_unstable_can_be_sent_back(work):
    seen = look(work, {"variables": {"pack_position_mm": 200.0, "span_mm": 1300, "cruise_speed_kmh": 60}})
    assert seen.variables.static_margin_pct < 0 and not seen.all_met
    back = look(work, {"choice": json_data(seen.choices), "variables": json_data(seen.variables)})
    assert back.numbers == seen.numbers


def test_a_pack_may_stay_in_the_bay_of_the_stock_wing(work, monkeypatch):
    variables = {"span_mm": 1400, "cruise_speed_kmh": 60}
    laid = look(work, {"variables": variables})
    assert [option.value for option in laid.layouts] == [None, "1 x 8 x 1 fore and aft"]
    held = look(work, {"choice": {"layout": None}, "variables": variables})
    assert held.choices.layout is None and laid.choices.layout
    assert held.outline.bays[0].x_mm == 50.0 and held.outline.bays[0].x_mm != laid.outline.bays[0].x_mm
    for seen in (laid, held):
        again = look(work, {"choice": json_data(seen.choices), "variables": json_data(seen.variables)})
        assert again.numbers == seen.numbers and again.choices == seen.choices
    monkeypatch.setattr(work, "_layouts", {})
    monkeypatch.setattr("tradestudy.commands.look.work.choice_fault", lambda *given: "no room in that bay")
    assert look(work, {"choice": {"layout": None}, "variables": variables}).choices == laid.choices


def test_a_payload_lies_at_the_mark_and_weighs(work):
    wing = {"span_mm": 1500, "static_margin_pct": 7, "cruise_speed_kmh": 60}
    empty, loaded = (look(work, {"variables": wing | more}) for more in ({}, {"payload_g": 250}))
    assert loaded.numbers.payload_g == 250.0
    assert loaded.numbers.auw_g == pytest.approx(empty.numbers.auw_g + 250, abs=1e-3)
    assert loaded.numbers.cg_mm == empty.numbers.cg_mm
    assert loaded.numbers.pack_position_mm == pytest.approx(empty.numbers.pack_position_mm, abs=1e-3)
    # every strip reaches its largest lift at a speed that goes with the root of the weight, but for Reynolds number
    ratio = loaded.numbers.stall_speed_kmh / empty.numbers.stall_speed_kmh
    assert ratio == pytest.approx((loaded.numbers.auw_g / empty.numbers.auw_g) ** 0.5, rel=0.01)
    assert loaded.numbers.failure_load_factor < empty.numbers.failure_load_factor
    limits = {state.name: state for state in loaded.limits}
    for state in empty.limits:
        assert limits[state.name].bound == pytest.approx(state.bound) or state.name == "cruise_over_stall", state
    moved = look(work, {"variables": {"span_mm": 1500, "pack_position_mm": 150, "payload_g": 250}})
    assert moved.numbers.pack_position_mm == pytest.approx(150, abs=1e-3)
    assert after_release(work, {"variables": wing | {"payload_g": 250}}).numbers.auw_g == loaded.numbers.auw_g


def test_the_stock_wing_is_the_one_that_flies(work, session):
    stock, seen = session.stock_result().stock, stock_look(work)
    for name, value in known_of(seen).items():
        assert value == pytest.approx(getattr(stock.numbers, name), rel=1e-6, abs=2e-4), name


def test_a_look_as_json_and_back(work):
    seen = look(work, WIDE)
    assert part_from_json(WingLook, json_data(seen)) == seen


def test_a_wing_that_stalls_at_every_speed_says_so(work, monkeypatch):
    def never(sweep, static_margin=None):
        raise NeverFlies("by these numbers there is no speed")

    monkeypatch.setattr(SpeedSweep, "stall", never)
    for wing in (WIDE, {"variables": {"span_mm": 1480}}):
        seen = look(work, wing)
        assert seen.cannot_fly == "by these numbers there is no speed" and not seen.all_met
        assert seen.curves == Curves() and seen.numbers.stall_speed_kmh is None
        assert seen.outline.x_mm and seen.numbers.auw_g > 1800
        assert "full_speed" not in {state.name for state in seen.limits}
        assert part_from_json(WingLook, json_data(seen)) == seen


def made_up_draws():
    """Return invented draws in which the range to expect is a tenth less than at the medians."""
    names = [each.name for each in fields(SpreadPercentiles)]
    over = {name: 1.0 for name in names} | {"range_km": 0.9, "radius_by_charge_km": 0.92, "cruise_current_a": 1.1}
    return SpreadResult(SpreadPercentiles(**{name: [8.0, 10.0, 13.0] for name in names}), {}, [], 100, over)


def test_values_to_expect_and_their_bands(godwit_study, work, monkeypatch):
    drawn = made_up_draws()
    medians = look(work, WIDE)
    assert not medians.expected and medians.bands == []
    monkeypatch.setattr(work, "draws", drawn)
    seen = look(work, WIDE)
    assert seen.expected and seen.about
    assert seen.numbers.range_km == pytest.approx(0.9 * medians.numbers.range_km)
    assert seen.curves.range_km[7] == pytest.approx(0.9 * medians.curves.range_km[7])
    assert seen.numbers.wh_per_km == pytest.approx(medians.numbers.wh_per_km / 0.9)
    assert seen.limits == medians.limits
    band = next(band for band in seen.bands if band.number == "range_km")
    assert (band.low, band.high) == pytest.approx((0.8 * seen.numbers.range_km, 1.3 * seen.numbers.range_km), rel=1e-5)
    assert band.about
    after = after_release(work, WIDE)
    full = expected_wing(assess_wing(work, WIDE), drawn, None)
    assert after.numbers == full.numbers
    assert after.mission == flown_as_expected(work.study, work.space.data(work.stock_choice), full, drawn).mission
    assert after.numbers.range_km == pytest.approx(seen.numbers.range_km, rel=1e-5)
    assert after.balance is not None and after.numbers.flutter_kmh


def assess_wing(work, wing):
    """Return the wing as `assess` computes it at the medians of all inputs."""
    from tradestudy.aircraft.assessment.full_design import assess_design
    from tradestudy.aircraft.model.choices import choice_from_edge, variables_from_edge

    seen = look(work, wing)
    choice = choice_from_edge(seen.choices)
    limits = work.limits(choice)
    variables = variables_from_edge(seen.variables)
    return assess_design(work.study, work.space.data(choice), choice, variables, "stretched", limits)


def test_an_edited_study_answers_as_one_whose_file_was_edited(work, tmp_path):
    edited = work.edited({"fly.reserve": "30 %"})
    assert edited.study_id != work.study_id
    assert work.edited({"fly.reserve": "30 %"}) is edited
    text = GODWIT.read_text(encoding="utf-8").replace('reserve = "20 %"', 'reserve = "30 %"')
    typed = Work(read_study(_written(tmp_path / "godwit.toml", text)))
    assert look(edited, WIDE).numbers == look(typed, WIDE).numbers
    assert look(edited, WIDE).numbers.range_km < 0.9 * look(work, WIDE).numbers.range_km
    assert edited.study.text == text
    assert edited.edited({"fly.reserve": "20 %"}).study.text == work.study.text
    with pytest.raises(EditRefused, match="reserve"):
        work.edited({"fly.reserve": "130 %"})


def _written(path, text):
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    "wing, words",
    [
        ({"variables": {"spann_mm": 1400}}, "Did you mean span_mm"),
        ({"variables": {"span_mm": "1400"}}, "a number is wanted"),
        ({"variables": {"span_mm": float("nan")}}, "a number is wanted"),
        ({"variables": {"span_mm": True}}, "a number is wanted"),
        ({"variables": {"span_mm": 10**400}}, "a number is wanted"),
        ({"variables": {"span_mm": float("inf")}}, "a number is wanted"),
        ({"variables": {"pack_position_mm": 4000}}, "from -3000 mm to 3000 mm"),
        ({"variables": {"pack_position_mm": -1e308}}, "a number is wanted"),
        ({"variables": {"span_mm": 1299}}, "1300 mm as it is"),
        ({"variables": {"extension_mm": -4}}, "1300 mm as it is"),
        ({"variables": {"payload_g": -5}}, "from 0 to 5 kg"),
        ({"variables": {"sweep_deg": 80}}, "beyond what these wings can be"),
        ({"variables": {"tip_chord_mm": 400}}, "wider than the root"),
        ({"choice": {"parallel": 7}}, "It has 2, 3, 4"),
        ({"choice": {"parallel": 2.5}}, "whole number"),
        ({"choice": {"parallel": float("inf")}}, "a number is wanted"),
        ({"choice": {"layout": "1 x 8 x 1 fore and aft", "raised_lid_mm": -50}}, "from 0 mm to 30 mm"),
        ({"choice": {"layout": "1 x 8 x 1 fore and aft", "raised_lid_mm": 1e5}}, "from 0 mm to 30 mm"),
        ({"choice": {"propeller": "<b>"}}, "It has 10x6, 11x6"),
        ({"choice": {"pack": "none such"}}, "It has 2.5 Ah"),
        ({"choice": {"layout": "odd"}}, "no way to lay a pack"),
        ({"choice": {"wings": 2}}, "no part of a wing"),
        ({"choice": [1]}, "a table of parts"),
        ({"wing": {}}, "choice and variables"),
    ],
)
def test_an_impossible_wing_is_refused_in_one_sentence(work, wing, words):
    with pytest.raises(CommandError, match=words):
        look(work, wing)


def test_an_added_tip_piece_has_the_twist_that_a_search_gives_it():
    """Half way to the longest span the twist of 2 deg goes on along straight lines, by hand: panel 469.9 mm."""
    work = Work(read_study(STUDIES / "dunlin.toml"))
    seen = [look(work, {"variables": {"span_mm": span, "washout_deg": 2.0}}) for span in (939.8, 1160.0)]
    assert seen[0].numbers.washout_deg == pytest.approx(2.0, abs=1e-4)
    assert seen[1].numbers.washout_deg == pytest.approx(2.0 * (1 + 107.95 / 469.9), abs=1e-3)
    assert seen[1].all_met
    reasons = {slider.key: slider.fixed_why for slider in controls(work).sliders}
    assert all("added pieces carry" in reasons[key] for key in ("washout_deg", "tip_chord_mm"))
    assert "scaled" in reasons["sweep_deg"] and not reasons["span_mm"]
