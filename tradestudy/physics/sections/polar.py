"""Section polars from the neural-network surrogate, tabulated over lift, Reynolds number and elevon deflection.

aerosandbox and neuralfoil are imported when first needed.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from scipy.interpolate import NdBSpline, make_interp_spline

from . import airfoil

# Chord fraction where the boundary layer is tripped, top and bottom. Rods lie under the skin near 0.3 of the
# chord and leave a ridge there under a film; bare bead foam is rough from the nose on. Common practice, no source.
TRANSITION_BY_FINISH = {"bare": (0.05, 0.10), "covered": (0.30, 0.35), "smooth": (1.0, 1.0)}

# Measured optimism of the surrogate, free transition only, four sections of the UIUC low-speed tests (Selig et al.
# 1995, 1996; Lyon et al. 1998), median error of drag at equal lift: -8.8 % at Re 150k-500k (47 points), -11.9 % at
# 100k (21 points), -16 to -18 % at 60k (14 points, scattered by 20 %); largest lift 0.06 high (0.00 to 0.12). Nothing
# was measured below 60k, so the factor levels out there, and nothing with forced transition.
DRAG_BIAS, DRAG_BIAS_RISE, _RISE_REYNOLDS, _RISE_STEEPNESS = 1.09, 0.16, 77.5e3, 3.68  # see drag_bias
# Half band of drag that is left, where many points were measured and below where two tunnels differ by 16 % and three
# models of one section by 30 %; between the two Reynolds numbers it goes over smoothly.
DRAG_BAND, DRAG_BAND_LOW_REYNOLDS = 0.10, 0.30
BAND_REYNOLDS = (1.0e5, 1.5e5)
LIFT_MAXIMUM_BIAS, LIFT_MAXIMUM_BAND = -0.06, 0.06

USABLE_SHARE = 0.93  # of the largest lift: up to here the table, beyond it a smooth rise
MOST_LOG_DRAG = 2.0  # where the rise ends (cd above 7): a number that is never flown, only kept finite
_DIP = 0.04  # of lift: less is a bubble's doing, more is a stall
_STALLED_DRAG = 0.08  # on the lower side
_BRANCH_END_SLOPE = (2.0, 8.0)  # least and greatest slope of ln(drag) over lift past the end of a node's branch
_STALL_RISE = 60.0  # cubic growth of ln(drag) beyond the table; keeps the search away, shapes nothing flown

TABLE_DEFLECTIONS = np.radians(np.arange(-20.0, 10.1, 5.0))
TABLE_REYNOLDS = np.geomspace(35e3, 1.4e6, 8)
REYNOLDS_REACH, DEFLECTION_REACH = 0.2, np.radians(2.0)  # beyond the edge, where the last pieces of the spline go on
_TABLE_ALPHA = np.radians(np.arange(-14.0, 20.1, 0.5))
_TABLE_SHARES = 0.35 * (1 - np.cos(np.pi * np.arange(21) / 20)) + 0.015 * np.arange(21)  # denser at the ends
REFERENCE_REYNOLDS, _REFERENCE_LIFT = 2.0e5, 0.3


def alpha_polars(coordinates, alpha, reynolds, critical_amplification=9.0, forced_transition=(1.0, 1.0)):
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
        section.kulfan_parameters,
        np.degrees(alpha).ravel(),
        reynolds.ravel(),
        n_crit=critical_amplification,
        xtr_upper=forced_transition[0],
        xtr_lower=forced_transition[1],
        model_size="large",
    )
    return tuple(np.reshape(answer[key], alpha.shape) for key in ("CL", "CD", "CM"))


class SectionTable(NamedTuple):
    """Smooth section data. Splines over (share of usable lift, ln Re, deflection); bounds cubic in the last two.

    Of one section, or of every strip its own (``polar.strip_table``): the last axis of what it is asked is then that
    of the strips.
    """

    log_drag: Callable
    highest: np.ndarray  # (10,) or (n_strip, 10) coefficients of _bound_terms for of the largest lift coefficient [-]
    lowest: np.ndarray  # the same for the smallest [-]
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
        outline, turn = airfoil.deflected_outline(coordinates, hinge_fraction, deflection)
        cl, cd, cm = alpha_polars(outline, _TABLE_ALPHA[:, None] + turn, TABLE_REYNOLDS, forced_transition=transition)
        for i in range(shape[0]):
            kept = _attached(cl[:, i], cd[:, i])
            highest[i, j], lowest[i, j] = _peak(cl[:, i], kept[-1]), _peak(cl[:, i], kept[0])
            branches[i, j] = cl[kept, i], np.log(cd[kept, i])
        if abs(deflection) < 1e-9:
            zero_lift_angle, moment = _reference_values(cl, cd, cm)
    log_reynolds, deflections = np.meshgrid(np.log(TABLE_REYNOLDS), TABLE_DEFLECTIONS, indexing="ij")
    terms = _bound_terms(log_reynolds.ravel(), deflections.ravel())[0]
    fit_high, fit_low = (np.linalg.lstsq(terms, bound.ravel(), rcond=None)[0] for bound in (highest, lowest))
    top = USABLE_SHARE * (terms @ fit_high).reshape(shape)
    bottom = USABLE_SHARE * (terms @ fit_low).reshape(shape)
    log_drag = np.empty((len(_TABLE_SHARES), *shape))
    for (i, j), (cl, log_cd) in branches.items():
        log_drag[:, i, j] = _along(bottom[i, j] + _TABLE_SHARES * (top[i, j] - bottom[i, j]), cl, log_cd)
    spline = _tensor_spline((_TABLE_SHARES, np.log(TABLE_REYNOLDS), TABLE_DEFLECTIONS), log_drag)
    return SectionTable(spline, fit_high, fit_low, float(zero_lift_angle), float(moment), finish == "smooth")


def _attached(cl, cd):
    """Indices between the stalls on either side of the least drag, those where lift is less than before left out.

    A stall is where lift falls by more than DIP before it rises again: less is a bubble. On the lower side a nose
    can go on gaining lift long after it has stalled: there the drag says so.
    """
    start = int(np.argmin(cd))
    up, down = [start], [start]
    for index in range(start + 1, len(cl)):
        if cl[index] > cl[up[-1]]:
            up.append(index)
        elif cl[index] < cl[up[-1]] - _DIP:
            break
    for index in range(start - 1, -1, -1):
        if cl[index] > cl[down[-1]] + _DIP or cd[index] > _STALLED_DRAG:
            break
        if cl[index] < cl[down[-1]]:
            down.append(index)
    return np.array(down[:0:-1] + up)


def _along(wanted, cl, log_cd):
    """Logarithm of drag at lift coefficients, on past the ends of a branch as steeply as it ends there."""
    found = np.interp(wanted, cl, log_cd)
    for end, inner, past in ((-1, -3, np.maximum(wanted - cl[-1], 0)), (0, 2, np.maximum(cl[0] - wanted, 0))):
        slope = (log_cd[end] - log_cd[inner]) / abs(cl[end] - cl[inner])
        found += np.clip(slope, *_BRANCH_END_SLOPE) * past
    return found


def _peak(cl, index):
    """Extreme of a parabola through three neighbours."""
    if index in (0, len(cl) - 1):
        return cl[index]
    before, middle, after = cl[index - 1 : index + 2]
    curve = before - 2 * middle + after
    return middle if curve == 0 else middle - (after - before) ** 2 / (8 * curve)


def _reference_values(cl, cd, cm):
    column = int(np.argmin(np.abs(TABLE_REYNOLDS - REFERENCE_REYNOLDS)))
    kept = _attached(cl[:, column], cd[:, column])
    lift = cl[kept, column]
    return np.interp(0.0, lift, _TABLE_ALPHA[kept]), np.interp(_REFERENCE_LIFT, lift, cm[kept, column])


def _bound_terms(log_reynolds, deflection):
    """Terms up to the cube (..., 10) and their slopes along ln Re and deflection."""
    r, d = log_reynolds - np.log(REFERENCE_REYNOLDS), deflection
    one, zero = np.ones_like(r), np.zeros_like(r)
    stack = [
        np.stack(np.broadcast_arrays(*row), axis=-1)
        for row in (
            (one, r, d, r * r, r * d, d * d, r * r * r, r * r * d, r * d * d, d * d * d),
            (zero, one, zero, 2 * r, d, zero, 3 * r * r, 2 * r * d, d * d, zero),
            (zero, zero, one, zero, r, 2 * d, zero, r * r, 2 * r * d, 3 * d * d),
        )
    ]
    return stack[0], stack[1], stack[2]


def _bound(terms, fit):
    """Terms (..., 10) with one set of coefficients (10,), or with one for each strip (n_strip, 10)."""
    return terms @ fit if fit.ndim == 1 else (terms * fit).sum(-1)


def _tensor_spline(axes, values):
    knots = []
    for axis, points in enumerate(axes):
        spline = make_interp_spline(points, np.moveaxis(values, axis, 0), k=3)
        knots.append(spline.t)
        values = np.moveaxis(spline.c, 0, axis)
    return NdBSpline(tuple(knots), np.ascontiguousarray(values), (3, 3, 3))


def lift_limits(table, log_reynolds, deflection):
    """Return largest and smallest lift coefficients, corrected for the surrogate's optimism, with slopes.

    Beyond the table Reynolds numbers and deflections level out as in ``profile_drag``.
    Returns two arrays of shape (3, ...): value, slope along ln Re, slope along deflection [1/rad].
    """
    held_re, slope_re = _held(log_reynolds, np.log(TABLE_REYNOLDS[[0, -1]]), REYNOLDS_REACH)
    held_angle, slope_angle = _held(deflection, TABLE_DEFLECTIONS[[0, -1]], DEFLECTION_REACH)
    terms = _bound_terms(*np.broadcast_arrays(held_re, held_angle))
    high, low = (np.stack([_bound(term, fit) for term in terms]) for fit in (table.highest, table.lowest))
    for bound in (high, low):
        bound[1] *= slope_re
        bound[2] *= slope_angle
    high[0] += LIFT_MAXIMUM_BIAS
    low[0] -= LIFT_MAXIMUM_BIAS
    return high, low


def drag_bias(log_reynolds):
    """Return the factor that makes up for the surrogate's optimism in drag, and its slope along ln Re. (2, ...) [-]

    DRAG_BIAS + DRAG_BIAS_RISE / (1 + (Re / _RISE_REYNOLDS)^_RISE_STEEPNESS): the least smooth curve through the three
    measured medians.
    """
    wave = np.tanh(0.5 * _RISE_STEEPNESS * (log_reynolds - np.log(_RISE_REYNOLDS)))
    return np.stack(
        [DRAG_BIAS + 0.5 * DRAG_BIAS_RISE * (1 - wave), -0.25 * DRAG_BIAS_RISE * _RISE_STEEPNESS * (1 - wave**2)]
    )


def drag_band(log_reynolds):
    """Return the share by which profile drag scatters once corrected (...), for a report. [-]"""
    low, high = np.log(BAND_REYNOLDS)
    share = np.clip((high - log_reynolds) / (high - low), 0.0, 1.0)
    return DRAG_BAND + (DRAG_BAND_LOW_REYNOLDS - DRAG_BAND) * share**2 * (3 - 2 * share)


def profile_drag(table, lift_coefficient, log_reynolds, deflection):
    """Return profile drag coefficient with slopes along lift, ln Re and deflection: array (4, ...). [-, -, -, 1/rad]

    Reynolds numbers and deflections beyond the table level out within REYNOLDS_REACH and
    DEFLECTION_REACH of its edge, lift beyond the usable range
    continues as value, slope and curvature at the edge plus a rising cube (see ``beyond_table``).
    """
    real = (np.asarray(v, float) for v in (lift_coefficient, log_reynolds, deflection))
    cl, asked_reynolds, asked_deflection = np.broadcast_arrays(*real)
    log_re, inside_re = _held(asked_reynolds, np.log(TABLE_REYNOLDS[[0, -1]]), REYNOLDS_REACH)
    angle, inside_angle = _held(asked_deflection, TABLE_DEFLECTIONS[[0, -1]], DEFLECTION_REACH)
    terms = _bound_terms(log_re, angle)
    top, bottom = (np.stack([USABLE_SHARE * _bound(t, fit) for t in terms]) for fit in (table.highest, table.lowest))
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
            table.log_drag(points, nu=nu) for nu in ([1, 1, 0], [1, 0, 1], [2, 1, 0], [2, 0, 1])
        )
        by_re = by_re + cross_re * over + 0.5 * curve_re * over**2
        by_angle = by_angle + cross_angle * over + 0.5 * curve_angle * over**2
        size = np.abs(over)
        value = value + by_share * over + 0.5 * curve * over**2 + _STALL_RISE * size**3
        by_share = by_share + curve * over + 3 * _STALL_RISE * size * over
    bias, bias_slope = drag_bias(log_re)
    finite = value < MOST_LOG_DRAG
    by_share, by_re, by_angle = by_share * finite, by_re * finite, by_angle * finite
    drag = np.exp(np.where(finite, value, MOST_LOG_DRAG))
    log_slope_re = by_re + by_share * share_slopes[0]
    return np.stack(
        [
            bias * drag,
            bias * drag * by_share / spread[0],
            (bias * drag * log_slope_re + bias_slope * drag) * inside_re,
            bias * drag * (by_angle + by_share * share_slopes[1]) * inside_angle,
        ]
    )


def _held(asked, edges, reach):
    """Return what stands for the asked value (...) and its slope: itself inside the edges, levelling out beyond.

    Twice differentiable; never more than ``reach`` beyond an edge.
    """
    beyond = np.tanh((asked - np.clip(asked, *edges)) / reach)
    return np.clip(asked, *edges) + reach * beyond, 1 - beyond**2


class TableExcess(NamedTuple):
    """How far outside its table a section is asked, each (...): 0 inside, below the table negative."""

    log_reynolds: np.ndarray  # [-]
    deflection: np.ndarray  # [rad]
    lift_coefficient: np.ndarray  # past the usable share of the largest or smallest [-]


def table_excess(table, lift_coefficient, log_reynolds, deflection):
    """Return Beyond for lift coefficients, ln Re and deflections [rad] (...)."""

    def outside(asked, low, high):
        return asked - np.clip(asked, low, high)

    held = (
        np.clip(asked, *edges[[0, -1]])
        for asked, edges in ((log_reynolds, np.log(TABLE_REYNOLDS)), (deflection, TABLE_DEFLECTIONS))
    )
    terms = _bound_terms(*np.broadcast_arrays(*held))[0]
    top, bottom = (USABLE_SHARE * _bound(terms, fit) for fit in (table.highest, table.lowest))
    return TableExcess(
        outside(log_reynolds, *np.log(TABLE_REYNOLDS[[0, -1]])),
        outside(deflection, *TABLE_DEFLECTIONS[[0, -1]]),
        outside(lift_coefficient, bottom, top),
    )


class StripSpline(NamedTuple):
    """Two splines of one grid in one, weighted strip by strip. Values [-]."""

    both: NdBSpline  # last axis: root, tip
    tip_share: np.ndarray  # (n_strip,) [-]

    def __call__(self, points, nu):
        """Return the weighted value (..., n_strip) at points (..., n_strip, 3)."""
        value = self.both(points, nu=nu)
        return value[..., 0] + (value[..., 1] - value[..., 0]) * self.tip_share


def strip_table(root, tip, share):
    """Return one polar.SectionTable for all strips from the tables of root and tip and the tip's share (n_strip,) [-].

    Largest and smallest lift, and ln(drag) at the same share of the usable lift, are blended: a section half way
    stalls half way, and neither parent is asked beyond its own stall.
    """
    both = NdBSpline(root.log_drag.t, np.stack([root.log_drag.c, tip.log_drag.c], axis=-1), root.log_drag.k)
    column = share[:, None]
    highest = root.highest + (tip.highest - root.highest) * column
    lowest = root.lowest + (tip.lowest - root.lowest) * column
    return root._replace(log_drag=StripSpline(both, share), highest=highest, lowest=lowest)


def mean_table(table):
    """Return a polar.SectionTable whose lift limits are the mean of all strips'; that of one section as it is."""
    if table.highest.ndim == 1:
        return table
    return table._replace(highest=table.highest.mean(0), lowest=table.lowest.mean(0))
