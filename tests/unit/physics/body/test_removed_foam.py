"""Foam cut out by a box that leaves the skin, compared with single columns one by one."""

import numpy as np
import pytest

from tradestudy.aircraft.shape.stock_shape import skin_points, stock_wing, wing_sections
from tradestudy.physics.body import removed_foam
from tradestudy.physics.body.skin import surface_heights, wing_skin
from tradestudy.physics.geometry.stretch_schemes import stock_planform


def test_a_box_right_through_the_skin_is_the_sum_of_its_columns(godwit_study):
    """Check a box that is neither level with the skin nor inside it, so that every column has its own height."""
    stock = stock_wing(godwit_study)
    skin = wing_skin(stock_planform(stock), skin_points(godwit_study, stock, wing_sections(godwit_study, stock)))
    low, high = np.array([0.02, -0.05, -0.1]), np.array([0.27, 0.30, 0.1])
    found = removed_foam.box_in_skin(skin, low, high)
    along, across = removed_foam._COLUMNS
    area = (high[0] - low[0]) / along * (high[1] - low[1]) / across
    volume, moment = 0.0, np.zeros(3)
    for x in low[0] + (high[0] - low[0]) * (np.arange(along) + 0.5) / along:
        for y in low[1] + (high[1] - low[1]) * (np.arange(across) + 0.5) / across:
            upper, lower = (float(side[0]) for side in surface_heights(skin, np.array([x]), np.array([abs(y)])))
            column = area * max(upper - lower, 0.0)  # ahead of the nose there is no foam
            volume += column
            moment += column * np.array([x, y, 0.5 * (upper + lower)])
    assert found.volume == pytest.approx(volume, rel=1e-9)
    assert found.moment == pytest.approx(moment, rel=1e-9)


def test_a_box_in_the_right_half_is_cut_in_the_left_too(godwit_study):
    """Check boxes inside the foam, 20 x 40 x 2 mm, against their own volume."""
    stock = stock_wing(godwit_study)
    skin = wing_skin(stock_planform(stock), skin_points(godwit_study, stock, wing_sections(godwit_study, stock)))
    for inner, count, place in ((0.05, 2, 0.07), (-0.02, 1, 0.0)):
        found = removed_foam.cut_box(skin, np.array([0.14, inner, -0.001]), np.array([0.16, inner + 0.04, 0.001]))
        assert found.volume == pytest.approx(count * 0.02 * 0.04 * 0.002, rel=1e-9)
        assert (found.from_centre, found.length, found.width) == pytest.approx((place, 0.02, 0.04), abs=1e-12)
