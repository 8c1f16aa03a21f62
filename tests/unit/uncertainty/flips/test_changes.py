"""Changes of limits, bounds and studies: what is tried, what is left out, and what a share of a change is."""

from dataclasses import replace

import pytest
from helpers.wings.turnstone import answer_of

from tradestudy.aircraft.model.choices import Choice
from tradestudy.study.schema.key_types import DefaultUsed
from tradestudy.uncertainty.flips import changes
from tradestudy.uncertainty.flips.changes import EditedStudy, MovedBound, changes_of, short_text
from tradestudy.uncertainty.variants import Input

CHOICE = Choice(3, 2, 2e-3, 2, "8x6")
AT = {
    "extension": 0.1,
    "sweep": 0.4,
    "washout": 0.04,
    "tip_chord": 0.19,
    "static_margin": 0.08,
    "equipment_position": 0.027,
}


@pytest.fixture()
def best(turnstone_space):
    found = answer_of(turnstone_space, CHOICE, AT, 40e3)
    far = {name: margin + 0.5 for name, margin in found.margins.items()}  # no limit is near
    return replace(found, margins=far)


def tried(space, best, monkeypatch, ranked=None):
    """Return the changes of limits and bounds, since the others need no result."""
    monkeypatch.setattr(changes, "inputs_of", lambda *given: [])
    monkeypatch.setattr(changes, "_DECISIONS", ())
    found = changes_of(space, best, ranked or [best])
    return {(each.name, each.relaxes): each for each in found if each.kind in ("limit", "bound")}


def test_what_cannot_change_the_answer_is_left_out(turnstone_space, best, monkeypatch):
    assert tried(turnstone_space, best, monkeypatch) == {}


def test_a_limit_that_the_best_wing_just_meets_is_tightened(turnstone_space, best, monkeypatch):
    near = replace(best, margins=best.margins | {"climb": best.margins["climb"] * 0 + 0.02})
    found = tried(turnstone_space, near, monkeypatch)
    assert list(found) == [("climb", False)]
    change = found["climb", False]
    # 5 % of 2.6 m/s, more than the 0.1 m/s of its price
    assert change.words == "climb at full throttle at least 2.73 m/s instead of 2.6 m/s"
    bound = next(limit for limit in change.at(turnstone_space, 0.5).limits(CHOICE) if limit.name == "climb").bound
    assert bound == pytest.approx(2.665) and change.value(0.5) == "2.67 m/s"


def test_a_limit_is_relaxed_if_it_stops_any_set_of_parts(turnstone_space, best, monkeypatch):
    stopped = replace(best, feasible=False, margins=best.margins | {"climb": best.margins["climb"] * 0 - 0.01})
    assert list(tried(turnstone_space, best, monkeypatch, [best, stopped])) == [("climb", True)]


def test_a_span_is_named_by_the_whole_wing(turnstone_space):
    change = MovedBound("extension", True, 0.02, (0.0, 0.195), 0.98)
    assert change.words == "longest span the study allows 1410 mm instead of 1370 mm" and change.relaxes
    assert change.at(turnstone_space, 0.5).bounds_of(CHOICE)["extension"] == pytest.approx((0.0, 0.205))


def test_the_least_margin_moves_no_lower_than_practice(turnstone_space, best, monkeypatch):
    low, high = turnstone_space.bounds["static_margin"]
    space = replace(turnstone_space, bounds=turnstone_space.bounds | {"static_margin": (0.05, high)})
    held = replace(best, at_bound=["static_margin"], variables=AT | {"static_margin": 0.05})
    found = tried(space, held, monkeypatch)
    assert found["smallest_static_margin", True].value(1.0) == "4 %"
    assert found["smallest_static_margin", False].step > 0


def test_an_edited_study_is_calibrated_again(turnstone_space):
    change = EditedStudy("fly.pull_up", "decision", {("fly", "pull_up"): 4.4}, {("fly", "pull_up"): 4.9}, "4.4", "4.9")
    half = change.at(turnstone_space, 0.5)
    assert half.study.fly.pull_up == pytest.approx(4.65) and change.value(0.5) == "4.65"
    assert half.anchor is not turnstone_space.anchor and half.choices == turnstone_space.choices


def test_values_that_contradict_the_study_are_impossible(turnstone_space):
    place = ("fly", "pull_up")
    assert (
        EditedStudy("fly.pull_up", "decision", {place: 4.4}, {place: 400.0}, "4.4", "400").at(turnstone_space, 1.0)
        is None
    )


@pytest.mark.parametrize(
    "before, after, middle",
    [
        ("10 mm", "14 mm", "12 mm"),
        ("1 in", "35.4 mm", "30.4 mm"),
        (1.0, 2.0, 1.5),
        (1, 2, None),  # a count
        ("covered", "bare", None),
        ("as the section needs", "6 mm", None),
        (None, "6 mm", None),
    ],
)
def test_a_share_between_two_values_of_a_file(before, after, middle):
    place = ("stock", "span")
    change = EditedStudy("stock.span", "input", {place: before}, {place: after}, "", "")
    assert change.divisible == (middle is not None)
    if middle is not None:
        assert change.value(0.5) == str(middle)


def test_both_ends_of_a_band_are_named(turnstone_space):
    used = DefaultUsed("built.drive_power_factor", "1", "", "0.9", "1.1", "", ("built", "drive_power_factor"))
    one = Input(used, ({used.place: 0.9}, {used.place: 1.1}), "assumed")
    found = list(changes._ends(turnstone_space.study, one))
    assert [(each.end, each.band_end) for each in found] == [("0.9", "low"), ("1.1", "high")]


def test_a_value_is_short_and_a_name_stays():
    assert short_text("238.04567 mm") == "238 mm" and short_text("x0.6") == "x0.6" and short_text(1.21923) == "1.219"
    assert short_text("18650 2.5 Ah") == "18650 2.5 Ah"  # a cell, which begins with a number
