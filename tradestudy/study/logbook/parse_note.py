"""Read what a pilot says about a flight in one line, such as "34 min, 5100 mAh, a third at full throttle".

Each value is found by its unit or its words, in any order. What is left over is quoted and refused, so that no part of
a note is silently ignored. Words in parentheses are a remark, which is kept as written.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable
from typing import Any, NamedTuple

from tradestudy.errors import CommandError

from .flights import CHARGE, DISTANCE, TEMPERATURE, TIME, USED_SHARE, WIND, date_of, share_of

FORMS = (
    'time "34 min" or "1h05"; charge "5100 mAh", "5.1 Ah", "78 % left" or "22 % used"; "31 km"; "a third at full '
    'throttle", "20 % at full throttle", "5 min at full throttle" or "steady cruise"; "wind 4 m/s" or "calm"; "2 C"; '
    '"pack A"; "yesterday" or "2026-05-17"; a remark in (parentheses)'
)
_NUMBER = r"(?<![\d:h])(\d+(?:[.,]\d+)?)"
_TIME = (
    r"(?:(?<![\d.,:])(\d{1,2})\s*(?::|h(?:ours?|rs?)?)\s*(?:and\s*)?(\d{1,2})(?![\d.]|\s*%)\s*(?:m(?:in(?:utes?|s)?)?\b)?|"
    rf"{_NUMBER}\s*(h|hours?|hrs?|min|mins|minutes?|')(?!\w)|((?:half\s+)?an\s+hour))"
)
_SHARE = (
    r"(?:(?:a|one|two|three)[\s-]+(?:tenths?|fifths?|quarters?|thirds?|half)|(?:a\s+)?(?:tenth|fifth|quarter|third)|"
    rf"(?:one[\s-]+)?half|\d{{1,2}}\s*/\s*\d{{1,2}}|{_NUMBER}\s*(?:%|percent)|none|all|no)"
)
_FULL = r"(?:full[\s-]+(?:throttle|power)|flat[\s-]+out)"
_OF_TIME = r"(?:\s+of\s+(?:the\s+time|the\s+flight|it))?(?:\s+(?:at|on|with))?\s+"
_SPEED = rf"{_NUMBER}\s*(m/s|km/h|kmh|kph|mph|kn|kt|kts|knots)\b"
_SPEED_UNITS = {"kmh": "km/h", "kph": "km/h", "kt": "kn", "kts": "kn", "knots": "kn"}
_FILLERS = re.compile(
    r"[\s,;:.+]+|\b(?:and|with|at|in|the|of|for|about|around|flown|flew|flight|used|it|was|then|took|from|on|roughly)\b",
    re.IGNORECASE,
)


class _Form(NamedTuple):
    """One way to say something: its pattern, and the fields of a Flight that follow from a match."""

    pattern: re.Pattern[str]
    read: Callable[[re.Match[str]], dict[str, Any]]


def _form(pattern: str, read: Callable[[re.Match[str]], dict[str, Any]]) -> _Form:
    return _Form(re.compile(pattern, re.IGNORECASE), read)


def _decimal(text: str) -> str:
    return text.replace(",", ".")


def _charge(match: re.Match[str]) -> dict[str, Any]:
    number, unit = match.group(1), match.group(2)
    unit = "mAh" if unit.lower() == "mah" else "Ah"
    if unit == "mAh" and re.fullmatch(r"\d{1,3}[.,]\d{3}", number):  # the sign separates thousands
        number = re.sub(r"[.,]", "", number)
    return {"charge": CHARGE.read(f"{_decimal(number)} {unit}")}


def _time(match: re.Match[str]) -> dict[str, Any]:
    return {"time": _seconds(*match.groups()[-5:])}


def _seconds(hours: str | None, minutes: str | None, number: str | None, unit: str | None, words: str | None) -> float:
    if words:
        return 1800.0 if "half" in words.lower() else 3600.0
    if number and unit:
        return TIME.read(f"{_decimal(number)} {'h' if unit.lower().startswith('h') else 'min'}")
    if int(minutes or 0) > 59:
        raise ValueError(f'is "{hours}:{minutes}"; an hour has 60 minutes.')
    return TIME.read(f"{60 * int(hours or 0) + int(minutes or 0)} min")


def _share(match: re.Match[str]) -> dict[str, Any]:
    text = match.group("share").lower().replace("percent", "%")
    return {"full_throttle": share_of(_decimal(text))}


def _full_time(match: re.Match[str]) -> dict[str, Any]:
    unit = 60.0 if match.group(2).lower().startswith("m") else 1.0
    return {"full_time": unit * float(_decimal(match.group(1)))}


def _wind(match: re.Match[str]) -> dict[str, Any]:
    number, unit = match.group(1), match.group(2).lower()
    return {"wind": WIND.read(f"{_decimal(number)} {_SPEED_UNITS.get(unit, unit)}")}


def _temperature(match: re.Match[str]) -> dict[str, Any]:
    sign = "-" if match.group(1) else ""
    return {"temperature": TEMPERATURE.read(f"{sign}{_decimal(match.group(2))} {match.group(3).upper()}")}


def _forms(today: datetime.date) -> list[_Form]:
    """Return all forms. Those that hold others, such as "5 min at full throttle", come first."""
    return [
        _form(r"\b(\d{4}-\d\d?-\d\d?|\d\d?\.\d\d?\.\d{4})\b", lambda match: {"date": date_of(match.group(1))}),
        _form(r"\byesterday\b", lambda match: {"date": today - datetime.timedelta(days=1)}),
        _form(r"\btoday\b", lambda match: {"date": today}),
        _form(rf"{_NUMBER}\s*(min(?:utes?|s)?|s(?:ec(?:onds?)?)?){_OF_TIME}{_FULL}", _full_time),
        _form(rf"\b{_FULL}\s+(?:for\s+)?{_NUMBER}\s*(min(?:utes?|s)?|s(?:ec(?:onds?)?)?)\b", _full_time),
        _form(rf"(?<!\w)(?P<share>{_SHARE}){_OF_TIME}{_FULL}", _share),
        _form(rf"\b{_FULL}\s*(?::|for)?\s*(?P<share>{_SHARE})(?:\s+of\s+(?:the\s+time|the\s+flight|it))?", _share),
        _form(r"\b(?:at\s+(?:a\s+)?)?steady\s+cruise\b|\bsteady\b", lambda match: {"full_throttle": 0.0}),
        _form(_TIME, _time),
        _form(rf"{_NUMBER}\s*%\s*(?:was\s+|were\s+)?(?:left|remaining|used)\b|\bused\s+{_NUMBER}\s*%", _either_share),
        _form(rf"{_NUMBER}\s*(mAh|Ah)\b(?!\s+left)(?:\s+(?:used|put\s+back|charged|back\s+in|in))?", _charge),
        _form(rf"{_NUMBER}\s*(km|mi|miles?)\b(?!/)", _distance),
        _form(rf"\bwind\s*(?:of|:|was|about)?\s*{_SPEED}", _wind),
        _form(rf"{_SPEED}\s+(?:of\s+)?wind\b", _wind),
        _form(r"\b(?:calm|no\s+wind|still\s+air)\b", lambda match: {"wind": 0.0}),
        _form(r"(-|−|minus\s+)?" + _NUMBER + r"\s*°?\s*([CF])\b", _temperature),
        _form(r"\b(old|new)\s+pack\b", lambda match: {"pack": match.group(1).lower()}),
        _form(r"\bpack\s+(?!\d+\s*%)\"?([A-Za-z0-9][\w-]{0,30})\"?", lambda match: {"pack": match.group(1)}),
    ]


def _either_share(match: re.Match[str]) -> dict[str, Any]:
    number = match.group(1) or match.group(2)
    share = USED_SHARE.read(f"{_decimal(number)} %")
    return {"used_share": share if "used" in match.group().lower() else 1.0 - share}


def _distance(match: re.Match[str]) -> dict[str, Any]:
    unit = "km" if match.group(2).lower() == "km" else "mi"
    return {"distance": DISTANCE.read(f"{_decimal(match.group(1))} {unit}")}


_WORDS = {
    "time": "the time", "charge": "the charge used", "used_share": "the charge used", "distance": "the distance",
    "full_throttle": "full throttle", "full_time": "full throttle", "wind": "the wind",
    "temperature": "the temperature", "pack": "the pack", "date": "the date",
}  # fmt: skip


def parse_note(text: str, today: datetime.date) -> dict[str, Any]:
    """Return fields of a Flight (SI) from a note.

    Raise CommandError if a part is not understood, out of range, or said twice. The message quotes it.
    """
    rest = re.sub(r"\([^()]*\)", " ", text)
    found: dict[str, Any] = {}
    faults: list[str] = []
    for form in _forms(today):
        while match := form.pattern.search(rest):
            said = " ".join(match.group().split())
            rest = f"{rest[: match.start()]} , {rest[match.end() :]}"
            try:
                values = form.read(match)
            except ValueError as fault:
                faults.append(f'"{said}" {fault}')
                continue
            for name, value in values.items():
                if any(_WORDS[other] == _WORDS[name] for other in found):
                    faults.append(f'"{said}" gives {_WORDS[name]} a second time.')
                found[name] = value
    faults += [f'"{left}" is not understood.' for left in _left_over(rest)]
    if "full_time" in found:
        full = found.pop("full_time")
        if "time" in found and full > found["time"]:
            faults.append("The time at full throttle is longer than the flight.")
        elif "time" in found:
            found["full_throttle"] = full / found["time"]
        else:
            faults.append("The time at full throttle is given without the time in the air.")
    if faults:
        raise CommandError(f'The note "{text[:200]}" was not entered. {" ".join(faults)} Allowed: {FORMS}.')
    return found


def _left_over(rest: str) -> list[str]:
    """Return the parts of a note that no form has taken, without words that say nothing."""
    parts = (" ".join(part.split()) for part in re.split(r"[,;]|\.(?:\s|$)", rest))
    return [part[:60] for part in parts if _FILLERS.sub("", part)]
