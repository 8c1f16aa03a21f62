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
    return whole.transpose(*range(1, whole.ndim), 0)
