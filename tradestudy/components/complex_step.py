"""Exact slopes of a pure physics function by one batched complex step."""

from __future__ import annotations

import numpy as np

STEP = 1e-30  # so small that its square vanishes beside one: the slope is exact to rounding


def call(function, inputs):
    """Call ``function(**inputs)`` with OpenMDAO inputs, scalars unpacked from their length-one arrays."""
    return function(**{name: value[0] if value.shape == (1,) else value for name, value in inputs.items()})


def slopes(function, inputs, depends):
    """Return d(output)/d(input) of ``function(**inputs)`` for every pair that depends.

    Parameters
    ----------
    function : callable
        Complex-safe; accepts one leading batch axis on every argument; returns name -> array (batch, ...).
    inputs : dict of name -> real array
        One-dimensional or higher; arrays of shape (1,) are passed as scalars.
    depends : dict of output name -> input names
        Pairs wanted. Inputs that appear nowhere are not stepped along.

    Returns
    -------
    dict of (output, input) -> (output size, input size) array
    """
    stepped = [name for name in inputs if any(name in names for names in depends.values())]
    rows, total = {}, 0
    for name in stepped:
        rows[name] = slice(total, total + inputs[name].size)
        total += inputs[name].size
    batch = {}
    for name, value in inputs.items():
        stacked = np.empty((total, value.size), dtype=complex)
        stacked[:] = value.ravel()
        if name in rows:
            np.fill_diagonal(stacked[rows[name]], value.ravel() + 1j * STEP)
        batch[name] = stacked[:, 0] if value.shape == (1,) else stacked.reshape(total, *value.shape)
    answer = function(**batch)
    found = {}
    for output, names in depends.items():
        imaginary = np.asarray(answer[output]).imag / STEP
        flat = np.broadcast_to(imaginary, (total, *imaginary.shape[1:])).reshape(total, -1)
        for name in names:
            found[output, name] = flat[rows[name]].T
    return found
