"""Checks of a propeller's CSV file: its rows must be in order, and coefficients must have the usual definition.

CT is the thrust coefficient, CP the power coefficient, and J the advance ratio: J = V/(n D) with the airspeed V, the
revolutions n [rev/s] and the diameter D. An error is reported with its row. If the numbers fit another definition of
the coefficients, the message says so.

The propeller itself is a table of the study (`schema.power.StudyPropellerTable`). `aircraft.model.power_data` builds
its model.
"""

from __future__ import annotations

import csv
import math
import os
from pathlib import Path
from typing import NamedTuple

from .named_file import text_of

TABLE_COLUMNS = ("J", "CT", "CP")
BLADE_COLUMNS = ("r/R", "c/R", "beta")
_DELIMITERS = (",", ";", "\t")
_FEWEST_ROWS = 6  # smallest number of rows of a propeller table that gives a smooth curve
_FEWEST_STATIONS = 4  # smallest number of stations along a blade
# Ranges of CT and CP at or near standstill. 74 measured propellers of 8 to 11 in have CT 0.06 to 0.18 and CP 0.018 to
# 0.14 (UIUC Propeller Database, vols 1-3). The ranges here are half of the smallest to twice the largest value.
_STATIC_THRUST = (0.03, 0.36)
_STATIC_POWER = (0.009, 0.28)
# Share of its value at the lowest J below which CP does not fall up to _SLOW, and CT up to _STANDSTILL: a judgement, a
# quarter of what measured sweeps show there (tests/published/data/uiuc_propeller_sweeps.csv: 0.8 or more).
_VANISHED = 0.2
_STANDSTILL = 0.12
_SLOW = 0.25  # a row with a smaller J is treated as standstill
# Largest efficiency J CT/CP. Measured propellers reach 0.78, and no propeller of any size much more than 0.9.
_MOST_EFFICIENCY = 0.92
# Largest figure of merit CT^1.5 sqrt(2/pi)/CP at standstill. Measured values are 0.31 to 0.83; the ideal disk has 1.
_MOST_MERIT = 0.95
# Another definition of the coefficients -> (CT, CP) by our definition, each divided by the value by that definition.
# T is thrust, P power, rho air density, n revolutions [rev/s], w angular speed [rad/s], D diameter and R tip radius.
_OTHER_DEFINITIONS = {
    "rad/s in place of rev/s (T/(rho w^2 D^4), P/(rho w^3 D^5))": (4 * math.pi**2, 8 * math.pi**3),
    "the tip's speed and the disk's area (T/(rho pi R^2 (w R)^2))": (math.pi**3 / 4, math.pi**4 / 4),
    "the radius in place of the diameter (T/(rho n^2 R^4), P/(rho n^3 R^5))": (1 / 16, 1 / 32),
    "per cent": (0.01, 0.01),
}
_RPM_RANGE = (200.0, 60000.0)  # range of possible rpm


class _Row(NamedTuple):
    """The values in one row of the file, and the number of the row."""

    number: int  # counted from 1, without comments and the heading
    values: tuple[float, ...]


def read_advance_ratios(file: Path) -> list[float] | str:
    """Return the column J of a propeller table, or a sentence that says what is wrong with the table."""
    table = _rows(file, TABLE_COLUMNS, ("rpm",))
    if isinstance(table, str):
        return table
    rows, (has_rpm,) = table
    if len(rows) < _FEWEST_ROWS:
        return f'names "{file.name}", which holds {len(rows)} rows; {_FEWEST_ROWS} or more are needed.'
    fault = _order_fault(rows, has_rpm) or _static_fault(rows) or _efficiency_fault(rows)
    return f'names "{file.name}", whose {fault}' if fault else [row.values[0] for row in rows]


