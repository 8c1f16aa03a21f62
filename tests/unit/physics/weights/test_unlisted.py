"""Mass on no list of parts: joints measured by hand, and what a larger wing adds."""

import pytest
from helpers.wings.typical_section import materials
from helpers.wings.wings import outline

from tradestudy.physics.body.straight_rods import marks
from tradestudy.physics.weights import mass
from tradestudy.physics.weights.unlisted import joint_lump, split_unlisted, unlisted_lump

ROUNDING = 1e-12
MATERIALS = materials(0.068, 2.03, 25.0, 0.0, 150.0, 0.006)  # no film at all: its mass cannot be the measure
LISTED = mass.Lump(0.2, 0.03), mass.Lump(0.8, 0.2), mass.Lump(12.0, 2.4)  # in the stock wing; surface; joints


def tapered():
    return outline([0, 0.1, 0.6], [0, 0, 0.25], [0.32, 0.32, 0.21], elevon_chord=[0.04, 0.04, 0.03], elevon=(0.1, 0.5))


def test_joints_of_a_tapered_wing():
    """Check halves over 320 mm, two hinges of 400 mm, and slots of 9 m, all by hand.

    The hinge starts at 280 mm. Four fifths out on the panel, it lies 200 mm + 200 mm behind the nose.
    """
    joints = joint_lump(tapered(), marks(tapered(), [], [], []).hinge_x, [mass.Lump(9.0, 1.1)])
    assert joints.mass == pytest.approx(0.32 + 2 * 0.4 + 9.0, rel=ROUNDING)
    assert joints.moment == pytest.approx(0.32 * 0.16 + 0.8 * 0.5 * (0.28 + 0.4) + 1.1, rel=ROUNDING)


def test_surface_is_that_of_the_section_and_the_elevon_even_without_a_film():
    """Check a wing of constant chord by hand: 2.03 chords of 250 mm round, 1.5 m wide."""
    block = outline([0, 0.75], [0, 0], [0.25, 0.25])
    assert mass.bare_wing(block, MATERIALS).surface.mass == pytest.approx(2.03 * 0.25 * 1.5, rel=ROUNDING)


def test_stock_wing_has_exactly_what_was_measured():
    unlisted = split_unlisted(*LISTED, 0.4, 0.2)
    again = unlisted_lump(unlisted, *LISTED[1:])
    assert tuple(again) == pytest.approx(LISTED[0], rel=ROUNDING)


def test_larger_wing_adds_paint_with_its_surface_and_glue_with_its_joints():
    """Check by hand: 40 % of 200 g on 0.8 m2 is 100 g/m2, and 20 % on 12 m is 3.33 g/m.

    0.1 m2 and 3 m more give 10 g and 10 g, with the moments of the added surface and joints.
    """
    unlisted = split_unlisted(*LISTED, 0.4, 0.2)
    larger = unlisted_lump(unlisted, mass.Lump(0.9, 0.24), mass.Lump(15.0, 3.3))
    assert larger.mass == pytest.approx(0.220, rel=ROUNDING)
    assert larger.moment == pytest.approx(0.03 + 0.1 * 0.04 + 0.04 / 12 * 0.9, rel=ROUNDING)


def test_list_that_is_a_little_heavier_than_the_scale_takes_nothing_from_a_larger_wing():
    """Check that a remainder below zero stays as it is: glue has no negative weight."""
    unlisted = split_unlisted(mass.Lump(-0.004, 0.001), *LISTED[1:], 0.4, 0.2)
    assert unlisted_lump(unlisted, mass.Lump(1.6, 0.5), mass.Lump(30.0, 9.0)) == mass.Lump(-0.004, 0.001)
