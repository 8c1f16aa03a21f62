"""Wind from velocity over the ground alone, when the wing flew several headings at steady airspeed.

At one airspeed in one wind the velocities over the ground lie on a circle: its centre is the wind, its radius the
airspeed. Every stretch of flight has an airspeed of its own, drawn around one that stretches flown alike share; the
wind may drift along straight lines between knots in time. Wind here is the velocity of the air, north and east.

These functions look at measured numbers; they carry no slopes.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

STRONGEST_WIND = (
    15.0  # m/s, standard deviation of the wind before anything is known: weak, it only keeps numbers finite
)
LIKELY_AIRSPEED, AIRSPEED_BAND = 15.0, 8.0  # m/s, of a small wing before anything is known, and its deviation
_LEAST_AIRSPEED = 4.0  # m/s; below, a "circle" is the noise around one heading
_AIRSPEED_SPREAD = 0.5  # m/s by which stretches flown alike differ in airspeed (judgement), learnt from long logs
_SPREAD_WEIGHT = 8.0  # stretches that the number above counts for
_DRIFT = 3.0  # m/s, standard deviation of the change of wind from knot to knot before anything is known
_KNOTS = (1, 2, 3, 5, 9)  # of the wind in time: steady, one straight drift, or more
_SHORTEST_KNOT = 240.0  # s from knot to knot at least
CHANGE_WITHIN_STRETCH = (
    0.3  # m/s by which airspeed changes within a stretch: slowly, so that more samples do not average it out
)
_LEAST_NOISE = 0.02  # m/s, below which residuals are rounding
CAUCHY_SCALE = 2.385  # scatters at which a sample keeps half its weight (Cauchy's loss, 95 % efficient on normal noise)
_ITERATIONS = 40
WELL_KNOWN_WIND = 1.0  # m/s: a wind whose worst standard deviation is larger is called unknown


class WindFit(NamedTuple):
    """Wind and airspeeds that explain the ground velocities. SI.

    ``knots`` (k,) [s]; ``wind`` (k, 2) north and east at each, constant when k is 1 [m/s]; ``covariance`` (2k, 2k) of
    its rows one after the other [m2/s2]; ``airspeed`` and ``airspeed_deviation`` (s,) of each stretch [m/s]; ``noise``
    of one sample and ``spread`` of stretches flown alike [m/s]; ``correlation`` of a sample's residual with the next
    [-]; ``used`` samples [-].
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
        """True when the log shows the wind changing."""
        return len(self.knots) > 1


def fitted_wind(time, velocity, stretch, likeness, airspeed_change=None):
    r"""Return the least-squares wind of a flight and its covariance: WindFit.

    Parameters
    ----------
    time : (n,) array
        Of each sample, rising. [s]
    velocity : (2, n) array
        North and east over the ground. [m/s]
    stretch : (n,) array of int
        Which steady stretch each sample belongs to, 0 to s - 1; every one occurs. [-]
    likeness : (s,) array of int
        Stretches with the same number were flown alike and share an airspeed but for the spread. [-]
    airspeed_change : (n,) array, optional
        How much each sample's airspeed lies above its stretch's mean, by a sensor. [m/s]

    Notes
    -----
    Minimises, by Gauss-Newton steps with Cauchy's weights,

    .. math:: \sum_i (|g_i - w(t_i)| - V_{s(i)})^2 / \sigma^2 + \sum_s (V_s - V_{l(s)})^2 / \tau^2

    for ground velocities g, wind w, airspeeds V. sigma comes from the residuals and `WITHIN`, widened for the
    correlation of neighbours; tau starts as `AIRSPEED_SPREAD` and is learnt from the stretches (expectation and
    maximisation). The number of knots is the one with the smallest cost plus, for each knot, two parameters times the
    logarithm of the number of stretches (Bayesian information criterion).
    """
    time, stretch = np.asarray(time, dtype=float), np.asarray(stretch)
    change = np.zeros(len(time)) if airspeed_change is None else np.asarray(airspeed_change)
    problem = _Problem(time, np.asarray(velocity, dtype=float), stretch, _numbered(likeness), change)
    lasted = time[-1] - time[0]
    tried = []
    for count in _KNOTS:
        if count == 1 or lasted / (count - 1) >= _SHORTEST_KNOT:
            knots = np.linspace(time[0], time[-1], count) if count > 1 else np.array([time.mean()])
            start = _start(problem) if not tried else _spread_over(tried[-1], knots)
            tried.append(_solution_at(problem, knots, start, _AIRSPEED_SPREAD))
    noise = min(found.noise for found in tried)
    scores = [
        found.cost * (found.noise / noise) ** 2 + 2 * len(found.knots) * np.log(len(problem.likeness))
        for found in tried
    ]
    best = tried[int(np.argmin(scores))]
    for _ in range(4):
        best = _solution_at(problem, best.knots, best.unknowns, _learnt_spread(best, len(problem.likeness)))
    return _fit_of(problem, best)


