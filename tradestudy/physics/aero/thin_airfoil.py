"""Downwash of a strip that reproduces the lift and moment of thin-airfoil theory exactly in two dimensions.

A strip of the lattice has ``n_panel`` panels of equal chord: vortices at 1/4 and control points at 3/4 of each. All is
per unit chord and airspeed.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

CHORDWISE_PANELS = 4  # of every strip


def quarter_points(n_panel: int) -> np.ndarray:
    """Return the chord fractions (n_panel,) [-] of the vortices of a strip of ``n_panel`` panels [-]; a definition."""
    return (np.arange(n_panel) + 0.25) / n_panel


def three_quarter_points(n_panel: int) -> np.ndarray:
    """Return the chord fractions (n_panel,) [-] of the control points of ``n_panel`` panels [-]; a definition."""
    return (np.arange(n_panel) + 0.75) / n_panel


def panel_matrix(n_panel: int = CHORDWISE_PANELS) -> np.ndarray:
    """Return the downwash per circulation of a strip (n_panel, n_panel), unit chord. [-]

    Rows are the control points of ``n_panel`` panels [-], columns vortices of infinite length (Biot-Savart law, any
    aerodynamics text).
    """
    return 1 / (2 * np.pi * (three_quarter_points(n_panel)[:, None] - quarter_points(n_panel)[None, :]))


def flap_slopes(hinge_fraction: float | np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return lift and quarter-chord moment slopes (...) of a plain flap, trailing edge down. [1/rad]

    ``hinge_fraction`` (...) is the hinge behind the leading edge over chord [-]. H. Glauert (1926), thin-airfoil
    theory: with theta = arccos(1 - 2 x_h), cl = 2 (pi - theta + sin theta) and cm = -sin(theta) (1 - cos(theta)) / 2.

    >>> lift, moment = flap_slopes(0.75)
    >>> round(float(lift), 3), round(float(moment), 3)
    (3.826, -0.65)
    """
    theta = np.arccos(1 - 2 * hinge_fraction)
    return 2 * (np.pi - theta + np.sin(theta)), -0.5 * np.sin(theta) * (1 - np.cos(theta))


def flap_downwash(hinge_fraction: np.ndarray, n_panel: int = CHORDWISE_PANELS) -> np.ndarray:
    """Return the downwash column (..., n_panel) of a unit flap deflection on a strip of ``n_panel`` panels [-]. [1/rad]

    ``hinge_fraction`` (...) is the hinge behind the leading edge over chord [-]. Panel circulations are Glauert's
    exact distribution (1926) integrated over each panel. The least correction then makes lift and quarter-chord moment
    of the panel vortices exact.
    """
    theta_hinge = np.arccos(1 - 2 * np.asarray(hinge_fraction))[..., None]
    edges = np.arccos(1 - 2 * np.arange(n_panel + 1) / n_panel)
    circulation = np.diff(_flap_circulation(theta_hinge, edges), axis=-1)
    lift, moment = flap_slopes(hinge_fraction)
    # unit speed and chord: lift = 2 sum(G), moment about c/4 = -2 sum(G (x - 1/4))
    arm, correction, matrix = _panel_constants(n_panel)
    missing_lift = 0.5 * lift - circulation.sum(-1)
    missing_moment = -0.5 * moment - (circulation * arm).sum(-1)
    circulation = circulation + missing_lift[..., None] * correction[0] + missing_moment[..., None] * correction[1]
    return circulation @ matrix.T


@lru_cache(maxsize=8)
def _panel_constants(n_panel: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Arms about the quarter chord, least corrections of lift and moment, and the panel matrix."""
    arm = quarter_points(n_panel) - 0.25
    basis = np.stack([np.ones(n_panel), arm])
    return arm, np.linalg.solve(basis @ basis.T, basis), panel_matrix(n_panel)


def _flap_circulation(theta_hinge: np.ndarray, theta: np.ndarray) -> np.ndarray:
    """Circulation ahead of theta for unit deflection and chord, Glauert's plain flap summed in closed form.

    gamma = 2 (a0 (1 + cos)/sin + L/pi), a0 = 1 - th/pi, L = ln|sin((t + th)/2) / sin((t - th)/2)|. Integration by
    parts over x gives a0 (t + sin t) + ((cos th - cos t) L + t sin th)/pi.
    """
    a0 = 1 - theta_hinge / np.pi
    ratio = np.sin(0.5 * (theta + theta_hinge)) ** 2 / (np.sin(0.5 * (theta - theta_hinge)) ** 2 + 1e-200)
    log = 0.5 * np.log(ratio + 1e-200)
    return (
        a0 * (theta + np.sin(theta))
        + ((np.cos(theta_hinge) - np.cos(theta)) * log + theta * np.sin(theta_hinge)) / np.pi
    )


@lru_cache(maxsize=8)
def camber_downwash(lift_coefficient: float, moment_coefficient: float, n_panel: int = CHORDWISE_PANELS) -> np.ndarray:
    """Return the downwash (n_panel,) that gives a section's lift and moment exactly in two dimensions. [-]

    ``lift_coefficient`` [-] at zero angle of attack and ``moment_coefficient`` [-] about the quarter chord, for
    ``n_panel`` panels [-]. Glauert's series (1926): a flat plate's loading makes the lift, A1 = 1 with A0 = -1/2 the
    moment.
    """
    # pure moment: the loading integrated per panel, freed of any lift
    edges = np.arccos(1 - 2 * np.arange(n_panel + 1) / n_panel)
    shape = np.diff(-0.5 * (edges + np.sin(edges)) + 0.5 * edges - 0.25 * np.sin(2 * edges))
    shape = shape - shape.mean()
    shape = shape * (-0.5 * moment_coefficient) / (shape * quarter_points(n_panel)).sum()
    return panel_matrix(n_panel) @ shape + lift_coefficient / (2 * np.pi)
