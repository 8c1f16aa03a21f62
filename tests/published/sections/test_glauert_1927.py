"""Hinge moments of a flap after H. Glauert, ARC R&M 1095 (1927), thin-aerofoil theory.

The closed forms are from our own integration, so they are compared here with two other solutions of the same theory.
The first uses vortices on panels, without Fourier series. The second is the two known limits: a flap that is the
complete aerofoil, and a flap of vanishing chord. The section's mean line is the reflexed cubic.
"""

import numpy as np
import pytest

from tradestudy.physics.aeroelastic.elevon_hinge import hinge_coefficients


def panel_coefficients(share, slope_of, count=600):
    """Return the hinge-moment coefficients (b0, b1, b2) for mean line, incidence and deflection, by vortices on panels.

    Each panel has a vortex at its quarter and a point without net downwash at its three quarters.
    """

    def nodes(first, last, n):
        return first + (last - first) * 0.5 * (1 - np.cos(np.linspace(0, np.pi, n + 1)))

    hinge = 1.0 - share
    # panels are smallest at nose, hinge and tail
    edge = np.concatenate([nodes(0, hinge, count), nodes(hinge, 1, count)[1:]])
    width = np.diff(edge)
    vortex, control = edge[:-1] + 0.25 * width, edge[:-1] + 0.75 * width
    influence = 1.0 / (2 * np.pi * (control[:, None] - vortex))  # downwash behind a clockwise vortex
    aft = control > hinge
    columns = np.column_stack([-slope_of(control), np.ones_like(control), 1.0 * aft])
    circulation = np.linalg.solve(influence, columns)
    arm = np.where(vortex > hinge, vortex - hinge, 0.0)
    return -2.0 * arm @ circulation / share**2  # lift rho V gamma divided by dynamic pressure is 2 gamma at V = 1


@pytest.mark.parametrize("share", [0.12, 0.2, 0.3, 0.5])
def test_against_vortices_on_panels(share):
    # reflexed cubic: slope = second / 3 + first cos(theta) + second cos(2 theta), theta = arccos(1 - 2 x)
    first, second = -0.02, 0.06

    def slope_of(x):
        angle = np.arccos(1 - 2 * x)
        return second / 3 + first * np.cos(angle) + second * np.cos(2 * angle)

    zero_lift = second / 3 - first / 2  # by thin-aerofoil theory
    moment = -np.pi / 4 * (first - second)
    ours = hinge_coefficients(share, zero_lift, moment)
    # tolerance 0.5 %: 600 panels on each side of the hinge, where the solution has a logarithm
    np.testing.assert_allclose(ours, panel_coefficients(share, slope_of), rtol=5e-3)


def test_a_flap_that_is_the_whole_aerofoil():
    whole = hinge_coefficients(1.0 - 1e-12)
    # lift slope 2 pi acts at the quarter chord, and the hinge is at the nose; tolerance sqrt(1e-12)
    assert whole.incidence == pytest.approx(-np.pi / 2, rel=1e-5)
    assert whole.deflection == pytest.approx(-np.pi / 2, rel=1e-5)


def test_a_flap_of_vanishing_chord():
    """Compare with the limits for a small chord ratio E of the flap.

    The load due to incidence falls to zero at the tail as a square root, so b1 -> -(16/15) sqrt(E). The coefficient b2
    has a finite limit.
    """
    tiny = hinge_coefficients(1e-3)
    # the next term of the series is E, 0.1 %; rounding adds 1e-16/E^2
    assert tiny.incidence == pytest.approx(-16 / 15 * np.sqrt(1e-3), rel=2e-3)
    # the series of the closed form gives -8/(3 pi); its next term is of the order of sqrt(E), 3 %
    assert tiny.deflection == pytest.approx(-8 / (3 * np.pi), rel=0.05)


def test_hinge_moments_come_complex_safe():
    exact = hinge_coefficients(0.2 + 1e-20j, 0.01, 0.005)
    step = 1e-5
    high, low = hinge_coefficients(0.2 + step, 0.01, 0.005), hinge_coefficients(0.2 - step, 0.01, 0.005)
    for slope, above, below in zip(exact, high, low, strict=True):
        # central differences have an error of order step^2
        assert slope.imag / 1e-20 == pytest.approx((above - below) / (2 * step), rel=1e-6)
