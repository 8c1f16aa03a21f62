"""Section polars from the neural-network surrogate, tabulated over lift, Reynolds number and elevon deflection.

aerosandbox and neuralfoil are imported when first needed. "(...)" means arrays of any batch shape. ln Re is the natural
logarithm of the Reynolds number. A slope is a derivative.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from . import airfoil
from .cubic_fit import cubic_rows, cubic_terms, cubic_values
from .tensor_spline import TensorSpline, tensor_spline

# Chord fractions where the boundary layer is tripped, on top and bottom. Rods under the skin near 0.3 of the chord
# leave a ridge in a film. Bare bead foam is rough from the nose on. Common practice, no source.
TRANSITION_BY_FINISH = {"bare": (0.05, 0.10), "covered": (0.30, 0.35), "smooth": (1.0, 1.0)}

# Measured optimism of the surrogate, with free transition only, on four sections of the UIUC low-speed tests (Selig et
# al. 1995, 1996; Lyon et al. 1998). The median error of drag at equal lift is -8.8 % at Re 150k-500k (47 points),
# -11.9 % at 100k (21 points) and -16 to -18 % at 60k (14 points, with a scatter of 20 %). The largest lift is 0.06 too
# high (0.00 to 0.12). Below 60k there are no measurements, so the factor levels out there. With forced transition there
# are none either.
DRAG_BIAS, DRAG_BIAS_RISE, _RISE_REYNOLDS, _RISE_STEEPNESS = 1.09, 0.16, 77.5e3, 3.68  # constants in drag_bias
# Remaining error of drag to either side, as a share of drag. The smaller value holds where many points were measured.
# The larger one holds where two tunnels differ by 16 % and three models of the same section by 30 %. The value changes
# smoothly between the two Reynolds numbers.
DRAG_BAND, DRAG_BAND_LOW_REYNOLDS = 0.10, 0.30
BAND_REYNOLDS = (1.0e5, 1.5e5)
LIFT_MAXIMUM_BIAS, LIFT_MAXIMUM_BAND = -0.06, 0.06

USABLE_SHARE = 0.93  # share of the largest lift up to which the table holds; beyond it drag rises smoothly
MOST_LOG_DRAG = 2.0  # largest ln(drag), cd above 7; it only keeps numbers finite and does not occur in flight
_DIP = 0.04  # largest fall in lift coefficient that is a laminar bubble; a larger fall is a stall
_STALLED_DRAG = 0.08  # drag coefficient that marks the stall on the lower side
_BRANCH_END_SLOPE = (2.0, 8.0)  # least and greatest slope of ln(drag) over lift past the end of a computed polar
_STALL_RISE = 60.0  # factor of the cubic term of ln(drag) beyond the table, which turns a search back

TABLE_DEFLECTIONS = np.radians(np.arange(-20.0, 10.1, 5.0))
TABLE_REYNOLDS = np.geomspace(35e3, 1.4e6, 8)
REYNOLDS_REACH, DEFLECTION_REACH = 0.2, np.radians(2.0)  # how far a looked-up value may pass the edge
_TABLE_ALPHA = np.radians(np.arange(-14.0, 20.1, 0.5))
# shares of usable lift at the table's nodes, denser at the ends
_TABLE_SHARES = 0.35 * (1 - np.cos(np.pi * np.arange(21) / 20)) + 0.015 * np.arange(21)
REFERENCE_REYNOLDS, _REFERENCE_LIFT = 2.0e5, 0.3
_LOG_REFERENCE = np.log(REFERENCE_REYNOLDS)
_LOG_RISE = np.log(_RISE_REYNOLDS)
_LOG_REYNOLDS_EDGES, _DEFLECTION_EDGES = np.log(TABLE_REYNOLDS[[0, -1]]).tolist(), TABLE_DEFLECTIONS[[0, -1]].tolist()


def alpha_polars(
    coordinates: np.ndarray,
    alpha: np.ndarray,
    reynolds: np.ndarray,
    critical_amplification: float = 9.0,
    forced_transition: tuple[float, float] = (1.0, 1.0),
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return lift, drag and moment coefficients of a section over angle of attack and Reynolds number.

    The source is the neural-network surrogate of the library neuralfoil, its large model.

    Parameters
    ----------
    coordinates : (n, 2) array
        Section outline from the trailing edge over the top to the nose and back, with a chord of 1. [-]
    alpha : (...) array
        Angle of attack. [rad]
    reynolds : (...) array
        Reynolds number, broadcast with alpha. [-]
    critical_amplification : float
        Amplification exponent at which transition occurs; 9 is that of a quiet tunnel. [-]
    forced_transition : (2,) tuple
        Chord fractions where the top and bottom boundary layers are tripped; 1 leaves transition free. [-]

    Returns
    -------
    cl, cd, cm : (...) arrays
        Coefficients of lift, drag and moment. The moment is about the quarter chord, nose up positive. [-]
    """
    import aerosandbox as asb
    import neuralfoil

    section = asb.Airfoil(name="section", coordinates=np.asarray(coordinates)).to_kulfan_airfoil()
    alpha, reynolds = np.broadcast_arrays(np.asarray(alpha, float), np.asarray(reynolds, float))
    result = neuralfoil.get_aero_from_kulfan_parameters(
        section.kulfan_parameters,
        np.degrees(alpha).ravel(),
        reynolds.ravel(),
        n_crit=critical_amplification,
        xtr_upper=forced_transition[0],
        xtr_lower=forced_transition[1],
        model_size="large",
    )
    lift, drag, moment = (np.reshape(result[key], alpha.shape) for key in ("CL", "CD", "CM"))
    return lift, drag, moment


