"""Splices, foam under a rod, wrinkling of film, servo holes and cable channels, by hand."""

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from tradestudy.physics.body import rod_limits
from tradestudy.physics.structure import local_failure
from tradestudy.physics.structure.local_failure import FoamPocket, free_rod_load, pocket_crosses_rod, remaining_web
from tradestudy.physics.structure.rods import RodSets
from tradestudy.physics.structure.stiffness import wing_stiffness
from tradestudy.physics.structure.wing_parts import Covering, Foam, FoamSection, Joiner, WingParts

FOAM = Foam(4e6, 1.6e6, 0.25e6, 0.11e6, 0.25)
HOLE = FoamPocket(inner_end=0.20, outer_end=0.23, front=0.060, length=0.020, depth=0.015)
EDGES = np.linspace(0.0, 0.75, 11)


def wing():
    rods = RodSets(
        *(np.array([value]) for value in (40e9, 2000.0, 690e6, 414e6, 0.003, 1.0, 0.3, 0.0, 1.5, 0.003, 1.0, 0.1))
    )
    section = FoamSection(0.0681, 3.922e-5, 1.544e-4, 2.03, 0.1)
    covering, joiner = Covering(4.5e9, 1.63e9, 38e-6, 0.0), Joiner(130e9, 800e6, 0.0, 0.4)
    parts = WingParts(section, FOAM, covering, rods, joiner)
    return rods, wing_stiffness(EDGES, np.full(11, 0.25), 0.0, parts)


def test_rod_force_is_moment_over_spacing_where_rods_carry_all():
    rods, stiffness = wing()
    force = local_failure.rod_force(stiffness, rods, np.full((1, 11), 4.775))[0, 0]
    caps = 4.775 / stiffness.spacing[0] * stiffness.pair_rigidity[0] / stiffness.bending_rigidity
    np.testing.assert_allclose(force, caps, rtol=5e-3)  # bending of each rod itself, 0.46 % of the pair's EI


def test_foam_under_a_rod_by_the_equilibrium_of_a_bent_cap():
    """Compare 30.7 MPa in a 3 mm rod, which is 217 N. At a curvature of 0.069 1/m it presses 15 N/m on 3 mm of foam."""
    rods, stiffness = wing()
    used = local_failure.foam_under_rod(stiffness, rods, FOAM, np.array([[4.775], [9.55]]) * np.ones(11))[:, 0, 3]
    curvature = 4.775 / stiffness.bending_rigidity[3]
    assert curvature == pytest.approx(0.069, rel=1e-2)
    assert used[0] == pytest.approx(217 * curvature / 0.003 / 0.11e6, rel=2e-2)  # the foam's share of the moment
    assert used[1] == pytest.approx(4 * used[0], rel=1e-12)  # by the square of the load


def test_film_wrinkles_at_the_least_strain_of_all_wave_lengths():
    """Compare film on a deep bed by energy: the least of (kt)^2/12 + soft/(2 kt stiff) over the wave number k.

    This is the critical strain of film of thickness t and modulus ``stiff`` on foam of modulus ``soft``.
    """
    film = Covering(4.5e9, 4.5e9 / 2.76, 38e-6, 1.0)  # Poisson's ratio 0.38
    strain = local_failure.wrinkling_strain(FOAM, film)
    ratio = 4e6 / (1 - 0.25**2) / (4.5e9 / (1 - 0.38**2))
    least = minimize_scalar(
        lambda slim: slim**2 / 12 + ratio / (2 * slim), bounds=(1e-3, 2), method="bounded", options={"xatol": 1e-9}
    )
    assert strain == pytest.approx(least.fun, rel=1e-9)
    # by hand for polyester on 4 MPa foam: 23.8 MPa of plane-strain stress, 0.45 %
    assert strain * 4.5e9 / (1 - 0.38**2) == pytest.approx(23.8e6, rel=3e-3)
    assert 100 * strain == pytest.approx(0.45, abs=0.005)


