"""The acceptance form: one page on either paper, with the numbers of the wing and room to sign."""

from dataclasses import replace

import pytest
from helpers.invented.invented_result import bench, broken_bench

from tradestudy.errors import LimitsViolated
from tradestudy.report.build_sheet.paper import SIZES
from tradestudy.report.logbook.acceptance_form import acceptance_form, acceptance_rows, flight_rows, load_test_checks
from tradestudy.report.tolerance_words import measure_rows


@pytest.fixture(scope="module")
def result():
    return bench()


@pytest.mark.parametrize("paper", SIZES)
def test_it_is_one_page(result, paper):
    assert acceptance_form(result, paper).count(b"/MediaBox") == 1
    assert acceptance_form(broken_bench(), paper, anyway=True).count(b"/MediaBox") == 1  # below its warning too


def test_it_holds_the_numbers_of_the_wing(result):
    wing = result.recommended
    rows = {row[0]: row[1:] for row in acceptance_rows(wing)}
    sheet = {row[0]: row[1:] for row in measure_rows(wing)}
    assert rows["flying weight"][:2] == sheet["flying weight"][:2] == ("1500 g", "1455 to 1545 g")
    assert rows["balance mark"][:2] == sheet["balance mark"][:2] == ("171 mm", "169 to 173 mm")
    assert rows["washout, left tip"] == rows["washout, right tip"]
    assert rows["washout, left tip"][:2] == sheet["washout, left tip"][:2]
    assert "slots, rods 1" in sheet and "slots, rods 1" not in rows  # glue hides it
    throws = wing.cutting.throws
    assert f"{throws.up_mm:.1f} mm up, {throws.down_mm:.1f} mm down" in rows["throws in pitch, at the trailing edge"]
    tests = [row[0].split(":")[0] for row in load_test_checks(result)]
    assert tests == ["bend", "twist", "proof load"]
    assert all(
        set(row[-2:]) == {".........."} for row in (*acceptance_rows(wing), *load_test_checks(result), *flight_rows())
    )


@pytest.mark.parametrize("weak, more", [(70.0, "no faster than 60 km/h"), (50.0, "no flight")])
def test_a_wing_that_twists_like_a_weak_one_is_not_accepted_for_its_speed(result, weak, more):
    """Check that a wing held back until its twist test passes it with the twist as designed, as on the first screen."""
    wing = result.recommended
    card, numbers = replace(wing.pilot_card, until_tested_kmh=60.0), replace(wing.numbers, advised_speed_weak_kmh=weak)
    held = replace(wing, pilot_card=card, numbers=numbers)
    accepted = load_test_checks(replace(result, recommended=held))[1][2]
    assert accepted.startswith(f"at most {wing.load_test.twist.edge_mm:.1f} mm; more: {more}; stop at ")
    free = replace(wing, pilot_card=replace(wing.pilot_card, until_tested_kmh=None))
    assert "more:" not in load_test_checks(replace(result, recommended=free))[1][2]


def test_an_empty_balance_window_is_no_acceptance(result):
    wing = result.recommended
    shut = replace(wing, numbers=replace(wing.numbers, cg_front_mm=180.0, cg_back_mm=170.0))
    rows = {row[0]: row[2] for row in acceptance_rows(shut)}
    assert rows["balance mark"] == "no room: do not fly" != rows["flying weight"]


def test_a_wing_that_keeps_its_panels_is_not_new(result):
    wing = result.recommended
    kept = replace(wing, cutting=replace(wing.cutting, panels_kept=True))
    assert acceptance_form(replace(result, recommended=kept)) is None


def test_a_wing_that_breaks_a_limit_gets_none():
    with pytest.raises(LimitsViolated):
        acceptance_form(broken_bench())
