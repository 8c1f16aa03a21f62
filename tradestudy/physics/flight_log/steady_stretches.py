"""Stretches of a logged flight that are steady enough to compare with the model, selected by stated criteria.

In a steady wind the change of velocity over the ground equals the change of velocity through the air. So straight
flight and steady turns are recognised by acceleration, which needs neither the wind nor the airspeed.

The functions take measured numbers on even steps of time, with NaN where nothing was measured. They return no slopes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from .track import moving_mean, moving_slope

LEVEL, GLIDE, CLIMB, TURN = KINDS = ("level cruise", "motor-off glide", "climb", "turn")


class Criteria(NamedTuple):
    """Limits of steady flight, in SI units. The numbers are judgement (common practice, no source)."""

    window: float = 5.0  # time over which changes of speed and climb are evaluated [s]
    straight: float = 0.8  # highest horizontal acceleration in straight flight at any moment [m/s2]
    turning: float = 1.2  # lowest horizontal acceleration in a turn: 5 degrees a second at 14 m/s [m/s2]
    even_turn: float = 0.35  # relative difference of a turn's acceleration from its median [-]
    level: float = 0.7  # highest climb or sink rate in level flight at any moment [m/s]
    level_mean: float = 0.3  # highest mean climb or sink rate of a level stretch [m/s]
    speeding: float = 0.15  # highest mean acceleration along the track, equal to 0.2 m/s of climb at 14 m/s [m/s2]
    climbing: float = 0.8  # lowest rate of a climb with the motor on [m/s]
    motor_off: float = 0.15  # share of the cruise current below which the motor is taken as stopped [-]
    throttle_off: float = 0.02  # share of full throttle below which the motor is taken as stopped [-]
    moving: float = 3.0  # lowest speed of flight over the ground or through the air [m/s]
    current_step: float = 0.1  # largest relative change of the mean current within one stretch [-]
    shortest: float = 8.0  # shortest stretch of straight flight [s]
    shortest_turn: float = 4.0  # shortest turn [s]


USUAL_CRITERIA = Criteria()


class LogSteps(NamedTuple):
    """A flight on even steps of time, in SI units, with NaN where nothing is known.

    ``time`` (n,) [s] is the middle of each step. ``velocity`` (2, n) [m/s] is that over the ground, north and east. The
    others are (n,): ``climb`` rate [m/s], ``amps`` and ``volts`` of the pack [A, V], ``throttle`` [-], ``airspeed``
    [m/s].
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
        """Length of each step, by definition. [s]"""
        return float(self.time[1] - self.time[0]) if len(self.time) > 1 else 1.0


class Stretch(NamedTuple):
    """A steady stretch: its kind (one of `KINDS`), its first step, and the step after its last. [words, -, -]"""

    kind: str
    first: int
    end: int


class StretchMeans(NamedTuple):
    """Means of a steady stretch, and scatters (standard deviations) within it, in SI units.

    ``start`` and ``end`` are times [s]. ``amps``, ``volts`` and ``watts`` are current, voltage and power [A, V, W].
    ``velocity`` (2,) is the mean velocity north and east over the ground, ``ground_speed`` the mean of its size, and
    ``climb_rate`` the rate of climb [m/s]. ``turn_rate`` is positive to the right [rad/s]. ``acceleration`` is that
    along the track [m/s2]. ``wind`` (2,) is the velocity of the air, north and east. It and ``airspeed`` are NaN where
    the wind is unknown [m/s].
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
        """Duration of the stretch, by definition. [s]"""
        return self.end - self.start


def _acceleration(log_steps: LogSteps, criteria: Criteria) -> np.ndarray:
    """Return the acceleration (2, n), north and east: the slope of velocity over the criteria's window. [m/s2]"""
    return moving_slope(log_steps.velocity, log_steps.step, _window(log_steps, criteria))


def _is_motor_off(log_steps: LogSteps, criteria: Criteria) -> np.ndarray:
    """Return whether the motor is stopped in each step (n,). [bool]

    The throttle decides where it is logged, otherwise the current. The cruise current is estimated as the upper
    quartile of the current while moving.
    """
    moving = np.hypot(*log_steps.velocity) > criteria.moving
    flying = log_steps.amps[moving & np.isfinite(log_steps.amps)]
    limit = criteria.motor_off * np.quantile(flying, 0.75) if flying.size else -np.inf
    by_throttle = np.isfinite(log_steps.throttle)
    return np.where(by_throttle, log_steps.throttle <= criteria.throttle_off, log_steps.amps <= limit)


