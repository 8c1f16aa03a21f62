"""Room round a box in the skin, against a fine grid of points and against simple wings."""

import numpy as np
import pytest

from tradestudy.physics.body import clearance, skin
from tradestudy.physics.geometry.stretch_schemes import stock_planform, stretched_planform

from .test_skin import STOCK, heights, points_of

BOX = clearance.FoamBox("bay", front=0.045, length=0.17, half_width=0.07, height=0.024, above=0.003, below=0.002)


def room(wing, box=BOX):
    outer = skin.wing_skin(wing, points_of())
    return clearance.box_margins(clearance.box_heights(outer, [box]), [box])


def on_a_grid(wing, box):
    """Return the room of a box from 61 x 41 points of both surfaces."""
    x, y = np.meshgrid(np.linspace(box.front, box.front + box.length, 61), np.linspace(0.0, box.half_width, 41))
    upper, lower = heights(wing, x.ravel(), y.ravel())
    return upper.min() - lower.max() - box.height - box.above - box.below


@pytest.mark.parametrize("front", [0.02, 0.045, 0.09, 0.13])
@pytest.mark.parametrize("half_width", [0.03, 0.07, 0.12])
def test_the_least_margin_is_the_room_on_a_fine_grid(front, half_width):
    box = BOX._replace(front=front, half_width=half_width)
    for wing in (stock_planform(STOCK), stretched_planform(STOCK, "scaled", "sweep_angle", 0.15, 0.35, 0.06)):
        assert room(wing, box).min() == pytest.approx(on_a_grid(wing, box), abs=2e-4)


def test_it_takes_as_many_margins_as_declared():
    assert room(stock_planform(STOCK)).shape == (clearance.MARGINS_OF_BOX,)


def test_room_shrinks_by_what_is_added():
    wing = stock_planform(STOCK)
    for field in ("height", "above", "below"):
        thicker = BOX._replace(**{field: getattr(BOX, field) + 0.004})
        assert room(wing, thicker) == pytest.approx(room(wing) - 0.004)


def test_a_box_lies_half_way_between_its_rooms():
    wing = stock_planform(STOCK)
    heights_of_box = clearance.box_heights(skin.wing_skin(wing, points_of()), [BOX])
    (placed,) = clearance.box_places(heights_of_box, [BOX])
    above = heights_of_box.upper.min() - (placed.bottom + BOX.height + BOX.above)
    below = placed.bottom - BOX.below - heights_of_box.lower.max()
    assert above == pytest.approx(below) and above + below == pytest.approx(placed.margin)
    assert placed.margin == pytest.approx(room(wing).min())
    # the front corner lies nearest to the swept leading edge
    assert placed.upper_place == pytest.approx((BOX.front, BOX.half_width))


def test_slopes_are_those_of_small_differences():
    def margins(*shape):
        return room(stretched_planform(STOCK, "scaled", "sweep_angle", *shape))

    here = np.array([0.05, 0.42, 0.03])
    for index in range(3):
        exact = margins(*(here + 1e-30j * np.eye(3)[index])).imag / 1e-30
        small = 1e-6 * np.eye(3)[index]
        assert exact == pytest.approx((margins(*(here + small)) - margins(*(here - small))) / 2e-6, abs=1e-5)


def test_each_of_several_boxes_has_the_margins_that_it_has_alone():
    other = BOX._replace(front=0.12, length=0.03, half_width=0.2, height=0.008)
    wing = stretched_planform(STOCK, "scaled", "sweep_angle", np.array([0.0, 0.2]), 0.35, 0.06)
    outer = skin.wing_skin(wing, points_of())
    both = clearance.box_margins(clearance.box_heights(outer, [BOX, other]), [BOX, other])
    assert both == pytest.approx(np.concatenate([room(wing), room(wing, other)], axis=-1), abs=1e-15)