def wind_at(fit, time):
    """Return wind (2, n) and its covariance (n, 2, 2) at any time; constant before the first and after the last knot.
    [m/s, m2/s2]

    Parameters
    ----------
    fit : WindFit
    time : (n,) array
        [s]
    """
    share = _shares(fit.knots, np.asarray(time, dtype=float))
    count = len(fit.knots)
    blocks = fit.covariance.reshape(count, 2, count, 2)
    return (share @ fit.wind).T, np.einsum("na,aibj,nb->nij", share, blocks, share)


def worst_deviation(covariance):
    """Return the standard deviation (...) of the wind along the direction in which it is known worst. [m/s]

    Parameters
    ----------
    covariance : (..., 2, 2) array
        [m2/s2]
    """
    return np.sqrt(np.linalg.eigvalsh(covariance)[..., -1])


def speed_and_origin(wind):
    """Return wind speed (...) and where it blows from (...), clockwise from north. [m/s, rad]

    Parameters
    ----------
    wind : (2, ...) array
        Velocity of the air, north and east. [m/s]
    """
    north, east = wind
    return np.hypot(north, east), np.arctan2(-east, -north) % (2 * np.pi)


def speed_and_origin_deviation(wind, covariance):
    """Return the standard deviations of wind speed and of where it comes from, to first order. [m/s, rad]

    The second grows past any bound as the wind falls to nothing; half a turn is the most it says.

    Parameters
    ----------
    wind : (2,) array
        [m/s]
    covariance : (2, 2) array
        [m2/s2]
    """
    speed = float(np.hypot(*wind))
    along = np.asarray(wind) / speed if speed > 0 else np.array([1.0, 0.0])
    across = np.array([-along[1], along[0]])
    return (
        float(np.sqrt(along @ covariance @ along)),
        min(float(np.sqrt(across @ covariance @ across)) / max(speed, 1e-9), np.pi),
    )


class _Problem(NamedTuple):
    time: np.ndarray
    velocity: np.ndarray
    stretch: np.ndarray
    likeness: np.ndarray
    change: np.ndarray


class _Solution(NamedTuple):
    knots: np.ndarray
    unknowns: np.ndarray  # wind by knots (2k), airspeed of each likeness, deviation of each stretch
    inverse: np.ndarray  # covariance of the unknowns
    noise: float
    spread: float
    correlation: float
    cost: float


def _numbered(likeness):
    return np.unique(np.asarray(likeness), return_inverse=True)[1]


def _shares(knots, time):
    """Return the weight (n, k) of each knot at each time: hats of straight lines. [-]"""
    return np.stack([np.interp(time, knots, row) for row in np.eye(len(knots))], axis=-1)


def _start(problem):
    """Return unknowns to start from: the circle that fits best in the algebraic sense, or still air. [m/s]"""
    north, east = problem.velocity
    rows = np.stack([2 * north, 2 * east, np.ones_like(north)], axis=1)
    centre = np.linalg.lstsq(rows, north**2 + east**2, rcond=None)[0][:2]
    best = None
    for wind in (np.zeros(2), centre):
        radius = np.hypot(*(problem.velocity - wind[:, None])) - problem.change
        if best is not None and (np.hypot(*wind) > 2 * STRONGEST_WIND or np.mean(radius) < _LEAST_AIRSPEED):
            continue
        group = problem.likeness[problem.stretch]
        mean = np.bincount(group, weights=radius) / np.bincount(group)
        misfit = float(np.sum((radius - mean[group]) ** 2))
        if best is None or misfit < best[0]:
            best = misfit, np.concatenate([wind, mean, np.zeros(len(problem.likeness))])
    return best[1]


def _spread_over(solution, knots):
    """Return a solution's unknowns with its wind read off at other knots. [m/s]"""
    wind = solution.unknowns[: 2 * len(solution.knots)].reshape(-1, 2)
    return np.concatenate(
        [(_shares(solution.knots, knots) @ wind).ravel(), solution.unknowns[2 * len(solution.knots) :]]
    )