def steady_stretches(
    log_steps: LogSteps, criteria: Criteria = USUAL_CRITERIA, wind: np.ndarray | None = None
) -> list[Stretch]:
    """Return the steady stretches of a flight in order of time; judgement, see Criteria. [-]

    Parameters
    ----------
    log_steps : LogSteps
    criteria : Criteria
    wind : (2, n) array, optional
        Velocity of the air at each step. If it is given, a turn must accelerate sideways to the flight through the air.
        [m/s]

    Examples
    --------
    Forty seconds of flight to the north at 14 m/s and 5 A:

    >>> even, unknown = np.ones(40), np.full(40, np.nan)
    >>> velocity = np.stack([14 * even, 0 * even])
    >>> log = LogSteps(np.arange(40) + 0.5, velocity, 0 * even, 5 * even, 15 * even, unknown, unknown)
    >>> steady_stretches(log)
    [Stretch(kind='level cruise', first=2, end=38)]
    """
    by_kind = _steps_by_kind(log_steps, criteria, wind)
    stretches = [
        Stretch(kind, first, end)
        for kind in KINDS
        for run_first, run_end in _runs(by_kind[kind])
        for first, end in _parts(log_steps, criteria, kind, run_first, run_end)
    ]
    steady = (stretch for stretch in stretches if _is_steady(log_steps, criteria, stretch))
    return sorted(steady, key=lambda stretch: stretch.first)


def stretch_means(
    log_steps: LogSteps, stretch: Stretch, criteria: Criteria = USUAL_CRITERIA, wind: np.ndarray | None = None
) -> StretchMeans:
    """Return the StretchMeans of a stretch. They are definitions.

    Parameters
    ----------
    log_steps : LogSteps
    stretch : Stretch
    criteria : Criteria
    wind : (2, n) array, optional
        Velocity of the air, north and east, at each step. [m/s]
    """
    inside = slice(stretch.first, stretch.end)
    air = np.full((2, stretch.end - stretch.first), np.nan) if wind is None else wind[:, inside]
    velocity = log_steps.velocity[:, inside]
    relative = velocity - (0.0 if wind is None else air)
    acceleration = _acceleration(log_steps, criteria)[:, inside]
    squares = np.sum(relative**2, axis=0)
    turn_rate = np.full(squares.shape, np.nan)  # unknown where the wing stands still
    np.divide(
        relative[0] * acceleration[1] - relative[1] * acceleration[0], squares, out=turn_rate, where=squares > 0.0
    )
    half = 0.5 * log_steps.step
    samples = {
        "amps": log_steps.amps[inside],
        "volts": log_steps.volts[inside],
        "watts": log_steps.amps[inside] * log_steps.volts[inside],
        "ground_speed": np.hypot(*velocity),
        "climb_rate": log_steps.climb[inside],
        "turn_rate": turn_rate,
        "airspeed": np.hypot(*(velocity - air)),
    }
    known = {name: values[np.isfinite(values)] for name, values in samples.items()}
    numbers: dict[str, Any] = {name: float(np.mean(each)) if each.size else np.nan for name, each in known.items()}
    numbers |= {f"{name}_scatter": float(np.std(each)) if each.size else np.nan for name, each in known.items()}
    return StretchMeans(
        kind=stretch.kind,
        start=float(log_steps.time[stretch.first] - half),
        end=float(log_steps.time[stretch.end - 1] + half),
        velocity=np.mean(velocity, axis=1),
        acceleration=_speeding(log_steps, stretch)[0],
        wind=np.mean(air, axis=1),
        **numbers,
    )


def _window(log_steps: LogSteps, criteria: Criteria) -> int:
    """Return the window of the criteria as an odd number of steps, at least three. [-]"""
    return max(3, 2 * int(0.5 * criteria.window / log_steps.step) + 1)


def _steps_by_kind(log_steps: LogSteps, criteria: Criteria, wind: np.ndarray | None) -> dict[str, np.ndarray]:
    """Return, for each kind of stretch, whether each step (n,) meets its criteria. [bool]"""
    window = _window(log_steps, criteria)
    acceleration = _acceleration(log_steps, criteria)
    size = np.hypot(*acceleration)
    speed = np.hypot(*(log_steps.velocity if wind is None else log_steps.velocity - wind))
    climb = log_steps.climb
    if window * log_steps.step <= 2 * criteria.window:  # logs with long steps are not smoothed
        climb = moving_mean(climb, window)
    off = _is_motor_off(log_steps, criteria)
    level = ~(np.abs(climb) > criteria.level)  # an unknown climb is taken as level; reading the log reports it
    straight = (size < criteria.straight) & (speed > criteria.moving)
    turning = size > criteria.turning
    if wind is not None:
        relative = log_steps.velocity - wind
        sideways = np.abs(relative[0] * acceleration[1] - relative[1] * acceleration[0])
        turning &= sideways > 0.8 * size * speed
    return {
        LEVEL: straight & level & ~off,
        GLIDE: straight & off & ~(climb > 0),
        CLIMB: (straight | turning) & (climb > criteria.climbing) & ~off,
        TURN: turning & level & ~off,
    }


