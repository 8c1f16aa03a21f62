"""Samples of several inputs at once, spread evenly over each of them."""

from __future__ import annotations

import numpy as np


def latin_hypercube(columns: int, count: int, rng: np.random.Generator) -> np.ndarray:
    """Return shares (count, columns) between 0 and 1. Each column has one share in every ``count``-th part.

    Source: M. D. McKay, R. J. Beckman and W. J. Conover, Technometrics 21(2), 1979 (from memory). The shares are those
    of scipy's ``qmc.LatinHypercube``, whose package takes longer to load than the samples to draw.
    """
    (rng,) = rng.spawn(1)
    within = rng.uniform(size=(count, columns))
    parts = np.tile(np.arange(1, count + 1), (columns, 1))
    for column in parts:
        rng.shuffle(column)
    return (parts.T - within) / count
