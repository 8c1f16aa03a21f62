"""Wind from velocity over the ground alone, when the wing flew on several headings at steady airspeed.

At constant airspeed in constant wind, the velocities over the ground are points on a circle. Its centre is the wind and
its radius the airspeed. Every stretch of flight has its own airspeed, which scatters around the common airspeed of
similar stretches. The wind may change linearly between knots in time. Wind is the velocity of the air, north and east.

The functions take measured numbers and return no slopes. In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

STRONGEST_WIND = 15.0  # prior standard deviation of the wind, a weak prior that only keeps numbers finite [m/s]
LIKELY_AIRSPEED, AIRSPEED_BAND = 15.0, 8.0  # prior mean and standard deviation of the airspeed of a small wing [m/s]
_LEAST_AIRSPEED = 4.0  # airspeed below which a fitted circle is only the noise around one heading [m/s]
_AIRSPEED_SPREAD = 0.5  # prior standard deviation of airspeed between similar stretches (judgement) [m/s]
_SPREAD_WEIGHT = 8.0  # weight of _AIRSPEED_SPREAD against the stretches of a log, as a number of stretches [-]
_DRIFT = 3.0  # prior standard deviation of the change of wind from knot to knot [m/s]
_KNOTS = (1, 2, 3, 5, 9)  # possible numbers of knots: 1 is a steady wind, 2 a linear change, more are several changes
_SHORTEST_KNOT = 240.0  # shortest time from knot to knot [s]
# Slow change of airspeed within a stretch, which more samples do not average out [m/s]
CHANGE_WITHIN_STRETCH = 0.3
_LEAST_NOISE = 0.02  # smallest noise of a sample; smaller residuals are rounding errors [m/s]
# Standard deviations at which a sample keeps half its weight [-]: Cauchy's loss, 95 % efficient on normal noise
CAUCHY_SCALE = 2.385
_ITERATIONS = 40  # limit of Gauss-Newton steps
WELL_KNOWN_WIND = 1.0  # worst standard deviation above which a wind is treated as unknown [m/s]


class WindFit(NamedTuple):
    """Wind and airspeeds fitted to the velocities over the ground, in SI units.

    ``knots`` (k,) are times [s]. ``wind`` (k, 2) is the wind at each knot, north and east, and is constant when k is 1
    [m/s]. ``covariance`` (2k, 2k) is that of ``wind.ravel()`` [m^2/s^2]. ``airspeed`` (s,) and its standard deviation
    ``airspeed_deviation`` (s,) belong to the stretches [m/s].

    ``noise`` is the standard deviation of one sample, and ``spread`` that of the airspeeds of similar stretches [m/s].
    ``correlation`` is that between the residuals of successive samples [-]. ``used`` is the number of samples [-].
    """

    knots: np.ndarray
    wind: np.ndarray
    covariance: np.ndarray
    airspeed: np.ndarray
    airspeed_deviation: np.ndarray
    noise: float
    spread: float
    correlation: float
    used: int

    @property
    def drifts(self) -> bool:
        """True when the fitted wind changes in time, by definition. [bool]"""
        return len(self.knots) > 1


def fitted_wind(time: Any, velocity: Any, stretch: Any, likeness: Any, airspeed_change: Any = None) -> WindFit:
    r"""Return the WindFit of a flight: the least-squares wind and its covariance.

    Parameters
    ----------
    time : (n,) array
        Time of each sample, rising. [s]
    velocity : (2, n) array
        Velocity over the ground, north and east. [m/s]
    stretch : (n,) array of int
        Number of the steady stretch of each sample. Every number from 0 to s - 1 occurs. [-]
    likeness : (s,) array of int
        Group of each stretch. Stretches of similar flight have the same number and nearly the same airspeed. [-]
    airspeed_change : (n,) array, optional
        Airspeed of each sample by a sensor, less the mean of its stretch. [m/s]

    Notes
    -----
    Numerics. Gauss-Newton steps with Cauchy's weights minimise the cost

    .. math:: \sum_i (|g_i - w(t_i)| - V_{s(i)})^2 / \sigma^2 + \sum_s (V_s - V_{l(s)})^2 / \tau^2

    Here g is the ground velocity of sample i and w the wind at its time t. V is the airspeed of a stretch s, or of the
    group l of that stretch. The noise sigma combines the scatter of the residuals and `CHANGE_WITHIN_STRETCH`. It is
    increased for the correlation of successive samples. The standard deviation tau starts as `_AIRSPEED_SPREAD` and is
    updated from the stretches by expectation maximisation.

    The number of knots k minimises the cost plus 2 k ln(number of stretches): the Bayesian information criterion with
    two parameters for each knot.
    """
    time, stretch = np.asarray(time, dtype=float), np.asarray(stretch)
    change = np.zeros(len(time)) if airspeed_change is None else np.asarray(airspeed_change)
    problem = _Problem(
        time,
        np.asarray(velocity, dtype=float),
        stretch,
        np.unique(np.asarray(likeness), return_inverse=True)[1],
        change,
    )
    duration = time[-1] - time[0]
    candidates: list[_Solution] = []
    for count in _KNOTS:
        if count == 1 or duration / (count - 1) >= _SHORTEST_KNOT:
            knots = np.linspace(time[0], time[-1], count) if count > 1 else np.array([time.mean()])
            start = _interpolated_start(candidates[-1], knots) if candidates else _start(problem)
            candidates.append(_solution_at(problem, knots, start, _AIRSPEED_SPREAD))
    noise = min(each.noise for each in candidates)
    scores = [
        each.cost * (each.noise / noise) ** 2 + 2 * len(each.knots) * np.log(len(problem.likeness))
        for each in candidates
    ]
    best = candidates[int(np.argmin(scores))]
    for _ in range(4):
        best = _solution_at(problem, best.knots, best.unknowns, _updated_spread(best, len(problem.likeness)))
    return _fit_of(problem, best)


def wind_at(fit: WindFit, time: Any) -> tuple[np.ndarray, np.ndarray]:
    """Return wind (2, n) and its covariance (n, 2, 2) at any time, by interpolation. [m/s, m^2/s^2]

    The wind is constant before the first and after the last knot.

    Parameters
    ----------
    fit : WindFit
    time : (n,) array
        Times at which the wind is requested. [s]
    """
    share = _shares(fit.knots, np.asarray(time, dtype=float))
    count = len(fit.knots)
    blocks = fit.covariance.reshape(count, 2, count, 2)
    return (share @ fit.wind).T, np.einsum("na,aibj,nb->nij", share, blocks, share)


def worst_deviation(covariance: np.ndarray) -> np.ndarray:
    """Return the standard deviation (...) of the wind along its least certain direction. [m/s]

    This is algebra and needs no source.

    Parameters
    ----------
    covariance : (..., 2, 2) array
        Covariance of the wind. [m^2/s^2]

    Examples
    --------
    >>> float(worst_deviation(np.diag([4.0, 1.0])))
    2.0
    """
    return np.sqrt(np.linalg.eigvalsh(covariance)[..., -1])


def speed_and_origin(wind: Any) -> tuple[Any, Any]:
    """Return wind speed (...) and the direction (...) it comes from, by definition. [m/s, rad]

    The direction is clockwise from north.

    Parameters
    ----------
    wind : (2, ...) array
        Velocity of the air, north and east. [m/s]
    """
    north, east = wind
    return np.hypot(north, east), np.arctan2(-east, -north) % (2 * np.pi)


def speed_and_origin_deviation(wind: Any, covariance: np.ndarray) -> tuple[float, float]:
    """Return the standard deviations of wind speed and of the direction it comes from. [m/s, rad]

    This is algebra to first order. The second result would grow without bound as the wind tends to zero. It is limited
    to half a turn.

    Parameters
    ----------
    wind : (2,) array
        Velocity of the air, north and east. [m/s]
    covariance : (2, 2) array
        Covariance of the wind. [m^2/s^2]
    """
    speed = float(np.hypot(*wind))
    along = np.asarray(wind) / speed if speed > 0 else np.array([1.0, 0.0])
    across = np.array([-along[1], along[0]])
    return (
        float(np.sqrt(along @ covariance @ along)),
        min(float(np.sqrt(across @ covariance @ across)) / max(speed, 1e-9), np.pi),
    )


class _Problem(NamedTuple):
    """Samples of a flight. Fields are the arguments of ``fitted_wind``."""

    time: np.ndarray
    velocity: np.ndarray
    stretch: np.ndarray
    likeness: np.ndarray
    change: np.ndarray


class _Solution(NamedTuple):
    """Least-squares solution for given knots. Fields without a comment mean the same as in WindFit."""

    knots: np.ndarray
    unknowns: np.ndarray  # wind at the knots (2k), airspeed of each group, difference of each stretch from its group
    inverse: np.ndarray  # covariance of the unknowns
    noise: float
    spread: float
    correlation: float
    cost: float


def _shares(knots: np.ndarray, time: np.ndarray) -> np.ndarray:
    """Return the weight (n, k) of each knot at each time, linear between knots. [-]"""
    return np.stack([np.interp(time, knots, row) for row in np.eye(len(knots))], axis=-1)


def _start(problem: _Problem) -> np.ndarray:
    """Return first estimates of the unknowns: of still air, or of a circle fitted to the velocities if better. [m/s]"""
    north, east = problem.velocity
    rows = np.stack([2 * north, 2 * east, np.ones_like(north)], axis=1)
    centre = np.linalg.lstsq(rows, north**2 + east**2, rcond=None)[0][:2]
    group = problem.likeness[problem.stretch]

    def from_wind(wind: np.ndarray) -> tuple[float, np.ndarray, float]:
        """Return the sum of squared residuals, the unknowns and the mean airspeed for a wind."""
        radius = np.hypot(*(problem.velocity - wind[:, None])) - problem.change
        mean = np.bincount(group, weights=radius) / np.bincount(group)
        misfit = float(np.sum((radius - mean[group]) ** 2))
        return misfit, np.concatenate([wind, mean, np.zeros(len(problem.likeness))]), float(np.mean(radius))

    still_misfit, still, _ = from_wind(np.zeros(2))
    circle_misfit, circle, airspeed = from_wind(centre)
    plausible = np.hypot(*centre) <= 2 * STRONGEST_WIND and airspeed >= _LEAST_AIRSPEED
    return circle if plausible and circle_misfit < still_misfit else still


def _interpolated_start(solution: _Solution, knots: np.ndarray) -> np.ndarray:
    """Return the unknowns of a solution with its wind interpolated at other knots. [m/s]"""
    wind = solution.unknowns[: 2 * len(solution.knots)].reshape(-1, 2)
    return np.concatenate(
        [(_shares(solution.knots, knots) @ wind).ravel(), solution.unknowns[2 * len(solution.knots) :]]
    )


def _prior_rows(problem: _Problem, knots: np.ndarray, spread: float, count: int) -> tuple[np.ndarray, np.ndarray]:
    """Return rows (m, count) and targets (m,) of the prior, each divided by its standard deviation. [s/m, -]

    The prior is that rows @ unknowns equals the targets.
    """
    blocks, groups = 2 * len(knots), problem.likeness.max() + 1
    mean = np.zeros((2, count))
    change = np.zeros((blocks - 2, count))
    for axis in range(2):
        mean[axis, axis:blocks:2] = 1 / (len(knots) * STRONGEST_WIND)
    for row in range(blocks - 2):
        change[row, row], change[row, row + 2] = -1 / _DRIFT, 1 / _DRIFT
    alike = np.zeros((len(problem.likeness), count))
    alike[:, blocks + groups :] = np.eye(len(problem.likeness)) / spread
    airspeed = np.zeros((groups, count))
    airspeed[:, blocks : blocks + groups] = np.eye(groups) / AIRSPEED_BAND
    rows = np.concatenate([mean, change, alike, airspeed])
    target = np.zeros(len(rows))
    target[len(rows) - groups :] = LIKELY_AIRSPEED / AIRSPEED_BAND
    return rows, target


def _residual(problem: _Problem, share: np.ndarray, unknowns: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return residuals (n,) and unit vectors (2, n) in the direction of flight through the air. [m/s, -]"""
    blocks, groups = 2 * share.shape[1], problem.likeness.max() + 1
    relative = problem.velocity - (share @ unknowns[:blocks].reshape(-1, 2)).T
    speed = np.maximum(np.hypot(*relative), 1e-6)
    alike = unknowns[blocks : blocks + groups][problem.likeness]
    own = (alike + unknowns[blocks + groups :])[problem.stretch]
    return speed - own - problem.change, relative / speed


