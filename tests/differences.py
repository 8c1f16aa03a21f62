"""Slopes by complex directions held against fourth-order central differences."""

import numpy as np

STEP = 5e-5  # of each value; small, since a third derivative that jumps (a knot of a curve) shows otherwise


def slopes_that_agree(outputs, values, step=STEP):
    """Return how many slopes (n_input, n_output) are not none, after holding each to 1e-6 of the difference.

    ``outputs`` takes (..., n_input), complex too, and gives (..., n_output). Below 1e-8 of the largest output a
    difference of two runs is rounding.
    """
    scale = np.diag(values)
    slopes = outputs(values + 1e-20j * scale).imag / 1e-20
    runs = [outputs(values + k * step * scale) for k in (-2, -1, 1, 2)]
    difference = (runs[0] - 8 * runs[1] + 8 * runs[2] - runs[3]) / (12 * step)
    floor = 1e-8 * np.abs(runs[1]).max(axis=0)
    assert np.all(np.abs(slopes - difference) <= 1e-6 * np.abs(difference) + floor)
    return np.count_nonzero(np.abs(slopes) > floor)
