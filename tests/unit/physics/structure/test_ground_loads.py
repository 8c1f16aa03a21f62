"""Launch and belly landing: a simple wing by hand, and the breaking load factor applied again."""

import numpy as np
import pytest
from helpers.wings.rod_samples import glass_rods as rods

from tradestudy.physics.air import GRAVITY
from tradestudy.physics.structure import failure_modes, ground_loads
from tradestudy.physics.structure.cut_centre import CutCentre
from tradestudy.physics.structure.rods import RodSets
from tradestudy.physics.structure.stiffness import wing_stiffness
from tradestudy.physics.structure.wing_beam import HalfWingMasses, Stations, wing_beam
from tradestudy.physics.structure.wing_parts import Covering, Foam, FoamSection, Joiner, WingParts

FOAM = Foam(4e6, 1.6e6, 0.25e6, 0.11e6, 0.25)
SECTION = FoamSection(0.0681, 3.922e-5, 1.544e-4, 2.03, 0.1, 0.0027)
FILM, JOINER = Covering(1.4e9, 0.5e9, 38e-6, 0.7), Joiner(130e9, 800e6, 0.0, 0.4)
EDGES = np.linspace(0.0, 0.75, 31)
CHORD = np.full(31, 0.25)
MIDDLE = 0.5 * (EDGES[1:] + EDGES[:-1])
STRIP_MASS = np.full(30, 0.2 / 30)  # 0.2 kg of half wing
LIFT = np.full(30, 6.0 / 30)


def test_a_part_fails_at_the_first_load_that_uses_it_up_either_way():
    """Check loads that grow against the fixed part, with it, one that starts beyond, and one that pulls only."""
    fixed, growing = np.array([0.9, 0.5, 1.2, 0.5]), np.array([-0.5, 0.25, 0.1, -0.5])
    one_way = np.array([False, False, False, True])
    # 0.9 - 0.5 n = -1 at 3.8; 0.5 + 0.25 n = 1 at 2; never for what is only pulled and slackens
    found = ground_loads._failure_load_factors(fixed, growing, one_way)
    assert found.tolist() == pytest.approx([3.8, 2.0, 0.0, np.inf])


def landed(rod_set, load_factor, lift=LIFT, tip_mass=0.03):
    beam = wing_beam(
        Stations(EDGES, CHORD, np.zeros(31), 0.0), WingParts(SECTION, FOAM, FILM, rod_set, JOINER), CutCentre(0.04, 0.3)
    )
    masses = HalfWingMasses(STRIP_MASS, np.full(30, 0.1), tip_mass, 0.1)
    return beam, ground_loads.landing_load(beam, masses, MIDDLE, lift, 0.0 * lift, load_factor)


def test_landing_bends_the_tips_down_by_their_own_weight():
    """Compare a half wing of 0.2 kg with 30 g on its tip at n g: M = n g (m L/2 + m_tip L), without lift."""
    beam, used = landed(rods(), 5.0, lift=0.0 * LIFT)
    moment = 5.0 * GRAVITY * (0.2 * 0.375 + 0.03 * 0.75)
    shear = 5.0 * GRAVITY * 0.23
    here = np.abs(beam.unit_utilisation) * moment
    names = failure_modes.mode_names(["one"])
    assert names[used.mode] == "rod failing where it crosses the cut centre (one)" and used.station == 0
    assert used.utilisation == pytest.approx(here[used.mode, 0], rel=1e-9)
    assert used.failure_load_factor == pytest.approx(5.0 / used.utilisation, rel=1e-9)  # nothing except inertia
    assert shear < moment / 0.04  # the shear modes are far from it


@pytest.mark.parametrize("side", [{}, {"bottom": 0.0}, {"top": 0.0}], ids=["pairs", "top", "bottom"])
def test_the_breaking_load_factor_breaks_it(side):
    """Check that at the breaking load factor the utilisation is one.

    Lift only relieves, so without it it is not less.
    """
    lift = 0.1 * LIFT if side else LIFT
    first = landed(rods(**side), 5.0, lift)[1]
    again = landed(rods(**side), first.failure_load_factor, lift)[1]
    assert 0.0 < first.failure_load_factor
    assert again.utilisation == pytest.approx(1.0, rel=1e-9)
    assert first.utilisation >= landed(rods(**side), 5.0, lift=0.0 * LIFT)[1].utilisation * (1 - 1e-12)


