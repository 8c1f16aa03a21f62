"""Cubic polynomials of two numbers r and d, with their slopes. "(...)" means arrays of any batch shape."""

from __future__ import annotations

import numpy as np

_POWERS = np.array([(0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2), (3, 0), (2, 1), (1, 2), (0, 3)])  # of r and of d


def cubic_terms(r: np.ndarray, d: np.ndarray) -> np.ndarray:
    """Return the terms 1, r, d, r r, r d, d d, r r r, r r d, r d d, d d d: (10, ...) [as given].

    ``r`` and ``d`` are (...) [as given]. This is a definition.
    """
    terms = np.empty((10, *np.shape(r)))
    terms[0], terms[1], terms[2] = 1.0, r, d
    terms[3:5], terms[5] = r * terms[1:3], d * d
    terms[6:9], terms[9] = r * terms[3:6], d * terms[5]
    return terms


def _slope_terms() -> np.ndarray:
    """Return the matrix (10, 3 x 10) from coefficients to those of the polynomial and of its slopes along r and d."""
    matrix = np.zeros((10, 3, 10))
    matrix[:, 0] = np.eye(10)
    for term, power in enumerate(_POWERS):
        for axis in range(2):
            lower = power - np.eye(2, dtype=int)[axis]
            matrix[term, 1 + axis] = power[axis] * (_POWERS == lower).all(axis=1)
    return matrix.reshape(10, 30)


_SLOPE_TERMS = _slope_terms()


def cubic_values(fits: np.ndarray, r: np.ndarray, d: np.ndarray, slopes: bool = True) -> np.ndarray:
    """Return the values of polynomials and their slopes along ``r`` and ``d``: (n_fit, 3, ...) [as given].

    ``fits`` (n_fit, 10) or (n_fit, n_strip, 10) are coefficients of ``cubic_terms`` [as given]; in the second case the
    last axis of ``r`` and ``d`` (...) [as given] is that of the strips. Without ``slopes`` the result is (n_fit, 1,
    ...), the values alone. This is a definition.

    >>> cubic_values(np.array([[1.0, 0, 0, 0, 5.0, 0, 0, 0, 0, 0]]), np.array(2.0), np.array(3.0)).tolist()
    [[31.0, 15.0, 10.0]]
    """
    shape = np.broadcast(r, d, fits[0, ..., 0]).shape
    if not np.shape(r) == np.shape(d) == shape:
        r, d = np.broadcast_to(r, shape), np.broadcast_to(d, shape)
    terms, kinds = cubic_terms(r, d), 3 if slopes else 1
    rows = (fits @ _SLOPE_TERMS if slopes else fits).reshape(*fits.shape[:-1], kinds, 10)
    if fits.ndim == 2:
        return (rows @ terms.reshape(10, -1)).reshape(len(fits), kinds, *shape)
    return np.einsum("bskt,t...s->bk...s", rows, terms)
