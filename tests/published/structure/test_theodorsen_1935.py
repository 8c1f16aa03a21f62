"""Oscillating sections after T. Theodorsen, NACA Report 496 (1935): lift function, flutter of a section on springs.

The table of the lift function C(k) over the reduced frequency k has four digits, as there and in any text on
aeroelasticity (from memory).

The first case is the report's, as worked in NASA/TP-2015-218765 (secondary). It has the density ratio pi rho b^2 / m =
0.1, the axis at -0.4 half chords, the centre of mass 0.2 half chords behind it, and a squared radius of gyration of
0.25. Bending is at 50 rad/s, twist at 100 rad/s, and the half chord is 1 ft. The flutter speed is 173.26 ft/s at k
0.4355, and the divergence speed is 353.55 ft/s.

The second case is from D. H. Hodges and G. A. Pierce, Introduction to Structural Dynamics and Aeroelasticity (2002), a
section of mass ratio 20. With the exact C(k), it was computed for this project by a root search of the determinant.
"""

import numpy as np
import pytest
from helpers.references.strip_divergence import divergence_speed
from scipy.special import kv

from tradestudy.physics.aeroelastic.flutter import SectionAxis, flutter_points, theodorsen
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
    """Return a section of 1 m width on two springs.

    The centre of mass is behind the axis. Its place and the radius of gyration are in half chords.
    """
    b = half_chord
    matrix = mass * np.array([[1.0, -centre * b], [-centre * b, squared_radius * b * b]])
    stiffness = np.diag([mass * bending**2, mass * squared_radius * b * b * twist**2])
    rise, nothing = np.array([[1.0, 0.0]]), np.zeros((1, 2))
    return WingModes(
        matrix, stiffness, np.zeros(1), np.ones(1), rise, nothing, rise[:, ::-1], nothing, np.array([1.0, 0.0]), 0
    )


@pytest.mark.parametrize("k", TABLE)
def test_lift_function(k):
    assert theodorsen(k) == pytest.approx(complex(*TABLE[k]), abs=6e-5)  # tolerance: four digits


def test_lift_function_by_the_other_bessel_functions():
    k = np.geomspace(1e-3, 20, 40)
    # C(k) = K1(ik) / (K0(ik) + K1(ik)), by another routine; tolerance: rounding
    np.testing.assert_allclose(theodorsen(k), kv(1, 1j * k) / (kv(0, 1j * k) + kv(1, 1j * k)), rtol=1e-10)
    assert theodorsen(1e-6) == pytest.approx(1.0, abs=2e-5)  # steady flow; the difference is of order k ln k
    assert theodorsen(1e3) == pytest.approx(0.5, abs=2e-4)  # fast motion has half the lift; the difference is 1/(8 k)


def test_section_of_the_report():
    b, density = 0.3048, 1.225
    motion = section(b, np.pi * density * b * b / 0.1, 0.2, 0.25, 50.0, 100.0)
    axis = SectionAxis(b, -0.4)
    found = flutter_points(motion, axis, density)[0]
    assert found.speed / 0.3048 == pytest.approx(173.26, abs=0.006)  # tolerance: five digits
    assert found.reduced_frequency == pytest.approx(0.4355, abs=6e-5)  # tolerance: four digits
    assert divergence_speed(motion, axis, density) / 0.3048 == pytest.approx(353.55, abs=0.006)


def test_section_of_hodges_and_pierce():
    mass = 20.0 * np.pi * 1.225
    motion = section(1.0, mass, 0.1, 6 / 25, 0.4, 1.0)
    axis = SectionAxis(1.0, -0.2)
    found = flutter_points(motion, axis, 1.225)[0]
    assert found.speed == pytest.approx(2.1839, rel=1e-4)  # tolerance: five digits
    assert found.frequency == pytest.approx(0.6490, rel=2e-4)  # tolerance: four digits
    assert divergence_speed(motion, axis, 1.225) == pytest.approx(2.8284, rel=1e-4)  # tolerance: five digits
