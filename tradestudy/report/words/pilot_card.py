"""The speed card that a pilot keeps at the transmitter: as plain text, and in pieces for the page."""

from __future__ import annotations

from collections.abc import Callable
from textwrap import wrap
from typing import NamedTuple

from tradestudy.quantities import from_edge, from_si, in_unit, is_imperial, printed, to_si
from tradestudy.report.balance_words import is_empty
from tradestudy.report.placed import fill, plain_text
from tradestudy.results.design import Design
from tradestudy.results.flight import PilotCard
from tradestudy.results.result import Result

from .gains import is_as_today
from .load_test import is_grounded
from .phrases import (
    ENERGY_ONLY,
    design_number,
    expected_band,
    number_text,
    stock_and_stretched,
    stretched_wing,
    violated_limit_words,
    violated_limits,
)
from .purpose import measure
from .violated_limits import warning_words

COLUMNS, LINES = 46, 24  # largest card that is readable at a width of about 8 cm; a warning adds lines
_NO_WAY = "makes no headway"
_TURN = "out against it, home with it: turn at"
_TURN_BACK = "TURN BACK BY: {:g} % then come home"


def card_units(unit: str) -> tuple[str, str]:
    """Return the units of speed and distance of a card whose study or command asks for a unit of speed."""
    unit = "mph" if is_imperial() else unit
    return unit, "mi" if unit == "mph" else "km"


class CardText(NamedTuple):
    """One card in pieces. Every number is text."""

    name: str
    hold: str
    speed: str
    slower: str  # the better speed below the least cruise; empty if there is none
    expect: str  # bands of current and range; empty without draws
    band: str
    sag: str
    balance: str
    speeds: str
    unit: str
    far: str
    legs: list[
        tuple[str, ...]
    ]  # rows: wind, direction, amps, ground speed, mAh per km, km left with a full pack, km left with a half pack
    turn: str  # head of the rows below
    turns: list[tuple[str, ...]]  # rows on where to turn back: wind, then km, mAh and volts for a full and a half pack
    end: str
    warning: str  # names the limits that the wing breaks; usually empty


def card_text(result: Result, design: Design, anyway: bool = False) -> CardText | None:
    """Return the card of one wing in the units of its study or command, or None if it has no card.

    A wing that breaks a limit has a card only with ``anyway``, and the card then carries a warning.
    """
    card = design.pilot_card
    if not card or is_withheld(design, anyway):
        return None
    unit, far = card_units(card.unit)

    def speed(value: float | None) -> str:
        return "" if value is None else number_text(from_si(from_edge("kmh", value), unit, "speed"))

    def way(value: float | None) -> str:
        return "" if value is None else number_text(from_si(from_edge("km", value), far, "distance"))

    def each_way(value: float | None) -> str:  # charge per km or per mile
        return "" if value is None else number_text(value * in_unit(to_si(1.0, far, "distance"), "km"))

    def wind(value: float) -> str:
        return speed(value) if value else "still"

    numbers = design.numbers
    legs = [
        (
            wind(row.wind_kmh),
            "" if row.direction == "none" else row.direction,
            *(
                (_NO_WAY,)
                if row.hold_a is None
                else (
                    number_text(row.hold_a, 1),
                    speed(row.ground_kmh),
                    each_way(row.mah_per_km),
                    way(row.full_km),
                    way(row.half_km),
                )
            ),
        )
        for row in card.legs
    ]
    turns = [
        (
            wind(row.wind_kmh),
            *(
                (_NO_WAY,)
                if row.full_km is None
                else (
                    way(row.full_km),
                    number_text(row.full_mah),
                    number_text(row.full_v, 1),
                    way(row.half_km),
                    _or_none(row.half_mah, 0),
                    _or_none(row.half_v, 1),
                )
            ),
        )
        for row in card.turns
    ]
    land = card.capacity_mah - card.reserve_mah
    wing = printed(
        fill(
            " {}, {} mm, {} g",
            "stock" if design is result.stock or is_as_today(design, result.stock) else "stretched",
            number_text(numbers.span_mm),
            number_text(numbers.auw_g),
        )
    )
    text = CardText(
        name=result.study_name[: COLUMNS - len(plain_text(wing))] + wing,
        hold=fill("{} A", number_text(card.hold_a, 1)),
        speed=fill("{} {} in still air", speed(card.speed_kmh), unit),
        slower=_slower(result, speed(card.slower_kmh), way(card.slower_km), card, far),
        expect=_expect(result, design, way, far),
        band="NO FLIGHT BEFORE THE TWIST TEST"
        if is_grounded(design)
        else fill("no faster than {} {} until the twist test", speed(card.until_tested_kmh), unit)
        if card.until_tested_kmh is not None
        else fill(
            "{} to {} A is within 2 % ({} to {} {})",
            number_text(card.band_low_a, 1),
            number_text(card.band_high_a, 1),
            speed(card.band_low_kmh),
            speed(card.band_high_kmh),
            unit,
        ),
        sag=fill(
            "{} A on a full pack, {} A near the end",
            number_text(card.fresh_a, 1),
            number_text(card.end_a, 1),
        ),
        balance=_balance(design),
        speeds=_speeds(result, design, speed, unit),
        unit=unit,
        far=far,
        legs=legs,
        turn=_TURN if card.home_pct is None else fill(_TURN_BACK, card.home_pct),
        turns=turns,
        end=fill("Half is {} mAh, land by {}. Estimates.", number_text(card.half_mah), number_text(land)),
        warning=warning_words(design),
    )
    return printed(text) if is_imperial() else text


