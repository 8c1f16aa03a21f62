"""Newton's method for the rotational speed of a drive, for a few points one at a time or for many as arrays.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np

from .propeller_point import coefficients_at_point, power_at_point, thrust_at_point
from .propeller_table import PropellerTable, propeller_coefficients

_STEP = 1e-20j  # imaginary step that gives a slope to full precision
_MOST_STEPS = 60  # limit of Newton steps
# Largest last step over the unknown. The step is still taken, and leaves about the square of its size as the error.
FOR_VALUES = 1e-7
FOR_SLOPES = 1e-11  # slopes have the same relative accuracy as this


class Arithmetic(NamedTuple):
    """The functions of a root search, for arrays or for single numbers."""

    coefficients: Callable  # of thrust and power, as ``propeller_table.propeller_coefficients``
    thrust: Callable  # the first of them alone
    power: Callable  # the second of them alone
    least: Callable
    greatest: Callable
    all: Callable


ARRAYS = Arithmetic(
    propeller_coefficients,
    lambda *place: propeller_coefficients(*place)[0],
    lambda *place: propeller_coefficients(*place)[1],
    np.minimum,
    np.maximum,
    np.all,
)
SINGLE_NUMBERS = Arithmetic(coefficients_at_point, thrust_at_point, power_at_point, min, max, bool)


def linearised(table: PropellerTable, advance_ratio: np.ndarray, revolutions: np.ndarray) -> Arithmetic:
    """Return the Arithmetic of coefficients that are linear about real places, for complex steps from there.

    ``advance_ratio`` (...) [-] and ``revolutions`` (...) [rad/s] are the places. The square of a complex step is lost
    in rounding, so this is exact. It is faster where many points share few places. Numerics, no source needed.
    """
    places = list(zip(advance_ratio.ravel().tolist(), revolutions.ravel().tolist(), strict=True))
    known = {place: _values_and_slopes(table, *place) for place in set(places)}
    value, by_ratio, by_speed = np.array([known[place] for place in places]).T.reshape(3, 2, *advance_ratio.shape)

    def coefficients(_: PropellerTable, ratio: Any, speed: Any) -> Any:
        return value + by_ratio * (ratio - advance_ratio) + by_speed * (speed - revolutions)

    return ARRAYS._replace(
        coefficients=coefficients,
        thrust=lambda *place: coefficients(*place)[0],
        power=lambda *place: coefficients(*place)[1],
    )


def _values_and_slopes(table: PropellerTable, advance_ratio: float, revolutions: float) -> tuple[float, ...]:
    """Return both coefficients, their slopes by advance ratio, and those by rotational speed [s/rad]."""
    along = coefficients_at_point(table, advance_ratio + _STEP, revolutions)
    faster = coefficients_at_point(table, advance_ratio, revolutions + _STEP)
    slopes = (value.imag / _STEP.imag for value in (*along, *faster))
    return along[0].real, along[1].real, *slopes


def columns(values: Sequence[np.ndarray], shape: tuple[int, ...]) -> list[tuple[float, ...]]:
    """Return the ``values`` (...) of each point as a tuple of floats. This is bookkeeping. [as given]

    The points are in the order of their flat index in ``shape`` [-], to which the values [as given] broadcast.
    """
    rows = np.empty((len(values), *shape))
    for row, value in enumerate(values):
        rows[row] = value
    return [tuple(point) for point in rows.reshape(len(values), -1).T.tolist()]


def root(
    residual: Callable[[Any], Any], numbers: Arithmetic, unknown: Any, tolerance: float
) -> tuple[Any, Any, Any, Any]:
    """Return the unknown (...), the last step, the slope there and whether it converged. All are real. [as given]

    ``residual(unknown)`` is zero at the root, and ``unknown`` (...) is a first estimate, above zero [as given].
    ``tolerance`` [-] is FOR_VALUES or FOR_SLOPES. Each Newton step is limited to between half and twice the unknown;
    the last one is not yet taken. The slope comes from an imaginary step. Numerics, no source needed.
    """
    for _ in range(_MOST_STEPS):
        value = residual(unknown + _STEP)
        slope = value.imag / _STEP.imag
        slope = slope + (slope == 0)
        step = value.real / slope
        converged = abs(step) < tolerance * unknown
        if numbers.all(converged):
            break
        unknown = numbers.least(numbers.greatest(unknown - step, 0.5 * unknown), 2 * unknown)
    return unknown, step, slope, converged