def _normal(
    problem: _Problem, share: np.ndarray, direction: np.ndarray, weight: np.ndarray, residual: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Return the normal matrix and the gradient of the weighted sum of squares.

    The residual of a sample depends on the wind at the knots, on one group and on one stretch. The slopes along the
    last two are -1. So the matrix is assembled from sums over stretches, and long logs take little more time than
    short ones.
    """
    count = len(problem.likeness)
    slopes = (
        -(direction[:, :, None] * share[None]).transpose(1, 2, 0).reshape(len(share), -1)
    )  # (n, 2k), rows of the knots
    weighted = slopes * weight[:, None]
    by_wind = np.stack([np.bincount(problem.stretch, column, count) for column in weighted.T], axis=1)  # (s, 2k)
    own = np.diag(np.bincount(problem.stretch, weight, count))
    pull = np.bincount(problem.stretch, weight * residual, count)
    alike = np.eye(problem.likeness.max() + 1)[:, problem.likeness]  # (l, s)
    normal = np.block(
        [
            [weighted.T @ slopes, -(alike @ by_wind).T, -by_wind.T],
            [-alike @ by_wind, alike @ own @ alike.T, alike @ own],
            [-by_wind, own @ alike.T, own],
        ]
    )
    return normal, np.concatenate([weighted.T @ residual, -alike @ pull, -pull])


def _solution_at(problem: _Problem, knots: np.ndarray, unknowns: np.ndarray, spread: float) -> _Solution:
    """Return the solution for given knots and ``spread``. The noise is updated in every iteration."""
    share = _shares(knots, problem.time)
    rows, target = _prior_rows(problem, knots, spread, len(unknowns))
    prior = rows.T @ rows
    for _ in range(_ITERATIONS):
        residual, direction = _residual(problem, share, unknowns)
        noise, correlation = _noise(problem, residual)
        scale = np.hypot(noise, CHANGE_WITHIN_STRETCH)
        weight = 1 / (1 + (residual / (CAUCHY_SCALE * scale)) ** 2)
        weight *= (1 - correlation) / (1 + correlation) / scale**2
        normal, gradient = _normal(problem, share, direction, weight, residual)
        normal += prior
        step = np.linalg.solve(normal, gradient + prior @ unknowns - rows.T @ target)
        unknowns = unknowns - step
        if np.max(np.abs(step)) < 1e-6:
            break
    residual, _ = _residual(problem, share, unknowns)
    cost = float(np.sum(weight * residual**2) + np.sum((rows @ unknowns - target) ** 2))
    return _Solution(
        knots=knots,
        unknowns=unknowns,
        inverse=np.linalg.inv(normal),
        noise=noise,
        spread=spread,
        correlation=correlation,
        cost=cost,
    )


def _noise(problem: _Problem, residual: np.ndarray) -> tuple[float, float]:
    """Return the standard deviation of residuals, and the correlation of successive ones in a stretch. [m/s, -]"""
    usual = 1.4826 * float(np.median(np.abs(residual)))
    kept = np.clip(residual, -CAUCHY_SCALE * usual - _LEAST_NOISE, CAUCHY_SCALE * usual + _LEAST_NOISE)
    spent = len(problem.likeness) + 2  # fitted numbers: an airspeed for each stretch, and the two parts of the wind
    noise = np.sqrt(np.sum(kept**2) / max(len(kept) - spent, 1))
    same = problem.stretch[1:] == problem.stretch[:-1]
    product = float(np.mean(kept[1:][same] * kept[:-1][same])) if same.any() else 0.0
    # The mean of each stretch is removed, which gives a false negative correlation in short stretches.
    correlation = float(np.clip(product / max(np.mean(kept**2), 1e-12), 0.0, 0.9))
    return max(float(noise), _LEAST_NOISE), correlation


def _updated_spread(solution: _Solution, stretches: int) -> float:
    """Return the standard deviation of airspeed between similar stretches, with the weighted prior. [m/s]"""
    first = len(solution.unknowns) - stretches
    squares = solution.unknowns[first:] ** 2 + np.diag(solution.inverse)[first:]
    return float(np.sqrt((_SPREAD_WEIGHT * _AIRSPEED_SPREAD**2 + np.sum(squares)) / (_SPREAD_WEIGHT + stretches)))


def _fit_of(problem: _Problem, solution: _Solution) -> WindFit:
    blocks, stretches = 2 * len(solution.knots), len(problem.likeness)
    own = np.arange(len(solution.unknowns) - stretches, len(solution.unknowns))
    alike = blocks + problem.likeness
    covariance = solution.inverse
    variance = covariance[alike, alike] + covariance[own, own] + 2 * covariance[alike, own]
    return WindFit(
        knots=solution.knots,
        wind=solution.unknowns[:blocks].reshape(-1, 2),
        covariance=covariance[:blocks, :blocks],
        airspeed=solution.unknowns[alike] + solution.unknowns[own],
        airspeed_deviation=np.sqrt(np.maximum(variance, 0.0)),
        noise=solution.noise,
        spread=solution.spread,
        correlation=solution.correlation,
        used=len(problem.time),
    )
