"""Phrases used by all other texts: numbers and limits in words, and the main results in sentences."""

from __future__ import annotations

import re
from collections.abc import Sequence
from string import ascii_uppercase
from typing import Any

from tradestudy.quantities import exact, from_edge, is_imperial, sold, trade_size
from tradestudy.quantities.limits import LIMITS
from tradestudy.quantities.quantities import DESIGN_QUANTITIES
from tradestudy.quantities.variables import VARIABLE_BOUNDS
from tradestudy.report.placed import fill, join, mark_up
from tradestudy.results.design import Design, LimitState
from tradestudy.results.inputs import SetKey
from tradestudy.results.result import Result

from .purpose import measure

Rows = list[tuple[str, ...]]  # rows of a table

_LEAST_TIP_WEIGHT = 0.5  # g; a smaller weight for the lighter tip is not mentioned
_FEW = 9.95  # km or min; smaller numbers are shown with one decimal

MEDIANS_ONLY = "At the medians of all inputs: run and bands add what to expect and its band."
# stands wherever a range does
ENERGY_ONLY = "Energy only: the radio link and the law end most flights earlier."

CONDITION_WORDS = {
    "pull_up": "pull-up at full speed",
    "push_over": "push-over at full speed",
    "gust_cruise": "gust at cruise",
    "gust_full_speed": "gust at full speed",
}

# How the numbers of a design are shown: key -> (words, unit, decimals), in the order of the page's table.
NUMBER_WORDS = {each.key: (each.words, each.suffix, each.decimals) for each in DESIGN_QUANTITIES}


def stretched_wing(result: Result) -> Design | None:
    """Return the wing that the report is about: the recommended one, or else the best one."""
    return result.recommended or result.best


def stock_and_stretched(result: Result) -> list[tuple[str, Design]]:
    """Return the stock wing and, if there is one, the stretched wing, each with its name."""
    wings = [("stock", result.stock), ("stretched", stretched_wing(result))]
    return [(name, design) for name, design in wings if design is not None]


def limit_words(name: str, *designs: Design | None) -> str:
    """Return the words for a limit or for a bound of a variable.

    They are taken from the first design that has the limit, since some depend on the study.
    """
    if name in VARIABLE_BOUNDS:
        return VARIABLE_BOUNDS[name].words
    states = (state for design in designs if design for state in design.limits)
    own_words = next((state.words for state in states if state.name == name), "")
    known = LIMITS.get(name)  # None for a limit from another version of the program
    return own_words or (known.words if known else name.replace("_", " "))


def stopping_limits(design: Design, result: Result) -> list[str]:
    """Return the words for the limits that keep a design from being better, most important first, each once."""
    known = (design, result.recommended, result.best, result.stock)
    return list(dict.fromkeys(limit_words(name, *known) for name in design.active_limits))


def limiting_words(design: Design, result: Result) -> str:
    """Return one phrase on what limits a design."""
    return limit_list(stopping_limits(design, result)) or "nothing"


def violated_limits(design: Design | None) -> list[LimitState]:
    """Return the limits that a wing breaks, worst first. No limit applies to the stock wing."""
    states = design.limits if design else []
    return sorted((state for state in states if not state.met), key=lambda state: state.margin)


def violated_limit_words(design: Design) -> list[str]:
    """Return the words for the limits that a wing breaks, worst first, each once."""
    return list(dict.fromkeys(limit_words(state.name, design) for state in violated_limits(design)))


def short_limit(words: str) -> str:
    """Return the words for a limit without what it is compared with, for a text that has no room for it.

    >>> short_limit("stall speed against stock with the balance 4 mm ahead of its mark")
    'stall speed'
    """
    return re.sub(r" (against stock|with the balance .* ahead of its mark)", "", words)


def comma_list(phrases: list[str]) -> str:
    """Return the phrases as one text, such as "a, b and c"."""
    if len(phrases) < 2:
        return join("", phrases)
    return join(", ", phrases[:-1]) + " and " + phrases[-1]


