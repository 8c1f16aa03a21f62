"""Propeller coefficients at one point, in plain numbers.

A root is sought one point at a time; there an array call costs far more than the arithmetic in it. The
curves are those of ``propeller_table``, which says what they are; this is only a second way to read them.
"""

from __future__ import annotations

import cmath
import math

from .propeller_table import SOFT_END, power_beyond, thrust_beyond


def coefficients_at_point(table, advance_ratio, revolutions):
    """Return thrust and power coefficient as ``propeller_table.coefficients`` does, for single numbers.

    Parameters
    ----------
    table : PropellerTable
    advance_ratio, revolutions : complex
        J [-] and rotational speed [rad/s]; never arrays.

    Returns
    -------
    thrust_coefficient, power_coefficient : complex
        [-]
    """
    low, high = table.advance_ratio_range
    intervals = table.cubics
    speed = _scaled_speed(*table.revolutions_range, revolutions) if len(intervals[0][0]) > 1 else 0.0
    if low <= advance_ratio.real <= high:
        place = (advance_ratio - low) / table.knot_spacing
        first = min(int(place.real), len(intervals) - 1)
        t = place - first
        return [_value(by_power, t, speed) for by_power in intervals[first]]
    side, joint = (1.0, high) if advance_ratio.real > high else (-1.0, low)
    beyond = advance_ratio - joint
    ends = [curve.high if side > 0 else curve.low for curve in (table.thrust, table.power)]
    return (
        thrust_beyond(ends[0], beyond, speed, side, cmath.exp),
        power_beyond(ends[1], beyond, speed, side, cmath.exp),
    )


def _value(by_power, t, speed):
    value = 0.0
    for constant, linear, square, cube in reversed(by_power):
        value = value * speed + (((cube * t + square) * t + linear) * t + constant)
    return value


def _scaled_speed(slow, fast, revolutions):
    """Return ``propeller_table.scaled_speed`` of one number."""
    floor = 1e-3 * slow
    logarithm = cmath.log(revolutions) if revolutions.real > floor else math.log(floor)
    speed = (2 * logarithm - math.log(slow * fast)) / math.log(fast / slow)
    if abs(speed.real) <= 1:
        return speed
    side = math.copysign(1.0, speed.real)
    return side * (1 + SOFT_END * cmath.tanh((side * speed - 1) / SOFT_END))
