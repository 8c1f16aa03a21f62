"""Propeller coefficients at one point, as single numbers.

A root search treats one point at a time. There the overhead of an array call is far more than its arithmetic. The
curves are those of ``propeller_table``, which defines them. This module is only a second way to evaluate them.
"""

from __future__ import annotations

import cmath
import math

from .propeller_table import SOFT_END, Curve, CurveEnd, PropellerTable, power_beyond, thrust_beyond


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
    speed = _scaled_speed(table, revolutions)
    return _thrust(table, advance_ratio, speed), _power(table, advance_ratio, speed)


def thrust_at_point(table: PropellerTable, advance_ratio: complex, revolutions: complex) -> complex:
    """Return the thrust coefficient alone. Definition and arguments are as for ``coefficients_at_point``. [-]

    These are ``advance_ratio`` [-] and ``revolutions`` [rad/s], single numbers.
    """
    return _thrust(table, advance_ratio, _scaled_speed(table, revolutions))


def power_at_point(table: PropellerTable, advance_ratio: complex, revolutions: complex) -> complex:
    """Return the power coefficient alone. Definition and arguments are as for ``coefficients_at_point``. [-]

    These are ``advance_ratio`` [-] and ``revolutions`` [rad/s], single numbers.
    """
    return _power(table, advance_ratio, _scaled_speed(table, revolutions))


def _thrust(table: PropellerTable, advance_ratio: complex, speed: complex) -> complex:
    low, high = table.advance_ratio_range
    if low <= advance_ratio.real <= high:
        return _inside(table, 0, advance_ratio, speed)
    end, beyond, side = _beyond(table, table.thrust, advance_ratio)
    return thrust_beyond(end, beyond, speed, side, cmath.exp)


def _power(table: PropellerTable, advance_ratio: complex, speed: complex) -> complex:
    low, high = table.advance_ratio_range
    if low <= advance_ratio.real <= high:
        return _inside(table, 1, advance_ratio, speed)
    end, beyond, side = _beyond(table, table.power, advance_ratio)
    return power_beyond(end, beyond, speed, side, cmath.exp)


def _inside(table: PropellerTable, curve: int, advance_ratio: complex, speed: complex) -> complex:
    """Return a polynomial in the scaled speed, whose weights are cubics in the place between two knots."""
    place = (advance_ratio - table.advance_ratio_range[0]) / table.knot_spacing
    intervals = table.cubics
    first = min(int(place.real), len(intervals) - 1)
    t = place - first
    value: complex = 0.0
    for constant, linear, square, cube in intervals[first][curve]:
        value = value * speed + (((cube * t + square) * t + linear) * t + constant)
    return value


def _beyond(table: PropellerTable, curve: Curve, advance_ratio: complex) -> tuple[CurveEnd, complex, float]:
    """Return the end of a curve, J less that at the end, and the side: 1 for the high end, -1 for the low one."""
    low, high = table.advance_ratio_range
    if advance_ratio.real > high:
        return curve.high, advance_ratio - high, 1.0
    return curve.low, advance_ratio - low, -1.0


def _scaled_speed(table: PropellerTable, revolutions: complex) -> complex:
    """Return ``propeller_table.scaled_speed`` for a single number. [-]"""
    scale = table.speed_scale
    if scale is None:
        return 0.0
    middle, half_range, floor = scale
    logarithm = cmath.log(revolutions) if revolutions.real > floor else math.log(floor)
    speed = (logarithm - middle) / half_range
    if abs(speed.real) <= 1:
        return speed
    side = math.copysign(1.0, speed.real)
    return side * (1 + SOFT_END * cmath.tanh((side * speed - 1) / SOFT_END))