def _order_fault(rows: list[_Row], has_rpm: bool) -> str:
    """Return an error message if J falls within a run or a value is impossible, else an empty string.

    A run is all rows with the same rpm. Without a column rpm, the complete file is one run.
    """
    last: dict[float, float] = {}
    for row in rows:
        ratio, _, power = row.values[:3]
        run = row.values[3] if has_rpm else 0.0
        here = f"row {row.number} has"
        if ratio < 0:
            return f"{here} J = {ratio:g}; J is airspeed over rpm and diameter, 0 or more."
        if power <= 0:
            return (
                f"{here} CP = {power:g} at J = {ratio:g}; it must be above 0. Leave out rows where the air drives the "
                "propeller."
            )
        if has_rpm and not _RPM_RANGE[0] <= run <= _RPM_RANGE[1]:
            unit = " Is that rev/s? Give rpm." if 10 <= run < _RPM_RANGE[0] else ""
            return f"{here} rpm = {run:g}; {_RPM_RANGE[0]:g} to {_RPM_RANGE[1]:g} is usual.{unit}"
        if ratio < last.get(run, 0.0):
            rule = "row of one rpm." if has_rpm else "row. If these are several runs, add a column rpm."
            return f"J falls from {last[run]:g} to {ratio:g} at row {row.number}; it must rise from row to {rule}"
        last[run] = ratio
    return ""


def _static_fault(rows: list[_Row]) -> str:
    """Return an error message if the size of CT or CP near standstill is impossible, else an empty string.

    The definitions are CT = T/(rho n^2 D^4) and CP = P/(rho n^3 D^5).
    """
    slow = [row for row in rows if row.values[0] < _SLOW]
    for coefficient, column, least in (("CT", 1, 0.5 * _STATIC_THRUST[0]), ("CP", 2, 0.5 * _STATIC_POWER[0])):
        most = max(row.values[column] for row in rows)
        if not slow and most < least:
            return f"{coefficient} is at most {most:g}; propellers that pull have {least:g} or more at their lowest J."
    if not slow:
        return ""
    for row in slow:
        thrust, power = row.values[1:3]
        if row is not slow[0] and power < _VANISHED * slow[0].values[2]:
            return f"CP vanishes at row {row.number}: {power:g} at J = {row.values[0]:g}, after {slow[0].values[2]:g}."
        if row.values[0] < _STANDSTILL and row is not slow[0] and thrust < _VANISHED * slow[0].values[1]:
            return f"CT vanishes at row {row.number}: {thrust:g} at J = {row.values[0]:g}, after {slow[0].values[1]:g}."
    number, (_, thrust, power, *_) = max(slow, key=lambda row: row.values[1])
    if _is_static(thrust, power):
        return ""
    here = f"row {number} has CT = {thrust:g}, CP = {power:g}"
    for definition, (of_thrust, of_power) in _OTHER_DEFINITIONS.items():
        if _is_static(of_thrust * thrust, of_power * power):
            return (
                f"{here}: that looks like {definition}. CT is T/(rho n^2 D^4) and CP is P/(rho n^3 D^5), with n in "
                f"rev/s: multiply by {of_thrust:.4g} and {of_power:.4g}."
            )
    if _is_static(thrust, 2 * math.pi * power):
        return (
            f"row {number} has CP = {power:g}: that looks like the torque coefficient. Give the power coefficient, "
            "which is 2 pi times that."
        )
    return (
        f"{here}; near J = 0 propellers have CT {_STATIC_THRUST[0]:g} to {_STATIC_THRUST[1]:g} and CP "
        f"{_STATIC_POWER[0]:g} to {_STATIC_POWER[1]:g}."
    )


def _is_static(thrust: float, power: float) -> bool:
    """Return whether CT and CP are possible for a propeller at or near standstill."""
    return _STATIC_THRUST[0] <= thrust <= _STATIC_THRUST[1] and _STATIC_POWER[0] <= power <= _STATIC_POWER[1]


def _efficiency_fault(rows: list[_Row]) -> str:
    """Return an error message if no propeller is as efficient as CT and CP say, else an empty string."""
    for row in rows:
        ratio, thrust, power = row.values[:3]
        efficiency = ratio * thrust / power
        merit = max(thrust, 0.0) ** 1.5 * math.sqrt(2 / math.pi) / power if ratio == 0 else 0.0
        if efficiency > _MOST_EFFICIENCY:
            return (
                f"row {row.number} is {100 * efficiency:.0f} % efficient (J CT/CP), which no propeller is. J is "
                "V/(n D) with n in rev/s; CP is that of power, not of torque."
            )
        if merit > _MOST_MERIT:
            return (
                f"row {row.number} has a figure of merit of {100 * merit:.0f} %; no propeller exceeds 85 %. CP is that "
                "of power, not of torque."
            )
    return ""


