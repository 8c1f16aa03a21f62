"""Balance of lift and moment, checked by the forces and not by the formula of the solution."""

import numpy as np
import pytest
from helpers.wings.wings import answer, outline

from tradestudy.physics.aero import lattice, trim
from tradestudy.physics.air import GRAVITY

CAMBER = lattice.SectionCamber(0.12, -0.012)
ROUNDING = 1e-9


@pytest.fixture(scope="module")
def wing():
    return answer(
        outline(
            [0, 0.04, 0.62],
            [0, 0, 0.265],
            [0.28, 0.28, 0.18],
            twist=[0, 0, -0.026],
            elevon_chord=[0.045, 0.045, 0.03],
            elevon=(0.07, 0.60),
        ),
        camber=CAMBER,
    )


WEIGHT = np.asarray(10.0)
SPEED = np.array([14.0, 11.0, 30.0, 30.0])
FACTOR = np.array([1.0, 1.0, 4.0, -1.5])
PRESSURE = 0.6125 * SPEED**2


def state(wing, margin=0.08, effectiveness=0.8, thrust=0.0):
    centre = trim.balance_points(wing.unit, wing.areas.mean_aerodynamic_chord, margin).centre_of_gravity
    return centre, trim.rigid_trim(
        wing.unit, trim.TrimInputs(centre, WEIGHT, PRESSURE, FACTOR, SPEED, effectiveness, thrust)
    )


def test_static_margin_is_the_slope_of_moment_over_lift(wing):
    balance = trim.balance_points(wing.unit, wing.areas.mean_aerodynamic_chord, 0.08)
    lift, moment = wing.unit.lift_area[1], wing.unit.moment_volume[1]
    about = (moment + balance.centre_of_gravity * lift) / wing.areas.mean_aerodynamic_chord
    assert -about / lift == pytest.approx(0.08, rel=ROUNDING)
    assert balance.centre_of_gravity < balance.neutral_point


def test_forces_balance(wing):
    """Check that lift is weight times load factor, and the moment about the balance point is that of thrust."""
    thrust = np.full(4, 2e-4)
    centre, result = state(wing, thrust=thrust)
    lift = result.amplitude @ wing.unit.lift_area * PRESSURE
    moment = result.amplitude @ wing.unit.moment_volume * PRESSURE
    assert lift == pytest.approx(WEIGHT * FACTOR, rel=ROUNDING)
    assert moment + centre * lift + thrust * PRESSURE == pytest.approx(np.zeros(4), abs=1e-9)


def test_pull_up_turns_about_the_balance_point(wing):
    """Check that the flight path curves by (n - 1) g / V^2 per metre, and alpha at the balance point has no turn in
    it."""
    centre, result = state(wing)
    rate = (FACTOR - 1) * GRAVITY / SPEED**2
    assert result.amplitude[:, 3] == pytest.approx(rate, rel=ROUNDING)
    # the local flow angle at x is alpha + rate (x - x_cg): the columns contain alpha - rate x_cg and rate
    assert result.amplitude[:, 1] + result.amplitude[:, 3] * centre == pytest.approx(result.alpha, rel=ROUNDING)


def test_more_margin_needs_more_up_elevon(wing):
    elevon = [state(wing, margin)[1].elevon[0] for margin in (0.02, 0.06, 0.12)]
    assert elevon[0] > elevon[1] > elevon[2]  # up is negative
    assert np.diff(elevon)[1] / np.diff(elevon)[0] == pytest.approx(0.06 / 0.04, rel=ROUNDING)  # linear


def test_weak_elevons_move_further(wing):
    total, share = state(wing, effectiveness=1.0)[1], state(wing, effectiveness=0.8)[1]
    assert share.elevon == pytest.approx(total.elevon / 0.8, rel=ROUNDING)
    assert share.amplitude == pytest.approx(total.amplitude, rel=ROUNDING)


