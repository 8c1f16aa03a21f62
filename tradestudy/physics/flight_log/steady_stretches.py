"""Stretches of a logged flight that are steady enough to compare with the model, found by stated criteria.

In a steady wind the change of velocity over the ground is the change of velocity through the air. So straight flight
and steady turns are told by acceleration, which needs neither the wind nor the airspeed.

These functions look at measured numbers on even steps of time, NaN where nothing was measured; they carry no slopes.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from .track import moving_mean, moving_slope

LEVEL, GLIDE, CLIMB, TURN = KINDS = ("level cruise", "motor-off glide", "climb", "turn")


class Criteria(NamedTuple):
    """What counts as steady. SI. The numbers are judgement (common practice, no source)."""

    window: float = 5.0  # s over which speed changes and climb are looked at
    straight: float = 0.8  # m/s2 of horizontal acceleration at most, at any moment
    turning: float = 1.2  # m/s2 at least: 5 degrees a second at 14 m/s
    even_turn: float = 0.35  # share by which a turn's acceleration may be off its median
    level: float = 0.7  # m/s of climb or sink at most, at any moment
    level_mean: float = 0.3  # m/s of climb or sink at most, in the mean of a stretch
    speeding: float = 0.15  # m/s2 along the track at most, in the mean: worth 0.2 m/s of climb at 14 m/s
    climbing: float = 0.8  # m/s at least, motor on
    motor_off: float = 0.15  # share of the cruise current below which the motor is taken to stand still
    throttle_off: float = 0.02  # of full, the same by the throttle
    moving: float = 3.0  # m/s over the ground or through the air at least
    current_step: float = 0.1  # share by which the mean current may differ before and after: else two stretches
    shortest: float = 8.0  # s of straight flight
    shortest_turn: float = 4.0  # s


USUAL_CRITERIA = Criteria()


class LogSteps(NamedTuple):
    """One flight on even steps of time. SI; NaN where nothing is known.

    ``time`` (n,) is the middle of each step, ``velocity`` (2, n) north and east over the ground; ``climb``, ``amps``,
    ``volts``, ``throttle`` and ``airspeed`` are (n,). [s, m/s, m/s, A, V, -, m/s]
    """

    time: np.ndarray
    velocity: np.ndarray
    climb: np.ndarray
    amps: np.ndarray
    volts: np.ndarray
    throttle: np.ndarray
    airspeed: np.ndarray

    @property
    def step(self) -> float:
        """How long each step is. [s]"""
        return float(self.time[1] - self.time[0]) if len(self.time) > 1 else 1.0


class Stretch(NamedTuple):
    """One steady stretch: its kind (one of `KINDS`), its first cell and the first one after it. [words, -, -]"""

    kind: str
    first: int
    end: int


class StretchMeans(NamedTuple):
    """What one steady stretch held: means, and scatters (standard deviations) within it. SI.

    ``start`` and ``end`` [s]; ``amps``, ``volts``, ``watts`` [A, V, W]; ``ground_speed`` is the mean of the length of
    the velocity, ``velocity`` (2,) the mean north and east [m/s]; ``climb_rate`` [m/s]; ``turn_rate`` [rad/s], positive
    to the right; ``acceleration`` along the way [m/s2]; ``wind`` (2,) the air's own velocity, north and east, and
    ``airspeed`` [m/s]: NaN where the wind is not known.
    """

    kind: str
    start: float
    end: float
    amps: float
    amps_scatter: float
    volts: float
    volts_scatter: float
    watts: float
    watts_scatter: float
    ground_speed: float
    ground_speed_scatter: float
    velocity: np.ndarray
    climb_rate: float
    climb_rate_scatter: float
    turn_rate: float
    turn_rate_scatter: float
    acceleration: float
    wind: np.ndarray
    airspeed: float
    airspeed_scatter: float

    @property
    def duration(self) -> float:
        """How long the stretch lasts. [s]"""
        return self.end - self.start


def acceleration_of(cells, criteria=USUAL_CRITERIA):
    """Return north and east acceleration (2, n) over the criteria's window. [m/s2]

    Parameters
    ----------
    cells : Cells
    criteria : Criteria
    """
    return moving_slope(cells.velocity, cells.step, _window(cells, criteria))


def is_motor_off(cells, criteria=USUAL_CRITERIA):
    """Return in which cells (n,) the motor stands still, by the throttle where it is logged, else by current. [bool]

    The cruise current is taken as the upper quartile of the current while moving.

    Parameters
    ----------
    cells : Cells
    criteria : Criteria
    """
    moving = np.hypot(*cells.velocity) > criteria.moving
    flying = cells.amps[moving & np.isfinite(cells.amps)]
    limit = criteria.motor_off * np.quantile(flying, 0.75) if flying.size else -np.inf
    by_throttle = np.isfinite(cells.throttle)
    return np.where(by_throttle, cells.throttle <= criteria.throttle_off, cells.amps <= limit)


def steady_stretches(cells, criteria=USUAL_CRITERIA, wind=None):
    """Return the steady stretches of a flight in order of time, as a list of Span. [-]

    Parameters
    ----------
    cells : Cells
    criteria : Criteria
    wind : (2, n) array, optional
        Where known, a turn must push sideways and not along the way through the air. [m/s]
    """
    held = _steps_by_kind(cells, criteria, wind)
    spans = []
    for kind in KINDS:
        for first, end in _runs(held[kind]):
            spans += [Stretch(kind, *part) for part in _parts(cells, criteria, kind, first, end)]
    return sorted((span for span in spans if _is_steady(cells, criteria, span)), key=lambda span: span.first)


def stretch_means(cells, span, criteria=USUAL_CRITERIA, wind=None):
    """Return what a stretch held: Steady.

    Parameters
    ----------
    cells : Cells
    span : Span
    criteria : Criteria
    wind : (2, n) array, optional
        The air's own velocity, north and east, at each cell. [m/s]
    """
    inside = slice(span.first, span.end)
    air = np.full((2, span.end - span.first), np.nan) if wind is None else wind[:, inside]
    velocity = cells.velocity[:, inside]
    relative = velocity - (0.0 if wind is None else air)
    pushed = acceleration_of(cells, criteria)[:, inside]
    turn_rate = (relative[0] * pushed[1] - relative[1] * pushed[0]) / np.sum(relative**2, axis=0)
    watts = cells.amps[inside] * cells.volts[inside]
    half = 0.5 * cells.step
    pairs = [
        _mean_and_scatter(values) for values in (cells.amps[inside], cells.volts[inside], watts, np.hypot(*velocity))
    ]
    return StretchMeans(
        span.kind,
        float(cells.time[span.first] - half),
        float(cells.time[span.end - 1] + half),
        *(number for pair in pairs for number in pair),
        np.mean(velocity, axis=1),
        *_mean_and_scatter(cells.climb[inside]),
        *_mean_and_scatter(turn_rate),
        _speeding(cells, span)[0],
        np.mean(air, axis=1),
        *_mean_and_scatter(np.hypot(*(velocity - air))),
    )


def _mean_and_scatter(values):
    known = values[np.isfinite(values)]
    if not known.size:
        return float("nan"), float("nan")
    return float(np.mean(known)), float(np.std(known))


def _window(cells, criteria):
    """Return the criteria's window as an odd number of steps, three at least. [-]"""
    return max(3, 2 * int(0.5 * criteria.window / cells.step) + 1)