def _prior_rows(problem, knots, spread, count):
    """Return rows (m, count) and what they should come to (m,): what is likely before any measurement.

    Each is divided by its deviation. [s/m, -]
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


def _residual(problem, share, unknowns):
    """Return residuals (n,) and the unit vectors (2, n) of the air's way past the wing. [m/s, -]"""
    blocks, groups = 2 * share.shape[1], problem.likeness.max() + 1
    relative = problem.velocity - (share @ unknowns[:blocks].reshape(-1, 2)).T
    speed = np.maximum(np.hypot(*relative), 1e-6)
    alike = unknowns[blocks : blocks + groups][problem.likeness]
    own = (alike + unknowns[blocks + groups :])[problem.stretch]
    return speed - own - problem.change, relative / speed


def _normal(problem, share, way, weight, residual):
    """Return the normal matrix and the gradient of the weighted squares.

    A sample's residual knows the wind's knots, one likeness and one stretch, the last two with the slope -1: so the
    matrix is put together from sums over stretches, and two hours of flight cost no more than a circuit's few.
    """
    count = len(problem.likeness)
    slopes = -(way[:, :, None] * share[None]).transpose(1, 2, 0).reshape(len(share), -1)  # (n, 2k), rows of the knots
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


def _solution_at(problem, knots, unknowns, spread):
    """Return the solution at given knots and spread; the noise is brought up to date on the way."""
    share = _shares(knots, problem.time)
    rows, target = _prior_rows(problem, knots, spread, len(unknowns))
    prior = rows.T @ rows
    for _ in range(_ITERATIONS):
        residual, way = _residual(problem, share, unknowns)
        noise, correlation = _noise(problem, residual)
        scale = np.hypot(noise, CHANGE_WITHIN_STRETCH)
        weight = 1 / (1 + (residual / (CAUCHY_SCALE * scale)) ** 2)
        weight *= (1 - correlation) / (1 + correlation) / scale**2
        normal, gradient = _normal(problem, share, way, weight, residual)
        normal += prior
        step = np.linalg.solve(normal, gradient + prior @ unknowns - rows.T @ target)
        unknowns = unknowns - step
        if np.max(np.abs(step)) < 1e-6:
            break
    residual, _ = _residual(problem, share, unknowns)
    cost = float(np.sum(weight * residual**2) + np.sum((rows @ unknowns - target) ** 2))
    return _Solution(knots, unknowns, np.linalg.inv(normal), noise, spread, correlation, cost)


def _noise(problem, residual):
    """Return the scatter of one residual and its correlation with the next of the same stretch. [m/s, -]"""
    usual = 1.4826 * float(np.median(np.abs(residual)))
    kept = np.clip(residual, -CAUCHY_SCALE * usual - _LEAST_NOISE, CAUCHY_SCALE * usual + _LEAST_NOISE)
    spent = len(problem.likeness) + 2  # one airspeed each, and the wind
    noise = np.sqrt(np.sum(kept**2) / max(len(kept) - spent, 1))
    together = problem.stretch[1:] == problem.stretch[:-1]
    product = float(np.mean(kept[1:][together] * kept[:-1][together])) if together.any() else 0.0
    # a stretch's own mean is taken out, which makes short stretches look correlated the other way
    correlation = float(np.clip(product / max(np.mean(kept**2), 1e-12), 0.0, 0.9))
    return max(float(noise), _LEAST_NOISE), correlation


def _learnt_spread(solution, stretches):
    """Return the spread of stretches flown alike that the solution suggests, see `SPREAD_WEIGHT`. [m/s]"""
    first = len(solution.unknowns) - stretches
    squares = solution.unknowns[first:] ** 2 + np.diag(solution.inverse)[first:]
    return float(np.sqrt((_SPREAD_WEIGHT * _AIRSPEED_SPREAD**2 + np.sum(squares)) / (_SPREAD_WEIGHT + stretches)))


def _fit_of(problem, solution):
    blocks, stretches = 2 * len(solution.knots), len(problem.likeness)
    own = np.arange(len(solution.unknowns) - stretches, len(solution.unknowns))
    alike = blocks + problem.likeness
    covariance = solution.inverse
    variance = covariance[alike, alike] + covariance[own, own] + 2 * covariance[alike, own]
    return WindFit(
        solution.knots,
        solution.unknowns[:blocks].reshape(-1, 2),
        covariance[:blocks, :blocks],
        solution.unknowns[alike] + solution.unknowns[own],
        np.sqrt(np.maximum(variance, 0.0)),
        solution.noise,
        solution.spread,
        solution.correlation,
        len(problem.time),
    )
