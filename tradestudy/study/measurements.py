"""Read a measurements file: what was weighed, loaded and flown, beside the study, and how to read a flight log.

Like a study it is TOML, and every fault is told at once with its line.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, NoReturn

from pydantic import BaseModel

from tradestudy.errors import Fault, MeasurementsError, StudyFileError
from tradestudy.study.flight_logs.log_columns import Column, column
from tradestudy.study.schema.key_types import choice, default, quantity, sequence, whole_number
from tradestudy.study.schema.measured import (
    BenchTable,
    BendTable,
    GlideTable,
    MeasuredPackTable,
    PartTable,
    RememberedFlightTable,
    TwistTable,
    WeighedTable,
)
from tradestudy.study.schema.study import TableSpec
from tradestudy.study.schema.wing import FROZEN

from .line_numbers import Place, dotted, line_of, locate
from .reader import PlacedFault, faults_at_keys, read_table, read_text, toml_tables, unknown_tables

DELIMITERS = {"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|", "space": " "}
_FOUND = "found in the log"
_NOT_LOGGED = "not in the log"
_MOST_TABLES = 60  # of one kind
_STRETCH = whole_number(1, 9999, "the number of a stretch")


class LogTable(BaseModel):
    """How the log is written, where that cannot be found by looking."""

    model_config = FROZEN
    delimiter: Annotated[str | None, choice(tuple(DELIMITERS), "what stands between two values")] = default(
        None, _FOUND
    )
    decimal: Annotated[str | None, choice(("point", "comma"), "what stands before decimals")] = default(None, _FOUND)


class ColumnsTable(BaseModel):
    """Which column of the log holds which quantity, and its unit."""

    model_config = FROZEN
    time: Annotated[Column, column("time")]
    latitude: Annotated[Column | None, column("latitude")] = default(None, _NOT_LOGGED)
    longitude: Annotated[Column | None, column("longitude")] = default(None, _NOT_LOGGED)
    north: Annotated[Column | None, column("north")] = default(None, _NOT_LOGGED)
    east: Annotated[Column | None, column("east")] = default(None, _NOT_LOGGED)
    ground_speed: Annotated[Column | None, column("ground_speed")] = default(None, _NOT_LOGGED)
    course: Annotated[Column | None, column("course")] = default(None, _NOT_LOGGED)
    altitude: Annotated[Column | None, column("altitude")] = default(None, _NOT_LOGGED)
    climb: Annotated[Column | None, column("climb")] = default(None, _NOT_LOGGED)
    airspeed: Annotated[Column | None, column("airspeed")] = default(None, _NOT_LOGGED)
    volts: Annotated[Column | None, column("volts")] = default(None, _NOT_LOGGED)
    amps: Annotated[Column | None, column("amps")] = default(None, _NOT_LOGGED)
    charge_used: Annotated[Column | None, column("charge_used")] = default(None, _NOT_LOGGED)
    throttle: Annotated[Column | None, column("throttle")] = default(None, _NOT_LOGGED)
    rpm: Annotated[Column | None, column("rpm")] = default(None, _NOT_LOGGED)


class SegmentsTable(BaseModel):
    """Which of the steady stretches found in the log are used; they are counted from 1."""

    model_config = FROZEN
    leave_out: Annotated[tuple[int, ...] | None, sequence(_STRETCH, 1, 400, "not to be used")] = default(
        None, "all are used"
    )
    use_only: Annotated[tuple[int, ...] | None, sequence(_STRETCH, 1, 400, "these and no others")] = default(
        None, "all are used"
    )


class FlightTable(BaseModel):
    """What is known of the wing that flew, to refuse the log of another."""

    model_config = FROZEN
    flying_weight: Annotated[float | None, quantity("mass", "150 g", "15 kg", "with the pack in, on this flight")] = (
        default(None, "not weighed")
    )
    charge_put_back: Annotated[
        float | None, quantity("charge", "50 mAh", "200 Ah", "by the charger after the first log's flight")
    ] = default(None, "not read")
    stall_speed: Annotated[float | None, quantity("speed", "2 m/s", "40 m/s", "slowest level flight")] = default(
        None, "not known"
    )
    full_throttle_speed: Annotated[float | None, quantity("speed", "5 m/s", "90 m/s", "fastest level flight")] = (
        default(None, "not known")
    )


MEASUREMENT_TABLES: dict[str, TableSpec] = {
    "log": TableSpec(LogTable, 0),
    "columns": TableSpec(ColumnsTable, 0),
    "segments": TableSpec(SegmentsTable, 0),
    "flight": TableSpec(FlightTable, 0),
    "weighed": TableSpec(WeighedTable, 0),
    "part": TableSpec(PartTable, 0, _MOST_TABLES),
    "bend": TableSpec(BendTable, 0, _MOST_TABLES),
    "twist": TableSpec(TwistTable, 0, _MOST_TABLES),
    "bench": TableSpec(BenchTable, 0, _MOST_TABLES),
    "pack": TableSpec(MeasuredPackTable, 0),
    "glide": TableSpec(GlideTable, 0, _MOST_TABLES),
    "flown": TableSpec(RememberedFlightTable, 0, _MOST_TABLES),
}


@dataclass(frozen=True)
class Measurements:
    """A checked measurements file: each table as an attribute, values in SI units."""

    path: Path
    text: str
    log: LogTable
    columns: ColumnsTable | None
    segments: SegmentsTable
    flight: FlightTable
    weighed: WeighedTable = WeighedTable()
    part: tuple[PartTable, ...] = ()
    bend: tuple[BendTable, ...] = ()
    twist: tuple[TwistTable, ...] = ()
    bench: tuple[BenchTable, ...] = ()
    pack: MeasuredPackTable = MeasuredPackTable()
    glide: tuple[GlideTable, ...] = ()
    flown: tuple[RememberedFlightTable, ...] = ()

    def logged_columns(self) -> dict[str, Column]:
        """Return the columns that the file names, by quantity. Raises MeasurementsError where it names none."""
        if self.columns is None:
            self.refuse([PlacedFault(("columns",), "[columns] is missing; it holds time.", missing=True)])
        return {name: value for name, value in self.columns if value is not None}

    def refuse(self, faults: list[PlacedFault]) -> NoReturn:
        """Raise MeasurementsError for faults that came out when the log was read; each at its key's line."""
        _refuse(self.path, self.text, faults)


