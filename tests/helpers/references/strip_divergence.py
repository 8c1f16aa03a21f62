"""Divergence by strip theory, for tests of mode shapes and stiffness."""

import numpy as np


def divergence_speed(clamped, axis, density):
    """Return the lowest divergence speed of a clamped wing by strip theory, or inf if there is none. [m/s]

    ``clamped`` are vibration.WingModes, ``axis`` is a flutter.SectionAxis, and ``density`` is that of the air [kg/m^3].
    Steady lift acts at the quarter chord. Tip loss is not included.
    """
    b, a = (np.asarray(value) * np.ones_like(clamped.length) for value in (axis.half_chord, axis.axis_place))
    incidence = clamped.twist - np.tan(axis.sweep) * clamped.slope
    slope = 2 * np.pi * np.asarray(axis.lift_share)
    lift = (slope * density * np.cos(axis.sweep) ** 2 * b * clamped.length)[:, None] * incidence
    force = clamped.rise.T @ lift + clamped.twist.T @ ((b * (a + 0.5))[:, None] * lift)
    inverse = np.linalg.eigvals(np.linalg.solve(clamped.stiffness, force))
    real = inverse.real[(np.abs(inverse.imag) < 1e-9 * np.abs(inverse)) & (inverse.real > 0.0)]
    return float(1.0 / np.sqrt(real.max())) if real.size else np.inf
