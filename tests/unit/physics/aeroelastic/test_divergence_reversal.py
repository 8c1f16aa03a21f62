"""Eigenvalues of the flexible feedback matrix: derivatives, complex pairs, and the speeds computed from them."""

import numpy as np
import pytest
from helpers.wings.soft_wings import EvenWing, by_lattice, by_strips
from scipy.optimize import brentq

from tradestudy.physics.aeroelastic import divergence_reversal, elastic_wing

PRESSURE = np.array([100.0, 400.0])


def block(first, *rest):
    """Return a full matrix with known eigenvalues: numbers, or (real, imaginary) pairs."""
    blocks = [
        np.array([[value]]) if np.isscalar(value) else np.array([[value[0], value[1]], [-value[1], value[0]]])
        for value in (first, *rest)
    ]
    size = sum(len(part) for part in blocks)
    matrix, place = np.zeros((size, size)), 0
    for part in blocks:
        matrix[place : place + len(part), place : place + len(part)] = part
        place += len(part)
    mix = np.eye(size) + 0.3 * np.random.default_rng(3).standard_normal((size, size))
    return mix @ matrix @ np.linalg.inv(mix)


@pytest.mark.parametrize(
    "values,largest", [((-4.0, 1.5, 0.2, -0.1), 1.5), ((-4.0, -0.5, -0.1), -0.1), (((1.2, 0.7), 0.3, -5.0), 1.2)]
)
def test_share_is_the_largest_real_part(values, largest):
    share = divergence_reversal.twist_off_share(1e-3 * block(*values), PRESSURE)
    assert share == pytest.approx(1e-3 * largest * PRESSURE, rel=1e-10)  # tolerance: rounding


@pytest.mark.parametrize("values", [(-4.0, 1.5, 0.2, -0.1), ((1.2, 0.7), 0.3, -5.0), (2.0, (0.5, 3.0))])
def test_slopes_of_the_share(values):
    matrix = block(*values)
    turns = np.random.default_rng(8).standard_normal((3, *matrix.shape))
    result = divergence_reversal.twist_off_share(matrix + 1e-30j * turns, PRESSURE)
    assert result.shape == (3, 2)
    for turn, slope in zip(turns, result.imag / 1e-30, strict=True):
        up, down = (divergence_reversal.twist_off_share(matrix + step * turn, PRESSURE) for step in (1e-5, -1e-5))
        # central difference: rounding 1e-11 over the step, third derivatives 1e-10
        assert slope == pytest.approx((up - down) / 2e-5, rel=1e-6)


def test_slopes_where_directions_do_not_share_their_value():
    matrices = np.stack([block(1.0, 0.5), block(2.0, 0.5)])
    turn = np.array([[0.3, 0.1], [-0.2, 0.4]])
    both = divergence_reversal.twist_off_share(matrices + 1e-30j * turn, PRESSURE)
    for matrix, result in zip(matrices, both, strict=True):
        alone = divergence_reversal.twist_off_share((matrix + 1e-30j * turn)[None], PRESSURE)[0]
        assert result.real == pytest.approx(alone.real, rel=1e-12)
        assert result.imag == pytest.approx(alone.imag, rel=1e-9)


def test_slope_stays_finite_where_a_pair_meets():
    meeting = np.array([[1.0, 1.0], [0.0, 1.0]])
    result = divergence_reversal.twist_off_share(
        (meeting + 1e-30j * np.array([[0.0, 0.0], [1.0, 0.0]]))[None], PRESSURE
    )
    assert np.all(np.isfinite(result))


def test_pair_never_twists_off_but_counts():
    pair = block((1.2, 0.7), -2.0)
    assert divergence_reversal.twist_off_pressure(pair) == np.inf
    assert divergence_reversal.twist_off_share(pair, np.array([1.0])) == pytest.approx([1.2], rel=1e-10)
    assert divergence_reversal.twist_off_pressure(np.stack([pair, block(0.5, -3.0, 0.1)])) == pytest.approx(
        [np.inf, 2.0]
    )


def test_relieving_feedback_never_twists_off():
    assert divergence_reversal.twist_off_pressure(block(-4.0, -0.5)) == np.inf
    assert np.all(divergence_reversal.twist_off_share(block(-4.0, -0.5), PRESSURE) < 0)


def test_twist_off_is_where_the_share_is_one_and_incidence_is_infinite():
    pair = elastic_wing.coupling(*by_strips(EvenWing(0.75, 0.25, 0.03, 69.4, 9.81), 20, flap_lift=3.0))
    pressure = divergence_reversal.twist_off_pressure(pair.feedback)
    assert divergence_reversal.twist_off_share(pair.feedback, np.array([pressure])) == pytest.approx([1.0], rel=1e-9)
    below, above = elastic_wing.elastic_incidences(pair, pressure * np.array([1 - 1e-6, 1 + 1e-6]))[:, -1, 0]
    assert below > 1e3 and above < -1e3


@pytest.mark.parametrize("behind", [0.05, 0.10])
def test_reversals_are_the_roots_of_effectiveness(behind):
    symmetric, rolling, air = by_lattice(8.0, behind, 40.0, count=12)

    def roll(pressure):
        incidences = elastic_wing.elastic_incidences(rolling, np.array([pressure]))
        return elastic_wing.with_elastic_part(air.roll_volume, incidences)[0, 1] / air.roll_volume[1]

    def pitch(pressure):
        return elastic_wing.pitch_effectiveness(
            air.unit, elastic_wing.elastic_incidences(symmetric, np.array([pressure]))
        )[0]

    result = divergence_reversal.roll_reversal_pressure(rolling, air.roll_volume)
    assert np.all([roll(pressure) > 0 for pressure in np.linspace(0.0, 0.999 * result, 60)])
    assert brentq(roll, 0.9 * result, 1.1 * result, xtol=1e-12) == pytest.approx(result, rel=1e-9)
    # in pitch this wing diverges first; the root exists all the same
    result = divergence_reversal.pitch_reversal_pressure(symmetric, air.unit)
    assert result > divergence_reversal.twist_off_pressure(symmetric.feedback)
    assert brentq(pitch, 0.99 * result, 1.01 * result, xtol=1e-12) == pytest.approx(result, rel=1e-9)


def test_speeds_above_the_bound_are_not_reported():
    speeds = divergence_reversal.critical_speed(np.array([0.5 * 1.2 * 30.0**2, 0.5 * 1.2 * 120.0**2, np.inf]), 1.2)
    assert speeds == pytest.approx([30.0, np.inf, np.inf])
    assert divergence_reversal.critical_speed(0.5 * 1.2 * 120.0**2, 1.2, highest=150.0) == pytest.approx(120.0)
