"""Hinge moment, servo, soft linkage, slop and balance of an elevon, by hand."""

import numpy as np
import pytest

from tradestudy.physics.aeroelastic.elevon_hinge import (
    ElevonLinkage,
    HingeCoefficients,
    chord_moment,
    free_play,
    hinge_moment,
    mass_balance,
    remaining_deflection_share,
    servo_torque,
)

LINKAGE = ElevonLinkage(servo_arm=0.012, horn=0.018, stiffness=3000.0, slop=0.0002)
PLAIN = HingeCoefficients(0.02, -0.4, -0.9)


def test_chord_moment_of_a_tapering_elevon_cut_between_breaks():
    y, chord = np.array([0.0, 0.04, 0.62]), np.array([0.045, 0.045, 0.030])
    fine = np.linspace(0.02, 0.50, 200001)
    assert chord_moment(y, chord, 0.02, 0.50) == pytest.approx(
        np.trapezoid(np.interp(fine, y, chord) ** 2, fine), rel=1e-9
    )
    assert chord_moment(y, 0 * chord + 0.04, 0.1, 0.3) == pytest.approx(0.2 * 0.04**2, rel=1e-12)


def test_hinge_moment_and_servo_by_hand():
    # 900 Pa on 0.0006 m3: 0.54 N m times 0.02 - 0.4 x 0.05 + 0.9 x 0.2 = 0.18
    moment = hinge_moment(PLAIN, 900.0, 0.0006, 0.05, -0.2)
    assert moment == pytest.approx(0.54 * 0.18, rel=1e-12)
    assert hinge_moment(PLAIN, 900.0, 0.0006, 0.05, -0.2, np.radians(60)) == pytest.approx(0.25 * moment, rel=1e-12)
    assert servo_torque(moment, LINKAGE) == pytest.approx(moment * 2 / 3, rel=1e-12)


def test_soft_linkage_balances_spring_and_air():
    pressure, sweep = 900.0, 0.35
    share = remaining_deflection_share(LINKAGE, PLAIN, pressure, 0.0006, sweep)
    commanded = 0.2
    left = share * commanded  # about the hinge; multiplied by the cosine in the flight direction
    air = hinge_moment(PLAIN._replace(camber=0.0), pressure, 0.0006, 0.0, left * np.cos(sweep), sweep)
    spring = LINKAGE.stiffness * LINKAGE.horn**2 * (commanded - left)
    assert spring + air == pytest.approx(0.0, abs=1e-15)
    assert 0.0 < share < 1.0


def test_free_play_is_the_slop_at_the_horn():
    assert free_play(LINKAGE) == pytest.approx(0.0002 / 0.018, rel=1e-12)


def test_balance_of_a_wedge_by_quadrature():
    chord, mass = 0.04, 0.010
    x = np.linspace(0, 1, 20001)
    density = 1 - 2 / 3 * x
    density = density / np.trapezoid(density, x)
    result = mass_balance(mass, chord, LINKAGE, 0.03)
    first, second = np.trapezoid(density * x, x), np.trapezoid(density * x * x, x)
    assert result.unbalance == pytest.approx(mass * chord * first, rel=1e-8)
    assert result.inertia == pytest.approx(mass * chord**2 * second, rel=1e-8)
    assert result.balance_mass == pytest.approx(result.unbalance / 0.03, rel=1e-12)
    assert result.frequency == pytest.approx(np.sqrt(3000.0 * 0.018**2 / result.inertia), rel=1e-12)
