"""Flutter of a swept wing by strip theory: Theodorsen's oscillating section on the modes of ``vibration``.

Cautions for whoever reads the numbers: an estimate with a wide band, never a clearance. It knows no free play,
no elevon flutter, no fin loads, no stall, no tip loss. A new wing is flown faster only in small steps, at height,
and the first buzz ends the flight. For the report only: one wing at a time, no slopes for a search.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from scipy.optimize import brentq, linear_sum_assignment
from scipy.special import hankel2

_REDUCED_FREQUENCIES = np.geomspace(4.0, 0.01, 180)  # fast to slow, where the search for flutter looks [-]


class FlutterPoint(NamedTuple):
    """Where an oscillation neither grows nor dies; ``speed`` is inf where none was found."""

    speed: float  # true airspeed [m/s]
    frequency: float  # [rad/s]
    reduced_frequency: float  # of the mean half chord and the speed square to the axis [-]


class FlutterBand(NamedTuple):
    """Flutter speeds; inf where none was found. [m/s]"""

    low: float
    likely: float
    high: float
    reason: str  # the assumption that the low end hangs on most [words]


class SectionAxis(NamedTuple):
    """Where air meets the beam; fields (n_point,) or float, lengths square to the axis."""

    half_chord: Any  # [m]
    axis_place: Any  # elastic axis behind mid-chord over half chord, -1 nose to 1 tail [-]
    sweep: float = 0.0  # of the axis, tip aft [rad]
    lift_share: Any = 1.0  # of the lift slope 2 pi that the tips leave to a section [-]


def theodorsen(reduced_frequency):
    """Return Theodorsen's complex lift function C(k) (...). [-]

    From k = omega b / V (...), above zero. [-] C = H1/(H1 + i H0) with Hankel functions of the second kind:
    T. Theodorsen, NACA Report 496 (1935).
    """
    k = np.asarray(reduced_frequency, float)
    first = hankel2(1, k)
    return first / (first + 1j * hankel2(0, k))


def air_forces(motion, axis, density, reduced_frequency):
    r"""Return the generalised air forces of a steady oscillation, over the square of its frequency.

    Parameters
    ----------
    motion : WingMotion
        Shapes of motion.
    axis : SectionAxis
        Sections square to the axis.
    density : float
        [kg/m^3]
    reduced_frequency : (n_k,) array
        Of the mean half chord and the speed square to the axis; each strip takes its own. [-]

    Returns
    -------
    air_forces : (n_k, n_mode, n_mode) complex array
        Force on mode i for unit motion of mode j, divided by omega squared. [kg] and so on by mode

    Notes
    -----
    With D = d/dt + V sin(sweep) d/ds, w the rise and b a the axis behind mid-chord, the upwash is W(n) =
    V_n theta - D w + n D theta at n behind the axis, and

    .. math:: L &= \pi\rho b^2 \dot W_{mid} + 2\pi\rho V_n b C(k) W_{3/4}

              M &= a b L + \pi\rho V_n b^2 [C(k) W_{3/4} - \tfrac{b}{2} D\theta] - \tfrac{\pi}{8}\rho b^4 \dot{D\theta}

    which is Theodorsen (NACA Report 496) without sweep and, with it, the strip method of Barmby, Cunningham and
    Garrick (NACA Report 1014, 1951; form from memory). A share of the lift slope below one scales the circulatory
    lift, as modified strip methods do; the full slope, no tip loss, errs to the safe side.
    """
    k = np.atleast_1d(np.asarray(reduced_frequency, float))
    ones = np.ones_like(motion.length)
    b, a = (np.asarray(value) * ones for value in (axis.half_chord, axis.axis_place))
    rate = (k / _mean(b, motion))[:, None, None]  # omega / V_n [1/m]
    aside = np.tan(axis.sweep) / rate
    b, a, length = b[:, None], a[:, None], motion.length[:, None]
    heave = 1j * motion.rise + aside * motion.slope
    turn = 1j * motion.twist + aside * motion.twist_slope
    still = motion.twist / rate - heave
    middle, three_quarter = still - a * b * turn, still + b * (0.5 - a) * turn
    lagged = np.reshape(axis.lift_share, (-1, 1)) * theodorsen(rate * b) * three_quarter
    lift = np.pi * density * b * (1j * b * middle + 2.0 / rate * lagged)
    moment = a * b * lift + np.pi * density * b**2 * ((lagged - 0.5 * b * turn) / rate - 0.125j * b**2 * turn)
    return motion.rise.T @ (length * lift) + motion.twist.T @ (length * moment)


def flutter_point(motion, axis, density, structural_damping=0.0):
    r"""Return the FlutterPoint of lowest speed.

    Parameters
    ----------
    motion : WingMotion
        Clamped or free, from ``vibration``.
    axis : SectionAxis
        Sections square to the axis.
    density : float
        [kg/m^3]
    structural_damping : float
        Loss factor of foam, film and glue. [-]

    Notes
    -----
    k-method: for each reduced frequency the eigenvalues of K^-1 (M + A(k)) are (1 + i g)/omega^2, with g the
    structural damping that would just hold the oscillation. Flutter is where a branch's g rises through the damping
    that is there. Plunge and pitch are eliminated first (they have no stiffness of their own), which is exact on the
    flutter boundary. A flutter in which nothing bends, the aircraft's own swaying, is not looked for here.
    """
    half_chord = _mean(np.asarray(axis.half_chord) * np.ones_like(motion.length), motion)
    branches = _branches(_eigenvalues(motion, axis, density, _REDUCED_FREQUENCIES))
    surplus = np.where(branches.real > 0.0, branches.imag / branches.real, np.nan) - structural_damping
    found = [FlutterPoint(np.inf, np.nan, np.nan)]
    for step, branch in zip(*np.nonzero((surplus[:-1] <= 0.0) & (surplus[1:] > 0.0)), strict=True):
        near = 0.5 * (branches[step, branch] + branches[step + 1, branch])
        found.append(
            _refined(motion, axis, density, structural_damping, half_chord, near, _REDUCED_FREQUENCIES[step : step + 2])
        )
    return min(found, key=lambda point: point.speed)


def divergence_speed(clamped, axis, density):
    """Return the lowest speed at which a clamped wing twists off by strips; inf where there is none. [m/s]

    ``clamped`` is a WingMotion, ``axis`` a SectionAxis, density [kg/m^3]. Steady lift at the quarter chord;
    for a wing with tip loss see the lattice. Its worth here is as a check of shapes and stiffness.
    """
    b, a = (np.asarray(value) * np.ones_like(clamped.length) for value in (axis.half_chord, axis.axis_place))
    incidence = clamped.twist - np.tan(axis.sweep) * clamped.slope
    slope = 2 * np.pi * np.asarray(axis.lift_share)
    lift = (slope * density * np.cos(axis.sweep) ** 2 * b * clamped.length)[:, None] * incidence
    force = clamped.rise.T @ lift + clamped.twist.T @ ((b * (a + 0.5))[:, None] * lift)
    inverse = np.linalg.eigvals(np.linalg.solve(clamped.stiffness, force))
    real = inverse.real[(np.abs(inverse.imag) < 1e-9 * np.abs(inverse)) & (inverse.real > 0.0)]
    return float(1.0 / np.sqrt(real.max())) if real.size else np.inf


def flutter_band(likely, varied):
    """Return the FlutterBand about a likely flutter speed when one assumption after the other is changed.

    Parameters
    ----------
    likely : float
        inf where none was found. [m/s]
    varied : dict of str to sequence of float
        By assumption, the speeds for its other values, nothing else changed. [m/s]

    Notes
    -----
    Assumptions are independent, so the ratios of speeds add as the root of squares, falls for the low end and rises
    for the high end; all of them at their worst at once is less likely than the band means to tell. Without a likely
    speed the slowest of the changed ones is the low end. The reason is the assumption with the slowest speed.
    """
    slowest = {name: min(speeds) for name, speeds in varied.items()}
    reason = min(slowest, key=lambda name: slowest[name])
    if not np.isfinite(likely):
        return FlutterBand(float(slowest[reason]), np.inf, np.inf, reason)
    falls = [max(0.0, np.log(likely / speed)) for speed in slowest.values()]
    rises = [max(0.0, np.log(max(speeds) / likely)) for speeds in varied.values()]
    return FlutterBand(
        float(likely * np.exp(-np.hypot.reduce(falls))),
        float(likely),
        float(likely * np.exp(np.hypot.reduce(rises))),
        reason,
    )


def band_after_flight(band, stock_likely, flown_speed):
    """Return the FlutterBand of a wing, given that its stock wing has flown at a speed without flutter.

    Parameters
    ----------
    band : FlutterBand
        Of this wing.
    stock_likely, flown_speed : float
        Likely flutter speed of the stock wing, and the speed it has been seen to fly. [m/s]

    Notes
    -----
    What held on the stock wing holds on this one in the ratio of their likely speeds, materials and workmanship
    being the same: nothing below that is left in the band. Only a speed truly flown, with this covering, may be given.
    """
    if not (np.isfinite(stock_likely) and np.isfinite(band.likely)):
        return band
    proven = flown_speed * band.likely / stock_likely
    if proven <= band.low:
        return band
    return FlutterBand(
        float(proven), float(max(band.likely, proven)), float(max(band.high, proven)), "flown by the stock wing"
    )


def _mean(half_chord, motion):
    return float((half_chord * motion.length).sum() / motion.length.sum())


def _eigenvalues(motion, axis, density, reduced_frequency):
    """(1 + i g)/omega^2 of the elastic modes (n_k, n_elastic), unordered."""
    whole = motion.mass + air_forces(motion, axis, density, reduced_frequency)
    n = motion.n_rigid
    elastic = whole[:, n:, n:]
    if n:
        elastic = elastic - whole[:, n:, :n] @ np.linalg.solve(whole[:, :n, :n], whole[:, :n, n:])
    return np.linalg.eigvals(np.linalg.solve(motion.stiffness[n:, n:], elastic))


def _branches(eigenvalues):
    """Order eigenvalues so that each column moves on smoothly: least sum of relative jumps, step by step."""
    ordered = eigenvalues.copy()
    for step in range(1, len(ordered)):
        before, here = ordered[step - 1], ordered[step].copy()
        if step > 1:
            before = 2 * before - ordered[step - 2]  # carried on in a straight line, so that crossings cross
        jump = np.abs(np.log(here[None, :] / before[:, None]))
        ordered[step] = here[linear_sum_assignment(jump)[1]]
    return ordered


def _refined(motion, axis, density, damping, half_chord, near, bounds):
    """Close in on one crossing between two reduced frequencies, following the eigenvalue nearest to ``near``."""

    def nearest(log_k):
        values = _eigenvalues(motion, axis, density, np.exp([log_k]))[0]
        return values[np.argmin(np.abs(values - near))]

    def surplus(log_k):
        value = nearest(log_k)
        return value.imag / value.real - damping

    high, low = np.log(bounds)
    if surplus(high) * surplus(low) > 0.0:  # two branches touch here: the grid's own answer is all there is
        crossing = 0.5 * (high + low)
    else:
        crossing = brentq(surplus, low, high, xtol=1e-10)
    frequency = float(nearest(crossing).real ** -0.5)
    k = float(np.exp(crossing))
    return FlutterPoint(frequency * half_chord / (k * np.cos(axis.sweep)), frequency, k)
