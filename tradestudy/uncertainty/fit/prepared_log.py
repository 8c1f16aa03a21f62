"""One logged flight, prepared for comparison with the model: its numbered steady stretches, and the wind."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from tradestudy.errors import RunFailed
from tradestudy.physics.flight_log.steady_stretches import (
    KINDS,
    USUAL_CRITERIA,
    Criteria,
    LogSteps,
    Stretch,
    StretchMeans,
    steady_stretches,
    stretch_means,
)
from tradestudy.physics.flight_log.wind_estimate import (
    WELL_KNOWN_WIND,
    WindFit,
    fitted_wind,
    speed_and_origin,
    speed_and_origin_deviation,
    wind_at,
    worst_deviation,
)
from tradestudy.quantities import format_in_unit, short_with_unit
from tradestudy.study.flight_logs.read_log import FlightLog
from tradestudy.study.measurements import Measurements
from tradestudy.study.reader import PlacedFault
from tradestudy.study.schema.flight_log import SegmentsTable

from .log_refusals import (
    AircraftLimits,
    constant_current,
    impossible_current,
    never_moved,
    nothing_steady,
    other_aircraft,
)
from .log_steps import even_steps, too_coarse, unlike_charge, unlike_positions

_SENSOR_STEP = 0.3  # A; smaller differences of current are ignored
_ALIKE = 0.12  # relative difference of current up to which stretches of a kind count as flown alike
_UNKNOWN = AircraftLimits()
_SENSOR_SCALE = 0.05  # standard deviation of an airspeed sensor's scale, by its place; common practice, no source [-]
_SENSOR_DIFFERENCE = 0.1  # relative difference between airspeed sensor and fit above which a note is given


@dataclass(frozen=True)
class PreparedLog:
    """The steady stretches and the wind of one log, SI.

    ``segments`` are all steady stretches in order of time; the user sees them numbered from 1. ``used`` says which of
    them are used. ``wind`` is the fitted wind, or None if no stretch determines it. ``wind_known`` says whether it is
    known within a metre a second; if not, a sensor gives the airspeeds. ``airspeed_deviation`` has one standard
    deviation for each stretch [m/s], infinite if its airspeed is unknown.
    """

    log: FlightLog
    log_steps: LogSteps
    segments: tuple[StretchMeans, ...]
    used: tuple[bool, ...]
    wind: WindFit | None
    wind_known: bool
    airspeed_deviation: np.ndarray
    notes: tuple[str, ...]


class WindAtTime(NamedTuple):
    """The wind at one time, with standard deviations. [s, m/s, rad]

    ``origin`` is the direction from which it blows, clockwise from north.
    """

    time: float
    speed: float
    speed_deviation: float
    origin: float
    origin_deviation: float


def prepared_log_of(
    log: FlightLog, measurements: Measurements, aircraft: AircraftLimits = _UNKNOWN, criteria: Criteria = USUAL_CRITERIA
) -> PreparedLog:
    """Return the steady stretches and the wind of a log.

    Values missing in ``aircraft`` are taken from the table [flight]. Raises RunFailed with every reason to refuse the
    log, and MeasurementsError for stretch numbers in [segments] that do not exist.
    """
    steps, step_notes = even_steps(log)
    charge_refused, charge_notes = unlike_charge(log)
    _raise_if(
        too_coarse(log)
        or never_moved(steps, criteria)
        or (unlike_positions(log, steps) + charge_refused + constant_current(steps, criteria)),
        log,
    )
    notes = [*log.notes, *step_notes, *charge_notes]
    stretches = steady_stretches(steps, criteria)
    first = _wind(steps, stretches)
    if first is not None and _is_known(first, steps):
        stretches = steady_stretches(steps, criteria, wind_at(first, steps.time)[0]) or stretches
    used = _used(len(stretches), measurements)
    fit = _wind(steps, [stretch for stretch, counts in zip(stretches, used, strict=True) if counts])
    known = _is_known(fit, steps)
    wind = wind_at(fit, steps.time)[0] if fit is not None and known else None
    segments = [stretch_means(steps, stretch, criteria, wind) for stretch in stretches]
    deviations = np.full(len(used), np.inf)
    if fit is not None and known:
        deviations[np.array(used, dtype=bool)] = fit.airspeed_deviation
    read_from_sensor = []
    for place, stretch in enumerate(stretches):
        speed = steps.airspeed[stretch.first : stretch.end]
        if used[place] and not np.isfinite(segments[place].airspeed) and np.isfinite(speed).all():
            mean, scatter = float(np.mean(speed)), float(np.std(speed))
            segments[place] = segments[place]._replace(airspeed=mean, airspeed_scatter=scatter)
            deviations[place] = _SENSOR_SCALE * mean
            read_from_sensor.append(place)
    counted = [segment for segment, counts in zip(segments, used, strict=True) if counts]
    refused = nothing_steady(segments, steps, criteria) or impossible_current(counted)
    refused += other_aircraft(
        counted,
        deviations[np.array(used, dtype=bool)],
        aircraft._replace(
            stall_speed=aircraft.stall_speed or measurements.flight.stall_speed,
            full_throttle_speed=aircraft.full_throttle_speed or measurements.flight.full_throttle_speed,
        ),
        measurements.flight.flying_weight,
    )
    _raise_if(refused, log)
    notes += _wind_notes(fit, steps, bool(read_from_sensor))
    if not read_from_sensor:
        notes += _sensor_notes(steps, counted)
    return PreparedLog(
        log=log,
        log_steps=steps,
        segments=tuple(segments),
        used=used,
        wind=fit,
        wind_known=known,
        airspeed_deviation=deviations,
        notes=tuple(notes),
    )


def _wind_notes(fit: WindFit | None, steps: LogSteps, has_sensor: bool) -> list[str]:
    """Return a sentence on the wind in a log, and whether it drifts."""
    if fit is None:
        return ["No steady stretch gives the wind."]
    ends = steps.time[[0, -1]]
    if not _is_known(fit, steps):
        worst = float(np.max(worst_deviation(wind_at(fit, ends)[1])))
        unknown = f"The headings flown do not give the wind (to {worst:.1f} m/s at best); "
        if has_sensor:
            share = short_with_unit(_SENSOR_SCALE, "%")
            return [f"{unknown}airspeeds are those of the sensor, taken as right to {share}."]
        return [f"{unknown}airspeeds stay unknown. Fly a closed square or circle."]
    first, last = (
        f"{wind.speed:.1f} +- {wind.speed_deviation:.1f} m/s from {format_in_unit(wind.origin, 'deg')} +- "
        f"{format_in_unit(wind.origin_deviation, 'deg')} degrees"
        for wind in winds_at_times(fit, ends)
    )
    if not fit.drifts:
        return [f"The wind was {first}, steady as far as the log can tell."]
    return [
        f"The wind drifted: {first} at the start, {last} at the end, {format_in_unit(ends[1], 'min')} minutes later."
    ]


def winds_at_times(fit: WindFit, time: np.ndarray) -> list[WindAtTime]:
    """Return the wind at each time (n,) [s], with standard deviations."""
    winds, covariances = wind_at(fit, time)
    result = []
    for at, wind, covariance in zip(time, winds.T, covariances, strict=True):
        speed, origin = speed_and_origin(wind)
        speed_deviation, origin_deviation = speed_and_origin_deviation(wind, covariance)
        result.append(WindAtTime(float(at), float(speed), speed_deviation, float(origin), origin_deviation))
    return result


def likenesses(segments: list[StretchMeans]) -> np.ndarray:
    """Return a group number for each stretch. [-] A group has the same kind and about the same current."""
    result = np.zeros(len(segments), dtype=int)
    count = 0
    for kind in KINDS:
        members = [place for place, segment in enumerate(segments) if segment.kind == kind]
        amps = {place: float(np.nan_to_num(segments[place].amps)) for place in members}
        lowest = -np.inf
        for place in sorted(members, key=amps.__getitem__):
            if amps[place] > lowest * (1 + _ALIKE) + _SENSOR_STEP:
                count, lowest = count + 1, amps[place]
            result[place] = count
    return result


def _raise_if(refused: list[str], log: FlightLog) -> None:
    if refused:
        raise RunFailed("\n".join([f"{log.path} cannot be used:", *(f"  {sentence}" for sentence in refused)]))


def _wind(steps: LogSteps, stretches: list[Stretch]) -> WindFit | None:
    """Return the wind fitted to the stretches, or None without a stretch."""
    if not stretches:
        return None
    places = np.concatenate([np.arange(each.first, each.end) for each in stretches])
    stretch = np.repeat(np.arange(len(stretches)), [each.end - each.first for each in stretches])
    likeness = likenesses([stretch_means(steps, each) for each in stretches])
    change = None
    if np.isfinite(steps.airspeed[places]).all():
        airspeed = steps.airspeed[places]
        change = airspeed - (np.bincount(stretch, weights=airspeed) / np.bincount(stretch))[stretch]
    order = np.argsort(steps.time[places], kind="stable")
    return fitted_wind(
        steps.time[places][order],
        steps.velocity[:, places][:, order],
        stretch[order],
        likeness,
        None if change is None else change[order],
    )


def _is_known(fit: WindFit | None, steps: LogSteps) -> bool:
    if fit is None:
        return False
    return bool(np.max(worst_deviation(wind_at(fit, steps.time[[0, -1]])[1])) < WELL_KNOWN_WIND)


def _used(count: int, measurements: Measurements) -> tuple[bool, ...]:
    """Return which of the stretches are used, according to the table [segments]."""
    table: SegmentsTable = measurements.segments
    for key in ("leave_out", "use_only"):
        missing = [number for number in getattr(table, key) or () if number > count]
        if missing and count:
            measurements.refuse(
                [PlacedFault(("segments", key), f"segments.{key} names stretch {missing[0]}; the log has {count}.")]
            )
    if table.use_only:
        return tuple(number in table.use_only for number in range(1, count + 1))
    return tuple(number not in (table.leave_out or ()) for number in range(1, count + 1))


def _sensor_notes(steps: LogSteps, segments: list[StretchMeans]) -> list[str]:
    """Return a sentence if the wind fit contradicts the airspeed sensor."""
    measured, fitted = [], []
    for segment in segments:
        inside = (steps.time > segment.start) & (steps.time < segment.end)
        if np.isfinite(segment.airspeed) and np.isfinite(steps.airspeed[inside]).all():
            measured.append(float(np.mean(steps.airspeed[inside])))
            fitted.append(segment.airspeed)
    if not fitted:
        return []
    ratio = float(np.sum(measured) / np.sum(fitted))
    if abs(ratio - 1) < _SENSOR_DIFFERENCE:
        return []
    return [f"The airspeed sensor reads {ratio:.2f} times what ground velocity and wind give; the latter is used."]
