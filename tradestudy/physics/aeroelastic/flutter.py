"""Flutter of a swept wing by strip theory: Theodorsen's oscillating section on the modes of ``vibration``.

Cautions for the reader of the numbers: an estimate with a wide band, never a clearance. It leaves out free play, elevon
flutter, fin loads, stall and tip loss. A new wing is flown faster only in small steps, at height, and the first buzz
ends the flight. For the report only: one wing at a time, no slopes for a search.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
from scipy.optimize import brentq, linear_sum_assignment
from scipy.special import hankel2

from .vibration import WingModes

_REDUCED_FREQUENCIES = np.geomspace(4.0, 0.01, 180)  # fast to slow, range of the search for flutter [-]


class FlutterPoint(NamedTuple):
    """State at which an oscillation neither grows nor decays; ``speed`` is inf where there is none."""

    speed: float  # true airspeed [m/s]
    frequency: float  # [rad/s]
    reduced_frequency: float  # of the mean half chord and the speed square to the axis [-]


class FlutterBand(NamedTuple):
    """Flutter speeds; inf where there is none. [m/s]"""

    low: float
    likely: float
    high: float
    reason: str  # the assumption with the largest effect on the low end [words]


class SectionAxis(NamedTuple):
    """Sections along the axis of the beam; fields (n_point,) or float, lengths square to the axis."""

    half_chord: float | np.ndarray  # [m]
    axis_place: float | np.ndarray  # elastic axis behind mid-chord over half chord, -1 nose to 1 tail [-]
    sweep: float = 0.0  # of the axis, tip aft [rad]
    lift_share: float | np.ndarray = 1.0  # of the lift slope 2 pi that the tips leave to a section [-]


def theodorsen(reduced_frequency: float | np.ndarray) -> np.ndarray:
    """Return Theodorsen's complex lift function C(k) (...). [-]

    ``reduced_frequency`` k = omega b / V (...), above zero [-]. C = H1/(H1 + i H0) with Hankel functions of the second
    kind: T. Theodorsen, NACA Report 496 (1935).

    >>> complex(theodorsen(0.5).round(3))
    (0.598-0.151j)
    """
    k = np.asarray(reduced_frequency, float)
    first = hankel2(1, k)
    return first / (first + 1j * hankel2(0, k))


def air_forces(modes: WingModes, axis: SectionAxis, density: float, reduced_frequency: np.ndarray) -> np.ndarray:
    r"""Return the generalised air forces of a steady oscillation, over the square of its frequency.

    Parameters
    ----------
    modes : WingModes
    axis : SectionAxis
        Sections square to the axis.
    density : float
        Of the air. [kg/m^3]
    reduced_frequency : (n_k,) array
        Of the mean half chord and the speed square to the axis; each strip takes its own. [-]

    Returns
    -------
    air_forces : (n_k, n_mode, n_mode) complex array
        Force on mode i for unit amplitude of mode j, divided by omega squared. [kg] and so on by mode

    Notes
    -----
    D = d/dt + V sin(sweep) d/ds, w is the rise, b a the place of the axis behind mid-chord. The upwash is W(n) =
    V_n theta - D w + n D theta at n behind the axis, and

    .. math:: L &= \pi\rho b^2 \dot W_{mid} + 2\pi\rho V_n b C(k) W_{3/4}

              M &= a b L + \pi\rho V_n b^2 [C(k) W_{3/4} - \tfrac{b}{2} D\theta] - \tfrac{\pi}{8}\rho b^4 \dot{D\theta}

    which is Theodorsen (NACA Report 496) without sweep and, with it, the strip method of Barmby, Cunningham and
    Garrick (NACA Report 1014, 1951; form from memory). A share of the lift slope below one scales the circulatory
    lift, as in modified strip methods; the full slope, no tip loss, is on the safe side.
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