@dataclass(frozen=True, eq=False)
class SectionTable:
    """Smooth data of a section: a spline of ln(drag), and fitted limits of lift.

    The spline's axes are the share of usable lift, ln Re and deflection. The limits of lift are cubic polynomials in ln
    Re and deflection. A table describes either a single section, or a section for each strip (``strip_table``).
    In the second case the last axis of the arguments of the functions below is the strip.
    """

    log_drag: TensorSpline  # spline of ln(drag) (...), one for a single section, else one for each strip [-]
    limits: np.ndarray  # cubic_terms' coefficients for largest and smallest lift (2, 10) or (2, 10, n_strip) [-]
    zero_lift_angle: float  # [rad]
    moment_coefficient: float  # moment coefficient about the quarter chord at the reference lift [-]
    free_transition: bool

    @cached_property
    def limit_rows(self) -> np.ndarray:
        """``limits`` and their slopes along ln Re and deflection (2, 3, 10, ...), as in ``cubic_rows``. Algebra. [-]"""
        return cubic_rows(self.limits)

    @cached_property
    def mean(self) -> SectionTable:
        """The table whose lift limits are the mean of all strips' limits: itself, of one section. Definition."""
        return self if self.limits.ndim == 2 else replace(self, limits=self.limits.mean(-1))


def section_table(coordinates: np.ndarray, hinge_fraction: float, finish: str = "covered") -> SectionTable:
    """Return the table of a section for a given hinge position and surface finish.

    The source is the polars of ``alpha_polars``, fitted and interpolated.

    Parameters
    ----------
    coordinates : (n, 2) array
        Outline of the total section, elevon included, with a chord of 1. [-]
    hinge_fraction : float
        Distance of the hinge behind the leading edge over chord. [-]
    finish : str
        "bare", "covered" or "smooth". "smooth" has free transition, which can make false minima of drag.
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
    terms = cubic_terms(log_reynolds.ravel() - _LOG_REFERENCE, deflections.ravel()).T
    limits = np.array([np.linalg.lstsq(terms, bound.ravel(), rcond=None)[0] for bound in (highest, lowest)])
    top, bottom = (USABLE_SHARE * (terms @ fit).reshape(shape) for fit in limits)
    log_drag = np.empty((len(_TABLE_SHARES), *shape))
    for (i, j), (cl, log_cd) in branches.items():
        log_drag[:, i, j] = _log_drag_at(bottom[i, j] + _TABLE_SHARES * (top[i, j] - bottom[i, j]), cl, log_cd)
    spline = tensor_spline((_TABLE_SHARES, np.log(TABLE_REYNOLDS), TABLE_DEFLECTIONS), log_drag)
    return SectionTable(spline, limits, float(zero_lift_angle), float(moment), finish == "smooth")


def _attached(cl: np.ndarray, cd: np.ndarray) -> np.ndarray:
    """Return the indices of points between the upper and the lower stall, without those where lift has dropped back.

    The search starts at the least drag. A stall is where lift falls by more than _DIP before it rises again; a smaller
    fall is a laminar bubble. On the lower side a nose can gain lift long after its stall. There a drag above
    _STALLED_DRAG marks the stall.
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


