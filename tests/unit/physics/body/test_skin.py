"""The outer skin against plane geometry, against straight wires from root to tip, and its slopes."""

import numpy as np
import pytest

from tradestudy.physics.body import skin
from tradestudy.physics.geometry.planform import StockWing
from tradestudy.physics.geometry.stretch_schemes import stock_planform, stretched_planform
from tradestudy.physics.sections import airfoil, naca

STOCK = StockWing(
    span=1.2,
    centre_width=0.1,
    root_chord=0.30,
    tip_chord=0.16,
    tip_set_back=0.25,
    washout=0.035,
    dihedral=0.02,
    elevon_root_chord=0.05,
    elevon_tip_chord=0.03,
    elevon_inner_end=0.1,
    elevon_outer_end=0.58,
)
ROOT, TIP = (airfoil.resampled(naca.naca_outline(name)) for name in ("naca2414", "naca0009"))


def points_of(root=ROOT, tip=TIP, plate=None, stock=STOCK):
    chords = (stock.root_chord, stock.tip_chord), (stock.elevon_root_chord, stock.elevon_tip_chord)
    return skin.section_points(root, tip, *chords, plate)


def heights(wing, x, y, points=None):
    outer = skin.wing_skin(wing, points or points_of())
    return skin.surface_heights(outer, np.atleast_1d(x), np.atleast_1d(y))


def test_the_flat_centre_has_the_root_section():
    chord = 0.35
    for y in (0.0, 0.03, 0.05):
        x = np.linspace(0.01, 0.34, 20)
        upper, lower = heights(stock_planform(STOCK), x, np.full(20, y))
        stations, top, bottom = airfoil.surfaces(ROOT)
        # points of the skin lie on the section; straight lines between them lie at most 0.05 mm inside it
        assert upper == pytest.approx(chord * np.interp(x / chord, stations, top), abs=5e-5)
        assert lower == pytest.approx(chord * np.interp(x / chord, stations, bottom), abs=5e-5)


def test_six_straight_lines_follow_the_section_over_the_elevon():
    """Check the thickness of a NACA 2414 behind the hinge by its formula, within 0.02 mm on 350 mm of chord."""
    x = np.linspace(0.3005, 0.3495, 99)
    upper, lower = heights(stock_planform(STOCK), x, 0 * x)
    share = x / 0.35
    half = 0.14 * (1.4845 * np.sqrt(share) - 0.63 * share - 1.758 * share**2 + 1.4215 * share**3 - 0.5075 * share**4)
    slope = 2 * 0.02 * (0.4 - share) / 0.6**2  # the formula lays it square to the mean line, and here it is upright
    assert upper - lower == pytest.approx(2 * 0.35 * half * np.sqrt(1 + slope**2), abs=2e-5)


def test_the_panel_is_the_loft_that_a_straight_wire_cuts():
    """Check a point of the skin against the straight line between equal points of the root's and the tip's template."""
    wing, points, y = stock_planform(STOCK), points_of(), 0.37
    share = (y - 0.05) / 0.55
    for index in (5, 20, 35):
        ends = []
        for section, foam, elevon, edge, rise, turn in (
            (points.upper, 0.30, 0.05, 0.0, 0.0, 0.0),
            (points.upper + points.upper_change, 0.16, 0.03, 0.25, 0.55 * np.tan(0.02), -0.035),
        ):
            x = points.foam_share[index] * foam + points.elevon_share[index] * elevon
            z = foam * section[index]
            along, up = x * np.cos(turn) + z * np.sin(turn), z * np.cos(turn) - x * np.sin(turn)
            ends.append(np.array([edge + along, rise + up]))
        x, z = ends[0] + share * (ends[1] - ends[0])
        upper, _ = heights(wing, x, y)
        assert upper[0] == pytest.approx(z, abs=1e-9)


def test_the_tip_hangs_nose_down_by_its_washout():
    """Check the chord line of a symmetric tip: its trailing edge lies higher by chord times the sine of the washout."""
    wing = stock_planform(STOCK._replace(dihedral=0.0))
    outer = skin.wing_skin(wing, points_of())
    nose, end = 0.5 * (outer.upper_z + outer.lower_z)[-1, [0, -1]]
    assert end - nose == pytest.approx(0.19 * np.sin(0.035), abs=1e-6)
    assert outer.upper_x[-1, -1] - outer.upper_x[-1, 0] == pytest.approx(0.19 * np.cos(0.035), abs=1e-4)


@pytest.mark.parametrize(
    ("scheme", "place"), [("scaled", 0.55), ("plug", 0.08), ("plug", 0.55), ("tip", 0.62), ("tip", 0.3)]
)
def test_slopes_are_those_of_small_differences(scheme, place):
    def height(extension, sweep, washout, x, y):
        wing = stretched_planform(STOCK, scheme, "sweep_angle", extension, sweep, washout)
        return np.array(heights(wing, x, y))[:, 0]

    here = np.array([0.05, 0.42, 0.03, 0.20 + 0.45 * max(place - 0.05, 0.0) * (scheme != "plug"), place])
    for index in range(5):
        step = 1e-30j * np.eye(5)[index]
        exact = height(*(here + step)).imag / 1e-30
        small = 1e-6 * np.eye(5)[index]
        assert exact == pytest.approx((height(*(here + small)) - height(*(here - small))) / 2e-6, abs=1e-5)


def test_a_batch_is_every_wing_alone():
    extension = np.array([0.0, 0.05, 0.2])
    batch = stretched_planform(STOCK, "scaled", "sweep_angle", extension, 0.4, 0.03)
    x, y = np.array([0.1, 0.2, 0.3]), np.array([0.02, 0.3, 0.55])
    together = np.array(heights(batch, x, y))
    for index, one in enumerate(extension):
        alone = heights(stretched_planform(STOCK, "scaled", "sweep_angle", one, 0.4, 0.03), x, y)
        assert together[:, index] == pytest.approx(np.array(alone), abs=1e-12)


def test_ahead_of_the_nose_and_behind_the_trailing_edge_nothing_fits():
    upper, lower = heights(stock_planform(STOCK), [-0.002, 0.36], [0.0, 0.0])
    assert (upper < lower).all()


def test_a_plate_elevon_has_its_own_thickness():
    """Check a flat elevon of 6 mm: that thickness at the hinge, a third of it at the trailing edge."""
    x = np.array([0.3004, 0.325, 0.35])
    upper, lower = heights(stock_planform(STOCK), x, 0 * x, points_of(plate=0.006))
    assert upper - lower == pytest.approx([0.006, 0.004, 0.002], abs=5e-5)


def test_points_of_the_foam_end_at_the_hinge():
    points = points_of(plate=0.006)
    assert points.foam_share[points.hinge] == 1.0 and points.elevon_share[points.hinge] == 0.0
    assert points.elevon_share[points.hinge + 1] > 0.0
