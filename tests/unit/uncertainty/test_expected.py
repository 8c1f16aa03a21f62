"""One number has one value in every output: what to expect, on terminal, page, card, build sheet and in JSON."""

import json
from dataclasses import replace

import pytest
from helpers.invented.invented_result import purposes_of, sample_result
from helpers.readers.page_reader import Reader

from tradestudy.report.first_flight import card_parts, note_words
from tradestudy.report.page.page import page
from tradestudy.report.words.first_screen import answers, first_screen
from tradestudy.report.words.phrases import ENERGY_ONLY
from tradestudy.report.words.pilot_card import COLUMNS, LINES, card_lines
from tradestudy.results.result import result_from_json
from tradestudy.uncertainty.expected import HOME_PCT, _watts_as_expected, expected_result
from tradestudy.uncertainty.range_band import SPREAD_QUANTITIES, Percentiles, Spread

OVER = {"range_km": 0.9, "radius_by_charge_km": 0.88, "endurance_min": 0.92, "usual_flight_min": 0.95,
    "cruise_current_a": 1.12, "stall_speed_kmh": 1.02, "top_speed_kmh": 0.97}  # fmt: skip


def drawn(**changed):
    """Return an invented result whose draws differ from the medians, told by the values to expect: (before, after)."""
    before = sample_result(**changed)
    numbers = before.recommended.numbers
    middles = {name: OVER.get(name, 1.0) * getattr(numbers, name, 50.0) for name in SPREAD_QUANTITIES}
    bands = {name: Percentiles(0.8 * middle, middle, 1.3 * middle) for name, middle in middles.items()}
    over = {name: OVER.get(name, 1.0) for name in SPREAD_QUANTITIES}
    before = replace(before, spread=Spread(bands, {}, [], {}, over, 4096, 1.0).reported())
    return before, expected_result(before)


@pytest.fixture(scope="module")
def results():
    return drawn()


@pytest.fixture
def without_figures(monkeypatch):
    monkeypatch.setattr("tradestudy.report.figures.all_figures.FIGURES", {})


@pytest.mark.usefixtures("without_figures")
def test_the_headline_is_equal_in_every_output(results):
    _, result = results
    bands, wing = result.spread.percentiles, result.recommended
    for name in OVER:  # one typed place: the wing's own numbers are its middles
        assert getattr(wing.numbers, name) == pytest.approx(getattr(bands, name)[1], abs=1e-3)
    low, middle, high = (f"{value:.0f}" for value in bands.range_km)
    amps = [f"{value:.1f}" for value in bands.cruise_current_a]
    document = json.loads(result.to_json())
    stored = document["recommended"]["numbers"]
    assert f"{stored['range_km']:.0f}" == middle == f"{document['spread']['percentiles']['range_km'][1]:.0f}"
    assert f"{stored['cruise_current_a']:.1f}" == amps[1]
    terminal = dict(first_screen(result))
    assert terminal["How far"].startswith(f"{middle} km to expect on one charge, range band {low} to {high} km")
    assert terminal["Hold"].startswith(f"about {amps[1]} A ({amps[0]} to {amps[2]}): ")
    paper = " ".join(Reader(page(result)).words.replace("\N{NO-BREAK SPACE}", " ").split())
    assert terminal["How far"] in paper and terminal["Turn back"] in paper and paper.count(ENERGY_ONLY) >= 3
    assert answers(result)[2].value == middle
    card = "\n".join(card_lines(result, wing))
    assert f"8 in 10: {amps[0]} to {amps[2]} A, {low} to {high} km" in card
    assert ENERGY_ONLY in " ".join(card.split())
    points = [point for part in card_parts(result, wing) for point in part.points]
    sheet = " ".join([*points, *note_words(result, wing)])
    assert f"Range to expect: {middle} km on one charge, eight in ten such wings {low} to {high} km." in sheet
    assert f"about {amps[1]} A ({amps[0]} to {amps[2]})" in sheet


