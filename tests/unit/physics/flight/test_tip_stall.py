"""Lift left at the tips when the stall begins, against the stall found strip by strip, and by hand."""

import numpy as np
import pytest

from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.physics.flight import tip_stall

NODES = tip_stall.APPROACH_LIFT


class Sections:
    """What a test needs of LevelData: sections whose largest lift is the same at any speed, or grows with it."""

    class flight:
        air_density = 1.25


@pytest.fixture
def stalled(monkeypatch):
    """Return a function for the stall of three strips by their lift (3, n_strip) at the NODES.

    At a mean lift coefficient of 1 the dynamic pressure is 60 Pa.
    """

    def of(lift, most=1.0, area=1.0, shares=(0.0, 0.5, 1.0), grows=0.0):
        def margin(data, lift, log_reynolds, deflection):
            return most + grows * log_reynolds - lift

        monkeypatch.setattr(tip_stall, "stall_margin", margin)
        pressure = 60.0 / NODES
        reynolds = 0.5 * np.log(pressure)[:, None] + np.zeros((3, len(shares)))
        approach = tip_stall.StallApproach(pressure, np.asarray(lift), reynolds, 0 * reynolds)
        return tip_stall.tip_stall(Sections, np.array(shares), area * np.ones(len(shares)), approach)

    return of


def lines(start, slope):
    """Return lift (3, n_strip) of strips at the NODES: ``start`` at no lift of the wing, growing by ``slope``."""
    return np.array(start) + NODES[:, None] * np.array(slope)


def test_lift_grows_until_the_first_strip_stalls(stalled):
    # the first strip reaches 1 at a mean lift of 0.8; then the others have 0.8 and 0.6
    left = stalled(lines([0.0, 0.0, 0.2], [1.25, 1.0, 0.5])).tips_left
    assert left == pytest.approx((0.5 * 0.2 + 0.4) / 1.5, abs=1e-6)
    # half of the middle strip counts; the area of the last one counts twice
    left = stalled(lines([0.0, 0.0, 0.2], [1.25, 1.0, 0.5]), area=np.array([1.0, 1.0, 2.0])).tips_left
    assert left == pytest.approx((0.5 * 0.2 + 2 * 0.4) / 2.5, abs=1e-6)


@pytest.mark.parametrize("at", [0.5, 1.0, 1.5])
def test_stall_before_between_and_beyond_the_conditions(stalled, at):
    found = stalled(lines([0.0, 0.0, 0.0], [1.0 / at, 0.8 / at, 0.6 / at]))
    assert found.tips_left == pytest.approx((0.5 * 0.2 + 0.4) / 1.5, abs=1e-6)
    assert found.stall_speed == pytest.approx(np.sqrt(2 * 60 / at / 1.25), rel=1e-6)


def test_a_strip_that_loses_lift_in_slow_flight_does_not_stall(stalled):
    # the last strip is near its largest lift all the time
    left = stalled(lines([0.0, 0.0, 0.999], [1.0, 0.9, -0.001])).tips_left
    assert left == pytest.approx((0.5 * 0.1 + 0.002) / 1.5, abs=1e-6)


def test_parabolas_and_largest_lift_that_grows_with_speed(stalled):
    """Check by hand: the first strip has 0.5 c + 0.5 c^2, so it stalls at c with 0.02 ln(60 / c) / 2 more than 0.9."""
    lift = np.stack([0.5 * NODES + 0.5 * NODES**2, 0.9 * NODES, 0.5 * NODES], axis=-1)
    found = stalled(lift, most=0.9, grows=0.02)
    mean = 1.0
    for _ in range(50):
        most = 0.9 + 0.01 * np.log(60 / mean)
        mean = -0.5 + np.sqrt(0.25 + 2 * most)
    assert found.stall_speed == pytest.approx(np.sqrt(2 * 60 / mean / 1.25), rel=2e-3)
    assert found.tips_left == pytest.approx(((0.5 * (most - 0.9 * mean)) + most - 0.5 * mean) / (1.5 * most), abs=3e-3)


@pytest.mark.parametrize("changed", [{}, {"extension": 0.15}, {"static_margin": 0.09}, {"washout": 0.0}])
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
    assert float(margin.min()) == pytest.approx(0.0, abs=1e-4)
    # strips that stall together do so 0.1 % of lift too early
    assert float(sweep.evaluation.stall.tips_left) == pytest.approx(exact, abs=0.001)
    assert float(sweep.evaluation.stall.stall_speed) == pytest.approx(sweep.stall().speed, rel=0.001)
    if not changed:
        assert godwit_anchor.reference.tips_left == pytest.approx(exact, abs=0.001)


def test_the_stall_does_not_depend_on_how_fast_one_cruises(godwit_anchor):
    slow, fast = (
        SpeedSweep(godwit_anchor.data, godwit_anchor.choice, godwit_anchor.variables | {"cruise_speed": speed})
        for speed in (11.0, 28.0)
    )
    assert slow.evaluation.stall == fast.evaluation.stall
