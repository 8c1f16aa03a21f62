"""Read a measurements file. It describes a flight log, and holds results of weighing, load tests and flights.

The file is TOML, like a study. All its errors are reported together, each with its line.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn

from tradestudy.errors import Fault, MeasurementsError, StudyFileError
from tradestudy.study.schema.flight_log import Column, ColumnsTable, FlightTable, LogTable, SegmentsTable
from tradestudy.study.schema.measured import (
    MEASUREMENT_TABLES,
    BenchTable,
    BendTable,
    GlideTable,
    MeasuredPackTable,
    PartTable,
    RememberedFlightTable,
    TwistTable,
    WeighedTable,
)

from .line_numbers import Place, dotted, line_of, locate
from .reader import PlacedFault, check_table, faults_at_keys, read_text, toml_tables, unknown_tables


@dataclass(frozen=True)
class Measurements:
    """A checked measurements file. Each table is an attribute, and values are in SI units."""

    path: Path
    text: str
    log: LogTable = LogTable()
    columns: ColumnsTable | None = None
    segments: SegmentsTable = SegmentsTable()
    flight: FlightTable = FlightTable()
    weighed: WeighedTable = WeighedTable()
    part: tuple[PartTable, ...] = ()
    bend: tuple[BendTable, ...] = ()
    twist: tuple[TwistTable, ...] = ()
    bench: tuple[BenchTable, ...] = ()
    pack: MeasuredPackTable = MeasuredPackTable()
    glide: tuple[GlideTable, ...] = ()
    flown: tuple[RememberedFlightTable, ...] = ()

    def logged_columns(self) -> dict[str, Column]:
        """Return a dict of quantity -> column of the log. Raise MeasurementsError if the file has no [columns]."""
        if self.columns is None:
            self.refuse([PlacedFault(("columns",), "[columns] is missing; it needs the key time.", missing=True)])
        return {name: value for name, value in self.columns if value is not None}

    def refuse(self, faults: list[PlacedFault]) -> NoReturn:
        """Raise MeasurementsError for errors in the log. Each is reported at the line of its key in this file."""
        _refuse(self.path, self.text, faults)


def read_measurements(path: str | os.PathLike[str]) -> Measurements:
    """Return the measurements in the file at ``path``.

    Raises
    ------
    MeasurementsError
        The file has errors. The exception holds all of them, sorted by line.
    CommandError
        There is no such file.
    """
    path = Path(path)
    try:
        text = read_text(path, "give a measurements file")
        raw = toml_tables(path, text, "The file holds no measurements; it needs a table such as [weighed].")
    except StudyFileError as error:
        raise MeasurementsError(error.path, error.faults) from None
    faults: list[PlacedFault] = []
    misspelt = unknown_tables(raw, faults, MEASUREMENT_TABLES)
    tables: dict[str, Any] = {}
    for name, spec in MEASUREMENT_TABLES.items():
        if name not in misspelt and (table := check_table(name, spec, raw, faults, MEASUREMENT_TABLES)):
            tables[name] = table[0]
    faults += faults_at_keys(_contradictions(tables))
    if faults:
        _refuse(path, text, faults)
    return Measurements(path, text, **{name: table for name, table in tables.items() if table is not None})


def _refuse(path: Path, text: str, faults: list[PlacedFault]) -> NoReturn:
    places = locate(text)
    raise MeasurementsError(
        str(path), [Fault(line_of(places, one.place), dotted(one.place), one.sentence) for one in faults]
    )


def _contradictions(tables: dict[str, Any]) -> Iterator[tuple[Place, str]]:
    """Yield (place, sentence) for every contradiction between keys. ``tables`` are the tables without errors."""
    columns, segments, flight = (tables.get(name) for name in ("columns", "segments", "flight"))
    if columns:
        yield from _column_faults(columns)
    if segments and segments.leave_out and segments.use_only:
        yield ("segments", "use_only"), "and segments.leave_out are both given; remove one of them."
    if (
        flight
        and flight.stall_speed
        and flight.full_throttle_speed
        and flight.full_throttle_speed <= flight.stall_speed
    ):
        yield ("flight", "full_throttle_speed"), "must be more than flight.stall_speed."
    yield from _weight_faults(tables.get("weighed"))
    yield from _reading_faults(tables)


def _column_faults(columns: ColumnsTable) -> Iterator[tuple[Place, str]]:
    """Yield errors in the columns that describe the way over the ground: position, ground speed and course."""
    position = columns.latitude or columns.north
    for pair in (("latitude", "longitude"), ("north", "east"), ("ground_speed", "course")):
        given = [key for key in pair if getattr(columns, key)]
        if len(given) == 1 and not (given == ["ground_speed"] and position):
            missing = next(key for key in pair if key not in given)
            yield ("columns", given[0]), f"is given without columns.{missing}; give both."
    if not position and not columns.ground_speed:
        yield (
            ("columns",),
            "has no way over the ground; give ground_speed and course, or latitude and longitude, or north and east.",
        )
    if columns.latitude and columns.north:
        yield ("columns", "north"), "and columns.latitude both give the position; remove one of them."


def _weight_faults(weighed: WeighedTable | None) -> Iterator[tuple[Place, str]]:
    """Yield an error for every weight that is not less than the weight of which it is a part."""
    for less, more in (("bare_halves", "covered_halves"), ("without_pack", "all_up"), ("covered_halves", "all_up")):
        low, high = getattr(weighed, less, None), getattr(weighed, more, None)
        if low is not None and high is not None and low >= high:
            yield ("weighed", less), f"must be less than weighed.{more}."


def _reading_faults(tables: dict[str, Any]) -> Iterator[tuple[Place, str]]:
    """Yield an error for every bench reading or remembered flight that is incomplete or contradicts itself."""
    for index, twist in enumerate(tables.get("twist") or ()):
        if (twist.angle is None) == (twist.edge_drop is None):
            yield ("twist", index), "needs angle or edge_drop, one of the two."
    for index, point in enumerate(tables.get("bench") or ()):
        given = {name for name, value in point if value is not None}
        if "throttle" in given and "volts" not in given:
            yield ("bench", index, "throttle"), "is given without volts; the voltage of the motor depends on both."
        elif len(given & {"amps", "rpm", "thrust"}) < (1 if "throttle" in given else 2):
            yield (
                ("bench", index),
                "is not enough; give throttle and volts with one of amps, rpm and thrust, or two of these three.",
            )
    for index, flight in enumerate(tables.get("flown") or ()):
        if flight.charge_used is None and flight.amps is None:
            yield ("flown", index), "needs charge_used or amps."
        if flight.wind >= flight.distance / flight.time:
            yield (
                ("flown", index, "wind"),
                "is at least as fast as the flight over the ground; against it the wing could not fly home.",
            )