def test_what_level_flight_breaks_has_no_load_factor_left():
    assert landed(rods(bottom=0.0), 5.0, lift=LIFT)[1].failure_load_factor == 0.0


def edgewise(rod_set, foam=FOAM, film=FILM):
    parts = WingParts(SECTION, foam, film, rod_set, JOINER)
    stiffness = wing_stiffness(EDGES, CHORD, 0.0, parts)
    return stiffness, parts, ground_loads.edgewise_stiffness(stiffness, parts, CHORD, np.zeros(31))


def test_edgewise_stiffness_of_foam_and_of_two_rods():
    # four-digit section, closed trailing edge, 10 % thick, with dense points at the nose
    x = np.linspace(0, 1, 20001) ** 2
    half = 0.5 * (0.2969 * np.sqrt(x) - 0.126 * x - 0.3516 * x**2 + 0.2843 * x**3 - 0.1036 * x**4)
    area = np.trapezoid(2 * half, x)
    centre = np.trapezoid(2 * half * x, x) / area
    spread = np.trapezoid(2 * half * (x - centre) ** 2, x) / area
    assert (ground_loads.FOAM_CENTRE, ground_loads.FOAM_SPREAD) == pytest.approx((centre, spread), rel=1e-3)
    no_film = FILM._replace(bond=0.0)
    *_, foam_alone = edgewise(rods(pairs=0.0), film=no_film)
    np.testing.assert_allclose(foam_alone.rigidity, 4e6 * 0.0681 * spread * 0.25**4, rtol=1e-3)
    two = RodSets(*(np.broadcast_to(field, 2) for field in rods()))._replace(chord_fraction=np.array([0.2, 0.6]))
    soft = FOAM._replace(youngs_modulus=1e-3, shear_modulus=4e-4)
    *_, bent = edgewise(two, soft, no_film)
    pair = 2 * 40e9 * np.pi / 4 * 0.003**2
    # 0.4 chord apart: E A (0.2 c)^2 each
    assert bent.rigidity[3] == pytest.approx(2 * pair * (0.2 * 0.25) ** 2, rel=1e-9)
    assert bent.centre[3] == pytest.approx(0.4, rel=1e-9)


def test_launch_crushes_the_trailing_edge_of_bare_foam_by_engineer_s_bending():
    """Compare a wing without rods and film: M = a g m L/2 edgewise, stress at the trailing edge M (c - x)/I."""
    none, foam_only = rods(pairs=0.0), FILM._replace(bond=0.0)
    stiffness, parts, bent = edgewise(none, film=foam_only)
    masses = HalfWingMasses(STRIP_MASS, np.full(30, 0.1))
    used = ground_loads.launch_load(bent, stiffness, parts, EDGES, MIDDLE, masses, np.zeros(31), 8.0)
    moment = 8.0 * GRAVITY * 0.2 * 0.375
    inertia = 0.0681 * ground_loads.FOAM_SPREAD * 0.25**4
    stress = moment * (1 - ground_loads.FOAM_CENTRE) * 0.25 / inertia
    assert ground_loads.LAUNCH_MODES[used.mode] == "foam crushed at its trailing edge" and used.station == 0
    assert used.utilisation == pytest.approx(stress / 0.11e6, rel=1e-9)
    assert used.failure_load_factor == pytest.approx(8.0 / used.utilisation, rel=1e-9)


def test_level_flight_presses_the_rods_before_the_launch_does():
    stiffness, parts, bent = edgewise(rods())
    rest = (stiffness, parts, EDGES, MIDDLE, HalfWingMasses(STRIP_MASS, np.full(30, 0.1)))
    flat = np.full(31, 3.0)
    still, thrown = (ground_loads.launch_load(bent, *rest, flat, pull) for pull in (0.0, 5.0))
    crushing = failure_modes.BUCKLING_KNOCKDOWN * failure_modes.rod_buckling_load(
        failure_modes.foundation_modulus(FOAM, rods()), rods()
    )
    force = 40e9 * np.pi / 4 * 0.003**2 * 3.0 / stiffness.bending_rigidity * stiffness.lever[0]
    assert still.utilisation == pytest.approx(force.max() / crushing[0], rel=1e-9)
    assert thrown.utilisation > still.utilisation