def blade_fault(file: Path) -> str:
    """Return a sentence that says what is wrong with the file of a blade, or an empty string."""
    table = _rows(file, BLADE_COLUMNS)
    if isinstance(table, str):
        return table
    rows, name = table[0], f'names "{file.name}",'
    if len(rows) < _FEWEST_STATIONS:
        return f"{name} which holds {len(rows)} rows; {_FEWEST_STATIONS} or more are needed."
    before = 0.0
    for row in rows:
        station, chord, angle = row.values
        here = f"{name} whose row {row.number} has"
        if 1.0 < station <= 100.0:
            return f"{here} r/R = {station:g}; give shares of the tip radius, up to 1 at the tip."
        if not before < station <= 1.0:
            return f"{here} r/R = {station:g} after {before:g}; it must rise from row to row, up to 1 at the tip."
        if not 0.0 < chord <= 0.6:
            hint = " In per cent?" if 1 <= chord <= 60 else ""
            return f"{here} c/R = {chord:g}; above 0 to 0.6 of the tip radius is usual.{hint}"
        if not -10.0 <= angle <= 85.0:
            return f"{here} beta = {angle:g}; -10 to 85 degrees is possible."
        before = station
    if max(row.values[2] for row in rows) < 1.6:
        return (
            f"{name} whose beta is {rows[0].values[2]:g} to {rows[-1].values[2]:g}; that looks like radians; "
            "give degrees."
        )
    reach = rows[-1].values[0]
    return "" if reach >= 0.9 else f"{name} which ends at r/R = {reach:g}; the outer tenth of the blade is needed too."


def csv_columns(file: Path, required: tuple[str, ...], optional: tuple[str, ...] = ()) -> dict[str, list[float]]:
    """Return the required columns of a CSV file, and the optional columns that it has.

    Columns may be separated by commas, semicolons or tabs. Where they are not separated by commas, a comma is a
    decimal sign. Raise ValueError with a reason that follows "which" or "whose".
    """
    try:
        text = text_of(file)
    except ValueError as error:
        raise ValueError(f"which {error}") from None
    rows = [row for row in text.splitlines() if row.strip() and not row.lstrip().startswith("#")]
    delimiter = max(_DELIMITERS, key=lambda sign: len(set(_values(rows[0], sign)) & set(required))) if rows else ","
    heads = _values(rows[0], delimiter) if rows else []
    for column in (*required, *optional):
        if column in required and column not in heads:
            columns = f"{', '.join(required[:-1])} and {required[-1]}"
            raise ValueError(f"which lacks the column {column}; {columns} are needed")
        if heads.count(column) > 1:
            raise ValueError(f"which has {heads.count(column)} columns {column}; one is needed")
    present = [column for column in (*required, *optional) if column in heads]
    found: dict[str, list[float]] = {column: [] for column in present}
    for number, row in enumerate(rows[1:], start=1):
        values = _values(row, delimiter)
        if len(values) > len(heads) and any(values[len(heads) :]):
            hint = "; decimal commas need semicolons between the columns" if delimiter == "," else ""
            raise ValueError(f"whose row {number} holds {len(values)} values for {len(heads)} columns{hint}")
        for column in present:
            found[column].append(_number(values, heads.index(column), delimiter))
            if not math.isfinite(found[column][-1]):
                raise ValueError(f"whose row {number} does not hold {'three' if len(present) == 3 else 'four'} numbers")
    return found


def _values(row: str, delimiter: str) -> list[str]:
    try:
        return [value.strip() for value in next(csv.reader([row], delimiter=delimiter), [])]
    except csv.Error:  # a value is longer than the library allows
        return row.split(delimiter)


def _number(values: list[str], place: int, delimiter: str) -> float:
    """Return one value as a number, or not-a-number if it is none."""
    try:
        return float(values[place] if delimiter == "," else values[place].replace(",", "."))
    except (IndexError, ValueError):
        return math.nan


def _rows(file: Path, required: tuple[str, ...], optional: tuple[str, ...] = ()) -> tuple[list[_Row], list[bool]] | str:
    """Return the rows of a CSV file, and for each optional column whether the file has it.

    Each row holds the required columns and the optional columns that exist. If the file cannot be used, return a
    sentence that says what is wrong.
    """
    if not os.path.isfile(file):
        return f'is "{file.name}"; there is no such file in the folder of the study.'
    try:
        columns = csv_columns(file, required, optional)
    except ValueError as error:
        return f'names "{file.name}", {error}.'
    rows = [_Row(number, values) for number, values in enumerate(zip(*columns.values(), strict=True), start=1)]
    return rows, [column in columns for column in optional]
