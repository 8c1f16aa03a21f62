"""Read a flight log: the columns that a measurements file names, in SI and in order of time, and what was put right."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tradestudy.errors import CommandError, Fault, MeasurementsError, near_match
from tradestudy.physics.flight_log.track import local_metres
from tradestudy.quantities import from_si
from tradestudy.study.measurements import DELIMITERS, Measurements
from tradestudy.study.reader import PlacedFault, read_limited

from .clean_rows import Channels, in_order, without_frozen_fixes, without_impossible, without_spikes
from .log_columns import CLOCK, LOGGED_QUANTITIES, Column, unit_in_heading, units_of
from .parse_numbers import column_numbers, likely_unit
from .parse_rows import (
    LARGEST_LOG,
    LogFormFault,
    LogRows,
    log_rows,
    log_text,
    on_lines,
    same_heading,
)

FEWEST_ROWS = 20
LONGEST = 86400.0  # s
MOSTLY_WRONG = 0.2  # share of impossible values from which on the unit is doubted, not the values
MOSTLY_UNREAD = 0.9  # share of values that cannot be read from which on the column is doubted


@dataclass(frozen=True)
class FlightLog:
    """One flight, row by row. SI; NaN where nothing was measured or what was measured was left out.

    ``time`` (n,) rises from 0 [s]; ``line`` (n,) is where each row stands in the file [-]; ``channels`` (n,) by
    quantity, with north and east [m] in place of latitude and longitude; ``notes`` say what was done to them.
    """

    path: Path
    time: np.ndarray
    line: np.ndarray
    channels: Channels
    notes: tuple[str, ...]


def read_log(path: str | os.PathLike[str], measurements: Measurements) -> FlightLog:
    """Return the log at ``path`` as the columns of ``measurements`` say.

    Raises
    ------
    MeasurementsError
        The log cannot be read by what the measurements file says; at the line of either file.
    CommandError
        There is no such log.
    """
    path = Path(path)
    content = read_limited(path, "a flight log is wanted", LARGEST_LOG, ".csv")
    if len(content) > LARGEST_LOG:
        raise CommandError(f"{path} holds more than {LARGEST_LOG // 10**6} MB; cut it into flights.")
    return parse_log(content, path, measurements)


def parse_log(content: bytes, path: Path, measurements: Measurements) -> FlightLog:
    """Return the log that the bytes of a file hold, see `read_log`; ``path`` is only told."""
    text, notes = log_text(content)
    named = measurements.logged_columns()
    form = measurements.log
    try:
        rows = log_rows(
            text, [column.heading for column in named.values()], DELIMITERS[form.delimiter] if form.delimiter else None
        )
    except LogFormFault as fault:
        raise MeasurementsError(str(path), [Fault(fault.line, "", fault.sentence)]) from None
    notes += rows.notes
    places = _places(rows, named, measurements)
    channels: Channels = {}
    for name, column in named.items():
        kind, heading = LOGGED_QUANTITIES[name].kind, rows.headings[places[name]]
        spelt = unit_in_heading(heading, kind)
        unit = spelt if column.unit is None else column.unit
        if spelt and spelt != unit:
            notes.append(f'{name}: the heading "{heading}" says {spelt}, the measurements file {unit}; read as {unit}.')
        numbers = column_numbers(name, rows.columns[places[name]], rows.lines, kind, unit or "", form.decimal)
        channels[name] = numbers.values
        notes += numbers.notes
    _refuse_wrong_units(channels, rows, places, named, measurements)
    time = channels.pop("time")
    lines = np.array(rows.lines)
    kept, time, said = in_order(time, lines)
    if len(time) < FEWEST_ROWS or not time[-1] > time[0]:
        raise MeasurementsError(
            str(path),
            [
                Fault(
                    rows.lines[0],
                    "",
                    (
                        f"{len(time)} rows with a time of their own are left; {FEWEST_ROWS} or more are wanted. "
                        + " ".join([*notes, *said])
                    ).strip(),
                )
            ],
        )
    if time[-1] - time[0] > LONGEST:
        raise MeasurementsError(
            str(path),
            [
                Fault(
                    int(lines[kept[0]]),
                    "columns.time",
                    (
                        f"The log lasts {(time[-1] - time[0]) / 3600:.3g} hours by its times; a day at most is read. Is the unit "
                        "of the time right?"
                    ),
                )
            ],
        )
    notes += said
    lines = lines[kept]
    channels = {name: values[kept] for name, values in channels.items()}
    notes += without_impossible(channels, lines)
    _to_metres(channels)
    notes += without_frozen_fixes(channels, time, lines)
    notes += without_spikes(channels, lines)
    return FlightLog(path, time - time[0], lines, channels, tuple(notes))


def _places(rows: LogRows, named: dict[str, Column], measurements: Measurements) -> dict[str, int]:
    """Return the place of each quantity's column, counted from 0; what is not there is a fault of the measurements."""
    places: dict[str, int] = {}
    faults: list[PlacedFault] = []
    for name, column in named.items():
        at = ("columns", name)
        if isinstance(column.heading, int):
            if column.heading > len(rows.headings):
                faults.append(
                    PlacedFault(
                        at,
                        f"columns.{name}: the log has {len(rows.headings)} columns; there is no "
                        f"column {column.heading}.",
                    )
                )
            places[name] = column.heading - 1
            continue
        exact = [place for place, heading in enumerate(rows.headings) if heading == column.heading]
        found = exact or [place for place, heading in enumerate(rows.headings) if same_heading(heading, column.heading)]
        if len(found) > 1:
            faults.append(
                PlacedFault(
                    at,
                    f'columns.{name}: the heading "{column.heading}" stands {len(found)} times in '
                    "the log; give the number of the column, "
                    f"{' or '.join(str(place + 1) for place in found)}.",
                )
            )
        if not found:
            others = [heading for heading in rows.headings if heading]
            hint = near_match(column.heading, others) or f" It has: {', '.join(others)[:300]}."
            faults.append(PlacedFault(at, f'columns.{name}: the log has no column "{column.heading}".{hint}'))
        places[name] = found[0] if found else 0
    if faults:
        measurements.refuse(faults)
    return places


