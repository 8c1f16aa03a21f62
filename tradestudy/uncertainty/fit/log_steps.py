"""A flight log on even steps of time, and whether its columns agree with one another."""

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

_STEP = 1.0  # s; coarser where the log is
_COARSEST = 3.0  # s between rows, above which turns and straight flight cannot be distinguished
_BRIDGED = 2.0  # s without a value that a straight line may fill
_SPEED_AGREES = 0.1  # share by which speed and positions may differ: receivers are good to a few percent
# units of speed that may have been confused, likely ones first: the written unit, and the one it was read as
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
_LEAST_CHARGE = to_si(10, "mAh", "charge")  # less is too little to compare
_COURSE_AGREES = np.radians(15)  # by which course and positions may differ
_CHARGE_AGREES = 0.25  # share by which current and charge used may differ before it is reported
_CHARGE_REFUSED = 4.0  # times, from which on one of the two has the wrong unit
_MOVING = 3.0  # m/s
_FEWEST_STEPS = 20  # on which two columns are compared


def even_steps(log: FlightLog) -> tuple[LogSteps, list[str]]:
    """Return the flight on even steps of a second or coarser, and what was assumed."""
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
    """Return the means (count,) of a column in each step of time, short gaps bridged; NaN without a column."""
    if values is None:
        return np.full(count, np.nan)
    return bridged(step_means(log.time, values, 0.0, step, count), max(int(_BRIDGED / step), 1))


def _positions(log: FlightLog, step: float, count: int) -> np.ndarray:
    """Return north and east (2, count) in each step of time; NaN without a fix. [m]"""
    return np.stack([_even(log, log.channels.get(name), step, count) for name in ("north", "east")])


def too_coarse(log: FlightLog) -> list[str]:
    """Refuse a log whose rows are too far apart in time."""
    interval = float(np.median(np.diff(log.time)))
    if interval <= _COARSEST:
        return []
    return [
        f"The log has a row every {interval:.1f} s; to tell turns from straight flight, one every "
        f"{_COARSEST:g} s or more often is wanted."
    ]


def unlike_positions(log: FlightLog, steps: LogSteps) -> list[str]:
    """Refuse a speed or course that the positions contradict."""
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
    """Return which units of speed were confused, where a ratio shows it; empty elsewhere."""
    for written, read in _UNIT_SLIPS:
        # nearest neighbours, kn for km/h and m/s for kn, are 5 % apart
        if abs(ratio * to_si(1.0, written, "speed") / to_si(1.0, read, "speed") - 1) < 0.04:
            return f", as {written} read as {read} would be"
    return ""


def unlike_charge(log: FlightLog) -> tuple[list[str], list[str]]:
    """Return reasons for refusal, and notes, where the current does not add up to the charge used."""
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
