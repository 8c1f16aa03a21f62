"""Small linear systems, solved by LAPACK itself. ``...`` means any batch axes.

For the matrices of one wing, ``numpy.linalg`` takes up to twice as long.
"""

from __future__ import annotations

import numpy as np
from scipy.linalg.lapack import dgesv, dgetrf, dgetri


def solved(matrix: np.ndarray, right: np.ndarray) -> np.ndarray:
    """Return the solution x (..., n, m) of ``matrix`` (..., n, n) x = ``right`` (..., n, m), all real. [as given]

    Matrix and right-hand side are in any units [as given]. Linear algebra. Raises numpy.linalg.LinAlgError if a matrix
    is singular.

    >>> solved(np.array([[2.0, 0.0], [1.0, 1.0]]), np.array([[4.0], [5.0]])).tolist()
    [[2.0], [3.0]]
    """
    if matrix.shape[:-2] != right.shape[:-2]:
        batch = np.broadcast_shapes(matrix.shape[:-2], right.shape[:-2])
        matrix, right = (np.broadcast_to(part, (*batch, *part.shape[-2:])) for part in (matrix, right))
    found = np.empty(right.shape)
    n, m = right.shape[-2:]
    systems = matrix.reshape(-1, n, n), right.reshape(-1, n, m), found.reshape(-1, n, m)
    for one, of, into in zip(*systems, strict=True):
        *_, into[...], info = dgesv(one, of)
        _check(info)
    return found


def inverse(matrix: np.ndarray) -> np.ndarray:
    """Return the inverse (..., n, n) of a real ``matrix`` (..., n, n) [as given]. [as given]

    Linear algebra. Raises numpy.linalg.LinAlgError if a matrix is singular.

    >>> inverse(np.array([[2.0]])).tolist()
    [[0.5]]
    """
    if matrix.ndim > 2:
        return np.array([inverse(one) for one in matrix.reshape(-1, *matrix.shape[-2:])]).reshape(matrix.shape)
    factors, pivots, info = dgetrf(matrix)
    _check(info)
    found, info = dgetri(factors, pivots, overwrite_lu=True)
    _check(info)
    return found


def _check(info: int) -> None:
    if info:
        raise np.linalg.LinAlgError("singular matrix")
