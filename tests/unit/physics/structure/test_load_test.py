"""Bags on half a wing: closed forms of a clamped beam, equal bags that replace a load, and the load to stop."""

import numpy as np
import pytest

from tradestudy.physics.air import GRAVITY
from tradestudy.physics.structure import load_test
from tradestudy.physics.structure.loads import outboard_sum, wing_loads
from tradestudy.physics.structure.wing_beam import HalfWingMasses, WingBeam

LENGTH, BENDING, TORSION, COMPLIANCE = 0.75, 60.0, 9.81, 1.0 / 643.0  # m, N m2, N m2, 1/N; a 25 mm foam wing
EDGES = LENGTH * np.sin(0.5 * np.pi * np.arange(16) / 15)


def even_beam(sweep=0.0, compliance=COMPLIANCE, unit=None):
    """Return a beam of constant stiffness. Its axis starts 0.08 m behind the nose."""
    one = np.ones_like(EDGES)
    unit = np.zeros((7, len(EDGES))) if unit is None else unit
    return WingBeam(
        station_y=EDGES,
        axis_sweep=sweep * one,
        bending_rigidity=BENDING * one,
        torsional_rigidity=TORSION * one,
        shear_compliance=compliance * one,
        elastic_axis=0.3 * one,
        axis_x=0.08 + EDGES * np.tan(sweep),
        unit_utilisation=unit,
    )


@pytest.mark.parametrize("station", [0.75, 0.72, 0.31])
def test_bag_bends_a_clamped_beam_by_the_closed_form(station):
    """Compare with P a^2 (3 L - a) / 6 EI, or P L^3 / 3 EI at the tip (any mechanics text). Core shear adds P a / S.

    P is the load at a, L the length, EI the bending stiffness and S the shear stiffness.
    """
    force = 0.5 * GRAVITY
    bare, sheared = (
        load_test.shape_under_bags(even_beam(compliance=each), [[0.5]], [station], [[0.08]]).deflection[0, -1]
        for each in (0.0, COMPLIANCE)
    )
    closed = force * station**2 * (3 * LENGTH - station) / (6 * BENDING)
    assert bare == pytest.approx(closed, rel=1e-7)  # stations are 1e-9 m to both sides of the bag
    assert sheared - bare == pytest.approx(force * station * COMPLIANCE, rel=1e-7)
    if station == LENGTH:
        assert bare == pytest.approx(force * LENGTH**3 / (3 * BENDING), rel=1e-7)


@pytest.mark.parametrize("station", [0.75, 0.72])
def test_bag_off_the_axis_twists_by_torque_times_length_over_rigidity(station):
    """Compare with T L / GJ (Bredt and Batho's twist of an even shaft), T = m g arm.

    A bag behind turns the nose down.
    """
    beam = even_beam()
    shape = load_test.shape_under_bags(beam, [[0.2], [0.2]], [station], [[0.08 - 0.15], [0.08 + 0.15]])
    closed = 0.2 * GRAVITY * 0.15 * station / TORSION
    np.testing.assert_allclose(shape.twist[:, -1], [closed, -closed], rtol=1e-7)
    ahead, behind = load_test.point_rise(shape, 0.08, 0.28)  # 0.2 m behind the axis
    assert behind - ahead == pytest.approx(2 * closed * 0.2, rel=1e-7)


@pytest.mark.parametrize("sweep", [0.2, 0.5])
def test_swept_beam_turned_by_a_couple_winds_and_bends(sweep):
    """Compare a couple C about y on a swept axis: pitch of the tip is C l (cos^2 / GJ + sin^2 / EI), l = a / cos.

    The cosine and sine are of the sweep, and a is the distance along the span.
    """
    beam, station = even_beam(sweep, 0.0), 0.7
    axis = 0.08 + station * np.tan(sweep)
    shape = load_test.shape_under_bags(beam, [[0.2], [0.2]], [station], [[axis - 0.1], [axis + 0.1]])
    couple, length = 2 * 0.2 * GRAVITY * 0.1, station / np.cos(sweep)
    closed = couple * length * (np.cos(sweep) ** 2 / TORSION + np.sin(sweep) ** 2 / BENDING)
    assert shape.twist[0, -1] - shape.twist[1, -1] == pytest.approx(closed, rel=1e-7)


def test_bags_load_as_strips_with_their_force_do():
    beam, strips = even_beam(0.4), [3, 8, 14]
    station = 0.5 * (EDGES[1:] + EDGES[:-1])[strips]
    place, mass = np.array([0.2, 0.3, 0.35]), np.array([0.3, 0.2, 0.1])
    lift, lift_x = np.zeros((1, 15)), np.zeros(15)
    lift[0, strips], lift_x[strips] = GRAVITY * mass, place
    massless = np.zeros(15)
    expected = wing_loads(EDGES, beam.axis_x, beam.axis_direction, lift, np.zeros(1), massless, lift_x, massless)
    for load, known in zip(load_test.bag_loads(beam, mass[None], station, place[None]), expected, strict=True):
        np.testing.assert_allclose(load, known, rtol=1e-12, atol=1e-13)  # the same sums in another order


