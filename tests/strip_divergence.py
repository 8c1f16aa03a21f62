"""Divergence by strip theory: a check of mode shapes and stiffness."""

import numpy as np


def divergence_speed(clamped, axis, density):
    """Return the lowest speed at which a clamped wing twists off by strip theory; inf where there is none. [m/s]

    ``clamped`` are vibration.WingModes, ``axis`` a flutter.SectionAxis, ``density`` of the air [kg/m^3]. Steady lift at
    the quarter chord; for a wing with tip loss see the lattice.
    """
    b, a = (np.asarray(value) * np.ones_like(clamped.length) for value in (axis.half_chord, axis.axis_place))
    incidence = clamped.twist - np.tan(axis.sweep) * clamped.slope
    slope = 2 * np.pi * np.asarray(axis.lift_share)
    lift = (slope * density * np.cos(axis.sweep) ** 2 * b * clamped.length)[:, None] * incidence
    force = clamped.rise.T @ lift + clamped.twist.T @ ((b * (a + 0.5))[:, None] * lift)
    inverse = np.linalg.eigvals(np.linalg.solve(clamped.stiffness, force))
    real = inverse.real[(np.abs(inverse.imag) < 1e-9 * np.abs(inverse)) & (inverse.real > 0.0)]
    return float(1.0 / np.sqrt(real.max())) if real.size else np.inf