def test_glue_of_a_splice():
    # 3 mm, 75 mm: pi 3 x 37.5 = 353 mm2 in each end of a sleeve, 225 mm2 of overlap, at 8 N/mm2
    assert local_failure.splice_strength(0.003, 0.075, True) == pytest.approx(353.43 * 8, rel=1e-4)
    assert local_failure.splice_strength(0.003, 0.075, False) == pytest.approx(225 * 8, rel=1e-12)
    # at the usual length a sleeve bears the same rod stress at all diameters: 2 x 25 times the strength of glue
    for diameter in (0.002, 0.005):
        area = np.pi / 4 * diameter**2
        stress = local_failure.splice_strength(diameter, local_failure.USUAL_SPLICE_LENGTH * diameter, True) / area
        assert stress == pytest.approx(50 * local_failure.GLUE_SHEAR_STRENGTH, rel=1e-12)


def test_a_lap_is_as_long_as_a_splice():
    assert rod_limits.USUAL_LAP == local_failure.USUAL_SPLICE_LENGTH


def test_splices_lie_where_pieces_as_sold_end():
    assert local_failure.splice_places(0.0, 0.9, 1.0, 1.0) == []
    assert local_failure.splice_places(0.1, 0.9, 1.0, 0.5) == pytest.approx([0.5])
    assert local_failure.splice_places(0.0, 0.9, 1.2, 0.5) == pytest.approx([0.375, 0.75])


def test_remaining_web_is_one_less_width_times_depth():
    # a web 30 mm wide around rods 55 mm behind the edge is from 40 to 70: 10 of 30 mm are cut, half as deep as thick
    assert remaining_web(HOLE, np.array([0.055]), 0.030, 0.030) == pytest.approx([1 - 10 / 30 * 0.5])
    assert remaining_web(HOLE, 0.030, 0.030, 0.030) == 1.0  # outside it
    through = remaining_web(HOLE._replace(depth=0.05), 0.070, 0.020, 0.030)
    assert through == pytest.approx(0.0, abs=1e-15)  # all of it


@pytest.mark.parametrize(
    ("place", "depth", "same_side", "runs_through"),
    [
        (0.070, 0.015, True, True),
        (0.057, 0.015, True, False),
        (0.059, 0.015, True, True),
        (0.0815, 0.015, True, False),
        (0.070, 0.0015, True, False),
        (0.070, 0.015, False, False),
    ],
)
def test_a_rod_runs_through_where_hole_and_slot_meet(place, depth, same_side, runs_through):
    """Check a 3 mm rod in a 5 mm slot: its top is 2 mm below the skin."""
    assert bool(pocket_crosses_rod(HOLE._replace(depth=depth), place, 0.0015, 0.005, same_side)) is runs_through


def test_free_rod_is_eulers_column():
    # carbon, 3 mm: E I = 130e9 pi 0.003^4 / 64 = 0.517 N m2; across 30 mm pi^2 E I / L^2 = 5.67 kN
    rigidity = 130e9 * np.pi * 0.003**4 / 64
    assert free_rod_load(HOLE, rigidity) == pytest.approx(np.pi**2 * rigidity / 0.03**2, rel=1e-12)
    assert free_rod_load(HOLE._replace(outer_end=0.26), rigidity) == pytest.approx(
        0.25 * free_rod_load(HOLE, rigidity), rel=1e-12
    )


def test_a_rod_aslant_is_strained_by_the_squared_cosine():
    """Compare with the rotation of a strain e along the axis: e cos(angle)^2 along the rod, whatever the wing."""
    rods, stiffness = wing()
    angle, moment, shape = np.radians(25.0), np.full((1, 11), 4.775), np.ones(np.shape(stiffness.lever))
    along, aslant = (
        local_failure.rod_force(stiffness._replace(axis_cosine=cosine * shape), rods, moment)
        for cosine in (1.0, np.cos(angle))
    )
    np.testing.assert_allclose(aslant, along * (1 + np.cos(2 * angle)) / 2, rtol=1e-12)