def test_own_weight_upside_down_pulls_as_lift_does():
    mass, fin = 0.4 * np.diff(EDGES), 0.02
    own = load_test.own_weight_loads(even_beam(), HalfWingMasses(mass, 0.08 + 0 * mass, fin, 0.08))
    assert own.shear[0, 0] == pytest.approx(GRAVITY * (0.4 * LENGTH + fin), rel=1e-12)  # tolerance: rounding
    assert own.bending_moment[0, 0] == pytest.approx(GRAVITY * (0.4 * LENGTH**2 / 2 + fin * LENGTH), rel=1e-12)


@pytest.mark.parametrize("count", [3, 4, 5])
def test_equal_bags_replace_the_load(count):
    """Check that at the limits between the shares of the bags, shear and moment are those of the load.

    In between they are a little less.
    """
    middle = 0.5 * (EDGES[1:] + EDGES[:-1])
    force = 40 * np.sqrt(1 - (middle / LENGTH) ** 2) * np.diff(EDGES) - 2.0 * np.diff(EDGES)
    bags = load_test.proof_bags(EDGES, force, count)
    np.testing.assert_allclose(bags.mass, force.sum() / count / GRAVITY, rtol=1e-12)  # tolerance: rounding
    hung = load_test.bag_loads(even_beam(), bags.mass[None], bags.station, np.full((1, count), 0.08))
    moment = outboard_sum(force * middle) - EDGES * outboard_sum(force)
    assert hung.bending_moment[0, 0] == pytest.approx(moment[0], rel=1e-12)
    share = hung.bending_moment[0] / np.maximum(moment, 1e-12)
    assert np.all(share[:-1] < 1 + 1e-12) and share[:6].min() > 0.9
    # the limit of the first bag's share, and the moment of all the load further out, even along each strip
    inboard = np.cumsum(force)
    cut = np.interp(force.sum() / count, np.concatenate([[0.0], inboard]), EDGES)
    inner, outer = np.maximum(EDGES[:-1], cut), np.maximum(EDGES[1:], cut)
    outboard = (force / np.diff(EDGES) * (outer - inner) * (0.5 * (outer + inner) - cut)).sum()
    of_bags = GRAVITY * bags.mass @ np.maximum(bags.station - cut, 0)
    assert of_bags == pytest.approx(outboard, rel=1e-12)  # tolerance: rounding


def test_elliptic_load_has_its_moment_at_the_clamp():
    """Compare with W0 L^2 / 3 for an elliptic load of peak W0 on half a wing: integral of y sqrt(1 - y^2 / L^2)."""
    edges = LENGTH * np.sin(0.5 * np.pi * np.arange(201) / 200)
    quarter = 0.5 * (edges / LENGTH * np.sqrt(1 - (edges / LENGTH) ** 2) + np.arcsin(edges / LENGTH))
    bags = load_test.proof_bags(edges, 30 * LENGTH * np.diff(quarter), 4)
    # force is even over each of 200 strips: second order in their width
    assert GRAVITY * bags.mass @ bags.station == pytest.approx(30 * LENGTH**2 / 3, rel=1e-4)


def test_stop_is_where_the_first_mode_uses_four_fifths():
    unit = np.zeros((14, len(EDGES)))  # one set of rods
    unit[2, 0], unit[10, 4] = 0.05, 0.2  # per newton metre
    beam = even_beam(unit=unit)
    own = load_test.own_weight_loads(beam, HalfWingMasses(0.4 * np.diff(EDGES), 0.08 + 0 * EDGES[1:]))
    bag = load_test.bag_loads(beam, [[1.0]], [0.72], [[0.08]])
    stop = load_test.stop_mass(beam, own, bag)
    at_root = (0.8 / 0.05 - own.bending_moment[0, 0]) / (GRAVITY * 0.72)
    further = (0.8 / 0.2 - own.bending_moment[0, 4]) / (GRAVITY * (0.72 - EDGES[4]))
    assert further < at_root and (stop.mode, stop.station) == (10, 4)
    assert stop.mass == pytest.approx(further, rel=1e-4)  # utilisations near zero are rounded by 0.001
    there = load_test.combined_loads(own, load_test.bag_loads(beam, [[stop.mass]], [0.72], [[0.08]]))
    assert load_test.greatest_utilisation(beam, there)[0] == pytest.approx(0.8, abs=1e-5)
