"""Cubic polynomials of two numbers r and d, with their slopes. "(...)" means arrays of any batch shape."""

from __future__ import annotations

from typing import Any

import numpy as np

_POWERS = [(0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2), (3, 0), (2, 1), (1, 2), (0, 3)]  # of r and of d


def cubic_terms(r: Any, d: Any) -> np.ndarray:
    """Return the terms 1, r, d, r r, r d, d d, r r r, r r d, r d d, d d d: (10, ...) [as given].

    ``r`` and ``d`` are (...) [as given]. This is a definition.
    """
    terms = np.empty((10, *np.broadcast(r, d).shape))
    terms[0], terms[1], terms[2], terms[5] = 1.0, r, d, d * d
    np.multiply(terms[1:3], r, terms[3:5])
    np.multiply(terms[3:6], r, terms[6:9])
    terms[9] = d * terms[5]
    return terms


def cubic_rows(fits: np.ndarray) -> np.ndarray:
    """Return the coefficients of polynomials and of their slopes along r and d: (n_fit, 3, 10, ...) [as given].

    ``fits`` (n_fit, 10, ...) are coefficients of ``cubic_terms`` [as given]. This is a definition.
    """
    rows = np.zeros((len(fits), 3, *fits.shape[1:]))
    for term, (i, j) in enumerate(_POWERS):
        rows[:, 0, term] = fits[:, term]
        if i:
            rows[:, 1, _POWERS.index((i - 1, j))] = i * fits[:, term]
        if j:
            rows[:, 2, _POWERS.index((i, j - 1))] = j * fits[:, term]
    return rows


def cubic_values(rows: np.ndarray, r: Any, d: Any) -> np.ndarray:
    """Return the values of polynomials at ``r`` and ``d`` (...) [as given]: (n_fit, n_kind, ...) [as given].

    ``rows`` (n_fit, n_kind, 10) or (n_fit, n_kind, 10, n_strip) are coefficients of ``cubic_terms``, such as
    ``cubic_rows`` [as given]. In the second case the last axis of ``r`` and ``d`` is that of the strips. This is a
    definition.

    >>> rows = cubic_rows(np.array([[1.0, 0, 0, 0, 5.0, 0, 0, 0, 0, 0]]))
    >>> cubic_values(rows, np.array(2.0), np.array(3.0)).tolist()
    [[31.0, 15.0, 10.0]]
    """
    terms = cubic_terms(r, d)
    if rows.ndim == 3:
        return (rows @ terms.reshape(10, -1)).reshape(*rows.shape[:2], *terms.shape[1:])
    return np.einsum("fkts,t...s->fk...s", rows, terms if terms.ndim > 1 else terms[:, None])
