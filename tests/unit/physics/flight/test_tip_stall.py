"""Lift left at the tips when the stall begins, against the stall found strip by strip, and by hand."""

import numpy as np
import pytest

from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.physics.flight import tip_stall
from tradestudy.physics.flight.trimmed_flight import LEVEL_CONDITIONS

CRUISE, SLOW = LEVEL_CONDITIONS.index("cruise"), LEVEL_CONDITIONS.index("slow")


def left_of(lift_in_cruise, lift_in_slow, most=1.0, area=1.0, shares=(0.0, 0.5, 1.0)):
    """Return the lift left of three strips with the same largest lift in both conditions."""
    lift = np.full((len(LEVEL_CONDITIONS), 3), np.nan)
    lift[CRUISE], lift[SLOW] = lift_in_cruise, lift_in_slow
    return stalled(lift, most, area, shares).tips_left


def stalled(lift, most=1.0, area=1.0, shares=(0.0, 0.5, 1.0)):
    """Return the stall of three strips. Cruise is at 200 Pa, "slow" at 100 Pa, in air of 1.25 kg/m3."""
    pressure = np.full(len(LEVEL_CONDITIONS), np.nan)
    pressure[CRUISE], pressure[SLOW] = 200.0, 100.0
    return tip_stall.tip_stall(np.array(shares), area * np.ones(3), lift, most - lift, pressure, 1.25)


def test_lift_grows_by_equal_steps_until_the_first_strip_stalls():
    # a step adds 0.4, 0.35 and 0.2; the first strip needs half a step from 0.8, and then the others have 0.875 and 0.6
    left = left_of([0.4, 0.35, 0.3], [0.8, 0.7, 0.5])
    assert left == pytest.approx((0.5 * 0.125 + 0.4) / 1.5, abs=1e-6)
    # half of the middle strip counts; the area of the last one counts twice
    assert left_of([0.4, 0.35, 0.3], [0.8, 0.7, 0.5], area=np.array([1.0, 1.0, 2.0])) == pytest.approx(
        (0.5 * 0.125 + 2 * 0.4) / 2.5, abs=1e-6
    )


def test_slow_flight_beyond_the_stall_steps_back():
    # at "slow" the first strip is 0.2 beyond its largest lift of 1: half a step of 0.4 back
    assert left_of([0.8, 0.5, 0.4], [1.2, 0.8, 0.6]) == pytest.approx((0.5 * 0.35 + 0.5) / 1.5, abs=1e-6)


def test_a_strip_that_loses_lift_in_slow_flight_does_not_stall():
    # the first strip stalls after seven steps; the last one is near its largest lift all the time
    left = left_of([0.2, 0.15, 0.999], [0.3, 0.2, 0.998])
    assert left == pytest.approx((0.5 * (0.8 - 7 * 0.05) + 0.002 + 7 * 0.001) / 1.5, abs=1e-6)


def test_stall_speed_of_lift_that_goes_with_one_over_pressure():
    """Check by hand: lift coefficients are 60 and 45 Pa over dynamic pressure, so 1 is reached at 60 Pa."""
    lift = np.full((len(LEVEL_CONDITIONS), 3), np.nan)
    lift[CRUISE], lift[SLOW] = [0.3, 0.225, 0.2], [0.6, 0.45, 0.4]
    assert stalled(lift).stall_speed == pytest.approx(np.sqrt(2 * 60 / 1.25), rel=1e-6)


@pytest.mark.parametrize("changed", [{}, {"extension": 0.15}, {"static_margin": 0.09}, {"cruise_speed": 18.0}])
def test_it_agrees_with_the_stall_strip_by_strip(godwit_anchor, changed):
    """Compare with the strips at the stall speed itself, with the places of the tips integrated finely."""
    sweep = SpeedSweep(godwit_anchor.data, godwit_anchor.choice, godwit_anchor.variables | changed)
    at_stall = sweep.level(sweep.stall().speed)
    margin, lift = at_stall.stall_margin[0], at_stall.lift_coefficient[0]
    wing, mesh = sweep.solution.wing, sweep.solution.mesh
    place = np.linspace(0.7, 1.0, 60001)[1:] * float(wing.semi_span)
    strip = np.searchsorted(mesh.outer_edge[: mesh.n_wing, 1], place - 1e-12)
    chord = np.interp(place, wing.station, wing.chord)
    exact = (chord * margin[strip]).sum() / (chord * (margin + lift)[strip]).sum()
    assert float(sweep.evaluation.stall.tips_left) == pytest.approx(exact, abs=0.002)
    assert float(margin.min()) == pytest.approx(0.0, abs=1e-4)
    # 0.4 % of lift is 0.2 % of speed
    assert float(sweep.evaluation.stall.stall_speed) == pytest.approx(sweep.stall().speed, rel=0.002)
    if not changed:
        assert godwit_anchor.reference.tips_left == pytest.approx(exact, abs=0.002)
