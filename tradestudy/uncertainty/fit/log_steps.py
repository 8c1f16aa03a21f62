"""A flight log on even steps of time, and what its columns say about one another."""

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

STEP = 1.0  # s; coarser where the log is
COARSEST = 3.0  # s between rows, above which turns and straight flight cannot be told apart
BRIDGED = 2.0  # s without a value that a straight line may fill
AGREEING = 0.1  # share by which speed and positions may differ: receivers are good to a few percent
# units of speed in the order in which they are looked for: what was written, and what it was taken for
SLIPS = (
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
LEAST_CHARGE = to_si(10, "mAh", "charge")  # less is too little to compare
ASKEW = np.radians(15)  # by which course and positions may differ
CHARGE_AGREES = 0.25  # share by which current and charge used may differ before it is told
CHARGE_REFUSED = 4.0  # times, from which on one of the two has the wrong unit
MOVING = 3.0  # m/s
FEW = 20  # steps to compare two columns on


def even_steps(log: FlightLog) -> tuple[LogSteps, list[str]]:
    """Return the flight on even steps of a second or coarser (physics.segments.Cells), and what was assumed."""
    interval = float(np.median(np.diff(log.time)))
    step = max(STEP, np.ceil(interval * 1.01))
    count = max(int(np.ceil((log.time[-1] + 0.5 * interval) / step)), 1)
    longest = max(int(BRIDGED / step), 1)

    def even(name: str) -> np.ndarray:
        if name not in log.channels:
            return np.full(count, np.nan)
        return bridged(step_means(log.time, log.channels[name], 0.0, step, count), longest)

    notes = []
    if "ground_speed" in log.channels and "course" in log.channels:
        way = velocity_of_course(log.channels["ground_speed"], log.channels["course"])
        velocity = np.stack([bridged(step_means(log.time, one, 0.0, step, count), longest) for one in way])
    else:
        velocity = velocity_of_positions(positions(log, step, count), step)
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
    return LogSteps(time, velocity, climb, even("amps"), even("volts"), even("throttle"), even("airspeed")), notes


def positions(log: FlightLog, step: float, count: int) -> np.ndarray:
    """Return north and east (2, count) in each step of time; NaN without a fix. [m]"""
    known = [log.channels.get(name, np.full(len(log.time), np.nan)) for name in ("north", "east")]
    return np.stack(
        [bridged(step_means(log.time, values, 0.0, step, count), max(int(BRIDGED / step), 1)) for values in known]
    )


def too_coarse(log: FlightLog) -> list[str]:
    """Refuse a log whose rows stand too far apart."""
    interval = float(np.median(np.diff(log.time)))
    if interval <= COARSEST:
        return []
    return [
        f"The log has a row every {interval:.1f} s; to tell turns from straight flight, one every "
        f"{COARSEST:g} s or more often is wanted."
    ]


def unlike_positions(log: FlightLog, cells: LogSteps) -> list[str]:
    """Refuse a speed or course that the positions contradict."""
    if "north" not in log.channels or "ground_speed" not in log.channels or "course" not in log.channels:
        return []
    by_position = velocity_of_positions(positions(log, cells.step, len(cells.time)), cells.step)
    speed, other = np.hypot(*cells.velocity), np.hypot(*by_position)
    both = np.isfinite(speed) & np.isfinite(other) & (np.maximum(speed, other) > MOVING)
    if both.sum() < FEW:
        return []
    ratio = float(np.sum(speed[both]) / max(np.sum(other[both]), 1e-9))
    refused = []
    if not 1 - AGREEING < ratio < 1 / (1 - AGREEING):
        refused.append(
            f"ground_speed is {ratio:.2f} times what the positions say"
            f"{_unit_slip(ratio)}. Look at the units of ground_speed and of the position."
        )
    across = cells.velocity[0] * by_position[1] - cells.velocity[1] * by_position[0]
    along = np.sum(cells.velocity * by_position, axis=0)
    askew = float(np.median(np.abs(np.arctan2(across[both], along[both]))))
    if askew > ASKEW:
        refused.append(
            f"course is {format_in_unit(askew, 'deg')} degrees off the way between positions, by the middle value: "
            "is it a compass heading, or are latitude and longitude exchanged?"
        )
    return refused


def _unit_slip(ratio: float) -> str:
    for written, read in SLIPS:
        # nearest neighbours, kn for km/h and m/s for kn, are 5 % apart
        if abs(ratio * to_si(1.0, written, "speed") / to_si(1.0, read, "speed") - 1) < 0.04:
            return f", as {written} read as {read} would be"
    return ""


def unlike_charge(log: FlightLog) -> tuple[list[str], list[str]]:
    """Return (refused, told): a current that does not add up to the charge used."""
    if "charge_used" not in log.channels or "amps" not in log.channels:
        return [], []
    known = np.flatnonzero(np.isfinite(log.channels["charge_used"]))
    amps = log.channels["amps"]
    flowing = np.flatnonzero(np.isfinite(amps))
    if len(known) < 2 or len(flowing) < 2:
        return [], []
    first, last = known[0], known[-1]
    counted = float(log.channels["charge_used"][last] - log.channels["charge_used"][first])
    inside = flowing[(flowing >= first) & (flowing <= last)]
    added = float(np.sum(0.5 * (amps[inside][1:] + amps[inside][:-1]) * np.diff(log.time[inside])))
    if counted <= LEAST_CHARGE:
        return [], []
    ratio = added / counted
    sentence = (
        f"The current adds up to {short_with_unit(added, 'mAh', 4)} where the column of charge used counts "
        f"{short_with_unit(counted, 'mAh', 4)}"
    )
    if not 1 / CHARGE_REFUSED < ratio < CHARGE_REFUSED:
        slip = (
            " mA are taken for A, or Ah for mAh."
            if ratio > 100
            else (" A are taken for mA, or mAh for Ah." if ratio < 0.01 else "")
        )
        return [f"{sentence}: one of the two has the wrong unit or is another channel.{slip}"], []
    if abs(ratio - 1) > CHARGE_AGREES:
        return [], [f"{sentence}: one of the two sensors is off by more than a quarter."]
    return [], []
