"""One flight of the logbook, and its values as a person writes them into a row.

A `Flight` holds SI values. `flight_of_cells` reads them from the cells of a row, `cells_of_flight` writes them.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tradestudy.quantities import short_with_unit, split_quantity
from tradestudy.study.schema.key_types import quantity
from tradestudy.study.value_text import as_written

STOCK = "stock"  # name of the stock wing in a logbook
COLUMNS = ("id", "date", "wing", "pack", "minutes", "used", "distance", "full_throttle", "wind", "temperature", "log",
           "note", "counts")  # fmt: skip
_LEFT = re.compile(r"(.*?)\s*(left|used|remaining)$", re.IGNORECASE)
_FRACTION = re.compile(r"(\d{1,2})\s*/\s*(\d{1,2})")
_SPREADSHEET_DATE = re.compile(r"\d{1,2}[-. ]*(jan|feb|m[aä]r|mrz|apr|ma[iy]|jun|jul|aug|sep|o[ck]t|nov|de[cz])", re.I)
_HOURS = re.compile(r"(\d{1,2})\s*(?::|h)\s*(\d{1,2})(?:\s*min)?")
_SHARES = {
    "none": 0.0, "no": 0.0, "a tenth": 1 / 10, "a fifth": 1 / 5, "a quarter": 1 / 4, "a third": 1 / 3, "half": 1 / 2,
    "a half": 1 / 2, "two thirds": 2 / 3, "three quarters": 3 / 4, "all": 1.0,
}  # fmt: skip

TIME = quantity("time", "2 min", "24 h", "time in the air")
CHARGE = quantity("charge", "50 mAh", "200 Ah", "charge put back by the charger")
USED_SHARE = quantity("fraction", "1 %", "100 %", "share of the pack's charge that was used")
DISTANCE = quantity("distance", "0.1 km", "500 km", "distance over the ground")
FULL_THROTTLE = quantity("fraction", "0 %", "100 %", "share of the time at full throttle")
WIND = quantity("speed", "0 m/s", "30 m/s", "mean wind")
TEMPERATURE = quantity("temperature", "-30 C", "50 C", "air temperature")
SHARE_FORMS = '"33 %", "1/3" or "a third"'


@dataclass(frozen=True)
class Flight:
    """One flight, SI. None means that it was not noted.

    ``counts`` is empty for a flight that the fit uses, and otherwise the reason why it is set aside. ``line`` is its
    line in the logbook, or 0 before it is written.
    """

    id: str
    date: datetime.date | None
    wing: str  # STOCK or the name of a built wing
    pack: str  # empty for the pack of the wing
    time: float  # [s]
    charge: float | None = None  # [C]
    distance: float | None = None  # over the ground [m]
    full_throttle: float | None = None  # share of the time [-]
    wind: float | None = None  # [m/s]
    temperature: float | None = None  # of the air [K]
    log: Path | None = None  # as written, relative to the study
    note: str = ""
    counts: str = ""
    line: int = 0
    used_share: float | None = None  # share of the pack's charge, where the charge itself was not measured [-]


class CellFault(ValueError):
    """An exception for one cell that cannot be used: the name of its column, and the end of a sentence."""

    def __init__(self, column: str, sentence: str):
        self.column, self.sentence = column, sentence
        super().__init__(f"{column} {sentence}")


def flight_of_cells(cells: Mapping[str, str], line: int, decimal_comma: bool) -> tuple[Flight | None, list[CellFault]]:
    """Return the flight in the cells of a row (column -> text), and the faults of its cells.

    The flight is None if there is a fault.
    """
    faults: list[CellFault] = []
    found: dict[str, Any] = {}

    def read(column: str, reader: Callable[[str], Any], field: str = "") -> Any:
        text = cells.get(column, "").strip()
        if not text:
            return
        try:
            found[field or column] = reader(text.replace(",", ".") if decimal_comma and reader in _NUMBERS else text)
        except ValueError as fault:
            faults.append(CellFault(column, str(fault)))

    read("date", date_of)
    read("minutes", minutes_of, "time")
    read("used", used_of)
    read("distance", DISTANCE.read)
    read("full_throttle", share_of)
    read("wind", WIND.read)
    read("temperature", TEMPERATURE.read)
    read("counts", _reason_of)
    if not cells.get("minutes", "").strip():
        faults.append(CellFault("minutes", 'is empty; write the time in the air, such as "34".'))
    if not (wing := cells.get("wing", "").strip()):
        faults.append(CellFault("wing", f'is empty; write "{STOCK}" or the name of a built wing.'))
    if faults:
        return None, faults
    charge, used_share = found.pop("used", (None, None))
    log = cells.get("log", "").strip()
    return Flight(
        id=cells.get("id", "").strip(),
        date=found.pop("date", None),
        wing=wing,
        pack=cells.get("pack", "").strip(),
        charge=charge,
        used_share=used_share,
        log=Path(log) if log else None,
        note=cells.get("note", "").strip(),
        line=line,
        **found,
    ), []


def cells_of_flight(flight: Flight, decimal_comma: bool = False) -> dict[str, str]:
    """Return the cells of a row (column -> text) for a flight, to be read again by `flight_of_cells`."""

    def shown(value: float | None, unit: str, digits: int = 5) -> str:
        text = "" if value is None else short_with_unit(value, unit, digits)
        return text.replace(".", ",") if decimal_comma else text

    used = shown(flight.charge, "mAh") if flight.charge is not None else shown(flight.used_share, "%")
    return {
        "id": flight.id,
        "date": flight.date.isoformat() if flight.date else "",
        "wing": flight.wing,
        "pack": flight.pack,
        "minutes": shown(flight.time, "min").removesuffix(" min"),
        "used": used,
        "distance": shown(flight.distance, "km"),
        "full_throttle": shown(flight.full_throttle, "%", 3),
        "wind": shown(flight.wind, "m/s"),
        "temperature": shown(flight.temperature, "C"),
        "log": flight.log.as_posix() if flight.log else "",
        "note": " ".join(flight.note.split()),
        "counts": f"no: {' '.join(flight.counts.split())}" if flight.counts else "",
    }


def date_of(text: str) -> datetime.date:
    """Return the date in a text such as "2026-05-17" or "17.5.2026". Raise ValueError with the end of a sentence."""
    sentence = f"is {as_written(text)}; write year, month and day, such as 2026-05-17."
    if match := re.fullmatch(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ].*)?", text):
        year, month, day = map(int, match.groups())
    elif match := re.fullmatch(r"(\d{1,2})[./](\d{1,2})[./](\d{4})", text):  # the day is before the month
        day, month, year = map(int, match.groups())
    else:
        raise ValueError(sentence)
    try:
        return datetime.date(year, month, day)
    except ValueError:
        raise ValueError(sentence) from None


def minutes_of(text: str) -> float:
    """Return the time [s] in a text: "34", "34 min", "1:05" or "1h05". Raise ValueError with the end of a sentence."""
    if match := _HOURS.fullmatch(text):
        hours, minutes = map(int, match.groups())
        if minutes < 60:
            return TIME.read(f"{60 * hours + minutes} min")
    try:
        number, unit = split_quantity(text)
    except ValueError:
        raise ValueError(f"is {as_written(text)}; write minutes, such as 34, 34.5 or 1h05.") from None
    return TIME.read(f"{number:.9g} {_TIME_WORDS.get(unit, unit) or 'min'}")


_TIME_WORDS = {"minutes": "min", "minute": "min", "mins": "min", "hours": "h", "hour": "h", "seconds": "s"}


def used_of(text: str) -> tuple[float | None, float | None]:
    """Return the charge [C], or the share of the pack's charge [-], in a text such as "5100 mAh" or "22 % left".

    The other one is None. Raise ValueError with the end of a sentence.
    """
    match = _LEFT.fullmatch(text)
    amount, word = match.groups() if match else (text, "")
    is_left = word.lower() in ("left", "remaining")
    if "%" in amount:
        share = USED_SHARE.read(amount)
        return None, 1.0 - share if is_left else share
    if is_left:
        raise ValueError(
            f"is {as_written(text)}; write what was used, such as 5100 mAh, or a share, such as 22 % left."
        )
    return CHARGE.read(amount), None


def share_of(text: str) -> float:
    """Return a share [-] from a text: "33 %", "1/3", "a third" or "0.33". Raise ValueError with the end of a sentence.

    A spreadsheet may turn 1/3 into a date, which the sentence then explains.
    """
    word = re.sub(r"[\s-]+", " ", text.strip().lower()).replace("one ", "a ")
    word = word.removesuffix(" of the time").removesuffix(" of it")
    for form in (word, f"a {word}"):
        if form in _SHARES:
            return _SHARES[form]
    if (match := _FRACTION.fullmatch(word)) and 0 < int(match.group(1)) <= int(match.group(2)):
        return int(match.group(1)) / int(match.group(2))
    if _SPREADSHEET_DATE.match(word):
        raise ValueError(f'is {as_written(text)}; a spreadsheet has made a date of it. Write it as "33 %".')
    if re.fullmatch(r"0(\.\d+)?|1(\.0+)?", word):
        return float(word)
    try:
        return FULL_THROTTLE.read(text)
    except ValueError as fault:
        sentence = str(fault)
        raise ValueError(sentence if "%" in text else f"is {as_written(text)}; write {SHARE_FORMS}.") from None


def _reason_of(text: str) -> str:
    """Return the reason in a cell of the column counts; empty for a flight that counts."""
    word, _, reason = text.partition(":")
    if word.strip().lower() in ("yes", "y", "ja"):
        return ""
    if word.strip().lower() not in ("no", "n"):
        raise ValueError(f'is {as_written(text)}; leave it empty, or write "no: " and the reason.')
    return reason.strip() or "set aside by the pilot"


_NUMBERS = (minutes_of, used_of, share_of, DISTANCE.read, WIND.read, TEMPERATURE.read)
