"""The card of the day in words: a strip of plain text for the transmitter, and the same pieces for the phone."""

from __future__ import annotations

from textwrap import wrap
from typing import NamedTuple

from tradestudy.quantities import from_edge, from_si, in_unit, printed
from tradestudy.report.first_flight import reminders
from tradestudy.report.words.phrases import ENERGY_ONLY, number_text
from tradestudy.report.words.pilot_card import COLUMNS, card_units, framed
from tradestudy.results.flight import DayCard

from .change_words import drift_sentences

WHICHEVER = "whichever comes first"
OTHER_WAY = "Flown out with the wind instead, turn by the distance alone: mAh and minutes then come too late."
NO_HEADWAY = "It makes no headway against this wind: do not fly out."
DAY_CAUTION = (
    "Estimates, not a proof of airworthiness. Local rules, radio range and the limits of the cells' maker come first."
)


class Big(NamedTuple):
    """One large number of the card, with its unit and what it is."""

    what: str
    value: str
    unit: str


class DayText(NamedTuple):
    """The card of a day in pieces. Every number is text."""

    warning: str
    title: str
    conditions: str
    pack: str
    hold: list[tuple[str, list[Big]]]  # way -> airspeed, current and ground speed
    turn: list[Big]  # empty if it makes no headway
    land: list[Big]
    alarms: list[Big]
    near: Big
    held_back: str
    sure: str
    known: str
    notes: list[str]
    reminders: list[str]


def day_text(card: DayCard) -> DayText:
    """Return the pieces of a card, in the units of its study."""
    unit, far = card_units(card.unit)

    def speed(kmh: float | None) -> str:
        return "" if kmh is None else number_text(from_si(from_edge("kmh", kmh), unit, "speed"))

    def way(km: float) -> str:
        return number_text(from_si(from_edge("km", km), far, "distance"), 1)

    hold = [
        (
            {"against": "Out, against the wind", "with": "Home, with the wind"}.get(leg.direction, "Hold"),
            []
            if leg.hold_a is None
            else [
                Big("airspeed", speed(leg.speed_kmh), unit),
                Big("current", number_text(leg.hold_a, 1), "A"),
                *([Big("over the ground", speed(leg.ground_kmh), unit)] if leg.direction != "none" else []),
            ],
        )
        for leg in card.legs
    ]
    turn = [
        Big("out", way(card.turn_km), far),
        Big("used", number_text(card.turn_mah), "mAh"),
        Big("after", number_text(card.turn_min), "min"),
    ] if card.turn_km is not None else []  # fmt: skip
    land = [Big("used", number_text(card.alarm_mah), "mAh")]
    if card.land_min is not None:
        land.append(Big("after", number_text(card.land_min), "min"))
    expected = (
        ""
        if card.turn_km is None or card.turn_expected_km is None
        else f"{card.home_pct:g} % of such wings come home from there. Expected is {way(card.turn_expected_km)} {far}."
    )
    if expected and any(leg.direction == "against" for leg in card.legs):
        expected = f"{expected} {OTHER_WAY}"
    text = DayText(
        warning=card.warning,
        title=f"{card.study}, {card.wing} wing" if card.wing == "stock" else f"{card.study}, {card.wing}",
        conditions=f"wind {number_text(in_unit(from_edge('kmh', card.wind_kmh), 'm/s'), 1)} m/s, "
        f"{number_text(card.temperature_c)} C"
        + (
            ""
            if abs(card.pack_temperature_c - card.temperature_c) < 0.5
            else f", pack {number_text(card.pack_temperature_c)} C"
        ),
        pack=f"pack {card.pack}",
        hold=hold,
        turn=turn,
        land=land,
        alarms=[
            Big("charge used", number_text(card.alarm_mah), "mAh"),
            Big("pack, in cruise", number_text(card.alarm_v, 1), "V"),
            Big("a cell, in cruise", number_text(card.alarm_cell_v, 2), "V"),
        ],
        near=Big("staying near the field, land after", number_text(card.near_min), "min"),
        held_back=""
        if card.until_tested_kmh is None
        else f"No faster than {speed(card.until_tested_kmh)} {unit} until the twist test is passed.",
        sure=expected,
        known=f"Known from {card.flights} flight{'s' if card.flights != 1 else ''} in the logbook."
        if card.flights
        else "No flight of this wing is in the logbook yet.",
        notes=[*drift_sentences(card.changes), *card.notes, ENERGY_ONLY],
        reminders=reminders(card.flown),
    )
    return DayText(*printed(tuple(text)))


def day_lines(card: DayCard) -> list[str]:
    """Return the card as a strip of lines, 46 columns wide."""
    text = day_text(card)
    frame, unit = framed(text.warning), card_units(card.unit)[0]
    lines = [*frame, text.title, *wrap(text.conditions, COLUMNS), *wrap(text.pack, COLUMNS), "-" * COLUMNS]
    for head, numbers in text.hold:
        lines.append(f"{head.upper()}: " + ("no headway" if not numbers else ""))
        if numbers:
            air, amps, *ground = [f"{each.value} {each.unit}" for each in numbers]
            lines.append(f"  HOLD {air}, {amps}" + (f", ground {ground[0]}" if ground else ""))
    lines.append(f"  stall {number_text(from_si(from_edge('kmh', card.stall_kmh), unit, 'speed'))} {unit}")
    lines.append("-" * COLUMNS)
    if text.turn:
        lines += [f"TURN BACK BY  ({WHICHEVER})", "  " + _joined(text.turn)]
    else:
        lines += wrap(NO_HEADWAY, COLUMNS)
    lines += [
        "LAND BY",
        "  " + _joined(text.land),
        f"  near the field: {text.near.value} {text.near.unit}",
        "-" * COLUMNS,
        "ALARMS TO SET",
        f"  {text.alarms[0].value} mAh used",
        f"  {text.alarms[1].value} V in cruise, {text.alarms[2].value} V a cell",
        f"  never below {number_text(card.least_cell_v, 2)} V a cell",
        "-" * COLUMNS,
    ]
    for words in (text.held_back, text.sure, text.known, *text.notes):
        lines += wrap(words, COLUMNS)
    for point in text.reminders:
        lines += wrap(point, COLUMNS, initial_indent="[ ] ", subsequent_indent="    ")
    return [printed(line).rstrip() for line in [*lines, *wrap(DAY_CAUTION, COLUMNS), *frame]]


def _joined(numbers: list[Big]) -> str:
    return ", ".join(f"{each.what} {each.value} {each.unit}" for each in numbers)
