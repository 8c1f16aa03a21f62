"""Lines of straight rods by hand, pairs beside each other, rods across the centre, and how far a rod bends."""

import numpy as np
import pytest
from helpers.wings.wings import outline

from tradestudy.physics.body import rod_limits
from tradestudy.physics.body import straight_rods as rods
from tradestudy.physics.body.skin import section_points, wing_skin
from tradestudy.physics.body.sprung_rod import skin_bend_radius
from tradestudy.physics.geometry.planform import StockWing
from tradestudy.physics.geometry.stretch_schemes import stretched_planform
from tradestudy.physics.sections.airfoil import coordinates_by_name

ROUNDING = 1e-12
# flat centre piece 100 mm wide on each side, then 45 degrees of sweep
SWEPT = outline([0, 0.1, 0.6], [0, 0, 0.5], [0.2, 0.2, 0.1])
STOCK = StockWing(1.2, 0.12, 0.2, 0.12, 0.2, 0.0, 0.0, 0.04, 0.03, 0.1, 0.58)


def test_the_line_is_straight_through_the_kink_of_the_outline():
    """Check a rod at 0.5 of the chord, to 0.7 at its end 0.5 m out: 0.4 m + 0.7 x 0.12 m there, 0.1 m at the panel."""
    line = rods.straight_rod(SWEPT, 0.5, 0.7, np.asarray(0.0), np.asarray(0.5))
    slope = (0.4 + 0.7 * 0.12 - 0.1) / 0.4
    assert rods.x_at(line, np.array([0.0, 0.1, 0.3, 0.5])) == pytest.approx(
        [0.1 - 0.1 * slope, 0.1, 0.1 + 0.2 * slope, 0.484], rel=ROUNDING
    )
    assert line.length == pytest.approx(0.5 * np.hypot(1.0, slope), rel=ROUNDING)
    assert rods.cosine(line) == pytest.approx(np.cos(np.arctan(slope)), rel=ROUNDING)


@pytest.mark.parametrize("inner, outer, first", [(0.2, 0.5, 0.2), (0.02, 0.08, 0.02), (0.1, 0.5, 0.1)])
def test_where_the_first_chord_fraction_holds(inner, outer, first):
    """Check rods that start on the panel or end on the centre piece: the first fraction is at their inner end."""
    line = rods.straight_rod(SWEPT, 0.4, 0.4, np.asarray(inner), np.asarray(outer))
    assert rods.rod_ends(SWEPT, inner, outer).fixed == pytest.approx(first)
    chord = 0.2 - 0.2 * max(first - 0.1, 0.0)
    assert rods.x_at(line, np.array([first]))[0] == pytest.approx(max(first - 0.1, 0.0) + 0.4 * chord, rel=ROUNDING)


@pytest.mark.parametrize("scheme", ["scaled", "plug", "tip"])
def test_slopes_by_complex_step(scheme):
    """Compare the slopes of both ends with differences, for a batch of stretched wings."""

    def ends(extension):
        wing = stretched_planform(STOCK, scheme, "sweep_angle", extension, 0.3 + 0 * extension, 0.02 + 0 * extension)
        inner = 0.0 + (extension if scheme == "plug" else 0.0 * extension)
        return np.array(rods.straight_rod(wing, 0.3, 0.35, inner, wing.semi_span - 0.03))

    extension, step = np.array([0.03, 0.17]), 1e-4
    exact = ends(extension + 1e-30j).imag / 1e-30
    differences = (ends(extension + step) - ends(extension - step)) / (2 * step)
    assert exact == pytest.approx(differences, abs=1e-7)
    assert np.array(ends(extension)).shape == (4, 2)


def test_pairs_are_parallel_and_as_far_apart_as_there_is_room():
    """Check three pairs: 45 mm apart where there is room, and closer where the foremost would leave 12 % of a chord."""
    wing = outline([0, 0.6], [0, 0.2], [0.3, 0.3])
    ends = rods.rod_ends(wing, np.asarray(0.0), np.asarray(0.5))
    line = rods.line_between(ends, 0.4, 0.4)
    three = rods.parallel_lines(ends, line, 3)
    assert three.inner_x == pytest.approx([0.075, 0.12, 0.165]) and three.outer_x - three.inner_x == pytest.approx(
        [float(line.outer_x - line.inner_x)] * 3
    )
    assert three.length == pytest.approx([float(line.length)] * 3, rel=ROUNDING)
    narrow = outline([0, 0.6], [0, 0.2], [0.3, 0.1])  # at 0.5 m the chord is 133 mm: 37 mm of room ahead
    ends = rods.rod_ends(narrow, np.asarray(0.0), np.asarray(0.5))
    line = rods.line_between(ends, 0.4, 0.4)
    three = rods.parallel_lines(ends, line, 3)
    assert np.diff(three.inner_x) == pytest.approx([0.28 * 0.4 / 3] * 2, rel=1e-9)
    assert rods.parallel_lines(ends, line, 1).inner_x == pytest.approx([float(line.inner_x)])
    assert rods.parallel_lines(ends, line, 0).inner_x.size == 0


