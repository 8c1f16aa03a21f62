"""The steady stretches of a log as readings: amps of level flight and climbs, sinking speed of glides.

Turns serve for the wind and are left out here, since their bank is not logged. A current sensor is off by one share
throughout a log, so that share is a free factor within its spread.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from tradestudy.physics.air import GRAVITY
from tradestudy.physics.flight_log.steady_stretches import CLIMB, GLIDE, LEVEL
from tradestudy.quantities import with_unit
from tradestudy.study.measurements import Measurements

from .factored_wing import ONES, FitWing
from .hand_readings import AIR, CHARGER, ReadingGroup, single_reading
from .prepared_log import PreparedLog

SENSOR = 0.03  # share by which a current sensor is off, all the way; common practice, no source
STRETCH = 0.02  # of amps of one stretch: stick, ripples of the air; common practice, no source
VERTICAL_AIR = 0.10  # m/s of rising or sinking air in one stretch; common practice, no source
_WORST_SPEED = 1.5  # m/s by which an airspeed may be unknown and still be used


def sensor_name(number: int) -> str:
    """Return the name of the free factor of the current sensor of a log, counted from 1."""
    return f"current sensor, log {number}"


def log_groups(
    wing: FitWing, flight: PreparedLog, measurements: Measurements, number: int = 1
) -> tuple[list[ReadingGroup], list[str]]:
    """Return the readings of one log, and notes on what could not be used."""
    groups: list[ReadingGroup] = []
    notes: list[str] = []
    used = np.array(flight.used, dtype=bool) & (flight.airspeed_deviation < _WORST_SPEED)
    if not used.any():
        return [], [f"{flight.log.path.name}: no airspeed is known to {_WORST_SPEED:g} m/s, so nothing of it is used."]
    for kinds, build in (((LEVEL, CLIMB), _powered), ((GLIDE,), _glides)):
        found = [
            place
            for place, one in enumerate(flight.segments)
            if used[place]
            and one.kind in kinds
            and (kinds == (GLIDE,) or np.isfinite(one.amps))
            and np.isfinite(one.climb_rate)
        ]
        if found:
            groups.append(build(wing, flight, found, number))
    put_back = measurements.flight.charge_put_back
    if put_back is not None and number == 1:
        groups += charged(flight, put_back)
    turns = sum(1 for place, one in enumerate(flight.segments) if used[place] and one.kind not in (LEVEL, CLIMB, GLIDE))
    if turns:
        notes.append(f"{flight.log.path.name}: {turns} turns tell the wind, not the drag: their bank is not logged.")
    return groups, notes


def charged(flight: PreparedLog, put_back: float) -> list[ReadingGroup]:
    """Return the reading of the first log's current sensor from the charge put back [C] after its flight."""
    counted = flight.log.channels.get("charge_used")
    known = np.zeros(0, int) if counted is None else np.flatnonzero(np.isfinite(counted))
    if counted is None or len(known) < 2 or counted[known[-1]] <= counted[known[0]]:
        return []
    used = float(counted[known[-1]] - counted[known[0]])
    name = sensor_name(1)
    return [
        single_reading(
            "log 1",
            "charge counted, by the charger",
            "mAh",
            used,
            CHARGER,
            (name,),
            lambda factors: np.array([factors.get(name, 1.0) * put_back]),
        )
    ]


def _columns(flight: PreparedLog, places: list[int]) -> dict[str, np.ndarray]:
    """Return the means of the stretches as arrays (n,), and the deviations of these means."""
    segments = [flight.segments[place] for place in places]
    step = max(flight.log_steps.step, 1.0)  # noise of neighbouring readings is much the same
    count = np.array([max(one.duration / step, 1.0) for one in segments])
    found = {
        name: np.array([getattr(one, name) for one in segments], float)
        for name in ("airspeed", "climb_rate", "acceleration", "amps", "volts")
    }
    found["speed_off"] = flight.airspeed_deviation[places]
    found["climb_off"] = np.hypot(
        [one.climb_rate_scatter / n**0.5 for one, n in zip(segments, count, strict=True)], VERTICAL_AIR
    )
    found["amps_off"] = np.array(
        [one.amps_scatter / n**0.5 / one.amps if one.amps else 1.0 for one, n in zip(segments, count, strict=True)]
    )
    return found


def _labels(flight: PreparedLog, places: list[int]) -> tuple[str, ...]:
    """Return the labels of the stretches: their number in the command log, and the speed."""
    return tuple(
        f"{place + 1} {flight.segments[place].kind}, {with_unit(flight.segments[place].airspeed, 'km/h')}"
        for place in places
    )


def _powered(wing: FitWing, flight: PreparedLog, places: list[int], number: int) -> ReadingGroup:
    means = _columns(flight, places)
    speed, mass, sensor = means["airspeed"], wing.weight / GRAVITY, sensor_name(number)
    air = wing.air(speed)

    def amps(factors, air=air, climb=means["climb_rate"]):
        thrust = air.drag(factors) + wing.weight * climb / air.speed + mass * means["acceleration"]
        return factors.get(sensor, 1.0) * wing.amps(factors, air.speed, thrust, means["volts"])

    plain = amps(ONES)
    by_speed = np.log(amps(ONES, wing.air(1.01 * speed)) / plain) / np.log(1.01)
    by_climb = np.log(amps(ONES, climb=means["climb_rate"] + 0.05) / plain) / 0.05
    off = [
        np.full(len(places), STRETCH),
        means["amps_off"],
        by_speed * means["speed_off"] / speed,
        by_climb * means["climb_off"],
    ]
    return ReadingGroup(
        f"log {number}", _labels(flight, places), "A", means["amps"], np.linalg.norm(off, axis=0), (*AIR, sensor), amps
    )


def _glides(wing: FitWing, flight: PreparedLog, places: list[int], number: int) -> ReadingGroup:
    means = _columns(flight, places)
    speed = means["airspeed"]
    air = wing.air(speed)

    def sink(factors: Mapping[str, float], air=air):
        return wing.sink(factors, air, means["acceleration"])

    plain = sink(ONES)
    by_speed = np.log(sink(ONES, wing.air(1.01 * speed)) / plain) / np.log(1.01)
    measured = np.maximum(-means["climb_rate"], 0.05)
    off = [means["climb_off"] / plain, by_speed * means["speed_off"] / speed]
    return ReadingGroup(
        f"log {number}",
        _labels(flight, places),
        "m/s",
        measured,
        np.linalg.norm(off, axis=0),
        ("drag", "induced"),
        sink,
    )
