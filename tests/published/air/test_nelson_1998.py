"""R. C. Nelson, Flight Stability and Automatic Control, 2nd ed. (1998): the general aviation aeroplane of appendix B.

The derivatives, the matrices of examples 4.3 and 5.2 and their roots are from memory. They check each other: the
roots are those of the matrices, and the matrices follow from the derivatives by the project's
equations. Feet, slugs and pounds are converted to SI here.
"""

import numpy as np
import pytest

from tradestudy.physics.aero import lateral, small_motions
from tradestudy.physics.geometry.planform import Areas
from tradestudy.physics.weights import inertia

FOOT, SLUG, POUND_FORCE = 0.3048, 14.5939, 4.44822
SPEED = 176.0 * FOOT
MASS = 2750 * POUND_FORCE / 9.80665
PRESSURE = 0.5 * 0.002378 * SLUG / FOOT**3 * SPEED**2
AREAS = Areas(*(np.asarray(value) for value in (33.4 * FOOT, 184 * FOOT**2, 5.7 * FOOT, 0.0, 33.4**2 / 184)))
MOMENTS = inertia.Inertia(
    *(
        np.asarray(value)
        for value in (MASS, 0.0, 0.0, 1048 * SLUG * FOOT**2, 3000 * SLUG * FOOT**2, 3530 * SLUG * FOOT**2, 0.0)
    )
)
FLIGHT = small_motions.FlightState(*(np.asarray(value) for value in (SPEED, PRESSURE, 0.41, 0.05, 0.33)))

LATERAL = np.array([[-0.254, 0, -1.0, 0.182], [-16.02, -8.40, 2.19, 0], [4.488, -0.350, -0.760, 0], [0, 1, 0, 0]])
PITCH = np.array([[-0.045, 0.036, 0, -32.2], [-0.369, -2.02, 176, 0], [0.0019, -0.0396, -2.948, 0], [0, 0, 1, 0]])


def test_lateral_matrix():
    zero = np.zeros(())
    found = lateral.LateralDerivatives(
        *(np.asarray(value) for value in (-0.074, -0.410, 0.107, 0.0, 0.071, -0.0575, -0.125, 0.0, -0.564)),
        zero,
        zero,
        zero,
    )
    matrix = small_motions.lateral_matrix(found, AREAS, MOMENTS, FLIGHT)
    # tolerance 1.5 %: given to three digits, from coefficients of two or three
    assert matrix == pytest.approx(LATERAL, rel=0.015)


def test_pitch_matrix():
    """Compare the pitch matrix, whose third row is that without lag of downwash at the tail.

    The book's equations include this lag, and ours do not. Without it, the pitching acceleration by pitch rate is
    Mq = -2.08 per second, and by vertical speed Mw = -0.05 per foot and second.
    """
    pitch = small_motions.PitchDerivatives(*(np.asarray(value) for value in (4.44, -0.683, 0.0, -9.96)))
    matrix = small_motions.longitudinal_matrix(pitch, AREAS, MOMENTS, FLIGHT)
    matrix[:2, 3] /= FOOT
    matrix[:2, 2] /= FOOT
    matrix[2, :2] *= FOOT
    assert matrix[:2] == pytest.approx(PITCH[:2], rel=0.015)
    assert matrix[2] == pytest.approx(np.array([0, -0.05, -2.08, 0]), rel=0.02)


def test_lateral_roots():
    found = small_motions.lateral_motions(LATERAL)
    # In the book spiral -0.00877, roll -8.435, dutch roll -0.487 +- 2.335 i. The spiral has a tolerance of 3 %: it is a
    # small difference of matrix entries given to three digits.
    assert found.spiral.growth == pytest.approx(-0.00877, rel=0.03)
    assert found.roll.growth == pytest.approx(-8.435, rel=1e-3)
    assert found.dutch_roll.growth == pytest.approx(-0.487, rel=3e-3)
    assert found.dutch_roll.frequency == pytest.approx(2.335, rel=1e-3)


def test_pitch_roots():
    found = small_motions.pitch_motions(PITCH)
    # the example: phugoid -0.0171 +- 0.213 i, short period -2.5 +- 2.59 i
    assert found.phugoid.growth == pytest.approx(-0.0171, rel=0.01)
    assert found.phugoid.frequency == pytest.approx(0.213, rel=5e-3)
    assert found.short_period.growth == pytest.approx(-2.5, rel=0.01)
    assert found.short_period.frequency == pytest.approx(2.59, rel=0.01)
    # times in the same example: times to half amplitude 40.3 s and 0.28 s, periods 29.5 s and 2.42 s
    assert found.phugoid.time_to_half == pytest.approx(40.3, rel=0.01)
    assert found.phugoid.period == pytest.approx(29.5, rel=0.01)
    assert found.short_period.time_to_half == pytest.approx(0.28, abs=0.005)
    assert found.short_period.period == pytest.approx(2.42, rel=0.01)