def _log_drag_at(lift: np.ndarray, cl: np.ndarray, log_cd: np.ndarray) -> np.ndarray:
    """Return ln(drag) at lift coefficients ``lift`` from a computed polar (``cl``, ``log_cd``).

    Beyond either end of the polar it continues with the slope at that end.
    """
    log_drag = np.interp(lift, cl, log_cd)
    for end, inner, past in ((-1, -3, np.maximum(lift - cl[-1], 0)), (0, 2, np.maximum(cl[0] - lift, 0))):
        slope = (log_cd[end] - log_cd[inner]) / abs(cl[end] - cl[inner])
        log_drag += np.clip(slope, *_BRANCH_END_SLOPE) * past
    return log_drag


def _peak(cl: np.ndarray, index: int) -> float:
    """Return the extreme of a parabola through the point ``index`` and its neighbours."""
    if index in (0, len(cl) - 1):
        return cl[index]
    before, middle, after = cl[index - 1 : index + 2]
    curve = before - 2 * middle + after
    return middle if curve == 0 else middle - (after - before) ** 2 / (8 * curve)


def _reference_values(cl: np.ndarray, cd: np.ndarray, cm: np.ndarray) -> tuple[float, float]:
    """Return zero-lift angle [rad] and moment coefficient [-] at the reference Reynolds number and lift."""
    column = int(np.argmin(np.abs(TABLE_REYNOLDS - REFERENCE_REYNOLDS)))
    kept = _attached(cl[:, column], cd[:, column])
    lift = cl[kept, column]
    return np.interp(0.0, lift, _TABLE_ALPHA[kept]), np.interp(_REFERENCE_LIFT, lift, cm[kept, column])


class LookUp(NamedTuple):
    """Where a table is looked up, and its limits of lift there."""

    log_reynolds: np.ndarray  # ln Re, levelled out outside the table (...) [-]
    by_reynolds: Any  # slope of that along ln Re (...) [-]
    deflection: np.ndarray  # levelled out outside the table (...) [rad]
    by_deflection: Any  # slope of that along the deflection (...) [-]
    bounds: (
        np.ndarray
    )  # largest and smallest lift, uncorrected, with slopes along both (2, 3, ...) or not (2, 1, ...) [-]


def look_up(table: SectionTable, log_reynolds: np.ndarray, deflection: np.ndarray, slopes: bool = True) -> LookUp:
    """Return the LookUp at ``log_reynolds`` (...), ln Re [-], and ``deflection`` (...) [rad]. This is a definition."""
    return _look_up(table.limit_rows, log_reynolds, deflection, slopes)


def _look_up(rows: np.ndarray, log_reynolds: np.ndarray, deflection: np.ndarray, slopes: bool) -> LookUp:
    levelled_re, slope_re = _levelled(log_reynolds, _LOG_REYNOLDS_EDGES, REYNOLDS_REACH)
    levelled_angle, slope_angle = _levelled(deflection, _DEFLECTION_EDGES, DEFLECTION_REACH)
    bounds = cubic_values(rows if slopes else rows[:, :1], levelled_re - _LOG_REFERENCE, levelled_angle)
    return LookUp(levelled_re, slope_re, levelled_angle, slope_angle, bounds)


