"""Exact slopes of a pure physics function by one batched complex step."""

from __future__ import annotations

import numpy as np

STEP = 1e-30  # so small that its square vanishes beside one: the slope is exact to rounding


def call(function, inputs):
    """Call ``function(**inputs)`` with OpenMDAO inputs, scalars unpacked from their length-one arrays."""
    return function(**{name: value[0] if value.shape == (1,) else value for name, value in inputs.items()})


def slopes(function, inputs, outputs):
    """Return d(output)/d(input) of ``function(**inputs)`` for every pair of names.

    Parameters
    ----------
    function : callable
        Complex-safe; accepts one leading batch axis on every argument; returns name -> array (batch, ...).
    inputs : dict of name -> real array
        One-dimensional or higher; arrays of shape (1,) are passed as scalars.
    outputs : sequence of str
        Names wanted.

    Returns
    -------
    dict of (output, input) -> (output size, input size) array
    """
    sizes = {name: value.size for name, value in inputs.items()}
    total = sum(sizes.values())
    batch, first = {}, 0
    for name, value in inputs.items():
        stacked = np.zeros((total, value.size), dtype=complex)
        stacked += value.ravel()
        rows = np.arange(sizes[name])
        stacked[first + rows, rows] += 1j * STEP
        batch[name] = stacked[:, 0] if value.shape == (1,) else stacked.reshape(total, *value.shape)
        first += sizes[name]
    answer = function(**batch)
    found, first = {}, 0
    for name, size in sizes.items():
        for output in outputs:
            value = np.broadcast_to(answer[output], (total, *np.shape(answer[output])[1:]))
            found[output, name] = value[first: first + size].imag.reshape(size, -1).T / STEP
        first += size
    return found