def test_half_the_spread_of_three_pairs_is_45_mm_or_the_room_that_there_is():
    """Check three wings in one batch, with slopes: ample room, 28 % of a chord of 133 mm, and a line too far forward.

    With room, 45 mm do not depend on the chord. Without, the room grows by 0.28 of the chord. Ahead there is none.
    """
    chords = np.array([0.3, 0.4 / 3, 0.3])
    zero = np.zeros(3)
    edge = np.array([0.2, 0.2, 0.2])
    shares = np.array([0.4, 0.4, 0.1])

    def spread(chord):
        ends = rods.RodEnds(zero, zero, edge, chords - 0.03, 0.5 + zero, edge, chord)
        place = edge + shares * chord
        return rods.half_spread(ends, rods.PlanLine(place, zero, place, 0.5 + zero), 3.0)

    assert spread(chords) == pytest.approx([0.045, 0.28 * 0.4 / 3, 0.0], rel=1e-9)
    slopes = [spread(chords + 1e-30j * np.eye(3)[index])[index].imag / 1e-30 for index in range(3)]
    assert slopes == pytest.approx([0.0, 0.28, 0.0], abs=1e-12)


def test_the_rod_across_the_centre_lies_ahead_and_overlaps():
    line = rods.straight_rod(SWEPT, 0.5, 0.5, np.asarray(0.03), np.asarray(0.5))
    across = rods.transverse_rod(line, 0.003, 0.075)
    assert across.inner_x == across.outer_x == pytest.approx(float(line.inner_x) - 0.003 - 0.001, rel=ROUNDING)
    # the lap is measured along the swept rod
    along = np.hypot(across.outer_y - 0.03, rods.x_at(line, np.array([across.outer_y]))[0] - line.inner_x)
    assert along == pytest.approx(0.075, rel=ROUNDING) and across.inner_y == 0.0
    longer = rods.carried_on(line, 0.075)
    assert longer.length == pytest.approx(float(line.length) + 0.075, rel=ROUNDING)
    assert longer.slope == pytest.approx(float(line.slope), rel=1e-9)


def test_beside_rods_that_run_forward_the_rod_across_the_centre_lies_behind():
    """Check one rod that runs aft and one that runs forward: along the lap neither comes nearer than at its end."""
    line = rods.PlanLine(*np.array([[0.2, 0.2], [0.0, 0.0], [0.25, 0.14], [0.5, 0.5]]))
    across = rods.transverse_rod(line, 0.003, 0.075)
    assert across.inner_x == pytest.approx([0.196, 0.204], rel=ROUNDING)
    y = np.linspace(0.0, across.outer_y, 9).T
    assert np.abs(rods.x_at(line, y) - rods.x_at(across, y)).min(axis=1) == pytest.approx([0.004, 0.004], rel=1e-9)


def test_a_bent_rod_uses_its_share_of_strength_and_misses_the_corner_by_its_slack():
    """Check E d / (2 R) = share of strength, and the arc against a drawn one: its middle is 1 mm from the corner."""
    radius = rod_limits.least_bend_radius(130e9, 0.002, 800e6)
    assert 130e9 * 0.001 / radius == pytest.approx(rod_limits.LASTING_BEND * 800e6, rel=ROUNDING)
    turn = rod_limits.greatest_turn(radius)
    tangent = radius * np.tan(0.5 * turn)  # from the corner to where the arc starts
    centre = np.array([-tangent, radius])  # the first slot lies along x and ends in the corner at 0, 0
    assert np.hypot(*centre) - radius == pytest.approx(rod_limits.CORNER_SLACK, rel=1e-9)


def test_a_rod_under_the_skin_bends_as_the_skin_does():
    """Compare the bend along the crest of a wing of constant section, and along a chord, with the section's curvature.

    Along the span the skin is straight. A line at an angle sees the curvature of the section times the squared sine.
    """
    wing = outline([0, 1.0], [0, 0], [0.4, 0.4])
    points = section_points(*(2 * [coordinates_by_name("naca0012")]), (0.4, 0.4), (0.0, 0.0), None)
    skin = wing_skin(wing, points)
    along, _ = skin_bend_radius(skin, rods.PlanLine(0.12, 0.0, 0.12, 0.9))
    assert along > 1e6
    x = np.linspace(0.16, 0.24, 3)
    half = [0.6 * 0.4 * (0.2969 * s**0.5 - 0.126 * s - 0.3516 * s**2 + 0.2843 * s**3 - 0.1015 * s**4) for s in x / 0.4]
    mean = abs(half[0] - 2 * half[1] + half[2]) / 0.04**2
    bent, station = skin_bend_radius(skin, rods.PlanLine(0.16, 0.3, 0.24, 0.38))
    assert 1.0 / bent == pytest.approx(0.5 * mean, rel=0.2)  # tolerance: panels of the skin, and steps of 25 mm
    assert 0.3 < station < 0.38
