"""Reasons to refuse a flight log. Each rule returns a list of sentences, which is empty if the log passes."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.physics.flight_log.steady_stretches import LEVEL, Criteria, LogSteps, StretchMeans
from tradestudy.quantities import with_unit

_CONSTANT = 0.01  # a current whose range is less than this share of its mean counts as constant
_CONSTANT_TIME = 60.0  # s; a real current changes in a flight this long
_WEAKEST = 0.15  # A; less than any wing needs in level flight
_STRONGEST = 150.0  # A; more than any of these wings needs in level flight
_DEVIATIONS = 2.0  # standard deviations by which an impossible speed lies outside the limits
_SLACK = 0.1  # relative error allowed in the study's stall speed and top speed
_MOVING_TIME = 20.0  # s; least time in motion for a log of a flight


class AircraftLimits(NamedTuple):
    """Limits of the study's wing, SI. They identify the log of another aircraft. None means unknown.

    ``flying_weight`` [kg], ``stall_speed`` and ``full_throttle_speed`` [m/s], ``fewest_volts`` and ``most_volts`` of
    its pack [V].
    """

    flying_weight: float | None = None
    stall_speed: float | None = None
    full_throttle_speed: float | None = None
    fewest_volts: float | None = None
    most_volts: float | None = None


def never_moved(steps: LogSteps, criteria: Criteria) -> list[str]:
    """Return the refusal of a log of a wing that stayed on the ground, or whose speed has the wrong unit."""
    speed = np.hypot(*steps.velocity)
    if np.sum(speed > criteria.moving) * steps.step >= _MOVING_TIME:
        return []
    known = speed[np.isfinite(speed)]
    if not known.size:
        return ["No ground velocity is left: the receiver had no fix, or speed and course were never logged together."]
    return [
        f"The wing moved faster than {criteria.moving:g} m/s for less than {_MOVING_TIME:g} s; the fastest is "
        f"{known.max():.2f} m/s. Is this the log of a flight, and is the unit of the speed right?"
    ]


def constant_current(steps: LogSteps, criteria: Criteria) -> list[str]:
    """Return the refusal of a current that does not change in flight."""
    flying = (np.hypot(*steps.velocity) > criteria.moving) & np.isfinite(steps.amps)
    if np.sum(flying) * steps.step < _CONSTANT_TIME:
        return []
    amps = steps.amps[flying]
    if np.ptp(amps) > _CONSTANT * abs(np.mean(amps)):
        return []
    return [
        f"amps stays at {np.mean(amps):.4g} A for {np.sum(flying) * steps.step:.0f} s of flight: the sensor or the "
        "column is not the current of the pack."
    ]


def impossible_current(segments: list[StretchMeans]) -> list[str]:
    """Return the refusal of an impossible current in level flight, such as milliamperes read as amperes."""
    amps = [segment.amps for segment in segments if segment.kind == LEVEL and np.isfinite(segment.amps)]
    if not amps:
        return []
    middle = float(np.median(amps))
    if middle > _STRONGEST:
        return [f"amps is {middle:.4g} A in level cruise: are mA taken for A?"]
    if middle < _WEAKEST:
        return [f"amps is {middle:.4g} A in level cruise: are A taken for mA?"]
    return []


def nothing_steady(segments: list[StretchMeans], steps: LogSteps, criteria: Criteria) -> list[str]:
    """Return the refusal of a flight without a steady stretch. It states the criteria of a steady stretch."""
    if segments:
        return []
    speed = np.hypot(*steps.velocity)
    return [
        f"No steady stretch in {np.sum(speed > criteria.moving) * steps.step:.0f} s of flight. Wanted are "
        f"{criteria.shortest:g} s straight at one height (within {criteria.level_mean:g} m/s), one speed (within "
        f"{criteria.speeding:g} m/s each second) and one throttle; or {criteria.shortest_turn:g} s of an even turn."
        " Fly hands off, level, along the sides of a square."
    ]


def other_aircraft(
    segments: list[StretchMeans], deviations: np.ndarray, aircraft: AircraftLimits, weighed: float | None = None
) -> list[str]:
    """Return the refusals of a flight that the wing of the study could not have flown.

    ``deviations`` are the standard deviations of the segments' airspeeds, one each [m/s]. ``weighed`` is the measured
    weight of the wing in flight [kg].
    """
    refused = []
    if weighed and aircraft.flying_weight:
        share = weighed / aircraft.flying_weight
        if not 0.5 < share < 2.0:
            refused.append(
                f"The wing flown weighs {with_unit(weighed, 'g')}, {share:.1f} times the "
                f"{with_unit(aircraft.flying_weight, 'g')} of the study: another aircraft?"
            )
    level = [
        (segment, deviation)
        for segment, deviation in zip(segments, deviations, strict=True)
        if segment.kind == LEVEL and np.isfinite(segment.airspeed)
    ]
    if level:
        slow = [segment.airspeed + _DEVIATIONS * deviation for segment, deviation in level]
        fast = [segment.airspeed - _DEVIATIONS * deviation for segment, deviation in level]
        refused += _impossible_speed(slow, fast, [segment.airspeed for segment, _ in level], aircraft)
    volts = [segment.volts for segment in segments if np.isfinite(segment.volts)]
    if volts and aircraft.fewest_volts and aircraft.most_volts:
        middle = float(np.median(volts))
        if not aircraft.fewest_volts <= middle <= aircraft.most_volts:
            refused.append(
                f"volts is {middle:.1f} V where the pack of the study has {aircraft.fewest_volts:.1f} to "
                f"{aircraft.most_volts:.1f} V: another pack, or one cell alone?"
            )
    return refused


def _impossible_speed(slow: list[float], fast: list[float], speeds: list[float], aircraft: AircraftLimits) -> list[str]:
    """Return the refusal of level flight below stall speed or above top speed, with a tolerance on both."""
    middle = with_unit(float(np.median(speeds)), "km/h")
    if aircraft.stall_speed and np.median(slow) < (1 - _SLACK) * aircraft.stall_speed:
        return [
            f"Level cruise at {middle} through the air is slower than the stall at "
            f"{with_unit(aircraft.stall_speed, 'km/h')}: another aircraft, or the wrong unit of "
            "speed?"
        ]
    if aircraft.full_throttle_speed and np.median(fast) > (1 + _SLACK) * aircraft.full_throttle_speed:
        return [
            f"Level cruise at {middle} through the air is faster than full throttle at "
            f"{with_unit(aircraft.full_throttle_speed, 'km/h')}: another aircraft, or the wrong "
            "unit of speed?"
        ]
    return []