def limit_list(limits: Sequence[str]) -> str:
    """Return the words for limits as one text. Semicolons part them, since some hold commas."""
    return join("; ", limits)


def number_text(value: Any, decimals: int = 0) -> str:
    """Return a number as text with a true minus sign. Text is returned unchanged, and None becomes a dash."""
    if value is None:
        return "–"
    if isinstance(value, str):
        return value or "–"
    text = f"{float(value):.{decimals}f}"
    if float(text) == 0:
        text = text.lstrip("-")
    return mark_up(value, text.replace("-", "\N{MINUS SIGN}"))


def rod_as_sold(diameter_mm: float) -> str:
    """Return the size under which a rod is sold. It is the same in all units."""
    return sold(trade_size(from_edge("diameter_mm", diameter_mm)))


def short_number(value: float) -> str:
    """Return a number as text with two or three significant digits. All digits before the decimal point are kept."""
    size = abs(value)
    return number_text(value, 0 if size >= 100 or size == 0 else 1 if size >= 10 else 2 if size >= 0.1 else 4)


def design_number(design: Design, key: str, decimals: int | None = None) -> str:
    """Return one number of a design as text without its unit."""
    if decimals is None:
        decimals = NUMBER_WORDS[key][2] if key in NUMBER_WORDS else 1
    return number_text(getattr(design.numbers, key), decimals)


def expected_band(result: Result, design: Design, key: str) -> list[float]:
    """Return [low, value to expect, high] of one number from the draws, or an empty list if this wing has no draws.

    Eight of ten such wings lie between low and high. The middle is the number that the wing itself carries.
    """
    if result.spread is None or design is not stretched_wing(result):
        return []
    if key != "radius_km":
        return getattr(result.spread.percentiles, key)
    farthest, by_charge = result.purposes.farthest_out_km, result.spread.percentiles.radius_by_charge_km
    return by_charge if farthest is None else [min(value, farthest) for value in by_charge]


def measure_first_words(result: Result) -> str:
    """Return the sentence on what to measure first, or an empty text. Its bands of the range carry their values."""
    known = result.uncertainty
    if known is None:
        return ""
    band = result.spread.percentiles.range_km if result.spread else []
    words = known.measure_first
    numbers = [(value, f"{value:.0f}") for value in [*band[::2], *known.range_after_flight_km]]
    rows = [row for row in result.input_effects if f"{row.key} (" in words][:1]
    numbers += [
        (side, f"{side:+.1f}".replace("-", "\N{MINUS SIGN}"))
        for row in rows
        for side in row.range_km
        if side is not None
    ]
    for value, text in numbers:
        words = re.sub(rf"(?<![\d.]){re.escape(text)}(?=–| km| to )", exact(value, text), words, count=1)
    return words


def bracketed_band(result: Result, design: Design, key: str, decimals: int = 0) -> str:
    """Return the ends of the band of one number in brackets, after a blank, or an empty text if it has no band."""
    band = expected_band(result, design, key)
    return fill(" ({} to {})", number_text(band[0], decimals), number_text(band[2], decimals)) if band else ""


def weight_text(design: Design) -> str:
    """Return the flying weight. [g]"""
    return design_number(design, "auw_g")


def complete_designs(designs: Sequence[Design], *keys: str) -> list[Design]:
    """Return the designs that have all numbers named by ``keys``, sorted by these numbers."""
    complete = [design for design in designs if all(getattr(design.numbers, key) is not None for key in keys)]
    return sorted(complete, key=lambda design: tuple(getattr(design.numbers, key) for key in keys))


def choice_words(design: Design) -> str:
    """Return one phrase on the parts to buy for a design."""
    return design.choices.words