def _slower(result: Result, speed: str, way: str, card: PilotCard, far: str) -> str:
    """Return one short line on the better speed below the least cruise. It is given for what it is: near the stall."""
    unit = card_units(card.unit)[0]
    if card.slower_kmh is None:
        return ""
    near = number_text(card.slower_kmh / card.stall_kmh, 2)
    if measure(result).headline_key != "range_km":
        return fill("better at {} {}: {} times the stall", speed, unit, near)
    return fill("further at {} {}: {} {}, {} times stall", speed, unit, way, far, near)


def slower_words(result: Result, design: Design) -> str:
    """Return a phrase on the better speed below the least cruise, or an empty text if there is none."""
    card = design.pilot_card
    if card is None or card.slower_kmh is None:
        return ""
    what = "flies further" if measure(result).headline_key == "range_km" else "gains more"
    distance = fill(", {} km", number_text(card.slower_km)) if what == "flies further" else ""
    return fill(
        "slower {}: {} km/h{}, but {} times the stall",
        what,
        number_text(card.slower_kmh),
        distance,
        number_text(card.slower_kmh / card.stall_kmh, 2),
    )


def _expect(result: Result, design: Design, way: Callable[[float], str], far: str) -> str:
    """Return the bands of current and range of the wing that was drawn."""
    amps, reach = (expected_band(result, design, key) for key in ("cruise_current_a", "range_km"))
    if not amps:
        return ""
    ends = number_text(amps[0], 1), number_text(amps[2], 1), way(reach[0]), way(reach[2])
    return fill("8 in 10: {} to {} A, {} to {} {}", *ends, far)


def _speeds(result: Result, design: Design, speed: Callable[[float], str], unit: str) -> str:
    """Return stall speed and top speed, with their bands if the wing was drawn."""
    texts = []
    for key in ("stall_speed_kmh", "top_speed_kmh"):
        band, text = expected_band(result, design, key), speed(getattr(design.numbers, key))
        texts.append(fill("{} ({}-{})", text, speed(band[0]), speed(band[2])) if band else text)
    return fill("stall {}, top {} {}", *texts, unit)


def _balance(design: Design) -> str:
    """Return mark, first flight and balance window in one short line, in mm behind the nose."""
    mark = design_number(design, "cg_mm")
    if is_empty(design):
        return fill("balance {} mm from the nose, no window", mark)
    ends = [design_number(design, f"cg_{end}_mm") for end in ("front", "back")]
    if design.numbers.first_flight_cg_mm is None:
        return fill("balance {} mm, no first flight, {} to {} mm", mark, *ends)
    first = design_number(design, "first_flight_cg_mm")
    return fill("balance {}, first {}, window {} to {} mm", mark, first, *ends)


def _or_none(value: float | None, places: int) -> str:
    return "" if value is None else number_text(value, places)