def _steps_by_kind(cells, criteria, wind):
    """Return for each kind in which cells (n,) its criteria hold at that moment. [bool]"""
    window = _window(cells, criteria)
    pushed = acceleration_of(cells, criteria)
    size = np.hypot(*pushed)
    speed = np.hypot(*(cells.velocity if wind is None else cells.velocity - wind))
    climb = cells.climb
    if window * cells.step <= 2 * criteria.window:  # coarse logs are not smoothed further
        climb = moving_mean(climb, window)
    off = is_motor_off(cells, criteria)
    level = ~(np.abs(climb) > criteria.level)  # an unknown climb counts as level: told where the log is read
    straight = (size < criteria.straight) & (speed > criteria.moving)
    turning = size > criteria.turning
    if wind is not None:
        relative = cells.velocity - wind
        sideways = np.abs(relative[0] * pushed[1] - relative[1] * pushed[0])
        turning &= sideways > 0.8 * size * speed
    return {
        LEVEL: straight & level & ~off,
        GLIDE: straight & off & ~(climb > 0),
        CLIMB: (straight | turning) & (climb > criteria.climbing) & ~off,
        TURN: turning & level & ~off,
    }


def _runs(held):
    """Return (first, end) of every run of True. [-]"""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], held, [False]]).astype(int)))
    return list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))


