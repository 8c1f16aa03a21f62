"""Hinge moments of a flap after H. Glauert, ARC R&M 1095 (1927), thin-aerofoil theory.

The closed forms are from an integration of our own, so they are held here against two other roads to the same
theory: vortices on panels, which know nothing of Fourier series, and the two limits known by heart (a flap that is
the whole aerofoil; a flap of vanishing chord). The section's mean line is the reflexed cubic.
"""

import numpy as np
import pytest

from tradestudy.physics.aeroelastic.elevon_hinge import hinge_coefficients


def panel_coefficients(share, slope_of, count=600):
    """b0, b1, b2 by one vortex at the quarter of each of ``count`` panels, zero downwash at three quarters."""

    def nodes(first, last, n):
        return first + (last - first) * 0.5 * (1 - np.cos(np.linspace(0, np.pi, n + 1)))

    hinge = 1.0 - share
    edge = np.concatenate([nodes(0, hinge, count), nodes(hinge, 1, count)[1:]])  # fine at nose, hinge and tail
    width = np.diff(edge)
    vortex, control = edge[:-1] + 0.25 * width, edge[:-1] + 0.75 * width
    influence = 1.0 / (2 * np.pi * (control[:, None] - vortex))  # downwash of a clockwise vortex, aft of it
    aft = control > hinge
    columns = np.column_stack([-slope_of(control), np.ones_like(control), 1.0 * aft])
    circulation = np.linalg.solve(influence, columns)
    arm = np.where(vortex > hinge, vortex - hinge, 0.0)
    return -2.0 * arm @ circulation / share**2  # lift rho V gamma over q: 2 gamma


@pytest.mark.parametrize("share", [0.12, 0.2, 0.3, 0.5])
def test_against_vortices_on_panels(share):
    # reflexed cubic: slope = second / 3 + first cos + second cos 2 theta, theta = arccos(1 - 2 x)
    first, second = -0.02, 0.06

    def slope_of(x):
        angle = np.arccos(1 - 2 * x)
        return second / 3 + first * np.cos(angle) + second * np.cos(2 * angle)

    zero_lift = second / 3 - first / 2  # thin-aerofoil theory
    moment = -np.pi / 4 * (first - second)
    ours = hinge_coefficients(share, zero_lift, moment)
    # the logarithm at the hinge, 600 panels a side: 0.5 %
    np.testing.assert_allclose(ours, panel_coefficients(share, slope_of), rtol=5e-3)


def test_a_flap_that_is_the_whole_aerofoil():
    whole = hinge_coefficients(1.0 - 1e-12)
    # lift 2 pi at the quarter chord, hinge at the nose; sqrt of the 1e-12 left
    assert whole.incidence == pytest.approx(-np.pi / 2, rel=1e-5)
    assert whole.deflection == pytest.approx(-np.pi / 2, rel=1e-5)


def test_a_flap_of_vanishing_chord():
    """Load falls off as sqrt to the tail by incidence: b1 -> -(16/15) sqrt(E); b2 -> a finite value."""
    tiny = hinge_coefficients(1e-3)
    # next term of the series is E: 0.1 %; and cancellation of 1e-16/E^2
    assert tiny.incidence == pytest.approx(-16 / 15 * np.sqrt(1e-3), rel=2e-3)
    # by series of the closed form: -8/3pi; the next term is of the order of sqrt(E), 3 %
    assert tiny.deflection == pytest.approx(-8 / (3 * np.pi), rel=0.05)


def test_hinge_moments_come_complex_safe():
    exact = hinge_coefficients(0.2 + 1e-20j, 0.01, 0.005)
    step = 1e-5
    high, low = hinge_coefficients(0.2 + step, 0.01, 0.005), hinge_coefficients(0.2 - step, 0.01, 0.005)
    for slope, above, below in zip(exact, high, low, strict=True):
        # central differences: step^2
        assert slope.imag / 1e-20 == pytest.approx((above - below) / (2 * step), rel=1e-6)
