"""The balance window of an invented wing: each end is checked with the wing that balances there."""

from dataclasses import replace

import numpy as np
import pytest
from helpers.wings import plover

from tradestudy.aircraft.anchor.calibration import anchor_of, stretched_data
from tradestudy.aircraft.balance import window as windows
from tradestudy.aircraft.balance.window import BACK, FRONT, balance_window
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.limit_bounds import MET_ABOVE, limits_of
from tradestudy.aircraft.model.pack_fit import pack_reach
from tradestudy.study.reader import read_study

MIDDLE = ('from_nose = "123 mm"', 'from_nose = "130 mm"')  # the pack can slide both ways
ON_BALANCE = {"up_elevon", "down_elevon", "slowest_flight", "yaw_stiffness", "fin_volume", "pack_forward", "pack_aft"}
STEADY = ('balance_from_nose = "183 mm"', 'balance_from_nose = "172 mm"')  # a margin of some 8 %


@pytest.fixture(scope="module")
def wing(tmp_path_factory):
    """Return a study and its anchor."""
    study = read_study(plover.written(tmp_path_factory.mktemp("plover"), MIDDLE, STEADY))
    return study, anchor_of(study)


def stretched(wing, extension=0.035, margin=None, more_washout=0.0, **tables):
    """Return a stretched wing with some keys of its study's tables replaced, and its limits."""
    study, anchor = wing
    changed = {name: getattr(study, name).model_copy(update=keys) for name, keys in tables.items()}
    study = replace(study, **changed)
    data = stretched_data(study, anchor, anchor.choice, anchor.data.flight.slowest_speed)
    variables = anchor.variables | {"extension": extension}
    variables["washout"] += np.radians(more_washout)
    if margin is not None:
        variables["static_margin"] = margin
    design = EvaluatedDesign(study, data, anchor.choice, variables)
    return design, limits_of(study, anchor.reference, anchor.choice, data.strip_count)


def margin_at(design, place):
    """Return the static margin for a balance point behind the nose, as a share of the mean chord."""
    unit = design.solution.unit
    neutral = -unit.moment_volume[1] / unit.lift_area[1]
    return float((neutral - place) / design.solution.areas.mean_aerodynamic_chord)


def reason(found, words):
    (one,) = (one for one in found.reasons if words in one.why)
    return one


def test_a_stock_wing_with_less_stability_than_a_stretched_one_must_keep_is_told(wing, tmp_path):
    """Check a wing that balances where it has 4 % and one a few millimetres behind that, which may set its margin."""
    design, _ = stretched(wing)
    assert margin_at(design, 0.172) > 0.04 and windows.stability_flags(design) == []
    study = read_study(plover.written(tmp_path, MIDDLE, (STEADY[0], 'balance_from_nose = "186 mm"')))
    near = study, anchor_of(study)
    own = near[1].reference.static_margin
    assert 0 < own < 0.04
    (said,) = windows.stability_flags(stretched(near)[0])
    assert f"a static margin of {100 * own:.1f} %, and a stretched wing must keep 4 %" in said
    assert windows.stability_flags(stretched(near, limits={"static_margin": (0.01, 0.12)})[0]) == []


def test_pack_travel_by_hand(wing):
    """Check by statics: the stock wing of 1750 g balances at 172 mm with its pack at 130 mm."""
    study, anchor = wing
    design = EvaluatedDesign(study, anchor.data, anchor.choice, anchor.variables)
    pack = float(design.shape.pack_mass)
    front, back = (0.172 + (end - 0.130) * pack / 1.750 for end in pack_reach(study, anchor.choice))
    found = balance_window(design)
    assert reason(found, "the front of its bay").place == pytest.approx(front, abs=1e-9)
    assert reason(found, "the back of its bay").place == pytest.approx(back, abs=1e-9)


def test_least_margin_of_practice_and_that_of_the_stock_wing(wing):
    design, limits = stretched(wing)
    today = margin_at(EvaluatedDesign(wing[0], wing[1].data, wing[1].choice, wing[1].variables), 0.172)
    found = balance_window(design, limits)
    assert margin_at(design, reason(found, "oscillate in pitch").place) == pytest.approx(0.04, abs=1e-9)
    least = reason(found, "%, a limit set by the stock wing")
    assert today > 0.055  # so that 1.5 % less is more than the 4 % of practice
    assert margin_at(design, least.place) == pytest.approx(today - 0.015, abs=0.002) and least.is_limit


def test_stock_wing_that_flies_with_less_margin_than_practice_is_in_its_window(tmp_path):
    study = read_study(plover.written(tmp_path, ('balance_from_nose = "183 mm"', 'balance_from_nose = "185 mm"')))
    anchor = anchor_of(study)
    assert anchor.reference.static_margin < 0.035
    found = balance_window(EvaluatedDesign(study, anchor.data, anchor.choice, anchor.variables))
    assert found.back.place >= 0.185 and found.front.place <= 0.185


def test_slow_launch_ends_it_with_a_stall(wing):
    plain, _ = stretched(wing)
    speed = 1.03 * plain.stall().speed
    design, limits = stretched(wing, fly={"launch_speed": speed})
    at = margin_at(design, reason(balance_window(design, limits), windows.STALL).place)
    # between margins 0.001 apart the largest lift is a smooth curve: tolerance a tenth of a per cent of speed
    assert design.stall(at).speed == pytest.approx(speed, rel=1e-3)


def test_stall_speed_that_the_limits_allow_ends_it_too(wing):
    design, limits = stretched(wing, fly={"launch_speed": 20.0})
    slowest = design.data.flight.slowest_speed
    assert slowest < 15.0
    at = margin_at(design, reason(balance_window(design, limits), "the most that the limits allow").place)
    assert design.stall(at).speed == pytest.approx(slowest, rel=1e-3)


