"""Readings from the steady stretches of a log: current in level flight and climbs, sinking speed in glides.

Turns are used for the wind but not here, since their bank angle is not logged. A current sensor has the same relative
error throughout a log. So this error is a free factor with its own standard deviation.
"""

from __future__ import annotations

import numpy as np

from tradestudy.physics.air import GRAVITY
from tradestudy.physics.flight_log.steady_stretches import CLIMB, GLIDE, LEVEL, StretchMeans
from tradestudy.quantities import with_unit
from tradestudy.study.measurements import Measurements

from .factored_wing import ONES, FitWing
from .hand_readings import AIR, CHARGER, ReadingGroup, single_reading
from .prepared_log import PreparedLog

SENSOR = 0.03  # relative error of a current sensor, constant in a log; common practice, no source
STRETCH = 0.02  # relative error of current in a stretch, from stick moves and uneven air; common practice, no source
VERTICAL_AIR = 0.10  # m/s; rising or sinking air in one stretch; common practice, no source
_LEAST_SINK = 0.05  # m/s; a slower sink cannot be measured
_WORST_SPEED = 1.5  # m/s; largest standard deviation of an airspeed that is used


def sensor_name(number: int) -> str:
    """Return the name of the free factor for the current sensor of a log. Logs are numbered from 1."""
    return f"current sensor, log {number}"


def log_groups(
    wing: FitWing, flight: PreparedLog, measurements: Measurements, number: int = 1
) -> tuple[list[ReadingGroup], list[str]]:
    """Return the readings of one log, and notes on data that could not be used."""
    name = flight.log.path.name
    known = np.array(flight.used, dtype=bool) & (flight.airspeed_deviation < _WORST_SPEED)
    if not known.any():
        return [], [f"{name}: no airspeed is known to {_WORST_SPEED:g} m/s, so nothing of it is used."]
    places = [int(place) for place in np.flatnonzero(known)]
    kinds = {place: flight.segments[place].kind for place in places}
    climbing = [place for place in places if np.isfinite(flight.segments[place].climb_rate)]
    gliding = [place for place in climbing if kinds[place] == GLIDE and _sinks(wing, flight.segments[place])]
    powered = [place for place in climbing if kinds[place] in (LEVEL, CLIMB) and flight.segments[place].amps > 0]
    groups = [_powered(wing, flight, powered, number)] if powered else []
    if gliding:
        groups.append(_glides(wing, flight, gliding, number))
    put_back = measurements.flight.charge_put_back
    if put_back is not None and number == 1:
        groups += _charge_reading(flight, put_back)
    turns = sum(kind not in (LEVEL, CLIMB, GLIDE) for kind in kinds.values())
    notes = [f"{name}: {turns} turns tell the wind, not the drag: their bank is not logged."] if turns else []
    return groups, notes


def _sinks(wing: FitWing, glide: StretchMeans) -> bool:
    """Return whether a glide at this speed and acceleration sinks by the model; one in a pull-up tells nothing."""
    return bool(wing.sink(ONES, wing.air(glide.airspeed), glide.acceleration)[0] > _LEAST_SINK)


def _charge_reading(flight: PreparedLog, put_back: float) -> list[ReadingGroup]:
    """Return the reading that compares the first log's counted charge with the charge put back [C] after the flight."""
    counted = flight.log.channels.get("charge_used", np.zeros(0))
    counted = counted[np.isfinite(counted)]
    if len(counted) < 2 or counted[-1] <= counted[0]:
        return []
    sensor = sensor_name(1)
    return [
        single_reading(
            "log 1",
            "charge counted, by the charger",
            unit="mAh",
            measured=float(counted[-1] - counted[0]),
            spread=CHARGER,
            uses=(sensor,),
            predict=lambda factors: factors.get(sensor, 1.0) * put_back,
        )
    ]


def _means(flight: PreparedLog, places: list[int]) -> dict[str, np.ndarray]:
    """Return the means over the stretches as arrays (n,), and the standard deviations of these means."""
    segments = [flight.segments[place] for place in places]
    step = max(flight.log_steps.step, 1.0)  # values less than 1 s apart have nearly the same noise
    roots = [max(one.duration / step, 1.0) ** 0.5 for one in segments]
    means = {
        name: np.array([getattr(one, name) for one in segments], float)
        for name in ("airspeed", "climb_rate", "acceleration", "amps", "volts")
    }
    climb = [one.climb_rate_scatter / root for one, root in zip(segments, roots, strict=True)]
    amps = [one.amps_scatter / root / one.amps if one.amps else 1.0 for one, root in zip(segments, roots, strict=True)]
    return means | {
        "speed_deviation": flight.airspeed_deviation[places],
        "climb_deviation": np.hypot(climb, VERTICAL_AIR),
        "amps_share": np.array(amps),
    }


def _labels(flight: PreparedLog, places: list[int]) -> tuple[str, ...]:
    """Return the labels of the stretches: their number in the output of the command ``log``, kind, and speed."""
    return tuple(
        f"{place + 1} {flight.segments[place].kind}, {with_unit(flight.segments[place].airspeed, 'km/h')}"
        for place in places
    )


def _powered(wing: FitWing, flight: PreparedLog, places: list[int], number: int) -> ReadingGroup:
    """Return the readings of current in level flight and climbs."""
    means = _means(flight, places)
    speed, mass, sensor = means["airspeed"], wing.weight / GRAVITY, sensor_name(number)
    air = wing.air(speed)

    def amps(factors, air=air, climb=means["climb_rate"]):
        thrust = air.drag(factors) + wing.weight * climb / air.speed + mass * means["acceleration"]
        return factors.get(sensor, 1.0) * wing.amps(factors, air.speed, thrust, means["volts"])

    nominal = amps(ONES)
    by_speed = np.log(amps(ONES, wing.air(1.01 * speed)) / nominal) / np.log(1.01)
    by_climb = np.log(amps(ONES, climb=means["climb_rate"] + 0.05) / nominal) / 0.05
    errors = [
        np.full(len(places), STRETCH),
        means["amps_share"],
        by_speed * means["speed_deviation"] / speed,
        by_climb * means["climb_deviation"],
    ]
    spread = np.linalg.norm(errors, axis=0)
    labels = _labels(flight, places)
    return ReadingGroup(
        kind=f"log {number}",
        labels=labels,
        unit="A",
        measured=means["amps"],
        spread=spread,
        uses=(*AIR, sensor),
        predict=amps,
    )


def _glides(wing: FitWing, flight: PreparedLog, places: list[int], number: int) -> ReadingGroup:
    """Return the readings of sinking speed in glides."""
    means = _means(flight, places)
    speed = means["airspeed"]
    air = wing.air(speed)

    def sink(factors, air=air):
        return wing.sink(factors, air, means["acceleration"])

    nominal = sink(ONES)
    by_speed = np.log(sink(ONES, wing.air(1.01 * speed)) / nominal) / np.log(1.01)
    errors = [means["climb_deviation"] / nominal, by_speed * means["speed_deviation"] / speed]
    spread = np.linalg.norm(errors, axis=0)
    measured = np.maximum(-means["climb_rate"], _LEAST_SINK)
    return ReadingGroup(
        kind=f"log {number}",
        labels=_labels(flight, places),
        unit="m/s",
        measured=measured,
        spread=spread,
        uses=("drag", "induced"),
        predict=sink,
    )