def lift_limits(
    table: SectionTable, log_reynolds: np.ndarray, deflection: np.ndarray, slopes: bool = True
) -> tuple[np.ndarray, np.ndarray]:
    """Return largest and smallest lift coefficients with slopes, corrected for the measured optimism of the surrogate.

    Each result has shape (3, ...): value [-], slope along ln Re [-], slope along deflection [1/rad]. Without ``slopes``
    it has shape (1, ...). ``log_reynolds`` (...) is ln Re [-] and ``deflection`` (...) is in [rad]. Outside the table
    both level out as in ``profile_drag``.
    """
    place = look_up(table, log_reynolds, deflection, slopes)
    return _corrected(place, 0, LIFT_MAXIMUM_BIAS), _corrected(place, 1, -LIFT_MAXIMUM_BIAS)


def highest_lift(
    table: SectionTable,
    log_reynolds: np.ndarray,
    deflection: np.ndarray,
    slopes: bool = True,
    place: LookUp | None = None,
) -> np.ndarray:
    """Return the first result of ``lift_limits`` alone: (3, ...) or (1, ...). [-, -, 1/rad]

    The arguments and the source are as for ``lift_limits``. ``place`` is the LookUp there, if it is known already.
    """
    place = place or _look_up(table.limit_rows[:1], log_reynolds, deflection, slopes)
    return _corrected(place, 0, LIFT_MAXIMUM_BIAS)


def _corrected(place: LookUp, limit: int, bias: float) -> np.ndarray:
    """Return a limit of lift and its slopes (3, ...), or its value alone (1, ...)."""
    bound = place.bounds[limit]
    if len(bound) == 1:
        return bound + bias
    return np.array([bound[0] + bias, bound[1] * place.by_reynolds, bound[2] * place.by_deflection])


def drag_bias(log_reynolds: np.ndarray, slopes: bool = True) -> np.ndarray:
    """Return the factor that corrects the surrogate's optimism in drag, and its slope along ln Re: shape (2, ...). [-]

    Without ``slopes`` it is (1, ...). ``log_reynolds`` (...) is ln Re [-]. The factor is DRAG_BIAS + DRAG_BIAS_RISE /
    (1 + (Re / _RISE_REYNOLDS)^_RISE_STEEPNESS), a smooth curve through the three measured medians.
    """
    wave = np.tanh(0.5 * _RISE_STEEPNESS * (log_reynolds - _LOG_RISE))
    factor = DRAG_BIAS + 0.5 * DRAG_BIAS_RISE * (1 - wave)
    if not slopes:
        return factor[None]
    return np.array([factor, -0.25 * DRAG_BIAS_RISE * _RISE_STEEPNESS * (1 - wave * wave)])


def drag_band(log_reynolds: np.ndarray) -> np.ndarray:
    """Return the scatter of corrected profile drag (...) as a share of it, for a report. [-]

    ``log_reynolds`` (...) is ln Re [-]. Source: the measurements described above DRAG_BAND.

    >>> round(float(drag_band(np.log(2e5))), 2), round(float(drag_band(np.log(6e4))), 2)
    (0.1, 0.3)
    """
    low, high = np.log(BAND_REYNOLDS)
    share = np.clip((high - log_reynolds) / (high - low), 0.0, 1.0)
    return DRAG_BAND + (DRAG_BAND_LOW_REYNOLDS - DRAG_BAND) * share**2 * (3 - 2 * share)


