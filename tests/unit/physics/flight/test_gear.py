"""Where equipment in a panel goes as the wing is stretched, by hand."""

import numpy as np
import pytest

from tradestudy.physics.flight.gear import Gear, gear_box, gear_place, holes_lump, panel_lump
from tradestudy.physics.geometry.planform import StockWing
from tradestudy.physics.geometry.stretch_schemes import stretched_planform

STOCK = StockWing(span=1.2, centre_width=0.1, root_chord=0.3, tip_chord=0.2, tip_set_back=0.22, washout=0.0,
                  dihedral=0.0, elevon_root_chord=0.0, elevon_tip_chord=0.0, elevon_inner_end=0.1,
                  elevon_outer_end=0.6)  # fmt: skip
# the leading edge sweeps 220 mm over 550 mm: 0.4 mm for each mm; at 300 mm it is 100 mm behind the nose
THING = Gear(0.05, from_nose=0.18, from_centre=0.3, leading_edge=0.1, moves=0.0, size=(0.04, 0.03, 0.01))


def placed(scheme, extension, keep="sweep_angle", gear=THING, shift=0.0):
    wing = stretched_planform(STOCK, scheme, keep, np.array(extension), STOCK.sweep, 0.0)
    return gear_place(gear, scheme, STOCK.span, wing, np.array(extension), shift)


def test_a_stock_wing_leaves_everything_in_place():
    assert tuple(placed("scaled", 0.0)) == pytest.approx((0.18, 0.3))


def test_redrawn_panels_carry_it_out_and_aft():
    # 100 mm more on each side: 300 mm becomes 350 mm, and at the same sweep its leading edge is 20 mm farther aft
    assert tuple(placed("scaled", 0.1)) == pytest.approx((0.20, 0.35))


def test_a_plug_carries_it_out_alone_and_a_tip_piece_leaves_it():
    assert tuple(placed("plug", 0.1)) == pytest.approx((0.18, 0.40))
    assert tuple(placed("tip", 0.1)) == pytest.approx((0.18, 0.30))


def test_in_the_flat_middle_it_stays_and_the_search_moves_it():
    middle = THING._replace(leading_edge=None, from_centre=0.03, moves=1.0)
    assert tuple(placed("scaled", 0.1, gear=middle, shift=0.012)) == pytest.approx((0.192, 0.03))


def test_moments_and_holes():
    place = placed("scaled", 0.1)
    moved = panel_lump((THING,), [place], 0.0)
    assert (moved.mass, moved.moment) == pytest.approx((0.0, 0.05 * 0.020))
    pair = THING._replace(number=2)
    hole = holes_lump((pair,), [place])
    assert (hole.mass, hole.moment) == pytest.approx((2 * 12e-6, 2 * 12e-6 * 0.20))


def test_its_hole_is_in_the_right_half_or_across_the_centre_line():
    box = gear_box(THING, placed("scaled", 0.1))
    assert (box.front, box.inner, box.half_width) == pytest.approx((0.18, 0.335, 0.365))
    middle = THING._replace(leading_edge=None, from_centre=0.0)
    assert gear_box(middle, placed("scaled", 0.0, gear=middle)).inner == 0.0
