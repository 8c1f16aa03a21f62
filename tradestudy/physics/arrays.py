"""Small arrays put together. ``...`` means any batch axes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np


def stacked(values: Sequence[Any]) -> np.ndarray:
    """Return n values (...) [as given], which broadcast, as the last axis of an array (..., n) [as given]. Bookkeeping.

    The arrays of one design are so small that ``numpy.stack`` takes several times as long.

    >>> stacked([1.0, np.array([2.0, 3.0])]).tolist()
    [[1.0, 2.0], [1.0, 3.0]]
    """
    try:
        whole = np.array(values)
    except ValueError:  # the shapes differ
        whole = np.array(np.broadcast_arrays(*values))
    return whole.transpose(*range(1, whole.ndim), 0) if whole.ndim > 1 else whole


def unstacked(values: np.ndarray) -> list[Any]:
    """Return the n entries (...) along the last axis of ``values`` (..., n) [as given]: `stacked` the other way.

    Bookkeeping. Without batch axes the entries are numbers, which are faster than arrays of no axes. [as given]

    >>> [entry.tolist() for entry in unstacked(np.array([[1.0, 2.0], [1.0, 3.0]]))]
    [[1.0, 1.0], [2.0, 3.0]]
    """
    return [entry.T for entry in values.T]