def profile_drag(
    table: SectionTable,
    lift_coefficient: np.ndarray,
    log_reynolds: np.ndarray,
    deflection: np.ndarray,
    slopes: bool = True,
    place: LookUp | None = None,
) -> np.ndarray:
    """Return the profile drag coefficient and its slopes along lift, ln Re and deflection: (4, ...). [-, -, -, 1/rad]

    Without ``slopes`` the result is (1, ...). ``lift_coefficient`` [-], ``log_reynolds`` (ln Re) [-] and ``deflection``
    [rad] have shape (...). ``place`` is the LookUp at the last two, if it is known already. Outside the table, Reynolds
    number and deflection level out within REYNOLDS_REACH and DEFLECTION_REACH of its edge. Outside the usable range of
    lift, value, slope and curvature continue from the edge, and a cubic term is added. ``table_excess`` gives the
    distances from the table. Source: the surrogate, corrected by ``drag_bias``.
    """
    cl = np.asarray(lift_coefficient, float)
    if place is None:
        cl, log_reynolds, deflection = np.broadcast_arrays(cl, log_reynolds, deflection)
        place = look_up(table, log_reynolds, deflection, slopes)
    bottom = USABLE_SHARE * place.bounds[1]
    spread = USABLE_SHARE * place.bounds[0] - bottom
    share = (cl - bottom[0]) / spread[0]
    usable = np.minimum(np.maximum(share, 0.0), 1.0)
    points = np.empty((3, *share.shape))
    points[0], points[1], points[2] = usable, place.log_reynolds, place.deflection
    over = share - usable
    beyond = np.count_nonzero(over) > 0
    by_points = 1 if slopes else 0
    found = table.log_drag(points, (2 if beyond else by_points, by_points, by_points))
    value = found[0, 0, 0]
    if beyond:
        size = np.abs(over)
        value = value + found[1, 0, 0] * over + 0.5 * found[2, 0, 0] * over**2 + _STALL_RISE * size**3
    bias = drag_bias(place.log_reynolds, slopes)
    drag = np.exp(np.minimum(value, MOST_LOG_DRAG))
    if not slopes:
        return bias * drag
    bias, bias_slope = bias
    finite = value < MOST_LOG_DRAG
    by_share, by_re, by_angle = found[1, 0, 0], found[0, 1, 0], found[0, 0, 1]
    if beyond:
        by_re = by_re + found[1, 1, 0] * over + 0.5 * found[2, 1, 0] * over**2
        by_angle = by_angle + found[1, 0, 1] * over + 0.5 * found[2, 0, 1] * over**2
        by_share = by_share + found[2, 0, 0] * over + 3 * _STALL_RISE * size * over
    by_share, by_re, by_angle = by_share * finite, by_re * finite, by_angle * finite
    share_by_re, share_by_angle = (-(bottom[i] + share * spread[i]) / spread[0] for i in (1, 2))
    log_slope_re = by_re + by_share * share_by_re
    biased = bias * drag
    return np.array(
        [
            biased,
            biased * by_share / spread[0],
            (biased * log_slope_re + bias_slope * drag) * place.by_reynolds,
            biased * (by_angle + by_share * share_by_angle) * place.by_deflection,
        ]
    )


def _levelled(value: np.ndarray, edges: list[float], reach: float) -> tuple[np.ndarray, Any]:
    """Return the value to look up (...) and its slope along ``value``.

    Inside the edges it is ``value`` itself. Outside it levels out, never more than ``reach`` from the edge. The
    function is twice differentiable.
    """
    inside = np.minimum(np.maximum(value, edges[0]), edges[1])
    past = value - inside
    if not np.count_nonzero(past):
        return value, 1.0
    past_edge = np.tanh(past / reach)
    return inside + reach * past_edge, 1 - past_edge * past_edge


class TableExcess(NamedTuple):
    """Distance of arguments from their table, each (...): 0 inside, negative below and positive above the table."""

    log_reynolds: np.ndarray  # [-]
    deflection: np.ndarray  # [rad]
    lift_coefficient: np.ndarray  # distance beyond the usable share of the largest or smallest lift [-]


def table_excess(
    table: SectionTable, lift_coefficient: np.ndarray, log_reynolds: np.ndarray, deflection: np.ndarray
) -> TableExcess:
    """Return the TableExcess (...) of lift coefficients, ln Re and deflections. This is a definition.

    ``lift_coefficient`` [-], ``log_reynolds`` [-] and ``deflection`` [rad] have shape (...).
    """
    log_re, angle = np.clip(log_reynolds, *_LOG_REYNOLDS_EDGES), np.clip(deflection, *_DEFLECTION_EDGES)
    top, bottom = USABLE_SHARE * cubic_values(table.limit_rows, log_re - _LOG_REFERENCE, angle)[:, 0]
    return TableExcess(
        log_reynolds - log_re, deflection - angle, lift_coefficient - np.clip(lift_coefficient, bottom, top)
    )