def test_same_lift_coefficient_same_attitude(wing):
    """Check that double speed at four times the weight has equal angles and four times the strip forces."""
    centre = trim.balance_points(wing.unit, wing.areas.mean_aerodynamic_chord, 0.08).centre_of_gravity
    one, four = np.ones(1), np.array([20.0])
    slow = trim.rigid_trim(wing.unit, trim.TrimInputs(centre, WEIGHT, np.array([100.0]), one, four, 0.8))
    fast = trim.rigid_trim(wing.unit, trim.TrimInputs(centre, 4 * WEIGHT, np.array([400.0]), one, 2 * four, 0.8))
    assert (fast.alpha, fast.elevon) == (pytest.approx(slow.alpha), pytest.approx(slow.elevon))
    light = trim.strip_forces(wing.unit.strip_lift, slow.amplitude, np.array([100.0]))
    heavy = trim.strip_forces(wing.unit.strip_lift, fast.amplitude, np.array([400.0]))
    assert heavy == pytest.approx(4 * light, rel=ROUNDING)
    assert 2 * light.sum() == pytest.approx(float(WEIGHT), rel=ROUNDING)  # without fins, all lift is on the strips


def test_equilibrium_of_a_tailless_wing(wing):
    """Check Cm0 = CL x static margin at trim (any text), with Cm0 of twist, camber and elevon at zero lift."""
    _, result = state(wing, 0.08)
    area, chord = wing.areas.area, wing.areas.mean_aerodynamic_chord
    neutral = wing.neutral_point
    still = result.amplitude[0] * [1, 0, 1, 0]
    zero_lift = still @ wing.unit.moment_volume + neutral * (still @ wing.unit.lift_area)
    lift = float(WEIGHT) / PRESSURE[0] / area
    assert zero_lift / (area * chord) == pytest.approx(lift * 0.08, rel=ROUNDING)


def test_gust_adds_lift_at_fixed_elevon(wing):
    centre, result = state(wing)
    extra = np.array([0.0, 0.5, 1.0, -1.0])
    amplitude = trim.amplitude_with_gust(result, wing.unit, WEIGHT, PRESSURE, extra)
    lift = amplitude @ wing.unit.lift_area * PRESSURE
    assert lift == pytest.approx(WEIGHT * (FACTOR + extra), rel=ROUNDING)
    assert amplitude[:, [0, 2, 3]] == pytest.approx(result.amplitude[:, [0, 2, 3]], rel=ROUNDING)


def test_section_lift_sums_to_the_wing(wing):
    _, result = state(wing)
    section = trim.strip_lift_coefficients(wing.unit, result.amplitude, wing.mesh.chord)
    spread = (wing.mesh.outer_edge - wing.mesh.inner_edge)[:, 1]
    total = 2 * (section * wing.mesh.chord * spread).sum(axis=1) * PRESSURE
    assert total == pytest.approx(WEIGHT * FACTOR, rel=ROUNDING)


def test_induced_drag_is_the_quadratic_form(wing):
    _, result = state(wing)
    areas = trim.induced_drag_areas(wing.unit, result.amplitude)
    lift = result.amplitude @ wing.unit.lift_area
    # by the definition of span efficiency; for a trimmed wing with washout it is between a half and one
    efficiency = lift**2 / (np.pi * wing.areas.span**2 * areas)
    assert np.all((efficiency[:3] > 0.5) & (efficiency[:3] < 1.0))
    assert areas[0] == pytest.approx(result.amplitude[0] @ wing.unit.drag_area_matrix @ result.amplitude[0])


def test_batch_equals_loop(wing):
    margins = np.array([0.05, 0.08, 0.11])
    centre = trim.balance_points(wing.unit, wing.areas.mean_aerodynamic_chord, margins).centre_of_gravity
    many = trim.rigid_trim(
        type(wing.unit)(*(np.broadcast_to(f, (3, *f.shape)) for f in wing.unit)),
        trim.TrimInputs(centre, np.full(3, WEIGHT), np.tile(PRESSURE, (3, 1)), FACTOR, np.tile(SPEED, (3, 1)), 0.8),
    )
    for index, margin in enumerate(margins):
        one = state(wing, margin)[1]
        assert many.elevon[index] == pytest.approx(one.elevon, rel=ROUNDING)
        assert many.amplitude[index] == pytest.approx(one.amplitude, rel=ROUNDING)
