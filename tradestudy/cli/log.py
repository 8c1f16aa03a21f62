"""``tradestudy log``: what a flight log holds that the model can be compared with."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from tradestudy.cli.app import AsJson, print_json, say
from tradestudy.cli.completion import logs, studies

if TYPE_CHECKING:
    from tradestudy.search.flown import FlownFlight, Steady

LogPath = Annotated[Path, typer.Argument(metavar="LOG", autocompletion=logs, help="A flight log (CSV).")]
MeasurementsPath = Annotated[
    Path, typer.Argument(metavar="MEASUREMENTS", autocompletion=studies,
                         help="A TOML file whose [columns] name the columns of the log.")]
COLUMNS = (("from", "min:s", 6), ("lasts", "s", 6), ("amps", "A", 7), ("volts", "V", 7), ("watts", "W", 7),
           ("over", "km/h", 7), ("through", "km/h", 8), ("climb", "m/s", 6), ("turn", "deg/s", 6))  # head, unit, width
KIND = 15  # the widest kind


def log(log: LogPath, measurements: MeasurementsPath, as_json: AsJson = False) -> None:
    """Show the steady stretches of a flight log, and the wind it flew in."""
    from tradestudy.search.flown import flown_flight
    from tradestudy.study.flight_log import read_log
    from tradestudy.study.measurements import read_measurements

    told = read_measurements(measurements)
    flight = flown_flight(read_log(log, told), told)
    if as_json:
        print_json(_document(flight))
        return
    rows = len(flight.log.time)
    print(f"{log}: {flight.log.time[-1] / 60:.1f} minutes, {rows} rows.")
    for note in flight.notes:
        say(note, "  ", "    ")
    print(f" no  {'kind':{KIND}}" + "".join(f"{head:>{width}}" for head, _, width in COLUMNS))
    print(" " * (5 + KIND) + "".join(f"{unit:>{width}}" for _, unit, width in COLUMNS))
    for number, (segment, used) in enumerate(zip(flight.segments, flight.used, strict=True), start=1):
        print(_row(number, segment, used))
    print("over: speed over the ground. through: through the air, where the wind is known.")
    print("To leave stretches out: leave_out = [3, 5] below [segments] in the measurements.")


def _row(number: int, segment: Steady, used: bool) -> str:
    from tradestudy.quantities import from_si

    def shown(value: float, digits: int) -> str:
        return f"{value:.{digits}f}" if math.isfinite(value) else "-"

    kind = segment.kind if used else f"({segment.kind[:KIND - 2]})"
    minutes, seconds = divmod(int(segment.start), 60)
    cells = (f"{minutes}:{seconds:02d}", shown(segment.duration, 0), shown(segment.amps, 2), shown(segment.volts, 2),
             shown(segment.watts, 1), shown(from_si(segment.ground_speed, "km/h", "speed"), 1),
             shown(from_si(segment.airspeed, "km/h", "speed"), 1), shown(segment.climb_rate, 1),
             shown(from_si(segment.turn_rate, "deg", "angle"), 1))
    return f"{number:3d}  {kind:{KIND}}" + "".join(
        f"{cell:>{width}}" for cell, (_, _, width) in zip(cells, COLUMNS, strict=True))


def _document(flight: FlownFlight) -> dict[str, Any]:
    """Return the flight for a machine; what is not known is null."""
    from tradestudy.quantities import from_si
    from tradestudy.search.flown import winds_told

    def number(value: float) -> float | None:
        return round(float(value), 6) if math.isfinite(value) else None

    def degrees(value: float) -> float:
        return float(from_si(value, "deg", "angle"))

    knots = [
        {"time_s": number(told.time), "speed_m_s": number(told.speed),
         "speed_deviation_m_s": number(told.speed_deviation), "from_deg": number(degrees(told.origin)),
         "from_deviation_deg": number(degrees(told.origin_deviation))}
        for told in (winds_told(flight.wind, flight.wind.knots) if flight.wind and flight.wind_known else [])
    ]
    return {
        "log": str(flight.log.path), "rows": len(flight.log.time), "lasts_s": number(flight.log.time[-1]),
        "notes": list(flight.notes), "wind_known": flight.wind_known, "wind": knots,
        "segments": [_segment(number_, *found) for number_, found in enumerate(
            zip(flight.segments, flight.used, flight.airspeed_deviation, strict=True), start=1)],
    }


def _segment(count: int, segment: Steady, used: bool, deviation: float) -> dict[str, Any]:
    from tradestudy.quantities import from_si

    values = {
        "start_s": segment.start, "end_s": segment.end, "amps_A": segment.amps, "amps_scatter_A": segment.amps_scatter,
        "volts_V": segment.volts, "volts_scatter_V": segment.volts_scatter, "watts_W": segment.watts,
        "watts_scatter_W": segment.watts_scatter, "ground_speed_m_s": segment.ground_speed,
        "ground_speed_scatter_m_s": segment.ground_speed_scatter, "climb_m_s": segment.climb_rate,
        "climb_scatter_m_s": segment.climb_rate_scatter,
        "turn_rate_deg_s": from_si(segment.turn_rate, "deg", "angle"),
        "turn_rate_scatter_deg_s": from_si(segment.turn_rate_scatter, "deg", "angle"),
        "acceleration_m_s2": segment.acceleration, "airspeed_m_s": segment.airspeed,
        "airspeed_deviation_m_s": deviation,
    }
    rounded = {name: round(float(value), 6) if math.isfinite(value) else None for name, value in values.items()}
    return {"number": count, "kind": segment.kind, "used": used, **rounded}
