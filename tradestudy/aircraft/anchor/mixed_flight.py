"""What a mixed flight asks of its pack: level cruise at a speed that nobody noted, with bursts of full throttle.

A pilot remembers minutes, charge, and the share of full throttle. What was not noted has a median and a standard
deviation here. Habits are the same in all flights of one pilot, so no number of flights averages them out. All of them
are common practice without a source, unless noted.

All arrays have a flight along their last axis (n). Numbers of the wing and its drive may have leading axes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.endurance import mission
from tradestudy.physics.propulsion import drive_train, pack

USUAL_SPEED = 1.15  # median of the speed between bursts, over the best speed for range
SPEED_HABIT, SPEED_OWN = 0.10, 0.08  # deviations of ln(speed): of the pilot in all flights, of one flight besides
SHARE_HABIT = 0.15  # deviation of ln(share): how the pilot guesses shares, in all flights
_SHARE_OWN = 0.20, 0.01  # error of a noted share of full throttle: a part of it, and a share of the time
_SHARE_UNKNOWN = 0.70  # deviation of ln(share) where none was noted, about the study's usual share
AIR_HABIT = 0.05  # deviation of ln(charge): how the pilot turns and climbs, and the charger, in all flights
AIR_OWN = 0.085  # of one flight besides; both together are FLIGHT_SPREAD of a remembered steady flight
TURNING = 1.15  # drag due to lift over that of straight flight: a quarter of the time in turns banked by 38 deg
_GUST = 0.01  # deviation of ln(charge) for each m/s of wind: gusts, and the throttle that answers them
WIND_UNKNOWN = 3.0  # wind where none was noted [m/s]
_WIND_GUESS = 0.3, 0.5  # error of a guessed wind: a share of it, plus m/s
_GROUND_SPEED = 0.03  # share of a speed from distance over time, as for a remembered flight
_LEVEL, _LEVEL_OWN = 0.5, 0.29  # full throttle between a climb at cruise speed (0) and level at top speed (1); uniform
_LAUNCH = 15.0  # full throttle in launch and first climb, which a noted share may leave out [s]
_MOST_SHARE = 0.98
_SLOWEST, _FASTEST = 0.75, 2.2  # speeds between bursts, over the best speed; outside, the note is at fault
_UNKNOWN_LEFT = 0.4  # state of charge at the end where none was noted; it sets the mean voltage alone [-]


class FlightNotes(NamedTuple):
    """What was noted of flights (n,), SI; NaN where it was not."""

    time: np.ndarray  # in the air [s]
    charge: np.ndarray  # used [C]
    ground_speed: np.ndarray  # distance over time [m/s]
    share: np.ndarray  # of the time at full throttle [-]
    wind: np.ndarray  # [m/s]


class Habits(NamedTuple):
    """Factors of one pilot, the same in all flights: on the speed, on guessed shares, and on the charge. [-]"""

    speed: Any = 1.0
    share: Any = 1.0
    air: Any = 1.0


class Offsets(NamedTuple):
    """How far flights (n,) are from the medians of what is unknown, in standard deviations."""

    speed: Any = 0.0
    share: Any = 0.0
    level: Any = 0.0


_USUAL = Offsets()


class WingInFlight(NamedTuple):
    """What a wing brings to its flights: its drive, its drag by speed, and its nominal best and top speeds."""

    train: drive_train.Powertrain
    drag: Callable[[Any], Any]  # level drag [N] at speeds [m/s]
    density: float  # [kg/m3]
    avionics: float  # power to everything but the motor [W]
    best_speed: float  # for range [m/s]
    top_speed: float  # level, on a full pack [m/s]
    label_capacity: float  # of the pack, without factors [C]
    usual_share: float  # of full throttle, where none was noted [-]


def flight_notes(flights: Sequence[Any]) -> FlightNotes:
    """Return notes as arrays, from objects with ``time``, ``charge``, ``distance``, ``full_throttle`` and ``wind``."""

    def column(name: str) -> np.ndarray:
        return np.array([np.nan if (value := getattr(one, name)) is None else value for one in flights], float)

    time = column("time")
    return FlightNotes(time, column("charge"), column("distance") / time, column("full_throttle"), column("wind"))


def wind_of(notes: FlightNotes) -> np.ndarray:
    """Return the wind (n,), or what is assumed where none was noted. [m/s]"""
    return np.where(np.isfinite(notes.wind), notes.wind, WIND_UNKNOWN)


def shares(wing: WingInFlight, notes: FlightNotes, habit: Any = 1.0, off: Any = 0.0) -> Any:
    """Return the shares (n,) of the time at full throttle. [-] ``off`` is in standard deviations."""
    noted = np.isfinite(notes.share)
    launch = np.minimum(_LAUNCH / notes.time, 0.5)
    share = np.maximum(np.where(noted, notes.share, wing.usual_share), launch)
    spread = np.where(noted, np.minimum(np.hypot(_SHARE_OWN[0], _SHARE_OWN[1] / share), _SHARE_UNKNOWN), _SHARE_UNKNOWN)
    found = share * habit * np.exp(off * spread)
    return np.where(np.real(found) < _MOST_SHARE, found, _MOST_SHARE)


def mean_air_speed(notes: FlightNotes) -> np.ndarray:
    """Return the mean airspeed (n,) behind the ground speed of a flight out and back or in circuits. [m/s]"""
    wind = wind_of(notes)
    return 0.5 * (notes.ground_speed + np.sqrt(notes.ground_speed**2 + 4 * wind**2))


def mean_air_speed_spread(notes: FlightNotes) -> np.ndarray:
    """Return the standard deviation (n,) of ln(mean airspeed) from distance, time and wind. [-]"""
    wind, root = wind_of(notes), np.sqrt(notes.ground_speed**2 + 4 * wind_of(notes) ** 2)
    guess = np.where(np.isfinite(notes.wind), _WIND_GUESS[0] * wind + _WIND_GUESS[1] * (wind > 0), wind)
    return np.hypot(_GROUND_SPEED, 2 * wind / root * guess / mean_air_speed(notes))


def usual_speed(wing: WingInFlight, habits: Habits, off: Any = 0.0) -> Any:
    """Return the speed between bursts that is expected without a noted distance. [m/s]"""
    return wing.best_speed * USUAL_SPEED * habits.speed * np.exp(off * SPEED_OWN)


def expected_air_speed(wing: WingInFlight, notes: FlightNotes, habits: Habits, offsets: Offsets = _USUAL) -> Any:
    """Return the mean airspeed (n,) that is expected without a noted distance: bursts are faster. [m/s]"""
    fast = shares(wing, notes, habits.share, offsets.share) * _level(offsets)
    return (1 - fast) * usual_speed(wing, habits, offsets.speed) + fast * wing.top_speed


def _level(offsets: Offsets) -> Any:
    return np.clip(_LEVEL + _LEVEL_OWN * np.asarray(offsets.level), 0.0, 1.0)


def _speed_of_distance(wing: WingInFlight, notes: FlightNotes, share: Any, level: Any) -> Any:
    """Return the speed between bursts (n,) that meets a noted distance. [m/s]"""
    fast = share * level
    speed = (mean_air_speed(notes) - fast * wing.top_speed) / (1 - fast)
    low, high = _SLOWEST * wing.best_speed, _FASTEST * wing.best_speed
    return np.where(np.real(speed) < low, low, np.where(np.real(speed) > high, high, speed))


def _weights(wing: WingInFlight, notes: FlightNotes) -> tuple[np.ndarray, np.ndarray]:
    """Return how much the speed from the distance counts (n,), and the spread (n,) of ln(speed) that is left. [-]"""
    middle = _speed_of_distance(wing, notes, shares(wing, notes), _LEVEL)
    read = mean_air_speed_spread(notes) * mean_air_speed(notes) / middle
    others = [
        np.log(_speed_of_distance(wing, notes, shares(wing, notes, 1.0, share), _LEVEL + level) / middle)
        for share, level in ((1.0, 0.0), (0.0, _LEVEL_OWN))
    ]
    known = np.isfinite(notes.ground_speed)
    weight = np.where(known, SPEED_OWN**2 / (SPEED_OWN**2 + read**2 + sum(one**2 for one in others)), 0.0)
    return weight, np.hypot(weight * np.where(known, read, 0.0), (1 - weight) * SPEED_OWN)


def charges(wing: WingInFlight, notes: FlightNotes, habits: Habits, offsets: Offsets = _USUAL) -> Any:
    """Return the charge (..., n) that each flight is expected to use. [C]"""
    share, level = shares(wing, notes, habits.share, offsets.share), _level(offsets)
    weight, left_open = _weights(wing, notes)
    without_distance = usual_speed(wing, habits)
    of_distance = np.where(weight > 0, _speed_of_distance(wing, notes, share, level), wing.best_speed)
    speed = np.exp(weight * np.log(of_distance) + (1 - weight) * np.log(without_distance) + offsets.speed * left_open)
    capacity = pack.pack_capacity(wing.train.pack)
    used = np.where(np.isfinite(notes.charge), notes.charge / wing.label_capacity, 1 - _UNKNOWN_LEFT)
    left = 1 - np.clip(used, 0.02, 0.98)  # it sets the mean voltage alone
    shaft = drive_train.shaft_demand(wing.train, speed, wing.drag(speed), wing.density)
    full_speed = speed + level * (wing.top_speed - speed)
    at = mission.full_throttle_charges(left)
    at = at.reshape(3, *(1,) * (np.ndim(full_speed) - 1), -1)
    full = drive_train.full_throttle(wing.train, full_speed, wing.density, at, wing.avionics).pack_current
    time = mission.usual_flight_time(wing.train, shaft, full, left, share, wing.avionics)
    return habits.air * capacity * (1 - left) / time * notes.time


def charge_spreads(wing: WingInFlight, notes: FlightNotes) -> np.ndarray:
    """Return the standard deviation (n,) of ln(charge) of single flights, besides habits. [-]"""
    plain = Habits()
    middle = np.log(charges(wing, notes, plain))
    one_up = [Offsets(speed=1.0), Offsets(share=1.0), Offsets(level=1.0)]
    changes = [np.log(charges(wing, notes, plain, offsets)) - middle for offsets in one_up]
    return np.sqrt(sum(change**2 for change in changes) + AIR_OWN**2 + (_GUST * wind_of(notes)) ** 2)


def one_flight_spread(wing: WingInFlight, notes: FlightNotes) -> float:
    """Return the standard deviation of ln(charge) of one flight alone, of a pilot whose habits are not known. [-]"""
    middle = np.log(charges(wing, notes, Habits()))
    habits = (Habits(speed=np.exp(SPEED_HABIT)), Habits(share=np.exp(SHARE_HABIT)), Habits(air=np.exp(AIR_HABIT)))
    changes = [np.log(charges(wing, notes, one)) - middle for one in habits]
    return float(np.sqrt(sum(change[0] ** 2 for change in changes) + charge_spreads(wing, notes)[0] ** 2))


def air_speed_spreads(wing: WingInFlight, notes: FlightNotes) -> np.ndarray:
    """Return the standard deviation (n,) of ln(mean airspeed) of single flights with a noted distance. [-]"""
    plain = Habits()
    middle = np.log(expected_air_speed(wing, notes, plain))
    one_up = [Offsets(speed=1.0), Offsets(share=1.0), Offsets(level=1.0)]
    changes = [np.log(expected_air_speed(wing, notes, plain, offsets)) - middle for offsets in one_up]
    return np.sqrt(sum(change**2 for change in changes) + mean_air_speed_spread(notes) ** 2)
