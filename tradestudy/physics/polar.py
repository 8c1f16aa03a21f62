"""Section polars from the neural-network surrogate, tabulated over lift, Reynolds number and elevon deflection.

aerosandbox and neuralfoil are imported when first needed.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.interpolate import NdBSpline, make_interp_spline

from . import airfoil

# Chord fraction where the boundary layer is tripped, top and bottom. Rods lie under the skin near 0.3 of the
# chord and leave a ridge there under a film; bare bead foam is rough from the nose on. Common practice, no source.
TRANSITION_BY_FINISH = {"bare": (0.05, 0.10), "covered": (0.30, 0.35), "smooth": (1.0, 1.0)}

# Measured optimism of the surrogate, free transition, four sections of the UIUC low-speed tests (Selig et al.
# 1995, 1996; Lyon et al. 1998), 68 points at Re 100k-500k: drag 9 % low (13 % at Re 100k; median error 9 %,
# ninety per cent within 21 %), largest lift 0.06 high (0.00 to 0.12). Forced transition was not measured.
DRAG_BIAS, DRAG_BIAS_LOW_REYNOLDS, DRAG_BAND = 1.09, 1.13, 0.10
LIFT_MAXIMUM_BIAS, LIFT_MAXIMUM_BAND = -0.06, 0.06

USABLE_SHARE = 0.93  # of the largest lift: up to here the table, beyond it a smooth rise
MOST_LOG_DRAG = 2.0  # where the rise ends (cd above 7): a number that is never flown, only kept finite
STALL_RISE = 60.0  # cubic growth of ln(drag) beyond the table; keeps the search away, shapes nothing flown

TABLE_DEFLECTIONS = np.radians(np.arange(-20.0, 10.1, 5.0))
TABLE_REYNOLDS = np.geomspace(35e3, 1.4e6, 8)
TABLE_ALPHA = np.radians(np.arange(-14.0, 20.1, 0.5))
TABLE_SHARES = 0.5 * (1 - np.cos(np.pi * np.arange(15) / 14))
REFERENCE_REYNOLDS, REFERENCE_LIFT = 2.0e5, 0.3


def alpha_polars(coordinates, alpha, reynolds, critical_amplification=9.0, forced_transition=(1.0, 1.0),
                 model_size="large"):
    """Return lift, drag and moment coefficients of a section over angle of attack and Reynolds number.

    Parameters
    ----------
    coordinates : (n, 2) array
        Section outline from the trailing edge over the top to the nose and back, unit chord. [-]
    alpha : (...) array
        Angle of attack. [rad]
    reynolds : (...) array
        Reynolds number, broadcast with alpha. [-]
    critical_amplification : float
        Transition amplification exponent (9 is a quiet tunnel). [-]
    forced_transition : (2,) sequence
        Chord fraction where the top and bottom boundary layers are tripped; 1 is free. [-]

    Returns
    -------
    cl, cd, cm : (...) arrays
        Coefficients, moment about the quarter chord, nose up positive. [-]
    """
    import aerosandbox as asb
    import neuralfoil

    section = asb.Airfoil(name="section", coordinates=np.asarray(coordinates)).to_kulfan_airfoil()
    alpha, reynolds = np.broadcast_arrays(np.asarray(alpha, float), np.asarray(reynolds, float))
    answer = neuralfoil.get_aero_from_kulfan_parameters(
        section.kulfan_parameters, np.degrees(alpha).ravel(), reynolds.ravel(), n_crit=critical_amplification,
        xtr_upper=forced_transition[0], xtr_lower=forced_transition[1], model_size=model_size)
    return tuple(np.reshape(answer[key], alpha.shape) for key in ("CL", "CD", "CM"))


class SectionTable(NamedTuple):
    """Smooth section data. Splines over (share of usable lift, ln Re, deflection); bounds quadratic in the last two."""

    log_drag: NdBSpline
    highest: np.ndarray  # (6,) quadratic coefficients of the largest lift coefficient
    lowest: np.ndarray  # (6,) the same for the smallest
    zero_lift_angle: float  # [rad]
    moment_coefficient: float  # about the quarter chord at the reference lift [-]
    free_transition: bool


def section_table(coordinates, hinge_fraction, finish="covered"):
    """Tabulate a section for one hinge position and surface finish.

    Parameters
    ----------
    coordinates : (n, 2) array
        Outline of the whole section, elevon included, unit chord.
    hinge_fraction : float
        Hinge behind the leading edge over chord. [-]
    finish : str
        "bare", "covered" or "smooth" (free transition: false minima of drag are possible).
    """
    transition = TRANSITION_BY_FINISH[finish]
    shape = (len(TABLE_REYNOLDS), len(TABLE_DEFLECTIONS))
    highest, lowest = np.empty(shape), np.empty(shape)
    branches = {}
    for j, deflection in enumerate(TABLE_DEFLECTIONS):
        outline, turn = airfoil.deflected(coordinates, hinge_fraction, deflection)
        cl, cd, cm = alpha_polars(outline, TABLE_ALPHA[:, None] + turn, TABLE_REYNOLDS, forced_transition=transition)
        for i in range(shape[0]):
            low, high = _attached_range(cl[:, i])
            highest[i, j], lowest[i, j] = _peak(cl[:, i], high), _peak(cl[:, i], low)
            branches[i, j] = cl[low: high + 1, i], np.log(cd[low: high + 1, i])
        if abs(deflection) < 1e-9:
            zero_lift_angle, moment = _reference_values(cl, cm)
    log_reynolds, deflections = np.meshgrid(np.log(TABLE_REYNOLDS), TABLE_DEFLECTIONS, indexing="ij")
    terms = _quadratic_terms(log_reynolds.ravel(), deflections.ravel())[0]
    fit_high, fit_low = (np.linalg.lstsq(terms, bound.ravel(), rcond=None)[0] for bound in (highest, lowest))
    top = USABLE_SHARE * (terms @ fit_high).reshape(shape)
    bottom = USABLE_SHARE * (terms @ fit_low).reshape(shape)
    log_drag = np.empty((len(TABLE_SHARES), *shape))
    for (i, j), (cl, log_cd) in branches.items():
        log_drag[:, i, j] = np.interp(bottom[i, j] + TABLE_SHARES * (top[i, j] - bottom[i, j]), cl, log_cd)
    spline = _tensor_spline((TABLE_SHARES, np.log(TABLE_REYNOLDS), TABLE_DEFLECTIONS), log_drag)
    return SectionTable(spline, fit_high, fit_low, float(zero_lift_angle), float(moment), finish == "smooth")


def _attached_range(cl):
    """Index range between the first stall below and above zero lift."""
    start = int(np.argmin(np.abs(cl[: len(cl) * 2 // 3])))
    high = start
    while high + 1 < len(cl) and cl[high + 1] > cl[high]:
        high += 1
    low = start
    while low > 0 and cl[low - 1] < cl[low]:
        low -= 1
    return low, high


def _peak(cl, index):
    """Extreme of a parabola through three neighbours."""
    if index in (0, len(cl) - 1):
        return cl[index]
    before, middle, after = cl[index - 1: index + 2]
    curve = before - 2 * middle + after
    return middle if curve == 0 else middle - (after - before) ** 2 / (8 * curve)


def _reference_values(cl, cm):
    column = int(np.argmin(np.abs(TABLE_REYNOLDS - REFERENCE_REYNOLDS)))
    low, high = _attached_range(cl[:, column])
    lift = cl[low: high + 1, column]
    return (np.interp(0.0, lift, TABLE_ALPHA[low: high + 1]),
            np.interp(REFERENCE_LIFT, lift, cm[low: high + 1, column]))


def _quadratic_terms(log_reynolds, deflection):
    """Quadratic terms (..., 6) and their slopes along ln Re and deflection."""
    r, d = log_reynolds - np.log(REFERENCE_REYNOLDS), deflection
    one, zero = np.ones_like(r), np.zeros_like(r)
    stack = [np.stack(np.broadcast_arrays(*row), axis=-1) for row in (
        (one, r, d, r * r, r * d, d * d), (zero, one, zero, 2 * r, d, zero), (zero, zero, one, zero, r, 2 * d))]
    return stack[0], stack[1], stack[2]


def _tensor_spline(axes, values):
    knots = []
    for axis, points in enumerate(axes):
        spline = make_interp_spline(points, np.moveaxis(values, axis, 0), k=3)
        knots.append(spline.t)
        values = np.moveaxis(spline.c, 0, axis)
    return NdBSpline(tuple(knots), np.ascontiguousarray(values), (3, 3, 3))


def lift_limits(table, log_reynolds, deflection):
    """Return largest and smallest lift coefficients, corrected for the surrogate's optimism, with slopes.

    Returns two arrays of shape (3, ...): value, slope along ln Re, slope along deflection [1/rad].
    """
    terms = _quadratic_terms(log_reynolds, deflection)
    high, low = (np.stack([term @ fit for term in terms]) for fit in (table.highest, table.lowest))
    high[0] += LIFT_MAXIMUM_BIAS
    low[0] -= LIFT_MAXIMUM_BIAS
    return high, low


def drag_bias(log_reynolds):
    """Return the factor that makes up for the surrogate's optimism in drag, and its slope along ln Re. (2, ...) [-]"""
    step = 0.5 * (1 - np.tanh((log_reynolds - np.log(1.25e5)) / 0.15))
    slope = -0.5 / 0.15 * (1 - np.tanh((log_reynolds - np.log(1.25e5)) / 0.15) ** 2)
    rise = DRAG_BIAS_LOW_REYNOLDS - DRAG_BIAS
    return np.stack([DRAG_BIAS + rise * step, rise * slope])


