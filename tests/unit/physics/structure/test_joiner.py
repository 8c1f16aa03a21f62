"""A joiner that is a tube, by hand."""

import numpy as np
import pytest
from helpers.wings.rod_samples import glass_rods

from tradestudy.physics.structure.foam_bed import joiner_bearing
from tradestudy.physics.structure.stiffness import wing_stiffness
from tradestudy.physics.structure.wing_parts import (
    Covering,
    Foam,
    FoamSection,
    Joiner,
    WingParts,
    joiner_rigidity,
    joiner_torsion,
)

FOAM = Foam(4e6, 1.6e6, 0.25e6, 0.11e6, 0.25)
TUBE = Joiner(130e9, 800e6, 0.012, 0.6, bore=0.75, shear_modulus=5e9)


def test_a_tube_bends_and_twists_as_the_difference_of_two_bars():
    outside, inside = (np.pi * diameter**4 / 64 for diameter in (0.012, 0.009))
    assert joiner_rigidity(TUBE) == pytest.approx(130e9 * (outside - inside), rel=1e-12)
    assert joiner_torsion(TUBE) == pytest.approx(5e9 * 2 * (outside - inside), rel=1e-12)


def test_what_is_not_named_is_a_solid_bar_without_a_channel():
    bar = Joiner(130e9, 800e6, 0.012, 0.6)
    assert joiner_rigidity(bar) == pytest.approx(130e9 * np.pi * 0.012**4 / 64, rel=1e-12)
    assert joiner_torsion(bar) == joiner_bearing(bar) == 0.0


def test_the_wing_gains_what_its_joiner_has():
    """Check stiffness near the centre with and without a joiner, and that it gains nothing beyond its end."""
    edges = np.linspace(0.0, 0.75, 16)
    section = FoamSection(0.068, 3.92e-5, 1.544e-4, 2.03, 0.1)
    parts = WingParts(section, FOAM, Covering(1.4e9, 0.5e9, 38e-6, 0.7), glass_rods(), TUBE)
    with_, without = (
        wing_stiffness(edges, np.full(16, 0.25), 0.0, parts._replace(joiner=joiner))
        for joiner in (TUBE, TUBE._replace(diameter=0.0))
    )
    for name, own in (("bending_rigidity", joiner_rigidity(TUBE)), ("torsional_rigidity", joiner_torsion(TUBE))):
        gain = getattr(with_, name) - getattr(without, name)
        assert gain[1] == pytest.approx(own, rel=1e-6) and abs(gain[-1]) < 1e-6 * own


def test_the_width_of_the_channel_bears_and_not_the_tube():
    """Check a channel of 30 mm by hand. Crushed foam presses with its strength, whatever the joiner's stiffness."""
    in_channel = TUBE._replace(channel=0.030)
    assert joiner_bearing(in_channel) == pytest.approx(0.030 * 0.3 * 0.15 / 2, rel=1e-12)
    other = in_channel._replace(bore=0.0, diameter=0.008, youngs_modulus=40e9)
    assert joiner_bearing(other) == joiner_bearing(in_channel)
