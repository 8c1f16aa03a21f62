"""Conversion of a column of text to SI numbers.

It understands decimal commas, units after values, clock times and missing values.
"""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from tradestudy.quantities import from_si, to_si
from tradestudy.study.schema.flight_log import CLOCK, unit_named
from tradestudy.study.value_text import as_written

from .parse_rows import counted, on_lines

_MISSING = {"", "-", "--", "---", "n/a", "na", "nan", "none", "null", "nil", "inf", "-inf", "?"}
_DAY = 86400.0  # length of a day [s]
_VALUE_AND_UNIT = re.compile(r"([-+]?[\d.,]*\d[\d.,]*(?:[eE][-+]?\d+)?)\s*([^\d\s].*)?")
_CLOCK = re.compile(r"(?:(\d{4}-\d\d-\d\d|\d\d?[./]\d\d?[./]\d{4})[T ]\s*)?(\d{1,3}):(\d\d)(?::(\d\d(?:[.,]\d*)?))?Z?")


class ParsedNumbers(NamedTuple):
    """One column in SI, and sentences about corrections. A value that cannot be read is NaN."""

    values: np.ndarray
    notes: list[str]


def column_numbers(
    name: str, texts: Sequence[str], lines: list[int], kind: str, unit: str, decimal: str | None = None
) -> ParsedNumbers:
    """Return the numbers of the column ``name`` in SI, with shape (n,).

    ``decimal`` is "point" or "comma". If it is None, the decimal sign is found from the text.
    """
    if unit == CLOCK:
        return _clock_numbers(name, texts, lines)
    if decimal != "comma":
        try:
            return ParsedNumbers(_finite(to_si(np.array(list(map(float, texts))), unit, kind)), [])
        except (ValueError, OverflowError):
            pass
    try:  # columns with blanks, or with decimal commas in all rows, can still be converted as one array
        commas = decimal != "point" and not any("." in text for text in texts)
        numbers = [float(text.replace(",", ".") if commas else text) if text else math.nan for text in texts]
        return ParsedNumbers(_finite(to_si(np.array(numbers), unit, kind)), [])
    except (ValueError, OverflowError):
        return _one_by_one(name, texts, lines, kind, unit, decimal)


def _finite(values: np.ndarray) -> np.ndarray:
    return np.where(np.isfinite(values), values, np.nan)


def _one_by_one(
    name: str, texts: Sequence[str], lines: list[int], kind: str, unit: str, decimal: str | None
) -> ParsedNumbers:
    mixed = (
        decimal is None
        and any("," in text for text in texts)
        and any("." in text and "," not in text for text in texts)
    )
    values = np.full(len(texts), np.nan)
    unread: list[int] = []
    others: dict[str, list[int]] = {}
    for place, text in enumerate(texts):
        text = text.strip().strip("\"'").strip()
        if text.lower() in _MISSING:
            continue
        match = _VALUE_AND_UNIT.fullmatch(text)
        number = _number(match.group(1), decimal, mixed) if match else math.nan
        written = match.group(2) if match else None
        own = unit_named(written, kind) if written else unit
        if own is None or own == CLOCK or not math.isfinite(number):
            unread.append(place)
            continue
        values[place] = to_si(number, own, kind)
        if written and own != unit:
            others.setdefault(own, []).append(place)
    notes = []
    if unread:
        notes.append(
            f"{name}: {counted(len(unread), 'value')} cannot be read, such as "
            f"{as_written(texts[unread[0]].strip())} {on_lines([lines[place] for place in unread])}; left out."
        )
    for own, places in others.items():
        notes.append(
            f"{name}: {counted(len(places), 'value')} written in {own} and not in "
            f"{unit or 'plain numbers'} {on_lines([lines[place] for place in places])}; converted."
        )
    return ParsedNumbers(_finite(values), notes)


def _number(text: str, decimal: str | None, mixed: bool) -> float:
    """Return a number that is written with points, commas or both. If it has two possible meanings, return NaN."""
    comma, point = text.rfind(","), text.rfind(".")
    if comma >= 0 and point >= 0:  # the last of the two signs is the decimal sign
        text = text.replace(".", "").replace(",", ".") if comma > point else text.replace(",", "")
    elif comma >= 0:
        if mixed or decimal == "point" or text.count(",") > 1:
            return math.nan
        text = text.replace(",", ".")
    try:
        return float(text)
    except (ValueError, OverflowError):
        return math.nan


def _clock_numbers(name: str, texts: Sequence[str], lines: list[int]) -> ParsedNumbers:
    """Return clock times as seconds. For times without a date, they count from the start of the first day.

    If a clock falls back by more than half a day, it has passed midnight, and a day is added.
    """
    values = np.full(len(texts), np.nan)
    days: dict[str, float] = {}
    unread = []
    for place, text in enumerate(texts):
        match = _CLOCK.fullmatch(text.strip().strip("\"'").strip())
        if not match:
            if text.strip().lower() not in _MISSING:
                unread.append(place)
            continue
        date, hours, minutes, seconds = match.groups()
        if date not in days:
            days[date] = _day(date)
        values[place] = days[date] + 3600 * int(hours) + 60 * int(minutes) + float((seconds or "0").replace(",", "."))
    known = np.flatnonzero(np.isfinite(values))
    if known.size:
        values[known] += _DAY * np.concatenate([[0], np.cumsum(np.diff(values[known]) < -0.5 * _DAY)])
    notes = []
    if unread:
        places = on_lines([lines[place] for place in unread])
        notes.append(f"{name}: {as_written(texts[unread[0]].strip())} {places} is not a time of day; left out.")
    return ParsedNumbers(values, notes)


def _day(date: str | None) -> float:
    """Return the seconds from a fixed day to a date.

    If points or slashes separate the numbers, the day is before the month.
    """
    if date is None:
        return 0.0
    try:
        if "-" in date:
            return _DAY * datetime.date.fromisoformat(date).toordinal()
        day, month, year = map(int, re.split("[./]", date))
        return _DAY * datetime.date(year, month, day).toordinal()
    except ValueError:
        return math.nan


def likely_unit(values: np.ndarray, unit: str, kind: str, least: float, most: float, units: list[str]) -> str:
    """Return a suggestion such as `` Is that mA?``, or an empty string.

    The suggested unit is the first of ``units`` with which nearly all values are between ``least`` and ``most`` (SI).
    """
    written = from_si(values, unit, kind)
    for other in units:
        if other not in (unit, CLOCK, ""):
            tried = to_si(written, other, kind)
            if np.mean((tried >= least) & (tried <= most)) > 0.95:
                return f" Is that {other}?"
    return ""
