"""Flutter of a swept wing by strip theory: Theodorsen's oscillating section on the modes of ``vibration``.

Cautions for the reader of the numbers: this is an estimate with a wide band, never a clearance. It leaves out free
play, elevon flutter, fin loads, stall and tip loss. A new wing is flown faster only in small steps, at height, and the
first buzz ends the flight.

The module serves the report only: one wing at a time, no slopes for a search. "(...)" means arrays of any batch shape.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import NamedTuple

import numpy as np
from scipy.optimize import brentq, linear_sum_assignment
from scipy.special import j0, j1, y0, y1

from .vibration import WingModes

_REDUCED_FREQUENCIES = np.geomspace(
    4.0, 0.01, 180
)  # range of the search for flutter, from fast to slow oscillation [-]


class FlutterPoint(NamedTuple):
    """State at which an oscillation neither grows nor decays. ``speed`` is inf if there is none."""

    speed: float  # true airspeed [m/s]
    frequency: float  # [rad/s]
    reduced_frequency: float  # frequency x mean half chord / speed square to the axis [-]


class FlutterBand(NamedTuple):
    """Flutter speeds, inf if there is none. ``likely`` is the speed with nominal assumptions. [m/s]"""

    low: float
    likely: float
    high: float
    reason: str  # assumption with the largest effect on the low end [words]


class SectionAxis(NamedTuple):
    """Sections along the axis of the beam. Fields are (n_point,) or a number; lengths are square to the axis."""

    half_chord: float | np.ndarray  # [m]
    # distance of the elastic axis behind mid-chord over half chord, from -1 at the nose to 1 at the trailing edge
    axis_place: float | np.ndarray  # [-]
    sweep: float = 0.0  # sweep of the axis, positive with the tip aft [rad]
    lift_share: float | np.ndarray = 1.0  # a section's lift slope over 2 pi, below 1 because of tip loss [-]


def theodorsen(reduced_frequency: float | np.ndarray) -> np.ndarray:
    """Return Theodorsen's complex lift function C(k) (...). [-]

    ``reduced_frequency`` k (...) [-] is above zero. It is omega b / V: frequency times half chord over airspeed. C = H1
    / (H1 + i H0), where H1 and H0 are Hankel functions of k of the second kind, order 1 and 0. Source: T. Theodorsen,
    NACA Report 496 (1935).

    >>> complex(theodorsen(0.5).round(3))
    (0.598-0.151j)
    """
    k = np.asarray(reduced_frequency, float)
    first = j1(k) - 1j * y1(k)  # Hankel functions of a real number by their parts, which is ten times as fast
    return first / (first + 1j * j0(k) + y0(k))


def air_forces(modes: WingModes, axis: SectionAxis, density: float, reduced_frequency: np.ndarray) -> np.ndarray:
    r"""Return the generalised air forces of a steady oscillation, over the square of its frequency.

    Parameters
    ----------
    modes : WingModes
    axis : SectionAxis
        Sections square to the axis.
    density : float
        Density of the air. [kg/m^3]
    reduced_frequency : (n_k,) array
        Frequency x mean half chord / speed square to the axis. Each strip's own value follows from its half chord. [-]

    Returns
    -------
    air_forces : (n_k, n_mode, n_mode) complex array
        Force on mode i for unit amplitude of mode j, divided by omega squared. [kg], other units for pitch

    Notes
    -----
    V is the airspeed, V_n = V cos(sweep), s the place along the axis and D = d/dt + V sin(sweep) d/ds. w is the rise
    and theta the twist. b is the half chord, and b a the distance of the axis behind mid-chord. rho is the air's
    density and C(k) Theodorsen's function. The upwash at a distance n behind the axis is
    W(n) = V_n theta - D w + n D theta. Lift L and moment M about the axis are

    .. math:: L &= \pi\rho b^2 \dot W_{mid} + 2\pi\rho V_n b C(k) W_{3/4}

              M &= a b L + \pi\rho V_n b^2 [C(k) W_{3/4} - \tfrac{b}{2} D\theta] - \tfrac{\pi}{8}\rho b^4 \dot{D\theta}

    Without sweep this is Theodorsen (NACA Report 496). With sweep it is the strip method of Barmby, Cunningham and
    Garrick (NACA Report 1014, 1951; form from memory). The ``lift_share`` of the axis scales the circulatory lift, as
    in modified strip methods. A share of 1 (no tip loss) is on the safe side.
    """
    k = np.atleast_1d(np.asarray(reduced_frequency, float))
    ones = np.ones_like(modes.length)
    b, a = (np.asarray(value) * ones for value in (axis.half_chord, axis.axis_place))
    rate = (k / _mean(b, modes))[:, None, None]  # omega / V_n [1/m]
    aside = np.tan(axis.sweep) / rate
    b, a, length = b[:, None], a[:, None], modes.length[:, None]
    heave = 1j * modes.rise + aside * modes.slope
    turn = 1j * modes.twist + aside * modes.twist_slope
    still = modes.twist / rate - heave
    middle, three_quarter = still - a * b * turn, still + b * (0.5 - a) * turn
    lagged = np.reshape(axis.lift_share, (-1, 1)) * theodorsen(rate * b) * three_quarter
    lift = np.pi * density * b * (1j * b * middle + 2.0 / rate * lagged)
    moment = a * b * lift + np.pi * density * b**2 * ((lagged - 0.5 * b * turn) / rate - 0.125j * b**2 * turn)
    return modes.rise.T @ (length * lift) + modes.twist.T @ (length * moment)


def flutter_points(
    modes: WingModes, axis: SectionAxis, density: float, structural_dampings: Sequence[float] = (0.0,)
) -> list[FlutterPoint]:
    r"""Return the FlutterPoint of lowest speed for each structural damping.

    Parameters
    ----------
    modes : WingModes
        Clamped or free modes.
    axis : SectionAxis
        Sections square to the axis.
    density : float
        Density of the air. [kg/m^3]
    structural_dampings : sequence of float
        Loss factors of foam, film and glue. [-]

    Notes
    -----
    This is the k-method (any text on aeroelasticity). K is the stiffness, M the mass, and A(k) the air forces of
    ``air_forces`` at reduced frequency k. The eigenvalues of K^-1 (M + A(k)) are (1 + i g) / omega^2. Here omega is the
    frequency, and g is the structural damping that would keep the oscillation constant. Flutter is where g of a branch
    rises through the true damping.

    Plunge and pitch of free modes have no stiffness, so they are eliminated first. This is exact at the flutter speed.
    Flutter without elastic deformation, an instability of the rigid aircraft, is left out.
    """
    half_chord = _mean(np.asarray(axis.half_chord) * np.ones_like(modes.length), modes)
    branches = _branches(_eigenvalues(modes, axis, density, _REDUCED_FREQUENCIES))
    needed = np.where(branches.real > 0.0, branches.imag / branches.real, np.nan)
    lowest = []
    for damping in structural_dampings:
        surplus, points = needed - damping, [FlutterPoint(np.inf, np.nan, np.nan)]
        for step, branch in zip(*np.nonzero((surplus[:-1] <= 0.0) & (surplus[1:] > 0.0)), strict=True):
            near = 0.5 * (branches[step, branch] + branches[step + 1, branch])
            bounds = _REDUCED_FREQUENCIES[step : step + 2]
            points.append(_refined(modes, axis, density, damping, half_chord, near, bounds))
        lowest.append(min(points, key=lambda point: point.speed))
    return lowest


def flutter_band(likely: float, varied: Mapping[str, Sequence[float]]) -> FlutterBand:
    """Return the FlutterBand about a nominal flutter speed when single assumptions are changed.

    Parameters
    ----------
    likely : float
        Nominal flutter speed, inf if there is none. [m/s]
    varied : mapping of str to sequence of float
        For each assumption, the flutter speeds with its other values when nothing else is changed. [m/s]

    Notes
    -----
    The assumptions are taken as independent (judgement). So the logarithms of speed ratios add as the root of the sum
    of squares: decreases give the low end, and increases give the high end. The band does not cover the rare case that
    all assumptions are at their worst at once. Without a nominal speed, the low end is the lowest changed speed. The
    reason is the assumption with the lowest speed.
    """
    slowest = {name: min(speeds) for name, speeds in varied.items()}
    reason = min(slowest, key=lambda name: slowest[name])
    if not np.isfinite(likely):
        return FlutterBand(float(slowest[reason]), np.inf, np.inf, reason)
    falls = [max(0.0, np.log(likely / speed)) for speed in slowest.values()]
    rises = [max(0.0, np.log(max(speeds) / likely)) for speeds in varied.values()]
    return FlutterBand(
        low=float(likely * np.exp(-np.hypot.reduce(falls))),
        likely=float(likely),
        high=float(likely * np.exp(np.hypot.reduce(rises))),
        reason=reason,
    )


def band_after_flight(band: FlutterBand, stock_likely: float, flown_speed: float) -> FlutterBand:
    """Return the FlutterBand of a wing whose stock wing has flown at a speed without flutter.

    Parameters
    ----------
    band : FlutterBand
        Band of this wing.
    stock_likely, flown_speed : float
        Nominal flutter speed of the stock wing, and the highest speed at which it was flown. [m/s]

    Notes
    -----
    This is a judgement, for the same materials and workmanship. The speed proven on the stock wing, times the ratio of
    the two nominal speeds, is taken as proven on this wing. The band does not begin below it. Only a speed truly
    flown, with this covering, may be given.
    """
    if not (np.isfinite(stock_likely) and np.isfinite(band.likely)):
        return band
    proven = flown_speed * band.likely / stock_likely
    if proven <= band.low:
        return band
    likely, high = (float(max(speed, proven)) for speed in (band.likely, band.high))
    return FlutterBand(low=float(proven), likely=likely, high=high, reason="flown by the stock wing")


def _mean(half_chord: np.ndarray, modes: WingModes) -> float:
    return float((half_chord * modes.length).sum() / modes.length.sum())


def _eigenvalues(modes: WingModes, axis: SectionAxis, density: float, reduced_frequency: np.ndarray) -> np.ndarray:
    """Return the eigenvalues (1 + i g) / omega^2 of the elastic modes (n_k, n_elastic), not sorted."""
    full = modes.mass + air_forces(modes, axis, density, reduced_frequency)
    n = modes.n_rigid
    elastic = full[:, n:, n:]
    if n:
        elastic = elastic - full[:, n:, :n] @ np.linalg.solve(full[:, :n, :n], full[:, :n, n:])
    return np.linalg.eigvals(np.linalg.solve(modes.stiffness[n:, n:], elastic))


def _branches(eigenvalues: np.ndarray) -> np.ndarray:
    """Return the eigenvalues sorted so that each column is a smooth branch.

    Each step is assigned to the branches with the least sum of relative jumps.
    """
    ordered = eigenvalues.copy()
    for step in range(1, len(ordered)):
        before, here = ordered[step - 1], ordered[step].copy()
        if step > 1:
            before = 2 * before - ordered[step - 2]  # linear extrapolation, so that branches can cross
        jump = np.abs(np.log(here[None, :] / before[:, None]))
        ordered[step] = here[linear_sum_assignment(jump)[1]]
    return ordered


def _refined(
    modes: WingModes,
    axis: SectionAxis,
    density: float,
    damping: float,
    half_chord: float,
    near: complex,
    bounds: np.ndarray,
) -> FlutterPoint:
    """Return the flutter point between two reduced frequencies, on the eigenvalue nearest to ``near``."""

    @cache  # the search for the root asks again for both ends and for the root
    def nearest(log_k: float) -> complex:
        values = _eigenvalues(modes, axis, density, np.exp(np.array([log_k])))[0]
        return values[np.argmin(np.abs(values - near))]

    def surplus(log_k: float) -> float:
        value = nearest(log_k)
        return value.imag / value.real - damping

    high, low = np.log(bounds)
    if surplus(high) * surplus(low) > 0.0:  # two branches touch here, so take the middle of the interval
        crossing = 0.5 * (high + low)
    else:
        crossing = brentq(surplus, low, high, xtol=1e-10)
    frequency = float(nearest(crossing).real ** -0.5)
    k = float(np.exp(crossing))
    return FlutterPoint(frequency * half_chord / (k * np.cos(axis.sweep)), frequency, k)