def flutter_point(modes: WingModes, axis: SectionAxis, density: float, structural_damping: float = 0.0) -> FlutterPoint:
    r"""Return the FlutterPoint of lowest speed.

    Parameters
    ----------
    modes : WingModes
        Clamped or free.
    axis : SectionAxis
        Sections square to the axis.
    density : float
        Of the air. [kg/m^3]
    structural_damping : float
        Loss factor of foam, film and glue. [-]

    Notes
    -----
    k-method: for each reduced frequency the eigenvalues of K^-1 (M + A(k)) are (1 + i g)/omega^2. Here g is the
    structural damping that would just keep the oscillation constant. Flutter is where a branch's g rises through the
    true damping. Plunge and pitch are eliminated first (they have no stiffness of their own), which is exact on the
    flutter boundary. Flutter without elastic deformation, an instability of the rigid aircraft, is left out.
    Method: any text on aeroelasticity.
    """
    half_chord = _mean(np.asarray(axis.half_chord) * np.ones_like(modes.length), modes)
    branches = _branches(_eigenvalues(modes, axis, density, _REDUCED_FREQUENCIES))
    surplus = np.where(branches.real > 0.0, branches.imag / branches.real, np.nan) - structural_damping
    points = [FlutterPoint(np.inf, np.nan, np.nan)]
    for step, branch in zip(*np.nonzero((surplus[:-1] <= 0.0) & (surplus[1:] > 0.0)), strict=True):
        near = 0.5 * (branches[step, branch] + branches[step + 1, branch])
        bounds = _REDUCED_FREQUENCIES[step : step + 2]
        points.append(_refined(modes, axis, density, structural_damping, half_chord, near, bounds))
    return min(points, key=lambda point: point.speed)


def flutter_band(likely: float, varied: Mapping[str, Sequence[float]]) -> FlutterBand:
    """Return the FlutterBand about a likely flutter speed when one assumption after the other is changed.

    Parameters
    ----------
    likely : float
        inf where there is none. [m/s]
    varied : mapping of str to sequence of float
        By assumption, the speeds for its other values, nothing else changed. [m/s]

    Notes
    -----
    Assumptions are independent (judgement), so the ratios of speeds add as the root of squares: falls for the low end
    and rises for the high end. All of them at their worst at once is less likely than the band is meant to cover.
    Without a likely speed the slowest of the changed ones is the low end. The reason is the assumption with the slowest
    speed.
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
        Of this wing.
    stock_likely, flown_speed : float
        Likely flutter speed of the stock wing, and the highest speed at which it was flown. [m/s]

    Notes
    -----
    Judgement: with the same materials and workmanship the speed proven on the stock wing holds on this one in the ratio
    of their likely speeds. The band ends there. Only a speed truly flown, with this covering, may be given.
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
    """(1 + i g)/omega^2 of the elastic modes (n_k, n_elastic), unordered."""
    full = modes.mass + air_forces(modes, axis, density, reduced_frequency)
    n = modes.n_rigid
    elastic = full[:, n:, n:]
    if n:
        elastic = elastic - full[:, n:, :n] @ np.linalg.solve(full[:, :n, :n], full[:, :n, n:])
    return np.linalg.eigvals(np.linalg.solve(modes.stiffness[n:, n:], elastic))


def _branches(eigenvalues: np.ndarray) -> np.ndarray:
    """Order eigenvalues so that each column moves on smoothly: least sum of relative jumps, step by step."""
    ordered = eigenvalues.copy()
    for step in range(1, len(ordered)):
        before, here = ordered[step - 1], ordered[step].copy()
        if step > 1:
            before = 2 * before - ordered[step - 2]  # extrapolated linearly, so that crossings cross
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
    """The crossing between two reduced frequencies, on the eigenvalue nearest to ``near``."""

    def nearest(log_k: float) -> complex:
        values = _eigenvalues(modes, axis, density, np.exp(np.array([log_k])))[0]
        return values[np.argmin(np.abs(values - near))]

    def surplus(log_k: float) -> float:
        value = nearest(log_k)
        return value.imag / value.real - damping

    high, low = np.log(bounds)
    if surplus(high) * surplus(low) > 0.0:  # two branches touch here: only the grid's own resolution is left
        crossing = 0.5 * (high + low)
    else:
        crossing = brentq(surplus, low, high, xtol=1e-10)
    frequency = float(nearest(crossing).real ** -0.5)
    k = float(np.exp(crossing))
    return FlutterPoint(frequency * half_chord / (k * np.cos(axis.sweep)), frequency, k)
