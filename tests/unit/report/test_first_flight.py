"""The first-flight card: its numbers come from the result, and the launch is that of the wing."""

from dataclasses import replace

import pytest
from helpers.invented.invented_result import bench

from tradestudy.report.first_flight import (
    INSPECTION_TITLE,
    card_parts,
    inspection_rows,
    launch_words,
    note_rows,
    reminders,
)
from tradestudy.report.words.first_screen import _hold_words, _never_exceed_words
from tradestudy.report.words.pilot_card import card_text
from tradestudy.results.design import LimitState


@pytest.fixture(scope="module")
def result():
    return bench()


def words(result, **numbers):
    """Return the card of the recommended wing as one text, with some of its numbers replaced."""
    wing = result.recommended
    wing = replace(wing, numbers=replace(wing.numbers, **numbers))
    return " ".join(point for part in card_parts(result, wing) for point in part.points)


def test_numbers_are_those_of_the_wing(result):
    text = words(result, full_throttle_current_a=23.4, full_throttle_voltage_v=13.1, auw_g=1777.0, stall_speed_kmh=33.0)
    assert "about 23.4 A at 13.1 V" in text and "1777 g expected" in text and "begin near 33 km/h" in text
    throws = result.recommended.cutting.throws
    assert f"pitch {0.6 * throws.up_mm:.1f} mm up and {0.6 * throws.down_mm:.1f} mm down (60 % of full)" in text
    assert f"roll {throws.roll_mm:.1f} mm each way" in text


def test_pitch_is_not_reduced_below_what_the_stall_needs(result):
    up = result.recommended.cutting.throws.up_mm
    assert "keep full up-throw" not in words(result, stall_elevon_mm=-0.55 * up)
    assert f"The stall needs {0.8 * up:.1f} mm up: keep full up-throw." in words(result, stall_elevon_mm=-0.8 * up)


@pytest.mark.parametrize(
    ("way", "inside", "outside"),
    [
        ("hand", "throw at 28 to 32 km/h of airspeed, elevons 4.6 mm up", "bungee"),
        ("bungee", "at least 43 km/h of airspeed", "0.4 s after release"),
        ("dolly", "let it run to 43 km/h", "throw"),
        ("wheels", "let it run to 43 km/h", "throw"),
    ],
)
def test_launch_is_that_of_the_wing(result, way, inside, outside):
    wing = result.recommended
    text = " ".join(launch_words(replace(wing, numbers=replace(wing.numbers, launch_way=way))))
    assert inside in text and outside not in text


def test_a_throw_that_leaves_too_little_height_is_refused(result):
    broken = LimitState("launch_height_left", "height left after a throw", 0.1, 0.5, "m", -0.4, True, False)
    wing = replace(result.recommended, limits=[broken])
    wing = replace(wing, numbers=replace(wing.numbers, launch_way="hand"))
    assert launch_words(wing)[0] == "A person's throw is too slow for it: do not throw it. Take a bungee."


def held_back(result, at_kmh, **numbers):
    """Return the recommended wing held at a speed until its twist test is passed, and its card of first flights."""
    wing = result.recommended
    card = replace(wing.pilot_card, until_tested_kmh=at_kmh, speed_kmh=at_kmh, hold_a=3.7)
    wing = replace(wing, pilot_card=card, numbers=replace(wing.numbers, **numbers))
    return wing, " ".join(point for part in card_parts(result, wing) for point in part.points)


def test_a_wing_that_is_held_back_is_trimmed_no_faster(result):
    speeds = {"cruise_speed_kmh": 60.0, "advised_speed_kmh": 90.0, "advised_speed_weak_kmh": 50.0}
    wing, text = held_back(result, 47.6, **speeds)
    assert "Trim at a safe height at about 48 km/h and 3.7 A. Later, if it may fly at 60 km/h, it should take" in text
    assert "Fly no faster than 48 km/h until the twist test is passed, and never above 90 km/h" in text
    assert "mm or more, stay below 50 km/h" in text and "No flight before" not in text
    assert "at about 60 km/h: it should take" in words(result, cruise_speed_kmh=60.0)
    hold = _hold_words(result, wing)
    assert hold.startswith("about 3.7 A: 48 km/h, until the twist test is passed; after it about ")
    assert "faster than the advised" not in hold


def test_panels_that_fly_today_are_not_told_to_fly_slower_than_their_cruise(result):
    """Check that the speed to hold and the one not to exceed do not cross, on card and first screen."""
    speeds = {"cruise_speed_kmh": 56.0, "advised_speed_kmh": 85.0}
    for weak, first in ((53.0, "56"), (62.0, "62")):
        wing = replace(result.recommended, numbers=replace(result.recommended.numbers, **speeds))
        wing = replace(wing, numbers=replace(wing.numbers, advised_speed_weak_kmh=weak))
        assert wing.pilot_card.until_tested_kmh is None
        text = " ".join(point for part in card_parts(result, wing) for point in part.points)
        assert f"Fly no faster than {first} km/h at first, and never above 85 km/h" in text
        assert ("with weak film" in _never_exceed_words(wing)) is (weak > 56)


def test_a_wing_too_weak_for_any_speed_is_tested_before_it_flies(result):
    """Check that no page lets a wing fly whose weak film and foam ask for less than its slowest safe speed."""
    speeds = {"cruise_speed_kmh": 60.0, "advised_speed_kmh": 55.0, "advised_speed_weak_kmh": 25.0}
    wing, text = held_back(result, 47.0, **speeds)
    assert "No flight before this test is passed. The twist test" in text and "too weak to fly" in text
    assert "Fly no faster than 47 km/h, and never above 55 km/h" in text
    hold = _hold_words(result, wing)
    first = "no flight before the twist test is passed; just after it about 3.7 A: 47 km/h; later about "
    assert hold.startswith(first)
    assert "That is faster than the advised maximum of 55 km/h" in hold
    assert card_text(result, wing).band == "NO FLIGHT BEFORE THE TWIST TEST"


def test_the_same_points_are_due_after_flights_1_3_10_and_every_25():
    points = [row[0] for row in inspection_rows()]
    due = [flights for flights in range(0, 80) if reminders(flights)]
    assert due == [1, 3, 10, 25, 50, 75] and all(reminders(flights) == points for flights in due)
    assert INSPECTION_TITLE == "After flights 1, 3 and 10, and every 25"
    text = " ".join(points)
    for part in ("Motor screws locked", "horns", "Fins", "lids", "Film at the rods' ends", "Linkage without play"):
        assert part in text


def test_there_is_room_to_write_down_each_flight():
    assert [row[0] for row in note_rows()] == [str(flight) for flight in range(1, 11)]
    assert all(set(row[1:]) == {".........."} for row in (*note_rows(), *inspection_rows()))
