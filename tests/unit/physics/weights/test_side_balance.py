"""Left and right by hand."""

import pytest

from tradestudy.physics.weights.side_balance import SidePart, side_moment, side_place, tip_weight


def test_two_things_on_opposite_sides():
    # 60 g at 400 mm to the right and 25 g at 240 mm to the left: 24 - 6 = 18 g m to the right
    moment = side_moment([SidePart(0.060, 0.400), SidePart(0.025, -0.240)])
    assert moment == pytest.approx(0.018)
    assert side_place(moment, 1.8) == pytest.approx(0.010)  # 10 mm
    weight = tip_weight(moment, 0.625)
    assert weight == pytest.approx(0.0288)  # 28.8 g
    assert side_moment([SidePart(0.060, 0.400), SidePart(0.025, -0.240), SidePart(weight, -0.625)]) == pytest.approx(0)


def test_nothing_off_the_centre_line():
    assert side_moment([]) == 0 and tip_weight(0.0, 0.6) == 0
