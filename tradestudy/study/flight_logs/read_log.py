"""Read a flight log. A measurements file names its columns. The result is in SI and in order of time."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tradestudy.errors import CommandError, Fault, MeasurementsError, near_match
from tradestudy.physics.flight_log.track import local_metres
from tradestudy.quantities import from_si
from tradestudy.study.measurements import Measurements
from tradestudy.study.reader import PlacedFault, read_limited
from tradestudy.study.schema.flight_log import (
    CLOCK,
    DELIMITERS,
    LOGGED_QUANTITIES,
    Column,
    unit_in_heading,
    units_of,
)

from .clean_rows import (
    Channels,
    in_order,
    without_copies,
    without_frozen_fixes,
    without_impossible,
    without_speeds_of_no_fix,
    without_spikes,
)
from .parse_numbers import column_numbers, likely_unit
from .parse_rows import LARGEST_LOG, LogFormFault, LogRows, log_rows, log_text, on_lines, same_heading

_FEWEST_ROWS = 20
_LONGEST = 86400.0  # longest duration of a flight [s]
_MOSTLY_WRONG = 0.2  # if a larger share of the values is impossible, the unit of the column is wrong
_MOSTLY_UNREAD = 0.9  # if a larger share of the values cannot be read, the column is the wrong one


@dataclass(frozen=True)
class FlightLog:
    """One flight in SI, with arrays of shape (n,) for n rows. A value that is missing or was removed is NaN.

    ``time`` [s] starts at 0 and rises. ``line`` [-] is the line number of each row in the file. ``channels`` is a dict
    of quantity -> values, with north and east [m] instead of latitude and longitude. ``notes`` say what was corrected.
    """

    path: Path
    time: np.ndarray
    line: np.ndarray
    channels: Channels
    notes: tuple[str, ...]


def read_log(path: str | os.PathLike[str], measurements: Measurements) -> FlightLog:
    """Return the log at ``path``, read as ``measurements`` describes it.

    Raises
    ------
    MeasurementsError
        The log does not fit its description. The exception names a line of the log or of the measurements file.
    CommandError
        There is no such log, or it is too large.
    """
    path = Path(path)
    content = read_limited(path, "give a flight log", LARGEST_LOG, ".csv")
    if len(content) > LARGEST_LOG:
        raise CommandError(f"{path} holds more than {LARGEST_LOG // 10**6} MB; split it into flights.")
    return parse_log(content, path, measurements)


def parse_log(content: bytes, path: Path, measurements: Measurements) -> FlightLog:
    """Return the log in the content of a file, like `read_log`. ``path`` is only used in messages."""
    text, notes = log_text(content)
    columns = measurements.logged_columns()
    form = measurements.log
    try:
        headings = [column.heading for column in columns.values()]
        rows = log_rows(text, headings, DELIMITERS[form.delimiter] if form.delimiter else None)
    except LogFormFault as fault:
        raise MeasurementsError(str(path), [Fault(fault.line, "", fault.sentence)]) from None
    notes += rows.notes
    places = _places(rows, columns, measurements)
    channels: Channels = {}
    for name, column in columns.items():
        kind, heading = LOGGED_QUANTITIES[name].kind, rows.headings[places[name]]
        spelt = unit_in_heading(heading, kind)
        unit = spelt if column.unit is None else column.unit
        if spelt and spelt != unit:
            notes.append(f'{name}: the heading "{heading}" says {spelt}, the measurements file {unit}; read as {unit}.')
        numbers = column_numbers(name, rows.columns[places[name]], rows.lines, kind, unit or "", form.decimal)
        channels[name] = numbers.values
        notes += numbers.notes
    _refuse_wrong_units(channels, rows, places, columns, measurements)
    lines = np.array(rows.lines)
    channels, lines, copy_notes = without_copies(channels, lines)
    kept, time, time_notes = in_order(channels.pop("time"), lines)
    notes += copy_notes + time_notes
    if len(time) < _FEWEST_ROWS or not time[-1] > time[0]:
        sentence = f"{len(time)} rows with different times are left; {_FEWEST_ROWS} or more are needed."
        raise MeasurementsError(str(path), [Fault(rows.lines[0], "", " ".join([sentence, *notes]))])
    if time[-1] - time[0] > _LONGEST:
        hours = (time[-1] - time[0]) / 3600
        sentence = (
            f"The log lasts {hours:.3g} hours by its times; at most a day is read. Is the unit of the time right?"
        )
        raise MeasurementsError(str(path), [Fault(int(lines[kept[0]]), "columns.time", sentence)])
    lines = lines[kept]
    channels = {name: values[kept] for name, values in channels.items()}
    notes += without_impossible(channels, lines)
    if "latitude" in channels and "longitude" in channels:
        channels["north"], channels["east"] = local_metres(channels.pop("latitude"), channels.pop("longitude"))
    notes += without_speeds_of_no_fix(channels, lines)
    notes += without_frozen_fixes(channels, time, lines)
    notes += without_spikes(channels, lines)
    return FlightLog(path, time - time[0], lines, channels, tuple(notes))


def _places(rows: LogRows, columns: dict[str, Column], measurements: Measurements) -> dict[str, int]:
    """Return a dict of quantity -> index of its column, from 0. Raise MeasurementsError if a column is missing."""
    places: dict[str, int] = {}
    faults: list[PlacedFault] = []
    for name, (heading, _) in columns.items():
        if isinstance(heading, int):
            matches = [heading - 1] if heading <= len(rows.headings) else []
            hint = f"the log has {len(rows.headings)} columns; there is no column {heading}."
        else:
            exact = [place for place, other in enumerate(rows.headings) if other == heading]
            matches = exact or [place for place, other in enumerate(rows.headings) if same_heading(other, heading)]
            others = list(filter(None, rows.headings))
            near = near_match(heading, others) or f" It has: {', '.join(others)[:300]}."
            hint = f'the log has no column "{heading}".{near}'
        if len(matches) > 1:
            numbers = " or ".join(str(place + 1) for place in matches)
            hint = f'the log has {len(matches)} columns "{heading}"; give the number of the column, {numbers}.'
        if len(matches) != 1:
            faults.append(PlacedFault(("columns", name), f"columns.{name}: {hint}"))
        places[name] = matches[0] if matches else 0
    if faults:
        measurements.refuse(faults)
    return places


def _refuse_wrong_units(
    channels: Channels, rows: LogRows, places: dict[str, int], columns: dict[str, Column], measurements: Measurements
) -> None:
    """Raise MeasurementsError if a column has hardly any numbers, or if its unit is wrong.

    A unit is wrong if it makes too many values impossible.
    """
    faults: list[PlacedFault] = []
    for name, values in channels.items():
        logged, heading = LOGGED_QUANTITIES[name], rows.headings[places[name]]
        known = values[np.isfinite(values)]
        texts = rows.columns[places[name]]
        written = [place for place, text in enumerate(texts) if text.strip()] if _mostly_unread(known, texts) else []
        if not known.size or _mostly_unread(known, texts) and _mostly_unread(known, written):
            example = f', such as "{texts[written[0]][:20]}" {on_lines([rows.lines[written[0]]])}' if written else ""
            sentence = f'columns.{name}: the column "{heading}" holds hardly any numbers{example}.'
            faults.append(PlacedFault(("columns", name), sentence))
            continue
        if not np.isfinite(logged.most):
            continue
        wrong = (known < logged.least) | (known > logged.most)
        if np.mean(wrong) > _MOSTLY_WRONG:
            unit = columns[name].unit or unit_in_heading(heading, logged.kind) or ""
            example = _value_text(float(np.median(known[wrong])), unit, logged.kind)
            meant = likely_unit(known, unit, logged.kind, logged.least, logged.most, units_of(logged.kind))
            sentence = (
                f'columns.{name}: {100 * np.mean(wrong):.0f} % of the column "{heading}", read in {unit}, is '
                f"impossible for a small wing, such as {example}.{meant}"
            )
            faults.append(PlacedFault(("columns", name), sentence))
    if faults:
        measurements.refuse(faults)


def _mostly_unread(known: np.ndarray, values: Sequence[object]) -> bool:
    return known.size < (1 - _MOSTLY_UNREAD) * len(values)


def _value_text(value: float, unit: str, kind: str) -> str:
    return f"{from_si(value, unit, kind):.6g} {unit}".strip() if unit != CLOCK else f"{value:.6g} s"
