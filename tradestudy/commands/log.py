"""The command ``log``: a flight log prepared for comparison with the model, and the same as JSON values."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

from tradestudy.quantities import in_unit
from tradestudy.study.flight_logs.read_log import read_log
from tradestudy.study.measurements import read_measurements
from tradestudy.uncertainty.fit.prepared_log import PreparedLog, StretchMeans, prepared_log_of, winds_at_times


def log(path: Path, measurements: Path) -> PreparedLog:
    """Return the flight in a log. A measurements file names the log's columns.

    Raises MeasurementsError or CommandError.

    ::

        ts.log(Path("flight.csv"), Path("measured.toml")).stretches
    """
    measured = read_measurements(measurements)
    return prepared_log_of(read_log(path, measured), measured)


def log_document(flight: PreparedLog) -> dict[str, Any]:
    """Return a logged flight as values that JSON can store. Unknown values are None."""
    winds = winds_at_times(flight.wind, flight.wind.knots) if flight.wind and flight.wind_known else []
    return {
        "log": str(flight.log.path),
        "rows": len(flight.log.time),
        "lasts_s": _number(flight.log.time[-1]),
        "notes": list(flight.notes),
        "wind_known": flight.wind_known,
        "wind": [
            {
                "time_s": _number(wind.time),
                "speed_m_s": _number(wind.speed),
                "speed_deviation_m_s": _number(wind.speed_deviation),
                "from_deg": _number(in_unit(wind.origin, "deg")),
                "from_deviation_deg": _number(in_unit(wind.origin_deviation, "deg")),
            }
            for wind in winds
        ],
        "segments": [
            _segment(number, *segment)
            for number, segment in enumerate(
                zip(flight.segments, flight.used, flight.airspeed_deviation, strict=True), start=1
            )
        ],
    }


def _number(value: float) -> float | None:
    return round(float(value), 6) if math.isfinite(value) else None


def _segment(count: int, segment: StretchMeans, used: bool, deviation: float) -> dict[str, Any]:
    values = {
        "start_s": segment.start,
        "end_s": segment.end,
        "amps_A": segment.amps,
        "amps_scatter_A": segment.amps_scatter,
        "volts_V": segment.volts,
        "volts_scatter_V": segment.volts_scatter,
        "watts_W": segment.watts,
        "watts_scatter_W": segment.watts_scatter,
        "ground_speed_m_s": segment.ground_speed,
        "ground_speed_scatter_m_s": segment.ground_speed_scatter,
        "climb_m_s": segment.climb_rate,
        "climb_scatter_m_s": segment.climb_rate_scatter,
        "turn_rate_deg_s": in_unit(segment.turn_rate, "deg/s"),
        "turn_rate_scatter_deg_s": in_unit(segment.turn_rate_scatter, "deg/s"),
        "acceleration_m_s2": segment.acceleration,
        "airspeed_m_s": segment.airspeed,
        "airspeed_deviation_m_s": deviation,
    }
    return {"number": count, "kind": segment.kind, "used": used} | {
        name: _number(value) for name, value in values.items()
    }