def test_small_throw_ends_it_before_the_stall(wing):
    design, limits = stretched(wing, elevon={"up_travel": np.radians(9.0)}, fly={"launch_speed": 20.0})
    at = margin_at(design, reason(balance_window(design, limits), windows.BEFORE_STALL).place)
    assert np.degrees(design.stall(at).elevon) == pytest.approx(
        -9.0, abs=0.05
    )  # the root has a ten thousandth of chord


def test_throw_that_no_longer_trims_at_launch(wing):
    design, limits = stretched(wing, elevon={"up_travel": np.radians(6.0)}, fly={"launch_speed": 11.0})
    at = margin_at(design, reason(balance_window(design, limits), windows.LAUNCH).place)
    assert np.degrees(design.level([11.0], [at]).elevon[0]) == pytest.approx(-6.0, abs=0.01)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ("4 deg", "of up-elevon in cruise, a limit set by the study"),
        (None, "of up-elevon in cruise, a limit set by the stock wing"),
    ],
)
def test_up_elevon_in_cruise_ends_it_at_the_limit(wing, given, words):
    limit = None if given is None else np.radians(4.0)
    study = replace(wing[0], defaults_used=tuple(one for one in wing[0].defaults_used if one.key != "limits.up_elevon"))
    own = (study, wing[1]) if given else wing
    design, limits = stretched(own, margin=0.05, limits={"up_elevon": limit})
    found = reason(balance_window(design, limits), words)
    elevon = float(design.level([design.cruise_speed], [margin_at(design, found.place)]).elevon[0])
    bound = next(one.bound for one in limits if one.name == "up_elevon")
    assert found.side == FRONT and found.is_limit
    assert np.degrees(elevon) == pytest.approx(np.degrees(bound), abs=0.01)
    if given:
        assert np.degrees(bound) == pytest.approx(-4.0)


def test_elevons_that_hang_down_end_it_behind(wing):
    design, _ = stretched(wing, more_washout=3.0)
    (found,) = (one for one in balance_window(design).reasons if "0.5 deg of down-elevon" in one.why)
    elevon = float(design.level([design.cruise_speed], [margin_at(design, found.place)]).elevon[0])
    assert found.side == BACK and np.degrees(elevon) == pytest.approx(0.5, abs=0.01)


def test_no_fins_to_spare_end_it_behind_by_yaw(wing):
    """Check a study that asks for all of the stock wing's yaw stiffness and 2 % more."""
    design, limits = stretched(wing)
    output = "yaw_stiffness"
    at_mark = float(design.evaluation.by_name()[output])
    asked = [replace(one, bound=at_mark * 1.02) if one.name == output else one for one in limits]
    found = balance_window(design, asked)
    words = reason(found, "too little turning back into the wind")
    variables = design.variables | {"static_margin": margin_at(design, words.place)}
    there = EvaluatedDesign(design.study, design.data, design.choice, variables)
    assert float(there.evaluation.by_name()[output]) == pytest.approx(at_mark * 1.02, rel=1e-4)
    assert words.side == BACK


@pytest.mark.parametrize("more", [0.0, 0.006])
def test_no_place_of_the_window_breaks_a_limit_on_balance(wing, more):
    """Check both ends and the first flight: what the same page would say of the wing that balances there."""
    margin = wing[1].variables["static_margin"] + more
    design, limits = stretched(wing, margin=margin, limits={"up_elevon": np.radians(5.0)})
    found = balance_window(design, limits)
    assert found.front.place < found.back.place
    places = [found.front.place, found.back.place, *([found.first_flight] if found.first_flight is not None else [])]
    for place in places:
        variables = design.variables | {"static_margin": margin_at(design, place)}
        there = EvaluatedDesign(design.study, design.data, design.choice, variables).evaluation.by_name()
        for limit in limits:
            if limit.name in ON_BALANCE:
                # an end that is 0.05 mm from the mark is the mark: some ten thousandths of a scaled margin
                assert limit.margin(there[limit.output]).min() > 20 * MET_ABOVE, (place, limit.name)


@pytest.mark.parametrize(
    ("mark", "front", "back", "first"),
    [
        (0.190, 0.170, 0.195, 0.185),  # 5 mm ahead of the mark
        (0.190, 0.184, 0.195, 0.187),  # half way, where the front end is only 6 mm ahead
        (0.190, 0.190, 0.195, 0.190),  # the mark is the front end
        (0.190, 0.170, 0.180, 0.175),  # the mark is behind the window
        (0.190, 0.192, 0.195, None),  # the mark is ahead of it: no place is at or ahead of the mark
        (0.190, 0.185, 0.180, None),  # no place is left
    ],
)
def test_first_flight(mark, front, back, first):
    found = windows._first_flight(mark, front, back)
    assert (found is None) if first is None else (found == pytest.approx(first, abs=1e-12))


def test_the_limit_on_stall_holds_as_far_as_the_window_reaches(wing):
    """Check that the limit just holds if the room asked is that from the mark to the stall in front of it."""
    design, limits = stretched(wing, margin=0.09)
    found, mark = balance_window(design, limits), float(design.evaluation.flow.trimmed.centre_of_gravity)
    (front, *_) = (one.place for one in found.reasons if "a stall at" in one.why)
    room, least = mark - front, []
    assert room > 0.005
    for asked in (room - 5e-4, room + 5e-4):
        other, limits = stretched(wing, margin=0.09, limits={"balance_room": asked})
        limit = next(one for one in limits if one.name == "slowest_flight")
        least.append(float(limit.margin(other.evaluation.by_name()["stall_margin"]).min()))
    assert least[0] > 0 > least[1]