def is_withheld(design: Design, anyway: bool) -> bool:
    """Return whether the card of a wing is withheld because the wing breaks a limit."""
    return bool(design.pilot_card and violated_limits(design)) and not anyway


def withheld_words(design: Design) -> str:
    """Return a sentence that explains why a wing has no card."""
    return (
        f"The stretched wing has no speed card: it breaks a limit ({', '.join(violated_limit_words(design))}). "
        "With --anyway, cruise, assess and run give the card, marked as not to be built."
    )


def framed(warning: str) -> list[str]:
    """Return the lines of a warning in a frame as wide as the card, or none without a warning."""
    if not warning:
        return []
    body = [f"* {line:<{COLUMNS - 4}} *" for line in wrap(warning, COLUMNS - 4)]
    return ["*" * COLUMNS, *body, "*" * COLUMNS]


def card_lines(result: Result, design: Design, anyway: bool = False) -> list[str]:
    """Return the card as at most 24 lines of 46 columns, or no lines if the wing has no card.

    With ``anyway``, the card of a wing that breaks a limit is printed between two frames with a warning.
    """
    text = card_text(result, design, anyway)
    if text is None:
        return []
    unit, far = text.unit, text.far
    lines = [
        text.name,
        f"HOLD ABOUT {text.hold}".ljust(COLUMNS - len(text.speed)) + text.speed,
        *([text.slower] if text.slower else []),
        *([text.expect] if text.expect else []),
        text.band,
        text.sag,
        text.balance,
        text.speeds,
        f"wind           hold ground    mAh {far + ' left':>12}",
        f"{unit:<4}              A {unit:>6} {'/' + far:>6}  full  half",
    ]
    for strength, way, *rest in text.legs:
        start = f"{strength:>5} {way:<8}"
        lines.append(start + (f"  {rest[0]}" if len(rest) == 1 else "{:>5}{:>7}{:>7}{:>6}{:>6}".format(*rest)))
    lines += [
        text.turn,
        "wind      full pack           half used",
        f"{unit:<4} {far:>5}   mAh     V   {far:>5}   mAh     V",
    ]
    for strength, *rest in text.turns:
        lines.append(
            f"{strength:>5}" + (f"  {rest[0]}" if len(rest) == 1 else "{:>5}{:>6}{:>6}{:>8}{:>6}{:>6}".format(*rest))
        )
    frame = framed(text.warning)
    return [line.rstrip() for line in [*frame, *lines, text.end, *wrap(ENERGY_ONLY, COLUMNS), *frame]]


def longest_words(design: Design) -> str:
    """Return a sentence on how to stay up longest, which is the same in any wind. Empty if the wing has no card."""
    card = design.pilot_card
    if not card:
        return ""
    unit = card_units(card.unit)[0]
    speed = from_si(from_edge("kmh", card.longest_kmh), unit, "speed")
    return fill(
        "To stay up longest instead, in any wind: {} A, {} {} through the air, {} minutes.",
        number_text(card.longest_a, 1),
        number_text(speed),
        unit,
        number_text(card.longest_min),
    )


def cards(result: Result, anyway: bool = False) -> list[tuple[Design, CardText]]:
    """Return (wing, card) for each wing that has a card, the stretched wing first. Equal wings have one card."""
    wings = list(reversed(stock_and_stretched(result)))
    if is_as_today(wings[0][1], result.stock):
        wings = wings[:1]
    return [(design, text) for _, design in wings if (text := card_text(result, design, anyway))]


def no_card(result: Result, anyway: bool = False) -> str:
    """Return a sentence on why the card of the stretched wing is withheld, or an empty text if it is not."""
    design = stretched_wing(result)
    return withheld_words(design) if design is not None and is_withheld(design, anyway) else ""


def all_cards(result: Result, anyway: bool = False) -> str:
    """Return the text of every card, one below another, after the reason for a card that is withheld."""
    why = wrap(printed(no_card(result, anyway)), COLUMNS)
    texts = [card_lines(result, design, anyway) for design, _ in cards(result, anyway)]
    return "\n\n".join("\n".join(lines) for lines in ([why] if why else []) + texts) + "\n"
