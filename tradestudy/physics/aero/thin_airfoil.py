"""Downwash of a strip that reproduces the lift and moment of thin-airfoil theory exactly in two dimensions.

A strip of the lattice has ``n_panel`` panels of equal chord. Each panel has its vortex at 1/4 and its control point at
3/4 of its chord. All values hold for a chord of 1 and an airspeed of 1. "(...)" means arrays of any batch shape.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

CHORDWISE_PANELS = 4  # panels along the chord of every strip


@lru_cache(maxsize=8)
def quarter_points(n_panel: int) -> np.ndarray:
    """Return the chord fractions (n_panel,) [-] of the vortices of a strip of ``n_panel`` panels [-].

    This is a definition.
    """
    return (np.arange(n_panel) + 0.25) / n_panel


@lru_cache(maxsize=8)
def three_quarter_points(n_panel: int) -> np.ndarray:
    """Return the chord fractions (n_panel,) [-] of the control points of a strip of ``n_panel`` panels [-].

    This is a definition.
    """
    return (np.arange(n_panel) + 0.75) / n_panel


@lru_cache(maxsize=8)
def moment_sums(n_panel: int) -> np.ndarray:
    """Return the weights (2, n_panel) [-] of a strip's vortices in its circulation and in its first moment.

    The second are the ``quarter_points`` of ``n_panel`` panels [-]. This is a definition.
    """
    return np.array([np.ones(n_panel), quarter_points(n_panel)])


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
    place = np.asarray(hinge_fraction)[..., None]
    half_cosine, half_sine = np.sqrt(1 - place), np.sqrt(place)  # of half the hinge's angle h
    angle, cosine, sine = np.arccos(1 - 2 * place), 1 - 2 * place, 2 * half_cosine * half_sine
    edge_cosine, edge_half_cosine, edge_half_sine, by_logarithm, by_hinge = _flap_constants(n_panel)
    first, second = edge_half_sine * half_cosine, edge_half_cosine * half_sine
    logarithm = np.log((first + second) ** 2 / ((first - second) ** 2 + 1e-200) + 1e-200)
    hinge = np.concatenate([1 - angle / np.pi, sine, sine * (1 - cosine)], axis=-1)
    return ((cosine - edge_cosine) * logarithm) @ by_logarithm + hinge @ by_hinge


@lru_cache(maxsize=8)
def _flap_constants(n_panel: int) -> tuple[np.ndarray, ...]:
    """Return what the downwash of a flap has in common for all hinges.

    First the cosines (n_panel + 1,) of the panels' edges, and the cosines and sines of half their angles. Then the
    downwash (n_panel + 1, n_panel) by the logarithm at each edge, and (3, n_panel) by a0, sin h and sin h (1 - cos h).

    It is Glauert's plain flap in closed form, with the hinge at the angle h. Let a0 = 1 - h / pi and
    L = ln|sin((t + h) / 2) / sin((t - h) / 2)|. At the angle t the circulation per length is
    2 (a0 (1 + cos t) / sin t + L / pi). Integration by parts over x, from the leading edge to t, gives
    a0 (t + sin t) + ((cos h - cos t) L + t sin h) / pi.

    With speed 1, chord 1 and circulation G at each x, lift is 2 sum(G). Moment about x = 1/4 is -2 sum(G (x - 1/4)).
    """
    angle = np.arccos(1 - 2 * np.arange(n_panel + 1) / n_panel)
    basis = np.stack([np.ones(n_panel), quarter_points(n_panel) - 0.25])
    correction = np.linalg.solve(basis @ basis.T, basis)
    # what the circulations up to the edges make, with the correction that takes their own lift and moment away
    by_circulation = (
        np.diff(np.eye(n_panel + 1), axis=1) @ (np.eye(n_panel) - basis.T @ correction) @ panel_matrix(n_panel).T
    )
    by_lift, by_moment = (correction * np.array([[0.5], [-0.5]])) @ panel_matrix(n_panel).T
    # lift 2 (pi a0 + sin h), moment -sin h (1 - cos h) / 2, as in flap_slopes
    by_a0 = (angle + np.sin(angle)) @ by_circulation + 2 * np.pi * by_lift
    by_sine = angle @ by_circulation / np.pi + 2 * by_lift
    by_hinge = np.stack([by_a0, by_sine, -0.5 * by_moment])
    return np.cos(angle), np.cos(0.5 * angle), np.sin(0.5 * angle), by_circulation * 0.5 / np.pi, by_hinge


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
