"""The fit of a propeller's curves: a cubic B-spline in J whose weights are polynomials in a scaled speed."""

from __future__ import annotations

import numpy as np

# Weights of the third differences of the spline. The smallest that gives curves fit for extrapolation is used.
SMOOTHING = (1e-3, 1e-1, 10.0)
_SPEED_SMOOTHING = 1e-2  # weight of the change of a speed term with J; a large weight makes it equal at every J
_SPEED_RIDGE = 1e-3  # weight of the size of a speed term, so that a term without rows is zero
# Coefficients of the powers of t in 0..1 (rows) in the four uniform cubic B-splines over one knot interval (columns).
BASIS = np.array([[1, 4, 1, 0], [-3, 0, 3, 0], [3, -6, 3, 0], [-1, 3, -3, 1]]) / 6


def spline_design(place: np.ndarray, speed: np.ndarray, n_power: int, n_interval: int) -> np.ndarray:
    """Return the matrix (n_row, n_basis * n_power) that maps weights to row values. Numerics, no source needed. [-]

    ``place`` (n_row,) are the rows' places in J, in knot intervals from the first [-], and ``speed`` (n_row,) their
    scaled speeds [-]. ``n_power`` and ``n_interval`` are the numbers of powers and of intervals [-].
    """
    first = np.clip(np.floor(place).astype(int), 0, n_interval - 1)
    spline = np.zeros((len(place), n_interval + 3))
    basis = ((place - first)[:, None] ** np.arange(4)) @ BASIS
    spline[np.arange(len(place))[:, None], first[:, None] + np.arange(4)] = basis
    powers = speed[:, None] ** np.arange(n_power)
    return (spline[:, :, None] * powers[:, None, :]).reshape(len(place), -1)


def spline_weights(design: np.ndarray, values: np.ndarray, n_power: int, smoothing: float) -> np.ndarray:
    """Return spline weights (n_power, n_basis) by penalised least squares. Numerics, no source needed. [as given]

    ``design`` is from ``spline_design`` [-], ``values`` (n_row,) are those of the rows [as given], and ``smoothing`` is
    one of SMOOTHING [-].
    """
    n_basis = design.shape[1] // n_power
    third, first = np.diff(np.eye(n_basis), 3, axis=0), np.diff(np.eye(n_basis), axis=0)
    penalties = [np.sqrt(smoothing) * np.kron(third, np.eye(n_power))]
    for p in range(1, n_power):
        only = np.eye(n_power)[p : p + 1]
        penalties.append(np.sqrt(_SPEED_SMOOTHING * smoothing / SMOOTHING[0]) * np.kron(first, only))
        penalties.append(np.sqrt(_SPEED_RIDGE) * np.kron(np.eye(n_basis), only))
    penalty = np.vstack(penalties)
    system = np.vstack([design, penalty])
    target = np.concatenate([values, np.zeros(len(penalty))])
    return np.linalg.lstsq(system, target, rcond=None)[0].reshape(n_basis, n_power).T
