"""Downwash of a strip that reproduces the lift and moment of thin-airfoil theory exactly in two dimensions.

A strip of the lattice has ``n_panel`` panels of equal chord. Each panel has its vortex at 1/4 and its control point at
3/4 of its chord. All values hold for a chord of 1 and an airspeed of 1. "(...)" means arrays of any batch shape.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

CHORDWISE_PANELS = 4  # panels along the chord of every strip


def quarter_points(n_panel: int) -> np.ndarray:
    """Return the chord fractions (n_panel,) [-] of the vortices of a strip of ``n_panel`` panels [-].

    This is a definition.
    """
    return (np.arange(n_panel) + 0.25) / n_panel


def three_quarter_points(n_panel: int) -> np.ndarray:
    """Return the chord fractions (n_panel,) [-] of the control points of a strip of ``n_panel`` panels [-].

    This is a definition.
    """
    return (np.arange(n_panel) + 0.75) / n_panel


def panel_matrix(n_panel: int = CHORDWISE_PANELS) -> np.ndarray:
    """Return the downwash per circulation in a strip of chord 1: shape (n_panel, n_panel). [-]

    Rows are control points and columns are vortices of infinite length; there are ``n_panel`` [-] of each. Source:
    Biot-Savart law (any aerodynamics text).
    """
    return 1 / (2 * np.pi * (three_quarter_points(n_panel)[:, None] - quarter_points(n_panel)[None, :]))


def flap_slopes(hinge_fraction: float | np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the slopes (...) of lift and quarter-chord moment of a plain flap, trailing edge down. [1/rad]

    ``hinge_fraction`` (...) is the hinge's distance behind the leading edge over chord, x_h [-]. Source: H. Glauert
    (1926), thin-airfoil theory. With theta = arccos(1 - 2 x_h), the lift slope is 2 (pi - theta + sin(theta)). The
    moment slope is -sin(theta) (1 - cos(theta)) / 2.

    >>> lift, moment = flap_slopes(0.75)
    >>> round(float(lift), 3), round(float(moment), 3)
    (3.826, -0.65)
    """
    theta = np.arccos(1 - 2 * hinge_fraction)
    return 2 * (np.pi - theta + np.sin(theta)), -0.5 * np.sin(theta) * (1 - np.cos(theta))


def flap_downwash(hinge_fraction: np.ndarray, n_panel: int = CHORDWISE_PANELS) -> np.ndarray:
    """Return the downwash column (..., n_panel) of a unit flap deflection on a strip of ``n_panel`` panels [-]. [1/rad]

    ``hinge_fraction`` (...) is the hinge's distance behind the leading edge over chord [-]. Panel circulations are
    Glauert's exact distribution (1926), integrated over each panel. The smallest correction is then added that makes
    lift and quarter-chord moment of the panel vortices exact.
    """
    theta_hinge = np.arccos(1 - 2 * np.asarray(hinge_fraction))[..., None]
    edges, arm, correction, matrix = _panel_constants(n_panel)
    up_to = _flap_circulation(theta_hinge, edges)
    circulation = up_to[..., 1:] - up_to[..., :-1]
    lift, moment = flap_slopes(hinge_fraction)
    # with speed 1, chord 1 and circulation G at each x: lift = 2 sum(G), moment about x = 1/4 is -2 sum(G (x - 1/4))
    missing_lift = 0.5 * lift - circulation.sum(-1)
    missing_moment = -0.5 * moment - circulation @ arm
    circulation += missing_lift[..., None] * correction[0] + missing_moment[..., None] * correction[1]
    return circulation @ matrix.T


@lru_cache(maxsize=8)
def _panel_constants(n_panel: int) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Return the angles of the panels' edges, the vortices' arms about the quarter chord, the smallest corrections of
    lift and moment, and the matrix.
    """
    edges = np.arccos(1 - 2 * np.arange(n_panel + 1) / n_panel)
    arm = quarter_points(n_panel) - 0.25
    basis = np.stack([np.ones(n_panel), arm])
    return edges, arm, np.linalg.solve(basis @ basis.T, basis), panel_matrix(n_panel)


def _flap_circulation(theta_hinge: np.ndarray, theta: np.ndarray) -> np.ndarray:
    """Return the circulation between the leading edge and the angle t = ``theta``, for unit deflection and chord.

    It is Glauert's plain flap in closed form, with the hinge at the angle h = ``theta_hinge``. Let a0 = 1 - h / pi and
    L = ln|sin((t + h) / 2) / sin((t - h) / 2)|. The circulation per length is 2 (a0 (1 + cos t) / sin t + L / pi).
    Integration by parts over x gives a0 (t + sin t) + ((cos h - cos t) L + t sin h) / pi.
    """
    a0 = 1 - theta_hinge / np.pi
    half, half_hinge = 0.5 * theta, 0.5 * theta_hinge
    ratio = np.sin(half + half_hinge) ** 2 / (np.sin(half - half_hinge) ** 2 + 1e-200)
    log = 0.5 * np.log(ratio + 1e-200)
    part = (np.cos(theta_hinge) - np.cos(theta)) * log + theta * np.sin(theta_hinge)
    return a0 * (theta + np.sin(theta)) + part / np.pi


@lru_cache(maxsize=8)
def camber_downwash(lift_coefficient: float, moment_coefficient: float, n_panel: int = CHORDWISE_PANELS) -> np.ndarray:
    """Return the downwash (n_panel,) that gives a section's lift and moment exactly in two dimensions. [-]

    ``lift_coefficient`` [-] is at zero angle of attack, and ``moment_coefficient`` [-] is about the quarter chord. The
    strip has ``n_panel`` panels [-]. In Glauert's series (1926) the loading of a flat plate makes the lift. The terms
    A1 = 1 and A0 = -1/2 make the moment.
    """
    # loading of the moment alone, integrated over each panel and without lift
    edges = np.arccos(1 - 2 * np.arange(n_panel + 1) / n_panel)
    shape = np.diff(-0.5 * (edges + np.sin(edges)) + 0.5 * edges - 0.25 * np.sin(2 * edges))
    shape = shape - shape.mean()
    shape = shape * (-0.5 * moment_coefficient) / (shape * quarter_points(n_panel)).sum()
    return panel_matrix(n_panel) @ shape + lift_coefficient / (2 * np.pi)