def _runs(flags: np.ndarray) -> list[tuple[int, int]]:
    """Return (first, end) of every run of True, where end is the step after the last. [-]"""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(int)))
    return list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))


def _parts(log_steps: LogSteps, criteria: Criteria, kind: str, first: int, end: int) -> list[tuple[int, int]]:
    """Return the parts (first, end) of a run that jumps of the current separate, or the even part of a turn. [-]"""
    least = int(np.ceil((criteria.shortest_turn if kind == TURN else criteria.shortest) / log_steps.step))
    if end - first < least:
        return []
    if kind == TURN:  # the ends are cut off, where the wing rolls in and out
        size = np.hypot(*_acceleration(log_steps, criteria)[:, first:end])
        inside = np.flatnonzero(size > (1 - criteria.even_turn) * np.quantile(size, 0.75))
        first, end = first + int(inside[0]), first + int(inside[-1]) + 1
        return [(first, end)] if end - first >= least else []
    signal = log_steps.amps[first:end]
    if kind == GLIDE or not np.isfinite(signal).all():
        return [(first, end)]
    place = _largest_jump(signal, least, criteria.current_step)
    if place is None:
        return [(first, end)]
    return [
        *_parts(log_steps, criteria, kind, first, first + place),
        *_parts(log_steps, criteria, kind, first + place, end),
    ]


def _largest_jump(values: np.ndarray, least: int, share: float) -> int | None:
    """Return the index at which the mean of the values changes most. [-]

    Return None if the change is less than ``share`` of the mean, or less than three standard errors.
    """
    count = np.arange(1, len(values))
    before = np.cumsum(values)[:-1] / count
    after = (np.sum(values) - before * count) / (len(values) - count)
    allowed = (count >= min(least, 3)) & (len(values) - count >= min(least, 3))
    if not allowed.any():
        return None
    gain = np.where(allowed, (after - before) ** 2 * count * (len(values) - count), -1.0)
    place = int(np.argmax(gain))
    jump = after[place] - before[place]
    within = np.concatenate([values[: place + 1] - before[place], values[place + 1 :] - after[place]])
    error = np.std(within) * np.sqrt(1 / count[place] + 1 / (len(values) - count[place]))
    return place + 1 if abs(jump) > share * abs(np.mean(values)) and abs(jump) > 3 * error else None


def _is_steady(log_steps: LogSteps, criteria: Criteria, stretch: Stretch) -> bool:
    """Return whether the means over the complete stretch also meet the criteria. [bool]"""
    inside = slice(stretch.first, stretch.end)
    climb = log_steps.climb[inside]
    known = climb[np.isfinite(climb)]
    if stretch.kind in (LEVEL, TURN) and known.size and abs(np.mean(known)) > criteria.level_mean:
        return False
    if stretch.kind == TURN:
        size = np.hypot(*_acceleration(log_steps, criteria)[:, inside])
        return bool(np.median(np.abs(size / np.median(size) - 1)) < criteria.even_turn)
    rate, error = _speeding(log_steps, stretch)
    return bool(abs(rate) < criteria.speeding + 2 * error) or stretch.kind == CLIMB


def _speeding(log_steps: LogSteps, stretch: Stretch) -> tuple[float, float]:
    """Return the acceleration along the mean track of a stretch, and its standard error; 0 in a turn. [m/s2]"""
    if stretch.kind == TURN:
        return 0.0, 0.0
    velocity = log_steps.velocity[:, stretch.first : stretch.end]
    track = np.mean(velocity, axis=1)
    along = track @ velocity / max(np.hypot(*track), 1e-9)
    time = log_steps.time[stretch.first : stretch.end] - np.mean(log_steps.time[stretch.first : stretch.end])
    squares = np.sum(time**2)
    rate = time @ along / squares
    rest = along - np.mean(along) - rate * time
    return float(rate), float(np.sqrt(np.sum(rest**2) / max(len(time) - 2, 1) / squares))
