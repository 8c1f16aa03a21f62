"""The strip of the live page that stays in view, and the rows of limits below it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tradestudy.quantities import printed
from tradestudy.report.words.phrases import NUMBER_WORDS, band_words, gain_text, number_text, with_capital
from tradestudy.report.words.purpose import measure_of_number
from tradestudy.report.words.violated_limits import what_helps
from tradestudy.results.design import LimitState
from tradestudy.results.look.look import LookBand, WingLook

Shown = dict[str, Any]

_EXACT, _ROUGH = 0.01, 0.25  # shares of itself to which a bound is told, and what is left to it
PURPOSE = "purpose"  # the entry of what the study maximises
_STRIP = {
    "auw_g": "Weight",
    "cruise_current_a": "Hold about",
    "stall_speed_kmh": "Stall",
    "cg_mm": "Balance mark",
}
_STANDING = {"broken": "Broken limit", "active": "At its limit", "met": "Nearest limit"}


def strip_entries(look: WingLook, against: WingLook) -> list[Shown]:
    """Return the entries of the strip: each with its value, its unit, a second line, and the difference."""
    known, worst = measure_of_number(look.purpose), look.limits[0]
    gain = getattr(look.numbers, known.key)
    entries = [
        _entry(PURPOSE, with_capital(known.axis), gain_text(gain), known.unit, purpose_band(look.bands, known.key))
        | {"change": _change(gain, getattr(against.numbers, known.key), 0, known.unit)}
    ]
    for key, head in _STRIP.items():
        unit, digits = NUMBER_WORDS[key][1:]
        value, other = getattr(look.numbers, key), getattr(against.numbers, key)
        change = _change(value, other, digits, unit)
        entries.append(_entry(key, head, look_number(look, key), unit, _second_line(look, key)) | {"change": change})
    entries = [entry | {name: printed(entry[name]) for name in ("less", "change")} for entry in entries]
    broken = sum(not state.met for state in look.limits)
    more = f"and {broken - 1} more broken" if broken > 1 else ""
    entries.append(
        _entry("worst", _STANDING[_state(worst)], with_capital(worst.words), "", printed(_bound_words(worst)))
        | {"change": more, "state": _state(worst)}
    )
    return entries


def _entry(key: str, head: str, value: str, unit: str, less: str) -> Shown:
    value, unit = printed_pair(value, unit)
    return {"key": key, "head": head, "value": value, "unit": unit, "less": less, "change": "", "state": "met"}


def printed_pair(value: str, unit: str) -> tuple[str, str]:
    """Return a number and its unit in the units that are printed."""
    if not unit:
        return printed(value), ""
    number, _, shown = printed(f"{value} {unit}").partition(" ")
    return number, shown


def purpose_band(bands: Sequence[LookBand], key: str, digits: int = 0) -> str:
    """Return the band of one number. "About" says that it is that of another wing, in proportion."""
    for band in bands:
        if band.number == key:
            words = printed_band(band_words(band.low, band.high, digits), key)
            return f"about {words}" if band.about else words
    return "band: being worked out"


def printed_band(words: str, key: str) -> str:
    """Return a band, whose unit stands above it, in the units that are printed."""
    unit = NUMBER_WORDS[key][1]
    converted = printed(f"{words} {unit}")
    return converted.rpartition(" ")[0] if unit else converted


def _second_line(look: WingLook, key: str) -> str:
    """Return what stands under a number of the strip."""
    numbers = look.numbers
    if key == "cruise_current_a":
        return f"at {number_text(numbers.cruise_speed_kmh)} km/h"
    if key == "cg_mm":
        return f"{number_text(numbers.cg_from_trailing_edge_mm)} mm ahead of trailing edge"
    if key == "auw_g":
        return f"{number_text(numbers.span_mm)} mm span"
    return ""


def _change(value: float | None, other: float | None, digits: int, unit: str) -> str:
    """Return a difference with its sign and unit, from numbers as they are shown."""
    if value is None or other is None:
        return ""
    difference = round(value, digits) - round(other, digits)
    if round(difference, digits) == 0:
        return "no change"
    sign = "+" if difference > 0 else ""
    return f"{sign}{number_text(difference, digits)} {unit}"


def look_number(look: WingLook, key: str) -> str:
    return number_text(getattr(look.numbers, key), NUMBER_WORDS[key][2])


def _state(state: LimitState) -> str:
    return "broken" if not state.met else "active" if state.active else "met"


def limit_row(state: LimitState, has_rods: bool = True) -> Shown:
    """Return one limit with what is left to its bound, or how it stands where nothing is, and what helps."""
    return {
        "state": _state(state),
        **printed(_limit_texts(state, has_rods)),
    }


def _limit_texts(state: LimitState, has_rods: bool) -> dict[str, str]:
    return {
        "standing": {"broken": "broken", "active": "at its limit"}.get(_state(state)) or _left_words(state),
        "words": with_capital(state.words),
        "figure": _bound_words(state),
        "whose": _whose_words(state) + ("" if state.met else what_helps(state, has_rods)),
    }


def _left_words(state: LimitState) -> str:
    """Return what is left to the bound of a limit, with digits that a builder can use."""
    left = abs(state.value - state.bound)
    return f"{number_text(left, _digits(left, _ROUGH))} {state.unit}".strip() + " left"


def _whose_words(state: LimitState) -> str:
    """Return who asks for a limit, and where its bound comes from."""
    if not state.whose or state.whose in state.origin:
        return f"asked by: {state.origin}"
    return f"asked by: {state.whose} ({state.origin})" if state.origin else f"asked by: {state.whose}"


def _bound_words(state: LimitState) -> str:
    """Return value and bound of a limit: as many digits as the bound needs, or as it takes to show that they differ."""
    least = _digits(state.bound)
    telling = (digits for digits in range(least, least + 4) if round(state.value, digits) != round(state.bound, digits))
    value, bound = number_text(state.value, next(telling, least)), number_text(state.bound, least)
    return " ".join(f"{value} {state.unit}, {state.side} {bound} {state.unit}".replace(" ,", ",").split())


def _digits(value: float, share: float = _EXACT) -> int:
    """Return the decimals that tell a value to a share of itself; none for zero."""
    return next((digits for digits in range(5) if abs(round(value, digits) - value) <= share * abs(value)), 5)
