"""A check of derivatives by complex step against fourth-order central differences."""

import numpy as np

STEP = 5e-5  # step as a share of each value; larger steps show the jump of a third derivative at a knot of a curve


def slopes_that_agree(outputs, values, step=STEP):
    """Return the number of nonzero derivatives, after comparing each with its central difference within 1e-6.

    The function ``outputs`` takes an array of shape (..., n_input), which may be complex, and returns one of shape
    (..., n_output). Differences below 1e-8 of the largest output are rounding.
    """
    scale = np.diag(values)
    slopes = outputs(values + 1e-20j * scale).imag / 1e-20
    runs = [outputs(values + k * step * scale) for k in (-2, -1, 1, 2)]
    difference = (runs[0] - 8 * runs[1] + 8 * runs[2] - runs[3]) / (12 * step)
    floor = 1e-8 * np.abs(runs[1]).max(axis=0)
    assert np.all(np.abs(slopes - difference) <= 1e-6 * np.abs(difference) + floor)
    return np.count_nonzero(np.abs(slopes) > floor)
