"""Propeller coefficients at one point, as single numbers.

A root search treats one point at a time. There the overhead of an array call is far more than its arithmetic. The
curves are those of ``propeller_table``, which defines them. This module is only a second way to evaluate them.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence

from .propeller_table import SOFT_END, PropellerTable, power_beyond, thrust_beyond


def coefficients_at_point(
    table: PropellerTable, advance_ratio: complex, revolutions: complex
) -> tuple[complex, complex]:
    """Return thrust and power coefficient at single numbers, equal to ``propeller_table.propeller_coefficients``.

    Parameters
    ----------
    table : PropellerTable
    advance_ratio, revolutions : complex
        Advance ratio J and rotational speed; never arrays. [-], [rad/s]

    Returns
    -------
    thrust_coefficient, power_coefficient : complex
        Coefficients by interpolation. [-]
    """
    low, high = table.advance_ratio_range
    intervals = table.cubics
    slow, fast = table.revolutions_range
    speed = _scaled_speed(slow, fast, revolutions) if len(intervals[0][0]) > 1 else 0.0
    if low <= advance_ratio.real <= high:
        place = (advance_ratio - low) / table.knot_spacing
        first = min(int(place.real), len(intervals) - 1)
        t = place - first
        thrust, power = intervals[first]
        return _value(thrust, t, speed), _value(power, t, speed)
    side, joint = (1.0, high) if advance_ratio.real > high else (-1.0, low)
    beyond = advance_ratio - joint
    thrust_end, power_end = (curve.high if side > 0 else curve.low for curve in (table.thrust, table.power))
    return (
        thrust_beyond(thrust_end, beyond, speed, side, cmath.exp),
        power_beyond(power_end, beyond, speed, side, cmath.exp),
    )


def _value(by_power: Sequence[Sequence[float]], t: complex, speed: complex) -> complex:
    """Return a polynomial in the scaled speed, whose weights are cubics in the place ``t`` between two knots."""
    value: complex = 0.0
    for constant, linear, square, cube in reversed(by_power):
        value = value * speed + (((cube * t + square) * t + linear) * t + constant)
    return value


def _scaled_speed(slow: float, fast: float, revolutions: complex) -> complex:
    """Return ``propeller_table.scaled_speed`` for a single number. [-]"""
    floor = 1e-3 * slow
    logarithm = cmath.log(revolutions) if revolutions.real > floor else math.log(floor)
    speed = (2 * logarithm - math.log(slow * fast)) / math.log(fast / slow)
    if abs(speed.real) <= 1:
        return speed
    side = math.copysign(1.0, speed.real)
    return side * (1 + SOFT_END * cmath.tanh((side * speed - 1) / SOFT_END))