def _parts(cells, criteria, kind, first, end):
    """Return the run as (first, end) parts between steps of the current; of a turn its even part. [-]"""
    least = int(np.ceil((criteria.shortest_turn if kind == TURN else criteria.shortest) / cells.step))
    if end - first < least:
        return []
    if kind == TURN:  # rolling in and out is taken off either end
        size = np.hypot(*acceleration_of(cells, criteria)[:, first:end])
        inside = np.flatnonzero(size > (1 - criteria.even_turn) * np.quantile(size, 0.75))
        first, end = first + int(inside[0]), first + int(inside[-1]) + 1
        return [(first, end)] if end - first >= least else []
    signal = cells.amps[first:end]
    if kind == GLIDE or not np.isfinite(signal).all():
        return [(first, end)]
    place = _largest_step(signal, least, criteria.current_step)
    if place is None:
        return [(first, end)]
    return [*_parts(cells, criteria, kind, first, first + place), *_parts(cells, criteria, kind, first + place, end)]


def _largest_step(values, least, share):
    """Return where the mean of the values changes most, or None: by less than ``share`` or than three scatters. [-]"""
    count = np.arange(1, len(values))
    before = np.cumsum(values)[:-1] / count
    after = (np.sum(values) - before * count) / (len(values) - count)
    allowed = (count >= min(least, 3)) & (len(values) - count >= min(least, 3))
    if not allowed.any():
        return None
    gain = np.where(allowed, (after - before) ** 2 * count * (len(values) - count), -1.0)
    place = int(np.argmax(gain))
    step = after[place] - before[place]
    within = np.concatenate([values[: place + 1] - before[place], values[place + 1 :] - after[place]])
    error = np.std(within) * np.sqrt(1 / count[place] + 1 / (len(values) - count[place]))
    is_step = abs(step) > share * abs(np.mean(values)) and abs(step) > 3 * error
    return place + 1 if is_step else None


def _is_steady(cells, criteria, span):
    """True when the means over the whole stretch keep to the criteria too. [bool]"""
    inside = slice(span.first, span.end)
    climb = cells.climb[inside]
    known = climb[np.isfinite(climb)]
    if span.kind in (LEVEL, TURN) and known.size and abs(np.mean(known)) > criteria.level_mean:
        return False
    if span.kind == TURN:
        size = np.hypot(*acceleration_of(cells, criteria)[:, inside])
        return bool(np.median(np.abs(size / np.median(size) - 1)) < criteria.even_turn)
    rate, error = _speeding(cells, span)
    return bool(abs(rate) < criteria.speeding + 2 * error) or span.kind == CLIMB


def _speeding(cells, span):
    """Return acceleration along the mean way over the ground of a whole stretch, and its standard error. [m/s2]

    Zero for a turn, whose way goes round.
    """
    if span.kind == TURN:
        return 0.0, 0.0
    velocity = cells.velocity[:, span.first : span.end]
    way = np.mean(velocity, axis=1)
    along = way @ velocity / max(np.hypot(*way), 1e-9)
    time = cells.time[span.first : span.end] - np.mean(cells.time[span.first : span.end])
    squares = np.sum(time**2)
    rate = time @ along / squares
    rest = along - np.mean(along) - rate * time
    return float(rate), float(np.sqrt(np.sum(rest**2) / max(len(time) - 2, 1) / squares))
