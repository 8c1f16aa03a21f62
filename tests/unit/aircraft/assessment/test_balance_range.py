"""Ends of the range in which a wing may balance: each end is checked with the wing that balances there."""

import numpy as np
import pytest

from tradestudy.aircraft.assessment import balance_range as ranges
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.physics.air import GRAVITY

TRAVEL = np.radians(20.0)


@pytest.fixture(scope="module")
def sweep(godwit_anchor):
    return SpeedSweep(godwit_anchor.data, godwit_anchor.choice, godwit_anchor.variables | {"extension": 0.11})


def margin_at(sweep, place):
    """Return the static margin for a balance point behind the nose, as a share of the mean chord."""
    unit = sweep.solution.unit
    neutral = -unit.moment_volume[1] / unit.lift_area[1]
    return (neutral - place) / float(sweep.solution.areas.mean_aerodynamic_chord)


def test_back_end_is_where_the_margin_has_fallen_to_the_least(sweep):
    assert margin_at(sweep, ranges.balance_range(sweep, 11.0, TRAVEL).back) == pytest.approx(
        ranges.LEAST_MARGIN, abs=1e-9
    )


def test_slow_launch_ends_it_with_a_stall(sweep):
    stall = sweep.stall().speed
    found = ranges.balance_range(sweep, 1.03 * stall, np.radians(28.0))
    assert found.front_reason == ranges.STALL
    # between margins 0.01 apart the largest lift is a smooth curve: tolerance a tenth of a per cent of speed
    assert sweep.stall(margin_at(sweep, found.front)).speed == pytest.approx(1.03 * stall, rel=1e-3)


def test_small_throw_ends_it_before_the_stall(sweep):
    found = ranges.balance_range(sweep, 14.0, np.radians(12.0))
    assert found.front_reason == ranges.BEFORE_STALL
    elevon = sweep.stall(margin_at(sweep, found.front)).elevon
    assert np.degrees(elevon) == pytest.approx(-12.0, abs=0.1)  # the root is searched to a thousandth of the chord


def test_throw_that_trims_no_faster_than_the_stall(sweep):
    """Test elevons that are fully used at launch speed. At twice the stall speed the stall has no effect."""
    speed = 1.02 * sweep.stall(0.16).speed
    needed = -float(sweep.level([speed], [0.16]).elevon[0])
    found = ranges.balance_range(sweep, speed, needed)
    assert margin_at(sweep, found.front) <= 0.16 + 1e-3
    assert found.front_reason in (ranges.LAUNCH, ranges.BEFORE_STALL)
    if found.front_reason == ranges.LAUNCH:
        assert margin_at(sweep, found.front) == pytest.approx(0.16, abs=1e-3)


def test_more_throw_and_a_faster_launch_open_it(sweep):
    near = [ranges.balance_range(sweep, 1.1 * sweep.stall().speed, np.radians(throw)).front for throw in (10, 14, 18)]
    assert near[0] > near[1] > near[2]
    slow, fast = (ranges.balance_range(sweep, speed, np.radians(28.0)).front for speed in (9.5, 11.0))
    assert fast < slow


def test_largest_lift_carries_the_weight_and_no_more(sweep):
    stall = sweep.stall()
    data = sweep.data.flight
    pressure = 0.5 * data.air_density * stall.speed**2
    weight = float(sweep.shape.all_up_mass) * GRAVITY
    # tolerance: rounding
    assert pressure * float(sweep.shape.area) * stall.lift_coefficient == pytest.approx(weight, rel=1e-9)
    left = sweep.level(stall.speed).stall_margin[0]
    assert left.min() == pytest.approx(0.0, abs=1e-3)  # speed is searched to 0.1 mm/s
    assert stall.tips_left > 0


def test_washout_moves_the_stall_inward_and_leaves_the_tips_more(godwit_anchor):
    flat, twisted = (
        SpeedSweep(
            godwit_anchor.data, godwit_anchor.choice, godwit_anchor.variables | {"washout": np.radians(washout)}
        ).stall()
        for washout in (0.0, 4.0)
    )
    assert twisted.tips_left > flat.tips_left and twisted.station <= flat.station