def profile_drag(table, lift_coefficient, log_reynolds, deflection):
    """Return profile drag coefficient with slopes along lift, ln Re and deflection: array (4, ...). [-, -, -, 1/rad]

    Reynolds numbers and deflections beyond the table are held at its edge (see ``outside_table``). Lift
    beyond the usable range continues as value, slope and curvature at the edge plus a rising cube.
    """
    real = (np.asarray(v, float) for v in (lift_coefficient, log_reynolds, deflection))
    cl, asked_reynolds, asked_deflection = np.broadcast_arrays(*real)
    low_re, high_re = np.log(TABLE_REYNOLDS[[0, -1]])
    log_re = np.clip(asked_reynolds, low_re, high_re)
    angle = np.clip(asked_deflection, TABLE_DEFLECTIONS[0], TABLE_DEFLECTIONS[-1])
    terms = _quadratic_terms(log_re, angle)
    top, bottom = (np.stack([USABLE_SHARE * (t @ fit) for t in terms]) for fit in (table.highest, table.lowest))
    spread = top - bottom
    share = (cl - bottom[0]) / spread[0]
    share_slopes = [-(bottom[i] + share * spread[i]) / spread[0] for i in (1, 2)]
    held = np.clip(share, 0.0, 1.0)
    points = np.stack([held, log_re, angle], axis=-1)
    over = share - held
    value, by_share, curve = (table.log_drag(points, nu=nu) for nu in ([0, 0, 0], [1, 0, 0], [2, 0, 0]))
    by_re, by_angle = (table.log_drag(points, nu=nu) for nu in ([0, 1, 0], [0, 0, 1]))
    beyond = over != 0
    if np.any(beyond):
        cross_re, cross_angle, curve_re, curve_angle = (
            table.log_drag(points, nu=nu) for nu in ([1, 1, 0], [1, 0, 1], [2, 1, 0], [2, 0, 1]))
        by_re = by_re + cross_re * over + 0.5 * curve_re * over**2
        by_angle = by_angle + cross_angle * over + 0.5 * curve_angle * over**2
        size = np.abs(over)
        value = value + by_share * over + 0.5 * curve * over**2 + STALL_RISE * size**3
        by_share = by_share + curve * over + 3 * STALL_RISE * size * over
    bias, bias_slope = drag_bias(log_re)
    finite = value < MOST_LOG_DRAG
    by_share, by_re, by_angle = by_share * finite, by_re * finite, by_angle * finite
    drag = np.exp(np.where(finite, value, MOST_LOG_DRAG))
    inside_re = (asked_reynolds > low_re) & (asked_reynolds < high_re)
    inside_angle = (asked_deflection > TABLE_DEFLECTIONS[0]) & (asked_deflection < TABLE_DEFLECTIONS[-1])
    log_slope_re = by_re + by_share * share_slopes[0]
    return np.stack([
        bias * drag, bias * drag * by_share / spread[0],
        (bias * drag * log_slope_re + bias_slope * drag) * inside_re,
        bias * drag * (by_angle + by_share * share_slopes[1]) * inside_angle])


def outside_table(log_reynolds, deflection):
    """Return where (...) the asked Reynolds number or deflection lies beyond the table. [bool]"""
    low_re, high_re = np.log(TABLE_REYNOLDS[[0, -1]])
    return ((log_reynolds < low_re) | (log_reynolds > high_re)
            | (deflection < TABLE_DEFLECTIONS[0]) | (deflection > TABLE_DEFLECTIONS[-1]))
