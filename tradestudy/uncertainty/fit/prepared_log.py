"""One logged flight made ready for comparison: its steady stretches, numbered, and the wind it flew in."""

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
from tradestudy.quantities import format_in_unit
from tradestudy.study.flight_logs.read_log import FlightLog
from tradestudy.study.measurements import FlightTable, Measurements, SegmentsTable
from tradestudy.study.reader import PlacedFault

from .log_refusals import Aircraft, constant_current, impossible_current, never_moved, nothing_steady, other_aircraft
from .log_steps import even_steps, too_coarse, unlike_charge, unlike_positions

SENSOR_STEP = 0.3  # A of difference that says nothing
ALIKE = 0.12  # share of current within which stretches of one kind are flown alike
UNKNOWN = Aircraft()
SENSOR_OFF = 0.1  # share by which an airspeed sensor may differ from the fit before it is told


@dataclass(frozen=True)
class PreparedLog:
    """What one log holds for a comparison. SI.

    ``segments`` are all steady stretches in order of time, counted from 1 for a person; ``used`` says which count;
    ``wind`` is the fit, None where no stretch could tell it, and ``wind_known`` whether it is known to a metre a
    second; ``airspeed_deviation`` (s,) is infinite for stretches whose airspeed is not known [m/s].
    """

    log: FlightLog
    cells: LogSteps
    spans: tuple[Stretch, ...]
    segments: tuple[StretchMeans, ...]
    used: tuple[bool, ...]
    wind: WindFit | None
    wind_known: bool
    airspeed_deviation: np.ndarray
    notes: tuple[str, ...]


class WindAtTime(NamedTuple):
    """The wind at one time, for a person: where it blows from, clockwise from north. [s, m/s, rad]"""

    time: float
    speed: float
    speed_deviation: float
    origin: float
    origin_deviation: float


def prepared_log_of(
    log: FlightLog, measurements: Measurements, aircraft: Aircraft = UNKNOWN, criteria: Criteria = USUAL_CRITERIA
) -> PreparedLog:
    """Return the steady stretches and the wind of a log.

    What ``aircraft`` leaves open is taken from the [flight] table. Raises RunFailed with every reason for which the
    log is refused, and MeasurementsError for numbers in [segments] that do not occur.
    """
    cells, notes = even_steps(log)
    charge_refused, told = unlike_charge(log)
    _raise_if(
        too_coarse(log)
        or never_moved(cells, criteria)
        or (unlike_positions(log, cells) + charge_refused + constant_current(cells, criteria)),
        log,
    )
    notes = [*log.notes, *notes, *told]
    spans = steady_stretches(cells, criteria)
    first = _wind(cells, spans)
    if _known(first, cells):
        spans = steady_stretches(cells, criteria, wind_at(first, cells.time)[0]) or spans
    used = _used(len(spans), measurements)
    fit = _wind(cells, [span for span, counts in zip(spans, used, strict=True) if counts])
    known = _known(fit, cells)
    wind = wind_at(fit, cells.time)[0] if fit is not None and known else None
    segments = [stretch_means(cells, span, criteria, wind) for span in spans]
    deviations = _deviations(fit if known else None, used)
    counted = [segment for segment, counts in zip(segments, used, strict=True) if counts]
    refused = nothing_steady(segments, cells, criteria) or impossible_current(counted)
    refused += other_aircraft(
        counted,
        deviations[np.array(used, dtype=bool)],
        _known_of(aircraft, measurements.flight),
        measurements.flight.flying_weight,
    )
    _raise_if(refused, log)
    notes += wind_words(fit, cells) + _sensor_words(cells, counted)
    return PreparedLog(log, cells, tuple(spans), tuple(segments), used, fit, known, deviations, tuple(notes))


def wind_words(fit: WindFit | None, cells: LogSteps) -> list[str]:
    """Return what the log tells of the wind, and whether it drifts, as sentences."""
    if fit is None:
        return ["No steady stretch tells the wind."]
    ends = cells.time[[0, -1]]
    if not _known(fit, cells):
        worst = float(np.max(worst_deviation(wind_at(fit, ends)[1])))
        return [
            f"The headings flown do not tell the wind (to {worst:.1f} m/s at best); airspeeds stay unknown. Fly a "
            "closed square or circle."
        ]
    said = [
        f"{told.speed:.1f} +- {told.speed_deviation:.1f} m/s from {format_in_unit(told.origin, 'deg')} +- "
        f"{format_in_unit(told.origin_deviation, 'deg')} degrees"
        for told in winds_at_times(fit, ends)
    ]
    if not fit.drifts:
        return [f"The wind was {said[0]}, steady as far as the log can tell."]
    return [
        f"The wind drifted: {said[0]} at the start, {said[1]} at the end, "
        f"{format_in_unit(ends[1], 'min')} minutes later."
    ]