def search_words(result: Result) -> str:
    """Return sentences on how many combinations of parts were optimised, and why the others were excluded."""
    excluded = result.pruned
    first = "One combination of parts was optimised"
    if result.solved > 1:
        first = fill("{} combinations of parts were optimised", result.solved)
    if not excluded:
        return fill("{}; there are no others.", first)
    return fill(
        "{}. The other {} cannot be among the best: with any rods in the range of those to try, they reach at most "
        "{} {}.",
        first,
        len(excluded),
        number_text(max(row.at_most for row in excluded)),
        measure(result).unit,
    )


def cruise_words(result: Result) -> str:
    """Return how fast to cruise, in numbers that the pilot can read in flight."""
    design = stretched_wing(result) or result.stock
    return fill(
        "Cruise at {} km/h: hold about {} A, {} mAh/km ({} Wh/km).",
        design_number(design, "cruise_speed_kmh"),
        design_number(design, "cruise_current_a"),
        design_number(design, "mah_per_km"),
        design_number(design, "wh_per_km"),
    )


def gain_words(design: Design, result: Result) -> str:
    """Return the study's measure of a design with its unit, such as 81 km."""
    known = measure(result)
    return fill("{} {}{}", gain_text(getattr(design.numbers, known.key)), known.unit, known.suffix)


def gain_text(value: float | None) -> str:
    """Return a number of kilometres or minutes as text, with one decimal if it is small. None becomes a dash."""
    return number_text(value, 1 if value is not None and 0 < value < _FEW else 0)


def printed_gain(number: float, today: float) -> float:
    """Return how much one number of kilometres or minutes is above another: of both as printed, unless that is little.

    A reader subtracts what is printed. In other units than metric each number is converted by itself.
    """
    more = float(number) - float(today)
    if abs(more) < _FEW or is_imperial():
        return more
    return float(gain_text(float(number))) - float(gain_text(float(today)))


def elevon_words(result: Result) -> str:
    """Return a sentence on the elevon position in cruise, in mm at the trailing edge."""
    millimetres = (stretched_wing(result) or result.stock).numbers.elevon_mm
    side = "up" if millimetres <= 0 else "down"
    return fill("{} mm {} at the trailing edge", number_text(abs(millimetres), 1), side)


def side_words(design: Design) -> str:
    """Return how far a wing balances to one side, and the weight for its lighter tip. It is empty if that is little."""
    aside, weight = design.numbers.side_balance_mm, design.numbers.tip_weight_g
    if aside is None or weight is None or weight < _LEAST_TIP_WEIGHT:
        return ""
    heavy, light = ("right", "left") if aside > 0 else ("left", "right")
    return fill(
        "{} mm to the {}: {} g in the {} tip bring it to the middle",
        number_text(abs(aside), 1),
        heavy,
        number_text(weight),
        light,
    )


def band_words(low: float | None, high: float | None, decimals: int = 0) -> str:
    """Return a band as text, or an empty text if it is not known."""
    return (
        "" if low is None or high is None else fill("{} to {}", number_text(low, decimals), number_text(high, decimals))
    )


def from_centre(millimetres: float) -> str:
    """Return the words for a place along the half span [mm]."""
    return "at the centre line" if millimetres < 1 else fill("{} mm from the centre line", number_text(millimetres))


def with_capital(words: str) -> str:
    """Return the words with a capital first letter. Markup stays markup."""
    return words[:1].upper() + words[1:]


def set_key_words(keys: Sequence[SetKey]) -> str:
    """Return one sentence on the keys that were set, or an empty string if there are none."""
    if not keys:
        return ""
    shown = "; ".join(
        f"{each.key} = {each.value} ({f'{each.name}; ' if each.name else ''}in the file: {each.was})" for each in keys
    )
    return f"Set for this result: {shown}."


def letter_of(index: int) -> str:
    """Return the letter of the wing with this index: A to Z, then A2, B2 and so on."""
    turn, place = divmod(index, len(ascii_uppercase))
    return ascii_uppercase[place] + (str(turn + 1) if turn else "")
