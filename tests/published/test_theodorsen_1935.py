"""Oscillating sections after T. Theodorsen, NACA Report 496 (1935): lift function, flutter of a section on springs.

C(k) table: to four digits as tabulated there and in any aeroelasticity text (from memory). Case: the report's, as
worked in NASA/TP-2015-218765 (secondary): pi rho b^2 / m 0.1, axis -0.4, centre of mass 0.2 half chords behind it,
squared radius 0.25, bending 50 rad/s, twist 100 rad/s, half chord 1 ft: 173.26 ft/s, k 0.4355, divergence 353.55 ft/s.
Second case: D. H. Hodges and G. A. Pierce, Introduction to Structural Dynamics and Aeroelasticity (2002), a section
of mass ratio 20; with the exact C(k) computed for this project by a root search of the determinant.
"""

import numpy as np
import pytest
from scipy.special import kv
from strip_divergence import divergence_speed

from tradestudy.physics.aeroelastic.flutter import SectionAxis, flutter_point, theodorsen
from tradestudy.physics.aeroelastic.vibration import WingModes

TABLE = {
    0.05: (0.9090, -0.1306),
    0.1: (0.8319, -0.1723),
    0.2: (0.7276, -0.1886),
    0.5: (0.5979, -0.1507),
    1.0: (0.5394, -0.1003),
    2.0: (0.5129, -0.0577),
}


def section(half_chord, mass, centre, squared_radius, bending, twist):
    """A section of 1 m width on two springs; centre of mass behind the axis and radius in half chords."""
    b = half_chord
    matrix = mass * np.array([[1.0, -centre * b], [-centre * b, squared_radius * b * b]])
    stiffness = np.diag([mass * bending**2, mass * squared_radius * b * b * twist**2])
    rise, nothing = np.array([[1.0, 0.0]]), np.zeros((1, 2))
    return WingModes(
        matrix, stiffness, np.zeros(1), np.ones(1), rise, nothing, rise[:, ::-1], nothing, np.array([1.0, 0.0]), 0
    )


@pytest.mark.parametrize("k", TABLE)
def test_lift_function(k):
    assert theodorsen(k) == pytest.approx(complex(*TABLE[k]), abs=6e-5)  # four printed digits


def test_lift_function_by_the_other_bessel_functions():
    k = np.geomspace(1e-3, 20, 40)
    # K1/(K0 + K1) of i k: the same function through another routine, rounding only
    np.testing.assert_allclose(theodorsen(k), kv(1, 1j * k) / (kv(0, 1j * k) + kv(1, 1j * k)), rtol=1e-10)
    assert theodorsen(1e-6) == pytest.approx(1.0, abs=2e-5)  # steady flow: k ln k away
    assert theodorsen(1e3) == pytest.approx(0.5, abs=2e-4)  # fast: half the lift, 1/8k away


def test_section_of_the_report():
    b, density = 0.3048, 1.225
    motion = section(b, np.pi * density * b * b / 0.1, 0.2, 0.25, 50.0, 100.0)
    axis = SectionAxis(b, -0.4)
    found = flutter_point(motion, axis, density)
    assert found.speed / 0.3048 == pytest.approx(173.26, abs=0.006)  # five printed digits
    assert found.reduced_frequency == pytest.approx(0.4355, abs=6e-5)  # four printed digits
    assert divergence_speed(motion, axis, density) / 0.3048 == pytest.approx(353.55, abs=0.006)


def test_section_of_hodges_and_pierce():
    mass = 20.0 * np.pi * 1.225
    motion = section(1.0, mass, 0.1, 6 / 25, 0.4, 1.0)
    axis = SectionAxis(1.0, -0.2)
    found = flutter_point(motion, axis, 1.225)
    assert found.speed == pytest.approx(2.1839, rel=1e-4)  # five printed digits
    assert found.frequency == pytest.approx(0.6490, rel=2e-4)  # four printed digits
    assert divergence_speed(motion, axis, 1.225) == pytest.approx(2.8284, rel=1e-4)  # five printed digits