def _refuse_wrong_units(
    channels: Channels, rows: LogRows, places: dict[str, int], named: dict[str, Column], measurements: Measurements
) -> None:
    """Refuse columns that hold next to no numbers, or mostly impossible ones: the unit is wrong, not the values."""
    faults: list[PlacedFault] = []
    for name, values in channels.items():
        logged, at = LOGGED_QUANTITIES[name], ("columns", name)
        heading = rows.headings[places[name]]
        unit = named[name].unit or unit_in_heading(heading, logged.kind) or ""
        known = values[np.isfinite(values)]
        if known.size < (1 - MOSTLY_UNREAD) * len(values):
            texts = rows.columns[places[name]]
            written = [place for place, text in enumerate(texts) if text.strip()]
        if (
            not known.size
            or known.size < (1 - MOSTLY_UNREAD) * len(values)
            and (known.size < (1 - MOSTLY_UNREAD) * len(written))
        ):
            example = f', such as "{texts[written[0]][:20]}" {on_lines([rows.lines[written[0]]])}' if written else ""
            faults.append(PlacedFault(at, f'columns.{name}: the column "{heading}" holds next to no numbers{example}.'))
            continue
        if not np.isfinite(logged.most):
            continue
        wrong = (known < logged.least) | (known > logged.most)
        if np.mean(wrong) > MOSTLY_WRONG:
            middle = float(np.median(known[wrong]))
            meant = likely_unit(known, unit, logged.kind, logged.least, logged.most, units_of(logged.kind))
            faults.append(
                PlacedFault(
                    at,
                    f'columns.{name}: {100 * np.mean(wrong):.0f} % of the column "{heading}" read in '
                    f"{unit} is beyond what a small wing can do, such as {_shown(middle, unit, logged.kind)}"
                    f".{meant}",
                )
            )
    if faults:
        measurements.refuse(faults)


def _shown(value: float, unit: str, kind: str) -> str:
    return f"{from_si(value, unit, kind):.6g} {unit}".strip() if unit != CLOCK else f"{value:.6g} s"


def _to_metres(channels: Channels) -> None:
    """Put north and east in place of latitude and longitude."""
    if "latitude" in channels and "longitude" in channels:
        channels["north"], channels["east"] = local_metres(channels.pop("latitude"), channels.pop("longitude"))