def winds_at_times(fit: WindFit, time: np.ndarray) -> list[WindAtTime]:
    """Return the wind at each time (n,) [s] with its deviations."""
    winds, covariances = wind_at(fit, time)
    told = []
    for at, wind, covariance in zip(time, winds.T, covariances, strict=True):
        speed, origin = speed_and_origin(wind)
        off, turned = speed_and_origin_deviation(wind, covariance)
        told.append(WindAtTime(float(at), float(speed), off, float(origin), turned))
    return told


def likenesses(segments: list[StretchMeans]) -> np.ndarray:
    """Return a number (s,) for each stretch that it shares with those flown alike: one kind, one current. [-]"""
    result = np.zeros(len(segments), dtype=int)
    count = 0
    for kind in KINDS:
        members = [place for place, segment in enumerate(segments) if segment.kind == kind]
        amps = {place: float(np.nan_to_num(segments[place].amps)) for place in members}
        lowest = -np.inf
        for place in sorted(members, key=amps.__getitem__):
            if amps[place] > lowest * (1 + ALIKE) + SENSOR_STEP:
                count, lowest = count + 1, amps[place]
            result[place] = count
    return result


def _raise_if(refused: list[str], log: FlightLog) -> None:
    if refused:
        raise RunFailed("\n".join([f"{log.path} cannot be used:", *(f"  {sentence}" for sentence in refused)]))


def _wind(cells: LogSteps, spans: list[Stretch]) -> WindFit | None:
    """Return the wind that the stretches tell, or None without any."""
    if not spans:
        return None
    places = np.concatenate([np.arange(span.first, span.end) for span in spans])
    stretch = np.repeat(np.arange(len(spans)), [span.end - span.first for span in spans])
    likeness = likenesses([stretch_means(cells, span) for span in spans])
    change = None
    if np.isfinite(cells.airspeed[places]).all():
        airspeed = cells.airspeed[places]
        change = airspeed - (np.bincount(stretch, weights=airspeed) / np.bincount(stretch))[stretch]
    order = np.argsort(cells.time[places], kind="stable")
    return fitted_wind(
        cells.time[places][order],
        cells.velocity[:, places][:, order],
        stretch[order],
        likeness,
        None if change is None else change[order],
    )


def _known(fit: WindFit | None, cells: LogSteps) -> bool:
    if fit is None:
        return False
    return bool(np.max(worst_deviation(wind_at(fit, cells.time[[0, -1]])[1])) < WELL_KNOWN_WIND)


def _used(count: int, measurements: Measurements) -> tuple[bool, ...]:
    """Return which of the stretches count, as [segments] says."""
    table: SegmentsTable = measurements.segments
    for key in ("leave_out", "use_only"):
        beyond = [number for number in getattr(table, key) or () if number > count]
        if beyond and count:
            measurements.refuse(
                [PlacedFault(("segments", key), f"segments.{key} names stretch {beyond[0]}; the log has {count}.")]
            )
    if table.use_only:
        return tuple(number in table.use_only for number in range(1, count + 1))
    return tuple(number not in (table.leave_out or ()) for number in range(1, count + 1))


def _deviations(fit: WindFit | None, used: tuple[bool, ...]) -> np.ndarray:
    result = np.full(len(used), np.inf)
    if fit is not None:
        result[np.array(used, dtype=bool)] = fit.airspeed_deviation
    return result


def _known_of(aircraft: Aircraft, flight: FlightTable) -> Aircraft:
    """Return the aircraft with what the [flight] table knows where it is open."""
    return aircraft._replace(
        stall_speed=aircraft.stall_speed or flight.stall_speed,
        full_throttle_speed=aircraft.full_throttle_speed or flight.full_throttle_speed,
    )


def _sensor_words(cells: LogSteps, segments: list[StretchMeans]) -> list[str]:
    """Tell an airspeed sensor that the wind fit contradicts."""
    measured, fitted = [], []
    for segment in segments:
        inside = (cells.time > segment.start) & (cells.time < segment.end)
        if np.isfinite(segment.airspeed) and np.isfinite(cells.airspeed[inside]).all():
            measured.append(float(np.mean(cells.airspeed[inside])))
            fitted.append(segment.airspeed)
    if not fitted:
        return []
    ratio = float(np.sum(measured) / np.sum(fitted))
    if abs(ratio - 1) < SENSOR_OFF:
        return []
    return [f"The airspeed sensor reads {ratio:.2f} times what ground velocity and wind give; the latter is used."]
