"""Propeller coefficients as smooth curves over advance ratio and, if known, rotational speed.

Thrust and power coefficient are stored, not efficiency. Near zero thrust an interpolated efficiency gives wrong power.
Definitions: J = V/(n D), CT = T/(rho n^2 D^4) and CP = P/(rho n^3 D^5). V is flight speed, n rotational speed in rev/s,
D diameter, T thrust, P shaft power and rho air density (R. W. Deters, G. K. Ananda, M. S. Selig, AIAA 2014-2151).

Each curve is a cubic B-spline in J. Its weights are polynomials in the logarithm of the rotational speed, scaled to
-1..1. Values, slopes and second derivatives are continuous. Outside the measured J the curves continue smoothly: thrust
falls along its end slope, and power decays but stays positive. ``outside_data`` reports where that was needed.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product
from typing import Any, NamedTuple

import numpy as np

from tradestudy.errors import CatalogueError

from .spline_fit import BASIS, SMOOTHING, spline_design, spline_weights

TWO_PI = 2 * np.pi
_FEWEST_ROWS = 6  # smallest number of rows: four for a cubic, and two to check it
_LARGEST_SPACING = 0.08  # largest knot spacing in J, because curves of sport propellers bend near stall and zero thrust
SOFT_END = 0.25  # largest continuation of the scaled speed outside the rows [-]


class CurveEnd(NamedTuple):
    """Continuation of a curve before its first or after its last J. [-]"""

    value: list[float]  # value at the end, as weights (n_power,) of a polynomial in scaled speed
    slope: list[float]  # first derivative by J at the end, as such weights (n_power,)
    bend: list[float]  # second derivative by J at the end, as such weights (n_power,)
    fade: float  # length in J over which the second derivative fades


class Curve(NamedTuple):
    """Curve of CT or CP: spline weights (n_power, n_basis) and the continuation at both ends."""

    weights: np.ndarray  # [-]
    low: CurveEnd
    high: CurveEnd


@dataclass(frozen=True, eq=False)
class PropellerTable:
    """Smooth thrust and power coefficients of one propeller.

    Attributes
    ----------
    diameter : float
        Diameter of the propeller. [m]
    thrust, power : Curve
        Spline weights of CT and CP. [-]
    advance_ratio_range : (2,) tuple
        Lowest and highest J of the rows. [-]
    knot_spacing : float
        Distance of spline knots in J. [-]
    revolutions_range : (2,) tuple
        Lowest and highest rotational speed of the rows; (0, inf) when they have none. [rad/s]
    zero_thrust_advance_ratio : float
        J at which the thrust is zero, at the middle speed. [-]
    """

    diameter: float
    thrust: Curve
    power: Curve
    advance_ratio_range: tuple[float, float]
    knot_spacing: float
    revolutions_range: tuple[float, float]
    zero_thrust_advance_ratio: float

    @cached_property
    def pieces(self) -> np.ndarray:
        """Coefficients (4, n_power, 2, n_interval) of both curves as cubics between knots; algebra. [-]

        The axes are powers of the place between two knots, powers of the scaled speed, thrust and power, and intervals.
        Lowest powers come first.
        """
        n_interval = self.thrust.weights.shape[1] - 3
        windows = np.arange(n_interval) + np.arange(4)[:, None]
        weights = np.stack([self.thrust.weights, self.power.weights])[:, :, windows]
        return np.ascontiguousarray(np.einsum("kb,cpbi->kpci", BASIS, weights))

    @cached_property
    def cubics(self) -> list:
        """``pieces`` as nested lists.

        The levels are interval, thrust or power, power of scaled speed with the highest first, and power of place. This
        is bookkeeping and needs no source.
        """
        return self.pieces[:, ::-1].transpose(3, 2, 1, 0).tolist()

    @cached_property
    def speed_scale(self) -> tuple[float, float, float] | None:
        """Middle, half range and floor of ``scaled_speed``; None without a range of speeds. Bookkeeping. [-, rad/s]"""
        return _speed_scale(*self.revolutions_range)

    @cached_property
    def parabolas(self) -> list[tuple[float, float, float]]:
        """CT and CP as parabolas of J, each with its weights (3,), the constant first. Numerics: first estimates. [-]

        At the middle speed they have the table's values at J = 0, where thrust is zero, and half way, unless that would
        bend them upwards.
        """
        end = self.zero_thrust_advance_ratio
        found = []
        for at in propeller_coefficients(self, np.array([0.0, 0.5, 1.0]) * end, np.full(3, np.median(_speeds(self)))):
            static, half_way, last = at.tolist()
            bend = min(2 * (static - 2 * half_way + last), 0.0)
            found.append((static, (last - static - bend) / end, bend / end**2))
        return found


def propeller_coefficients(table: PropellerTable, advance_ratio: Any, revolutions: Any) -> tuple[Any, Any]:
    """Return thrust and power coefficient by the interpolation that the module's docstring describes.

    Parameters
    ----------
    table : PropellerTable
    advance_ratio : (...) array
        Advance ratio J; it may be complex. [-]
    revolutions : (...) array
        Rotational speed; it may be complex. [rad/s]

    Returns
    -------
    thrust_coefficient, power_coefficient : (...) arrays
        CP is positive at every J. CT falls with J above the rows. [-]
    """
    if np.shape(advance_ratio) != np.shape(revolutions):
        advance_ratio, revolutions = np.broadcast_arrays(advance_ratio, revolutions)
    low, high = table.advance_ratio_range
    pieces = table.pieces
    above, below = advance_ratio.real > high, advance_ratio.real < low
    outside = np.any(above | below)
    inside = np.where(below, low, np.where(above, high, advance_ratio)) if outside else advance_ratio
    place = (inside - low) / table.knot_spacing
    first = np.minimum(np.asarray(place.real, int), pieces.shape[-1] - 1)
    constant, linear, square, cube = pieces.take(first, axis=-1)
    t = place - first
    by_power = ((cube * t + square) * t + linear) * t + constant
    speed = scaled_speed(*table.revolutions_range, revolutions) if len(by_power) > 1 else 0.0
    thrust, power = _polynomial(by_power, speed)
    if not outside:
        return thrust, power
    ends = ((1.0, table.thrust.high, table.power.high, above), (-1.0, table.thrust.low, table.power.low, below))
    for side, thrust_end, power_end, where in ends:
        if np.any(where):
            beyond = np.where(where, advance_ratio - inside, 0.0)
            thrust = np.where(where, thrust_beyond(thrust_end, beyond, speed, side), thrust)
            power = np.where(where, power_beyond(power_end, beyond, speed, side), power)
    return thrust, power


def outside_data(table: PropellerTable, advance_ratio: Any, revolutions: Any) -> Any:
    """Return True (...) where ``advance_ratio`` [-] or ``revolutions`` [rad/s], both (...), is outside the rows. [bool]

    This is a definition.
    """
    low, high = table.advance_ratio_range
    slow, fast = table.revolutions_range
    advance_ratio, revolutions = advance_ratio.real, revolutions.real
    return (advance_ratio < low) | (advance_ratio > high) | (revolutions < slow) | (revolutions > fast)


def table_from_rows(
    diameter: float, advance_ratio: Any, thrust_coefficient: Any, power_coefficient: Any, revolutions: Any = None
) -> PropellerTable:
    """Return a PropellerTable fitted to measured or computed rows, in any order.

    Rows of several measurements may overlap. They are sorted by J, and the curve passes between them.

    Parameters
    ----------
    diameter : float
        Diameter of the propeller. [m]
    advance_ratio, thrust_coefficient, power_coefficient : (n_row,) arrays
        J, CT and CP. A row with J = 0 is static. [-]
    revolutions : (n_row,) array, optional
        Rotational speed of each row. Without it the coefficients depend on J alone. [rad/s]

    Returns
    -------
    PropellerTable

    Raises
    ------
    CatalogueError
        If there are too few rows, a value is not finite, or J is negative. Also if power is not positive where there is
        thrust, or CT or CP does not fall at the highest J.

    Notes
    -----
    Numerics: penalised least squares with small third differences of the spline weights. So the curve has no wave
    between the static row and the slowest tunnel speed. There is no speed term when the fastest of all rows with J
    above 0.05 is less than 16 % above the slowest. The term is linear up to a factor of 1.65 and quadratic above.
    Static rows at speeds without such rows are left out, because nothing is known there at other J.

    Examples
    --------
    >>> j = np.linspace(0.0, 0.9, 10)
    >>> table = table_from_rows(0.25, j, thrust_coefficient=0.1 - 0.12 * j, power_coefficient=0.05 - 0.03 * j**2)
    >>> thrust, power = propeller_coefficients(table, 0.45, 600.0)
    >>> round(float(thrust), 3), round(float(power), 3)
    (0.046, 0.044)
    """
    columns = [advance_ratio, thrust_coefficient, power_coefficient]
    columns.append(np.ones(np.size(advance_ratio)) if revolutions is None else revolutions)
    rows = np.column_stack([np.asarray(column, float) for column in columns])
    _check_rows(rows)
    rows = rows[np.argsort(rows[:, 0], kind="stable")]
    slow, fast = _speed_range(rows)
    rows = rows[(rows[:, 3] > 0.94 * slow) & (rows[:, 3] < 1.06 * fast)]
    if revolutions is None:
        slow, fast = 0.0, np.inf
    most_terms = _speed_terms(slow, fast)
    low, high = rows[0, 0], rows[-1, 0]
    n_interval = max(4, min(int(np.ceil((high - low) / _LARGEST_SPACING)), len(rows) // 2))
    spacing = float(high - low) / n_interval
    place, speed = (rows[:, 0] - low) / spacing, scaled_speed(slow, fast, rows[:, 3])
    for smoothing, n_power in product(SMOOTHING, range(most_terms, 0, -1)):
        design = spline_design(place, speed, n_power, n_interval)
        fits = [spline_weights(design, rows[:, column], n_power, smoothing) for column in (1, 2)]
        table = PropellerTable(
            diameter=float(diameter),
            thrust=_curve(fits[0], spacing, is_power=False),
            power=_curve(fits[1], spacing, is_power=True),
            advance_ratio_range=(float(low), float(high)),
            knot_spacing=spacing,
            revolutions_range=(slow, fast),
            zero_thrust_advance_ratio=np.nan,
        )
        fault = _fault(table)
        if not fault:
            return replace(table, zero_thrust_advance_ratio=_zero_thrust(table))
    raise CatalogueError(fault)


def _speed_range(rows: np.ndarray) -> tuple[float, float]:
    """Return lowest and highest rotational speed of rows with J above 0.05, or of all rows without such. [rad/s]"""
    advancing = rows[rows[:, 0] > 0.05, 3]
    advancing = advancing if len(advancing) else rows[:, 3]
    return float(advancing.min()), float(advancing.max())


def _speed_terms(slow: float, fast: float) -> int:
    if not np.isfinite(fast) or fast / slow < 1.16:
        return 1
    return 2 if fast / slow < 1.65 else 3


def _check_rows(rows: np.ndarray) -> None:
    if len(rows) < _FEWEST_ROWS or len(np.unique(rows[:, 0])) < _FEWEST_ROWS:
        raise CatalogueError(
            f"A propeller table needs rows at {_FEWEST_ROWS} or more different J; {len(np.unique(rows[:, 0]))} found."
        )
    if not np.isfinite(rows).all() or (rows[:, 3] <= 0).any():
        raise CatalogueError("A propeller table holds a J, CT, CP or rpm that is not a usable number.")
    if rows[:, 0].min() < 0:
        raise CatalogueError(f"A propeller table holds a negative J ({rows[:, 0].min():g}).")
    bad = (rows[:, 1] > 0) & (rows[:, 2] <= 0)
    if bad.any():
        raise CatalogueError(
            f"At J = {rows[bad, 0][0]:g} the propeller table has thrust but no power: "
            "CP must be above 0 wherever CT is."
        )


def _speeds(table: PropellerTable) -> np.ndarray:
    slow, fast = table.revolutions_range
    return np.array([1.0]) if not np.isfinite(fast) else np.array([slow, np.sqrt(slow * fast), fast])


def _fault(table: PropellerTable) -> str:
    """Return the reason why a fitted table cannot be extrapolated, or an empty string."""
    high = table.advance_ratio_range[1]
    speed = _speeds(table)
    speed = np.concatenate([speed[:1] / 100, speed, speed[-1:] * 100])  # constant outside the rows
    scaled = scaled_speed(table.revolutions_range[0], table.revolutions_range[1], speed)
    ends = [_polynomial(curve.high.slope, scaled) + 0 * scaled for curve in (table.thrust, table.power)]
    if max(end.max() for end in ends) >= 0:
        return f"CT and CP must both fall at the highest J of a propeller table ({high:g})."
    thrust, power = propeller_coefficients(table, np.linspace(0.0, high, 201)[:, None], speed)
    if power.min() <= 0:
        return "The power coefficient of the propeller table does not stay above 0."
    return "The propeller table has no thrust at J = 0." if thrust[0].min() <= 0 else ""


def _zero_thrust(table: PropellerTable) -> float:
    """Return J at zero thrust, at the middle speed. [-]"""
    grid = np.linspace(0.0, 10 * table.advance_ratio_range[1], 4001)
    thrust, _ = propeller_coefficients(table, grid, np.median(_speeds(table)))
    return float(grid[np.argmax(thrust < 0)])


def scaled_speed(slow: float, fast: float, revolutions: Any) -> Any:
    """Return the logarithm of rotational speed (...), scaled to -1..1 between ``slow`` and ``fast``. [-]

    ``slow``, ``fast`` and ``revolutions`` (...) are in [rad/s], and the last may be complex. Outside that range the
    result levels off smoothly. It is 0 where the table has no range of speeds. This is a definition and needs no
    source.
    """
    scale = _speed_scale(slow, fast)
    if scale is None:
        return np.zeros(np.shape(revolutions))
    middle, half_range, floor = scale
    real = np.real(revolutions)
    if not np.any((real < slow) | (real > fast)):
        return (np.log(revolutions) - middle) / half_range
    speed = (np.log(np.where(real > floor, revolutions, floor)) - middle) / half_range
    side = np.where(speed.real < 0, -1.0, 1.0)
    excess = np.where(side * speed.real > 1, side * speed - 1, 0.0)
    return np.where(side * speed.real > 1, side * (1 + SOFT_END * np.tanh(excess / SOFT_END)), speed)


def _speed_scale(slow: float, fast: float) -> tuple[float, float, float] | None:
    """Return middle, half range [-] and floor [rad/s] of ``scaled_speed``."""
    if _speed_terms(slow, fast) == 1:
        return None
    # the logarithm of a standing propeller is not needed, but must be finite
    return 0.5 * math.log(slow * fast), 0.5 * math.log(fast / slow), 1e-3 * slow


def _polynomial(weights: Any, speed: Any) -> Any:
    """Return the polynomial in scaled speed with weights (n_power, ...), the constant first."""
    value = weights[-1]
    for weight in weights[-2::-1]:
        value = value * speed + weight
    return value


def thrust_beyond(end: CurveEnd, beyond: Any, speed: Any, side: float, exp: Callable = np.exp) -> Any:
    """Return CT (...) outside the rows, continued by our own definition. [-]

    ``beyond`` (...) is J less that at the CurveEnd [-]. ``speed`` (...) is the scaled speed [-], and ``side`` is 1 at
    the high end and -1 at the low end [-].
    """
    value, slope, bend = (_polynomial(part, speed) for part in end[:3])
    return value + beyond * (slope + 0.5 * bend * beyond * exp(-side * beyond / end.fade))


def power_beyond(end: CurveEnd, beyond: Any, speed: Any, side: float, exp: Callable = np.exp) -> Any:
    """Return CP (...) outside the rows. Arguments and definition are as for ``thrust_beyond``. [-]"""
    value, slope, bend = (_polynomial(part, speed) for part in end[:3])
    rest = bend - slope * slope / value
    return value * exp(slope / value * beyond) + 0.5 * rest * beyond**2 * exp(-side * beyond / end.fade)


def _curve(weights: np.ndarray, spacing: float, is_power: bool) -> Curve:
    """Return the Curve of spline weights (n_power, n_basis) with its continuation at both ends."""
    first, last = weights[:, :4], weights[:, -4:]
    ends = []
    for four, at in ((first, 0), (last, 1)):
        values = np.array([[1, 4, 1, 0], [0, 1, 4, 1]][at]) / 6
        slopes = np.array([[-1, 0, 1, 0], [0, -1, 0, 1]][at]) / (2 * spacing)
        bends = np.array([[1, -2, 1, 0], [0, 1, -2, 1]][at]) / spacing**2
        value, slope, bend = four @ values, four @ slopes, four @ bends
        fade = _fade(value, slope, bend, is_power)
        ends.append(CurveEnd(value.tolist(), slope.tolist(), bend.tolist(), fade))
    return Curve(weights, ends[0], ends[1])


def _fade(value: np.ndarray, slope: np.ndarray, bend: np.ndarray, is_power: bool) -> float:
    """Return the length f in J over which the end's second derivative b fades. [-]

    With it, thrust keeps falling and power stays positive. Let s be the distance in J from the end. Thrust: b adds
    b s (1 - s/(2 f)) e^(-s/f) to the slope, at most 0.231 b f. At most half the end slope is allowed. Power: b adds
    (b s^2/2) e^(-s/f), which must stay below half of the decaying exponential. Since s^2 e^(-k s) is at most 0.541/k^2,
    k = 1/f - |slope|/value must exceed sqrt(0.541 b/value).
    """
    speeds = np.array([-1.5, -1.0, 0.0, 1.0, 1.5])
    value, slope, bend = (_polynomial(part[:, None], speeds) for part in (value, slope, bend))
    if is_power:
        value = np.maximum(value, 1e-6)  # the caller rejects a value below 0
        rest = np.abs(bend - slope**2 / value)
        return float(min(0.1, (1 / (np.abs(slope) / value + np.sqrt(0.541 * rest / value) + 1e-9)).min()))
    return float(min(0.1, max(1e-4, (0.5 * np.abs(slope) / (0.231 * np.abs(bend) + 1e-9)).min())))
