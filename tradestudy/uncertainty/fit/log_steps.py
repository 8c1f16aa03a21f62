"""A flight log in equal time steps, and checks of its columns against each other."""

from __future__ import annotations

import numpy as np

from tradestudy.physics.flight_log.steady_stretches import LogSteps
from tradestudy.physics.flight_log.track import (
    bridged,
    moving_slope,
    step_means,
    velocity_of_course,
    velocity_of_positions,
)
from tradestudy.quantities import format_in_unit, short_with_unit, to_si
from tradestudy.study.flight_logs.read_log import FlightLog

_STEP = 1.0  # s; least time step; coarse logs have longer steps
_COARSEST = 3.0  # s between rows; with more, turns and straight flight cannot be distinguished
_BRIDGED = 2.0  # s; longest gap that is filled by linear interpolation
_SPEED_AGREES = 0.1  # relative difference allowed between speed and positions; receivers are accurate to a few percent
# pairs of speed units that may be confused, frequent ones first: unit in the log, unit it was read as
_UNIT_SLIPS = (
    ("km/h", "m/s"),
    ("m/s", "km/h"),
    ("km/h", "kn"),
    ("kn", "km/h"),
    ("km/h", "mph"),
    ("mph", "km/h"),
    ("kn", "m/s"),
    ("m/s", "kn"),
    ("mph", "m/s"),
    ("m/s", "mph"),
)
_LEAST_CHARGE = to_si(10, "mAh", "charge")  # least charge used for a comparison
_COURSE_AGREES = np.radians(15)  # angle allowed between course and direction from positions
_CHARGE_AGREES = 0.25  # relative difference between current and charge used above which a note is given
_CHARGE_REFUSED = 4.0  # ratio of the two above which one has the wrong unit
_MOVING = 3.0  # m/s; speed above which speed and positions are compared
_FEWEST_STEPS = 20  # least number of steps for a comparison of two columns


def even_steps(log: FlightLog) -> tuple[LogSteps, list[str]]:
    """Return the flight in equal time steps of at least one second, and notes on assumptions."""
    interval = float(np.median(np.diff(log.time)))
    step = max(_STEP, np.ceil(interval * 1.01))
    count = max(int(np.ceil((log.time[-1] + 0.5 * interval) / step)), 1)

    def even(name: str) -> np.ndarray:
        return _even(log, log.channels.get(name), step, count)

    notes = []
    if "ground_speed" in log.channels and "course" in log.channels:
        components = velocity_of_course(log.channels["ground_speed"], log.channels["course"])
        velocity = np.stack([_even(log, component, step, count) for component in components])
    else:
        velocity = velocity_of_positions(_positions(log, step, count), step)
        notes.append("Velocity over the ground comes from the positions.")
    climb = even("climb")
    if "climb" not in log.channels:
        climb = moving_slope(even("altitude"), step, 5)
        notes.append(
            "Climb comes from the altitude."
            if "altitude" in log.channels
            else "Neither climb nor altitude is logged: that straight flight is level is taken on trust."
        )
    time = (np.arange(count) + 0.5) * step
    return LogSteps(
        time=time,
        velocity=velocity,
        climb=climb,
        amps=even("amps"),
        volts=even("volts"),
        throttle=even("throttle"),
        airspeed=even("airspeed"),
    ), notes


def _even(log: FlightLog, values: np.ndarray | None, step: float, count: int) -> np.ndarray:
    """Return the means (count,) of a column in each time step, with short gaps interpolated.

    They are NaN without a column.
    """
    if values is None:
        return np.full(count, np.nan)
    return bridged(step_means(log.time, values, 0.0, step, count), max(int(_BRIDGED / step), 1))


def _positions(log: FlightLog, step: float, count: int) -> np.ndarray:
    """Return north and east (2, count) in each time step. [m] They are NaN without a position."""
    return np.stack([_even(log, log.channels.get(name), step, count) for name in ("north", "east")])


def too_coarse(log: FlightLog) -> list[str]:
    """Return the refusal of a log whose rows are too far apart in time."""
    interval = float(np.median(np.diff(log.time)))
    if interval <= _COARSEST:
        return []
    return [
        f"The log has a row every {interval:.1f} s; to tell turns from straight flight, one every "
        f"{_COARSEST:g} s or more often is wanted."
    ]


def unlike_positions(log: FlightLog, steps: LogSteps) -> list[str]:
    """Return the refusals of a speed or course that the positions contradict."""
    if not {"north", "ground_speed", "course"} <= log.channels.keys():
        return []
    by_position = velocity_of_positions(_positions(log, steps.step, len(steps.time)), steps.step)
    speed, other = np.hypot(*steps.velocity), np.hypot(*by_position)
    both = np.isfinite(speed) & np.isfinite(other) & (np.maximum(speed, other) > _MOVING)
    if both.sum() < _FEWEST_STEPS:
        return []
    ratio = float(np.sum(speed[both]) / max(np.sum(other[both]), 1e-9))
    refused = []
    if not 1 - _SPEED_AGREES < ratio < 1 / (1 - _SPEED_AGREES):
        refused.append(
            f"ground_speed is {ratio:.2f} times what the positions say"
            f"{_unit_slip(ratio)}. Look at the units of ground_speed and of the position."
        )
    across = steps.velocity[0] * by_position[1] - steps.velocity[1] * by_position[0]
    along = np.sum(steps.velocity * by_position, axis=0)
    angle = float(np.median(np.abs(np.arctan2(across[both], along[both]))))
    if angle > _COURSE_AGREES:
        refused.append(
            f"course is {format_in_unit(angle, 'deg')} degrees off the way between positions, by the middle value: "
            "is it a compass heading, or are latitude and longitude exchanged?"
        )
    return refused


def _unit_slip(ratio: float) -> str:
    """Return a phrase on the confused speed units if a ratio identifies them, or an empty string."""
    for written, read in _UNIT_SLIPS:
        # the ratios nearest to each other, kn for km/h and m/s for kn, differ by 5 %
        if abs(ratio * to_si(1.0, written, "speed") / to_si(1.0, read, "speed") - 1) < 0.04:
            return f", as {written} read as {read} would be"
    return ""


def unlike_charge(log: FlightLog) -> tuple[list[str], list[str]]:
    """Return refusals, and notes, on a current whose integral differs from the charge used."""
    charge, amps = log.channels.get("charge_used"), log.channels.get("amps")
    if charge is None or amps is None:
        return [], []
    known, with_amps = np.flatnonzero(np.isfinite(charge)), np.flatnonzero(np.isfinite(amps))
    if len(known) < 2 or len(with_amps) < 2:
        return [], []
    first, last = known[0], known[-1]
    counted = float(charge[last] - charge[first])
    if counted <= _LEAST_CHARGE:
        return [], []
    inside = with_amps[(with_amps >= first) & (with_amps <= last)]
    added = float(np.trapezoid(amps[inside], log.time[inside]))
    ratio = added / counted
    sentence = (
        f"The current adds up to {short_with_unit(added, 'mAh', 4)} where the column of charge used counts "
        f"{short_with_unit(counted, 'mAh', 4)}"
    )
    if not 1 / _CHARGE_REFUSED < ratio < _CHARGE_REFUSED:
        slip = ""
        if ratio > 100:
            slip = " mA are taken for A, or Ah for mAh."
        elif ratio < 0.01:
            slip = " A are taken for mA, or mAh for Ah."
        return [f"{sentence}: one of the two has the wrong unit or is another channel.{slip}"], []
    if abs(ratio - 1) > _CHARGE_AGREES:
        return [], [f"{sentence}: one of the two sensors is off by more than a quarter."]
    return [], []