def test_card_and_curves_follow_the_same_shares(results):
    before, after = (result.recommended for result in results)
    assert after.pilot_card.hold_a == pytest.approx(OVER["cruise_current_a"] * before.pilot_card.hold_a)
    assert after.pilot_card.longest_min == pytest.approx(OVER["endurance_min"] * before.pilot_card.longest_min)
    for old, new in zip(before.pilot_card.legs, after.pilot_card.legs, strict=True):
        if old.full_km is not None:
            assert new.full_km == pytest.approx(OVER["range_km"] * old.full_km)
            assert new.full_km * new.mah_per_km == pytest.approx(old.full_km * old.mah_per_km)  # the charge of the pack
    assert after.curves.range_km == pytest.approx([OVER["range_km"] * one for one in before.curves.range_km])
    assert sum(after.watts.values()) == pytest.approx(sum(before.watts.values()) / OVER["range_km"])
    assert after.limits == before.limits and after.masses_g == before.masses_g


def test_the_power_of_the_equipment_stays_as_told():
    """Check that the parts still add up to the total to expect, and the others keep their proportions."""
    found = _watts_as_expected({"moving the wing": 20.0, "motor": 10.0, "equipment": 5.0}, 1.2)
    assert found == pytest.approx({"moving the wing": 20.0 * 37 / 30, "motor": 10.0 * 37 / 30, "equipment": 5.0})
    assert _watts_as_expected({"motor": 1.0, "equipment": 9.0}, 0.8)["equipment"] == pytest.approx(7.2)


def test_turning_points_are_at_the_cautious_end(results):
    """Check that 90 of 100 such wings come home: the low end of out and home over its value at the medians."""
    before, after = results
    for old, new in zip(before.recommended.pilot_card.turns, after.recommended.pilot_card.turns, strict=True):
        if old.full_km is not None:
            assert new.full_km == pytest.approx(0.8 * OVER["radius_by_charge_km"] * old.full_km, rel=1e-4)
            assert (new.full_mah, new.full_v) == (old.full_mah, old.full_v)
    assert after.recommended.pilot_card.home_pct == HOME_PCT
    low, middle, _ = after.spread.percentiles.radius_by_charge_km
    minutes = after.spread.percentiles.turn_back_min[0]
    words = dict(first_screen(after))["Turn back"]
    assert words.startswith(f"by {low:.0f} km or {minutes:.0f} minutes out") and f"to expect {middle:.0f} km" in words
    lines = card_lines(after, after.recommended)
    assert "TURN BACK BY: 90 % then come home" in lines
    assert len(lines) <= LINES and max(map(len, lines)) <= COLUMNS
    assert "turn at" in "\n".join(card_lines(before, before.recommended))


def test_out_and_home_shows_the_cautious_end_large():
    _, result = drawn(purposes=purposes_of("out_and_home"))
    low, middle, _ = result.spread.percentiles.radius_by_charge_km
    answer = answers(result)[2]
    assert float(answer.value) == pytest.approx(low, abs=0.5)
    assert f"To expect: {middle:.0f} km." in answer.lines[0]


def test_a_limit_by_radio_or_law_caps_the_turn():
    farthest = 12.0
    _, result = drawn(purposes=purposes_of("out_and_home", farthest_out_km=farthest))
    out = result.spread.percentiles
    minutes = out.turn_back_min[0] * farthest / out.radius_by_charge_km[0]
    assert result.recommended.numbers.radius_km == farthest
    assert dict(first_screen(result))["Turn back"].startswith(f"by 12 km or {minutes:.0f} minutes out")


def test_all_wings_are_told_with_the_same_shares_and_without_draws_nothing_changes(results):
    before, after = results
    pairs = [(before.stock, after.stock), *zip(before.front, after.front, strict=True)]
    for old, new in pairs:
        assert new.numbers.range_km == pytest.approx(OVER["range_km"] * old.numbers.range_km)
    bare = sample_result()
    assert expected_result(bare) is bare
    assert result_from_json(after.to_json()) == after
