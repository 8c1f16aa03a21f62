"""The flight that a note and options describe. This module imports no model, so faults are told at once."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from tradestudy.errors import CommandError, near_match
from tradestudy.study.logbook.flights import (
    DISTANCE,
    TEMPERATURE,
    WIND,
    Flight,
    date_of,
    minutes_of,
    share_of,
    used_of,
)
from tradestudy.study.logbook.parse_note import parse_note

# option of the command -> fields of a Flight from its text; they are read like the cells of the logbook
_READERS: dict[str, Callable[[str], dict[str, Any]]] = {
    "date": lambda text: {"date": date_of(text)},
    "minutes": lambda text: {"time": minutes_of(text)},
    "used": lambda text: dict(zip(("charge", "used_share"), used_of(text), strict=True)),
    "distance": lambda text: {"distance": DISTANCE.read(text)},
    "full_throttle": lambda text: {"full_throttle": share_of(text)},
    "wind": lambda text: {"wind": WIND.read(text)},
    "temperature": lambda text: {"temperature": TEMPERATURE.read(text)},
    "pack": lambda text: {"pack": text.strip()},
    "log": lambda text: {"log": Path(text)},
}


def noted_flight(wing: str, text: str, options: Mapping[str, str], today: datetime.date | None = None) -> Flight:
    """Return the flight that a note and options describe. Raise CommandError if they are at fault.

    ``options`` are texts by the names in `_READERS`, such as ``{"wind": "4 m/s"}``.
    """
    today = today or datetime.date.today()
    values = parse_note(text, today) if text.strip() else {}
    for name, given in options.items():
        if name not in _READERS:
            known = list(_READERS)
            raise CommandError(f"A flight has no {name[:40]}.{near_match(name, known)} It has {', '.join(known)}.")
        spelled = "--" + name.replace("_", "-")
        try:
            more = {field: value for field, value in _READERS[name](given).items() if value is not None}
        except ValueError as fault:
            raise CommandError(f"{spelled} {fault}") from None
        if twice := set(more) & set(values):
            raise CommandError(f"{spelled} gives the {sorted(twice)[0].replace('_', ' ')} a second time.")
        values |= more
    if "log" in values:
        values |= _of_log(values["log"], values)
    if "time" not in values:
        raise CommandError('The note says no time in the air; write it, such as "34 min" or "1h05".')
    if not {"charge", "used_share", "distance"} & set(values):
        raise CommandError('The note says neither charge nor distance; write one, such as "5100 mAh" or "31 km".')
    date = values.pop("date", today)
    if date > today:
        raise CommandError(f"The date {date.isoformat()} is in the future.")
    return Flight(id="", date=date, wing=wing, pack=values.pop("pack", ""), note=text.strip(), **values)


def _of_log(path: Path, values: Mapping[str, Any]) -> dict[str, Any]:
    """Return time and charge by a log, where the note says nothing of them."""
    from tradestudy.study.flight_logs.described_log import described_log

    read = described_log(path)
    found: dict[str, Any] = {} if "time" in values else {"time": read.time}
    if not {"charge", "used_share"} & set(values) and read.charge:
        found["charge"] = read.charge
    return found
