"""Servo holes and cable channels by hand."""

import numpy as np
import pytest

from tradestudy.physics.structure.local_failure import Pocket, crosses, free_rod_load, web_left

HOLE = Pocket(inner_end=0.20, outer_end=0.23, front=0.060, length=0.020, depth=0.015)


def test_web_left_is_one_less_width_times_depth():
    # a web 30 mm wide around rods 55 mm behind the edge reaches from 40 to 70: 10 of 30 mm cut, half as deep as thick
    assert web_left(HOLE, np.array([0.055]), 0.030, 0.030) == pytest.approx([1 - 10 / 30 * 0.5])
    assert web_left(HOLE, 0.030, 0.030, 0.030) == 1.0  # clear of it
    through = web_left(HOLE._replace(depth=0.05), 0.070, 0.020, 0.030)
    assert through == pytest.approx(0.0, abs=1e-15)  # all of it


@pytest.mark.parametrize(("place", "depth", "same_side", "runs_through"), [
    (0.070, 0.015, True, True), (0.057, 0.015, True, False), (0.059, 0.015, True, True), (0.0815, 0.015, True, False),
    (0.070, 0.0015, True, False), (0.070, 0.015, False, False)])
def test_a_rod_runs_through_where_hole_and_slot_meet(place, depth, same_side, runs_through):
    """A 3 mm rod in a 5 mm slot: its top lies 2 mm below the skin."""
    assert bool(crosses(HOLE._replace(depth=depth), place, 0.0015, 0.005, same_side)) is runs_through


def test_free_rod_is_eulers_column():
    # carbon, 3 mm: E I = 130e9 pi 0.003^4 / 64 = 0.517 N m2; across 30 mm pi^2 E I / L^2 = 5.67 kN
    rigidity = 130e9 * np.pi * 0.003**4 / 64
    assert free_rod_load(HOLE, rigidity) == pytest.approx(np.pi**2 * rigidity / 0.03**2, rel=1e-12)
    assert free_rod_load(HOLE._replace(outer_end=0.26), rigidity) == pytest.approx(
        0.25 * free_rod_load(HOLE, rigidity), rel=1e-12)