def read_measurements(path: str | os.PathLike[str]) -> Measurements:
    """Return the measurements in the file at ``path``.

    Raises
    ------
    MeasurementsError
        Carries every fault of the file, sorted by line.
    CommandError
        There is no such file.
    """
    path = Path(path)
    try:
        text = read_text(path, "a measurements file is wanted")
        raw = toml_tables(path, text, "The file holds no measurements; a table such as [weighed] is wanted.")
    except StudyFileError as error:
        raise MeasurementsError(error.path, error.faults) from None
    found: list[PlacedFault] = []
    misspelt = unknown_tables(raw, found, MEASUREMENT_TABLES)
    read: dict[str, Any] = {}
    for name, table in MEASUREMENT_TABLES.items():
        if name not in misspelt:
            value = read_table(name, table, raw, found, MEASUREMENT_TABLES)
            read[name] = value[0] if value else None
    found += faults_at_keys(_broken_rules(read))
    if found:
        _refuse(path, text, found)
    left_open: dict[str, Any] = {
        "log": LogTable(),
        "segments": SegmentsTable(),
        "flight": FlightTable(),
        "weighed": WeighedTable(),
        "pack": MeasuredPackTable(),
    }
    tables: dict[str, Any] = {name: left_open.get(name) if value is None else value for name, value in read.items()}
    return Measurements(path, text, **tables)


def _refuse(path: Path, text: str, found: list[PlacedFault]) -> NoReturn:
    places = locate(text)
    raise MeasurementsError(
        str(path), [Fault(line_of(places, one.place), dotted(one.place), one.sentence) for one in found]
    )


def _broken_rules(read: dict[str, Any]) -> list[tuple[Place, str]]:
    """Return what contradicts itself across keys."""
    faults: list[tuple[Place, str]] = []
    columns, segments, flight = (read.get(name) for name in ("columns", "segments", "flight"))
    if columns:
        for one, other in (("latitude", "longitude"), ("north", "east"), ("ground_speed", "course")):
            for given, lacking in ((one, other), (other, one)):
                if (
                    getattr(columns, given)
                    and not getattr(columns, lacking)
                    and not (given == "ground_speed" and (columns.latitude or columns.north))
                ):
                    faults.append((("columns", given), f"stands without columns.{lacking}; both are wanted."))
        ways = [columns.latitude, columns.north, columns.ground_speed]
        if not any(ways):
            faults.append(
                (
                    ("columns",),
                    "tells no way over the ground; ground_speed and course are wanted, "
                    "or latitude and longitude, or north and east.",
                )
            )
        if columns.latitude and columns.north:
            faults.append((("columns", "north"), "stands beside columns.latitude; give the position one way."))
    if segments and segments.leave_out and segments.use_only:
        faults.append((("segments", "use_only"), "stands beside segments.leave_out; keep one of the two."))
    if (
        flight
        and flight.stall_speed
        and flight.full_throttle_speed
        and (flight.full_throttle_speed <= flight.stall_speed)
    ):
        faults.append((("flight", "full_throttle_speed"), "is no faster than flight.stall_speed."))
    return faults + _broken_by_hand(read)


def _broken_by_hand(read: dict[str, Any]) -> list[tuple[Place, str]]:
    """Return what was measured by hand and tells nothing, or contradicts itself."""
    faults: list[tuple[Place, str]] = []
    for index, turned in enumerate(read.get("twist") or ()):
        if (turned.angle is None) == (turned.edge_drop is None):
            faults.append((("twist", index), "wants angle or edge_drop, one of the two."))
    for index, point in enumerate(read.get("bench") or ()):
        given = {name for name, value in point if value is not None}
        if "throttle" in given and "volts" not in given:
            faults.append((("bench", index, "throttle"), "stands without volts; both tell what the motor gets."))
        elif len(given & {"amps", "rpm", "thrust"}) < (1 if "throttle" in given else 2):
            faults.append(
                (
                    ("bench", index),
                    "tells nothing; throttle and volts with one of amps, rpm and thrust are wanted, or two of these.",
                )
            )
    for index, flown in enumerate(read.get("flown") or ()):
        if flown.charge_used is None and flown.amps is None:
            faults.append((("flown", index), "wants charge_used or amps."))
        if flown.wind >= flown.distance / flown.time:
            faults.append(
                (
                    ("flown", index, "wind"),
                    "is no slower than the flight over the ground; a wing does not come home from there.",
                )
            )
    weighed = read.get("weighed")
    if weighed:
        for less, more in (("bare_halves", "covered_halves"), ("without_pack", "all_up"), ("covered_halves", "all_up")):
            low, high = getattr(weighed, less), getattr(weighed, more)
            if low is not None and high is not None and low >= high:
                faults.append((("weighed", less), f"is no lighter than weighed.{more}."))
    return faults
