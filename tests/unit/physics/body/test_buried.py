"""How far out a box fits into a tapered slab, by hand."""

import numpy as np
import pytest

from tradestudy.physics.body.buried import GEAR_COVER, outmost_place
from tradestudy.physics.body.skin import SectionPoints, wing_skin
from tradestudy.physics.geometry.planform import StockWing
from tradestudy.physics.geometry.stretch_schemes import stock_planform

ROOT, TIP, SEMI, THICK = 0.30, 0.15, 0.60, 0.10  # chords and half span in m; thickness over chord


def slab(set_back=0.25, nose=0.5 * THICK):
    """Return the skin of a tapered wing whose section is a rectangle a tenth as thick as its foam chord.

    With another half thickness of the ``nose`` it is a wedge.
    """
    half = np.array([nose, 0.5 * THICK, 0.01])
    points = SectionPoints(np.array([0.0, 1.0, 1.0]), np.array([0.0, 0.0, 1.0]), half, -half, np.zeros(3), np.zeros(3))
    stock = StockWing(span=2 * SEMI, centre_width=0.0, root_chord=ROOT, tip_chord=TIP, tip_set_back=set_back,
                      washout=0.0, dihedral=0.0, elevon_root_chord=0.04, elevon_tip_chord=0.03, elevon_inner_end=0.1,
                      elevon_outer_end=0.6)  # fmt: skip
    return wing_skin(stock_planform(stock), points)


def test_height_stops_it_where_the_slab_is_too_thin():
    height, width = 0.016, 0.030
    # at its outer wall the slab must be 16 + 2 + 2 mm thick: a foam chord of 200 mm, 400 mm from the centre line
    assert GEAR_COVER == 0.002
    found = outmost_place(slab(), (0.02, width, height))
    assert found.from_centre == pytest.approx(0.400 - 0.5 * width, abs=5e-4)


def test_length_stops_it_between_leading_edge_and_hinge():
    # seen at both walls, the box must lie behind the outer leading edge and ahead of the inner hinge: with a sweep of
    # 250 mm and a hinge that sweeps 100 mm over 600 mm, 180 mm of length and a width of 60 mm leave
    # 300 - 0.25 y_out / 0.6 + 0.1 y_in / 0.6 >= 180, with y_out = y_in + 60: y_in = 380 mm
    found = outmost_place(slab(), (0.180, 0.060, 0.002))
    assert found.from_centre == pytest.approx(0.380 + 0.030, abs=5e-4)
    assert found.from_nose == pytest.approx(0.25 * 0.440 / 0.6 + 0.090, abs=1e-3)


@pytest.mark.parametrize(("nose", "aft"), [(0.01, True), (0.09, False)], ids=["thickest at its hinge", "at its nose"])
def test_in_a_wedge_it_lies_at_the_thick_end(nose, aft):
    found = outmost_place(slab(set_back=0.0, nose=nose), (0.03, 0.02, 0.012))
    foam = (
        ROOT - (ROOT - TIP) * (found.from_centre + 0.01) / SEMI
    )  # at its outer wall: the hinge is farther ahead there
    assert 0.02 < found.from_centre < SEMI - 0.005
    assert found.from_nose == pytest.approx(foam - 0.015 if aft else 0.015, abs=2e-3)


def test_a_thin_one_reaches_the_tip_and_a_thick_one_fits_nowhere():
    assert outmost_place(slab(), (0.01, 0.02, 0.004)).from_centre == pytest.approx(SEMI - 0.01, abs=1e-6)
    assert outmost_place(slab(), (0.02, 0.02, 0.027)) is None


def test_it_lies_where_the_foam_is_thickest():
    # a wedge, thickest at its hinge, 0.3 - 0.15 y / 0.6 behind the nose: the front of the box needs 10 + 2 + 2 mm,
    # which are 140 mm behind the leading edge, and 30 mm more are 170 mm: 520 mm from the centre line at the outer wall
    found = outmost_place(slab(0.0, nose=0.0), (0.030, 0.030, 0.010))
    assert found == pytest.approx((0.520 - 0.015, 0.155), abs=5e-4)
