"""Whether something changes over the flights of a wing or a pack: drag that creeps up, charge that fades.

A series holds one reading for each flight, as the logarithm of measured over expected. It may stay, creep from flight
to flight, or step once. The evidence is the ratio of the likelihoods of a change and of none. Scatter, level and a
trend with temperature are unknown too: they are integrated in closed form (normal, inverse gamma).

**Looking after every flight.** Without a change the evidence is a fair bet. It rises above 1 / alpha in at most a share
alpha of all logbooks, however often one looks (Ville's inequality). Tests that are made for a single look would sooner
or later call false alarms in many logbooks. `tests/bench/truth/drift.py` measures false alarms and power.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from scipy.special import stdtr, stdtrit

ALARM = 0.02  # largest share of logbooks without a change in which one is ever reported [-]
SURELY = 0.9  # chance with which a change that is "surely seen" is reported [-]
_TRUST = 8.0  # flights that the stated scatter of readings counts for, against what is seen of it; judgement
_LEVEL = 3.0  # standard deviation of the unknown level: next to nothing is known of it [-]
_PER_KELVIN = 0.002  # standard deviation of what the model misses for each kelvin; judgement [1/K]
_STEP_EACH = 1 / 25  # chance of a step before each flight, where it steps at all; judgement [-]
_CREEPS = 0.5  # chance that a change creeps and does not step; judgement [-]
_AFTER = 2  # readings that a step needs behind it: one alone may be an outlier
_DRAWS, _SEED, _HALVINGS = 400, 20261, 14
_WIDE = 10.0  # typical size of a change over the one awaited, for its estimate [-]
_MOST_CHANGE = 3.0  # largest change that is looked for, as a logarithm [-]
_BAND = 0.8  # share of the band of a change [-]


class Series(NamedTuple):
    """Readings of one quantity, in the order of the flights."""

    flight: np.ndarray  # number of the flight of each reading, rising (n,)
    value: np.ndarray  # ln(measured / expected) (n,) [-]
    spread: np.ndarray  # standard deviation of one reading by its own scatter (n,) [-]
    temperature: np.ndarray | None = None  # of the air (n,) [K]


class Awaited(NamedTuple):
    """A change that may come: its direction, and typical sizes as standard deviations of the logarithm. [-]"""

    sign: int  # +1 for growth, -1 for loss
    each_flight: float  # of a creep, from one flight to the next
    at_once: float  # of a step


# common practice, no source: film that comes loose and nicks, drag area of a whole wing
NEED = Awaited(+1, 0.008, 0.20)
# cells lose a fifth in some 300 flights; one of two parallel cells that fails takes more at once
PACK_CHARGE = Awaited(-1, 0.003, 0.15)
PACK_RESISTANCE = Awaited(+1, 0.010, 0.30)


class Drift(NamedTuple):
    """What a series says of a change up to its last flight, as ln(now / at the first flight). [-]"""

    evidence: float  # likelihood of a change over that of none
    is_seen: bool
    size: float  # most likely change, if there is one
    low: float  # ends of its band: eight in ten lie inside
    high: float
    since: int | None  # flight before which it stepped; None for a creep
    before: float  # share of the readings before a step; 0 for a creep [-]
    surely_seen: float | None  # smallest creep up to now that is reported with a chance of SURELY; None for no size


def change_of(series: Series, awaited: Awaited, alarm: float = ALARM, surely: bool = True) -> Drift | None:
    """Return what a series says of a change, or None with fewer than three readings.

    Without ``surely`` the smallest change that is surely seen is not worked out, which takes most of the time.

    Raises ValueError if flights do not rise or a spread is not positive.
    """
    count = len(series.value)
    if np.any(np.diff(series.flight) <= 0) or np.any(series.spread <= 0):
        raise ValueError("flights must rise, and spreads be positive")
    if count < 3:
        return None
    model = _Model(series, awaited)
    ratios, *_ = model.of(series.value[:, None])
    _, sizes, widths = model.of(series.value[:, None], _WIDE)  # a size that the typical one does not pull at
    total = float(model.mean_of(ratios)[0])
    best = int(np.argmax(model.weights * ratios[:, 0]))
    ends = stdtrit(_TRUST + count, np.array([0.5 - _BAND / 2, 0.5 + _BAND / 2]))
    reach = float(model.columns[-1, best])
    middle, width = reach * float(sizes[best, 0]), reach * float(widths[best, 0])
    return Drift(
        evidence=total,
        is_seen=total >= 1 / alarm,
        size=middle,
        low=float(middle + ends[0] * width),
        high=float(middle + ends[1] * width),
        since=None if best == 0 else int(series.flight[best]),
        before=best / count,
        surely_seen=_surely_seen(model, model.scatter(series.value), awaited.sign, alarm) if surely else None,
    )


class _Model:
    """The likelihoods of one series of flights, for any values on them.

    Column 0 of ``columns`` (n, m) is a creep and column k a step before reading k. A change of one column alone is a
    rank-one update of the covariance without a change, so all are computed at once.
    """

    def __init__(self, series: Series, awaited: Awaited):
        flight = np.asarray(series.flight, float)
        count = len(flight)
        self.count, self.spread, self.sign = count, np.asarray(series.spread, float), awaited.sign
        before = np.arange(1, count + 1 - _AFTER)
        steps = (np.arange(count)[:, None] >= before).astype(float)
        self.columns = np.hstack([(flight - flight[0])[:, None], steps])
        self.variances = np.array([awaited.each_flight, *[awaited.at_once] * len(before)]) ** 2
        each = _STEP_EACH * (1 - _STEP_EACH) ** np.arange(len(before))
        self.weights = np.array([_CREEPS, *(1 - _CREEPS) * each])
        covariance = np.diag(self.spread**2) + _LEVEL**2
        if series.temperature is not None:
            warm = np.asarray(series.temperature, float)
            warm = np.where(np.isfinite(warm), warm, np.nanmean(warm)) if np.isfinite(warm).any() else 0 * flight
            warm = warm - warm[0]
            covariance = covariance + _PER_KELVIN**2 * np.outer(warm, warm)
        self.precision = np.linalg.inv(covariance)
        self.information = np.einsum("nm,nk,km->m", self.columns, self.precision, self.columns)

    def of(self, values: np.ndarray, times: float = 1.0) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Return likelihood ratio, size and width (m, d) of each change, for values (n, d). [-]

        A size is that of the column's unit. Changes against the awaited direction have no share in the ratio. Typical
        sizes are ``times`` those awaited.
        """
        variances = self.variances * times**2
        weighed = self.precision @ values
        squares = (values * weighed).sum(0)
        gain = 1 + (variances * self.information)[:, None]
        pull = self.columns.T @ weighed
        variance = variances[:, None] / gain
        left = squares - variance * pull**2
        freedom = _TRUST + self.count
        ratio = gain**-0.5 * ((_TRUST + squares) / (_TRUST + left)) ** (0.5 * freedom)
        size, width = variance * pull, np.sqrt(variance * (_TRUST + left) / freedom)
        return 2 * ratio * stdtr(freedom, self.sign * size / width), size, width

    def mean_of(self, ratios: np.ndarray) -> np.ndarray:
        """Return the evidence (d,) of likelihood ratios (m, d). Steps that are still to come are no change yet. [-]"""
        return self.weights @ ratios + (1 - self.weights.sum())

    def scatter(self, values: np.ndarray) -> float:
        """Return the scatter of the readings over the stated one: what is seen of it, and what is trusted. [-]"""
        weighed = self.precision @ values
        line = np.column_stack([np.ones(self.count), self.columns[:, 0]])
        fitted = np.linalg.lstsq(line / self.spread[:, None], values / self.spread, rcond=None)[0]
        left = float((((values - line @ fitted) / self.spread) ** 2).sum())
        seen = min(left, float(values @ weighed))
        return math.sqrt((_TRUST + seen) / (_TRUST + self.count - 2))


def _surely_seen(model: _Model, scatter: float, sign: int, alarm: float) -> float | None:
    """Return the smallest creep up to the last flight that is reported with a chance of SURELY, by simulation. [-]

    With few flights no change is large enough, and the result is None.
    """
    noise = scatter * model.spread[:, None] * np.random.default_rng(_SEED).standard_normal((model.count, _DRAWS))
    creep = (model.columns[:, 0] / model.columns[-1, 0])[:, None]

    def seen(size: float) -> float:
        return float((model.mean_of(model.of(noise + sign * size * creep)[0]) >= 1 / alarm).mean())

    low, high = 0.0, _MOST_CHANGE
    if seen(high) < SURELY:
        return None
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if seen(middle) >= SURELY else (middle, high)
    return high
