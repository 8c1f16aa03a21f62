"""The main results, which a builder reads first on the terminal and on the page.

They say what to build, where it balances, and which current and speed to fly.
"""

from __future__ import annotations

from typing import NamedTuple

from tradestudy.report.balance_words import (
    balance_mark_words,
    first_flight_words,
    room_in_flight_words,
    window_words,
)
from tradestudy.report.builds_words import carrying_words
from tradestudy.report.placed import fill, join
from tradestudy.report.second_opinion_words import opinion_words
from tradestudy.report.tolerance_words import as_built_words
from tradestudy.results.design import Design
from tradestudy.results.outline import Outline
from tradestudy.results.result import Result

from . import gains, phrases
from .club import in_currency, price_text
from .limit_prices import deciding_words, flip_phrase, rule_words
from .load_test import (
    is_faster_than_advised,
    is_grounded,
    twist_test_words,
    until_tested_words,
    weak_speed_words,
)
from .phrases import Rows, design_number, measure_first_words, number_text, stretched_wing, weight_text
from .pilot_card import slower_words
from .purpose import measure, purpose_words

_MOVED = 1.5  # mm; a smaller move of equipment is not mentioned
_SAME_SPEED = 0.5  # km/h; a smaller difference of speeds is not mentioned
_SAME_CHORD = 0.5  # mm; a smaller change of the tip chord is not mentioned
_SAME_SPAN = 0.5  # mm on each side; a smaller change of span is called no change


class Answer(NamedTuple):
    """The answer to one of the page's three questions: a number in large type, and sentences below it."""

    question: str
    value: str
    unit: str
    lines: list[str]


def answers(result: Result) -> list[Answer]:
    """Return the three questions of a study with their answers."""
    shown, known = stretched_wing(result) or result.stock, measure(result)
    span = [
        fill("{} mm more on each side than the stock wing.", number_text(_added(result, shown)))
        if _added(result, shown) >= _SAME_SPAN
        else "As the stock wing."
    ]
    if (band := result.band) and band.high_mm - band.low_mm >= _SAME_SPAN:
        low, high = number_text(band.low_mm), number_text(band.high_mm)
        span.append(fill("Any span from {} to {} mm stays within 2 % of the best {}.", low, high, known.noun))
    purpose, by_range = purpose_words(result, shown), known.headline_key == "range_km"
    weight = [
        *_expectations(result, shown, known.headline_key),
        *([] if by_range else purpose),
        fill("The stock wing flies {} at {} g.", phrases.gain_words(result.stock, result), weight_text(result.stock)),
        *gains.what_brings_it(result),
        *(purpose if by_range else []),
        *([] if known.headline_key == "usual_flight_min" else [phrases.ENERGY_ONLY]),
    ]
    times = fill(
        "{} minutes in the air{}; stall at {} km/h{}.",
        design_number(shown, "endurance_min"),
        phrases.bracketed_band(result, shown, "endurance_min"),
        design_number(shown, "stall_speed_kmh"),
        phrases.bracketed_band(result, shown, "stall_speed_kmh"),
    )
    value = phrases.gain_text(getattr(shown.numbers, known.headline_key))
    if known.headline_key == "radius_km" and (turn := cautious_turn(result, shown)):
        value = phrases.gain_text(turn[0])
    return [
        Answer("How far to stretch the span?", design_number(shown, "span_mm"), "mm", span),
        Answer(
            "How fast to cruise?",
            design_number(shown, "cruise_speed_kmh"),
            "km/h",
            [phrases.with_capital(phrases.cruise_words(result).partition(": ")[2]), times],
        ),
        Answer(
            "What does extra weight give?",
            value,
            fill("{}{} at {} g", known.unit, known.suffix, weight_text(shown)),
            weight if stretched_wing(result) else ["Nothing was stretched: this is the stock wing."],
        ),
    ]


def first_screen(result: Result) -> Rows:
    """Return (head, words) rows, most important first. Rows without known numbers are left out."""
    design = stretched_wing(result) or result.stock
    rows: Rows = [
        ("What to do", join(" ", [*gains.advice_words(result), *gains.best_found_words(result)])),
        ("Span", _span_words(result, design)),
        ("Tip chord", tip_chord_words(design, result.stock)),
        ("Balance mark", _balance_words(result, design)),
        ("Equipment", _equipment_words(result, design)),
        ("Elevons in cruise", phrases.elevon_words(result)),
        ("Hold", _hold_words(result, design)),
        ("Never exceed", _never_exceed_words(design)),
        ("How far", _far_words(result, design)),
        ("Turn back", _turn_words(result, design)),
        ("Stall and top", _speed_words(result, design)),
        ("Optimised for", join(" ", purpose_words(result, design))),
        ("Flying weight", fill("{} g, today {} g", weight_text(design), weight_text(result.stock))),
        ("Can carry", carrying_words(result)),
        ("Built with", phrases.choice_words(design)),
        ("Price", _price_words(result, design)),
        ("What weight gives", join(" ", [*gains.step_words(result), *gains.weight_prices(result)])),
        ("What limits it", _limiting_words(result, design)),
        ("What that costs", rule_words(result)),
        ("What flips the answer", flip_phrase(result)),
        ("Out of the shop", as_built_words(result)),
        ("Measure first", measure_first_words(result)),
        ("Second opinion", join(" ", opinion_words(design)[:1])),
    ]
    return [row for row in rows if row[1]]


def _price_words(result: Result, design: Design) -> str:
    """Return what a build costs, and what each kilometre that it gains costs."""
    price, each = design.numbers.build_price, design.numbers.price_per_km_gained
    if price is None:
        return ""
    words = fill("{} for what is bought", in_currency(price_text(price), result))
    return words if each is None else fill("{}, {} for each km gained", words, price_text(each))


def _added(result: Result, design: Design) -> float:
    """Return the length added on each side of the wing. [mm]"""
    return 0.5 * (design.numbers.span_mm - result.stock.numbers.span_mm)


def _span_words(result: Result, design: Design) -> str:
    """Return the span to build, the length added on each side, and the band of spans that are almost as good."""
    more = _added(result, design)
    words = fill("{} mm, ", design_number(design, "span_mm")) + (
        fill("{} mm more on each side", number_text(more)) if more >= _SAME_SPAN else "as the stock wing"
    )
    if (band := result.band) and band.high_mm - band.low_mm < _SAME_SPAN:
        words += "; every other span loses more than 2 % or breaks a limit"
    elif band:
        words += fill(
            "; any span from {} to {} mm stays within 2 % of the best {}; {}",
            number_text(band.low_mm),
            number_text(band.high_mm),
            measure(result).noun,
            band.reason,
        )
    decides = deciding_words(result) or ([] if gains.keeps_panels(design) else _stock_span_words(result))
    return join(" ", [fill("{}.", words), *decides]) if decides else words


def _stock_span_words(result: Result) -> list[str]:
    """Return a sentence if the stock wing has a span that is almost as good as the best, or none."""
    band = result.band
    if band is None or not band.low_mm <= result.stock.numbers.span_mm <= band.high_mm:
        return []
    if band.high_mm - band.low_mm < _SAME_SPAN:  # limits keep the span, not a lack of gain
        return []
    return ["The stock span is in that band: with these parts, more span gains little."]


def _hold_words(result: Result, design: Design) -> str:
    """Return the current to hold and its speed, then a better speed below the least cruise as such."""
    hold = fill(
        "about {} A{}: {} km/h, {} mAh/km",
        design_number(design, "cruise_current_a", 1),
        phrases.bracketed_band(result, design, "cruise_current_a", 1),
        design_number(design, "cruise_speed_kmh"),
        design_number(design, "mah_per_km"),
    )
    if is_faster_than_advised(design):
        hold += fill(
            ". That is faster than the advised maximum of {} km/h: the range holds only for a stiffer wing",
            design_number(design, "advised_speed_kmh"),
        )
    card = design.pilot_card
    if card and card.until_tested_kmh is not None and card.speed_kmh < design.numbers.cruise_speed_kmh - _SAME_SPEED:
        words = "about {} A: {} km/h, until the twist test is passed; after it {}"
        if is_grounded(design):
            words = "no flight before the twist test is passed; just after it about {} A: {} km/h; later {}"
        hold = fill(words, number_text(card.hold_a, 1), number_text(card.speed_kmh), hold)
    return join("; ", [each for each in (hold, slower_words(result, design)) if each])


def tip_chord_words(design: Design, stock: Design) -> str:
    """Return the foam chord at the tip and that of the stock wing, or an empty text where they are the same."""
    if abs(design.numbers.tip_chord_mm - stock.numbers.tip_chord_mm) < _SAME_CHORD:
        return ""
    return fill("{} mm of foam, today {} mm", *(design_number(one, "tip_chord_mm") for one in (design, stock)))


def _never_exceed_words(design: Design) -> str:
    """Return the advised maximum speed with its reason, or an empty text if there is none."""
    if design.numbers.advised_speed_kmh is None:
        return ""
    until = until_tested_words(design) or weak_speed_words(design)
    advice = fill(
        "{} km/h, the advised maximum speed, since above that {}{}. Estimates, no clearance: work up to it in steps",
        design_number(design, "advised_speed_kmh"),
        design.numbers.advised_speed_why,
        fill("; {}", until) if until else "",
    )
    return join(". ", [each for each in (advice, twist_test_words(design)) if each])


def _balance_words(result: Result, design: Design) -> str:
    """Return the balance mark from both datums, the balance window, the first flight, and how far the mark moved."""
    window = join(", ", [window_words(design), *room_in_flight_words(design)])
    flown = gains.is_as_today(design, result.stock)
    words = join("; ", [balance_mark_words(design), window, *([] if flown else [first_flight_words(design)])])
    moved = design.numbers.cg_mm - result.stock.numbers.cg_mm
    if abs(moved) >= 0.5:
        words += fill("; {} mm further {} than today", number_text(abs(moved)), "back" if moved > 0 else "forward")
    aside = phrases.side_words(design)
    return fill("{}; {}", words, aside) if aside else words


def _equipment_words(result: Result, design: Design) -> str:
    """Return where the pack goes, and what other equipment must move from its present place."""
    outline, today = design.outline, result.stock.outline
    if not outline.pack:
        return ""
    parts = [_pack_words(outline, today)]
    before = {thing.name: thing.x_mm for thing in today.equipment}
    for thing in outline.equipment:
        was = before.get(thing.name)
        if was is not None and abs(thing.x_mm - was) >= _MOVED:
            parts.append(_position(thing.name, thing.x_mm, was, outline if thing.in_the_middle else None))
    return join("; ", parts) + ("" if len(parts) > 1 else "; all else stays in place")


def _pack_words(outline: Outline, today: Outline) -> str:
    """Return where the pack goes, or each half of it if it lies in two bays."""
    names = ("pack", "its second half") if outline.second_pack else ("pack",)
    before = [pack.x_mm for pack in today.packs] if len(today.packs) == len(outline.packs) else [None] * 2
    places = [
        _position(*each, outline) for each in zip(names, (one.x_mm for one in outline.packs), before, strict=False)
    ]
    out = outline.packs[0].from_centre_mm
    if out:
        places.append(fill("half of it in each half wing, {} mm from the centre line", number_text(out)))
    return join("; ", places)


def _position(name: str, place: float, today: float | None, outline: Outline | None) -> str:
    """Return where a thing goes, with its bay if an outline is given, and where it is today."""
    bays = outline.bays if outline else []
    bay = next((bay.name for bay in bays if bay.x_mm <= place <= bay.x_mm + bay.length_mm), "")
    inside = f", in the bay {bay}" if bay else ""
    words = fill("{}: middle {} mm behind the nose{}", name, number_text(place), inside)
    if today is not None and abs(place - today) >= _MOVED:
        words += fill(" (today {} mm)", number_text(today))
    return words


def _far_words(result: Result, design: Design) -> str:
    """Return the distance to expect on one charge with its band, and the time in the air."""
    known, numbers = result.purposes, design.numbers
    words = fill("{} km on one charge", design_number(design, "range_km"))
    if band := phrases.expected_band(result, design, "range_km"):
        words = fill(
            "{} km to expect on one charge, range band {} to {} km (eight in ten such wings)",
            design_number(design, "range_km"),
            number_text(band[0]),
            number_text(band[2]),
        )
        words += _after_flight(result, "; ")
    words += fill(
        "; {} minutes in the air{}",
        design_number(design, "endurance_min"),
        phrases.bracketed_band(result, design, "endurance_min"),
    )
    if numbers.usual_flight_min is not None:
        minutes = design_number(design, "usual_flight_min", 0)
        words += fill("; {} minutes with {:g} % of them at full throttle", minutes, known.full_throttle_share_pct)
    if design is not result.stock:
        words += fill("; the stock wing flies {} km", design_number(result.stock, "range_km"))
    words += fill("; {:g} % of the charge kept in reserve", known.reserve_pct)
    unsure = "" if band else phrases.MEDIANS_ONLY + " "
    return words + fill(". {}{}", unsure, phrases.ENERGY_ONLY)


def _after_flight(result: Result, before: str) -> str:
    """Return to what one noted flight would narrow the range band, or an empty text if that is not known."""
    ends = result.uncertainty.range_after_flight_km if result.uncertainty else []
    if not ends:
        return ""
    return before + fill("one noted flight of the stock wing narrows it to about {} to {} km", *map(number_text, ends))


def cautious_turn(result: Result, design: Design) -> tuple[float, float] | None:
    """Return distance [km] and time [min] out, against the study's wind, from which nine of ten such wings come home.

    The distance is within the limit by radio or law. None means that the wing has no draws, or makes no headway.
    """
    out = phrases.expected_band(result, design, "radius_by_charge_km")
    if not out or out[0] <= 0:
        return None
    minutes = phrases.expected_band(result, design, "turn_back_min")[0]
    farthest = result.purposes.farthest_out_km
    if farthest is None or farthest >= out[0]:
        return out[0], minutes
    return farthest, minutes * (farthest / out[0])


def _turn_words(result: Result, design: Design) -> str:
    """Return where to turn back on a flight out and home. The cautious end stands first."""
    known, numbers = result.purposes, design.numbers
    if numbers.radius_km is None:
        return ""
    wind = fill("wind of {:.3g} m/s", known.wind_ms)
    expected = fill("{} km out and home in {}", design_number(design, "radius_km", 0), wind)
    if turn := cautious_turn(result, design):
        return fill(
            "by {} km or {} minutes out against {}, at one airspeed: nine in ten such wings then come home with their "
            "reserve; to expect {}. A card flies each way at its own speed, so it turns farther out",
            number_text(turn[0]),
            number_text(turn[1]),
            wind,
            expected,
        )
    return expected


def _speed_words(result: Result, design: Design) -> str:
    """Return stall speed and top speed with their bands."""
    return fill(
        "{} km/h{}; {} km/h{}",
        design_number(design, "stall_speed_kmh"),
        phrases.bracketed_band(result, design, "stall_speed_kmh"),
        design_number(design, "top_speed_kmh"),
        phrases.bracketed_band(result, design, "top_speed_kmh"),
    )


def _expectations(result: Result, design: Design, key: str) -> list[str]:
    """Return sentences on the band of the page's main number."""
    lines = []
    if key == "radius_km" and cautious_turn(result, design):
        expected = design_number(design, "radius_km", 0)
        lines.append(
            fill("Turn back by that distance: nine in ten such wings then come home. To expect: {} km.", expected)
        )
    elif band := phrases.expected_band(result, design, key):
        low, high = number_text(band[0]), number_text(band[2])
        lines.append(fill("Eight in ten such wings fly {} to {} {}.", low, high, measure(result).unit))
    return lines


def _limiting_words(result: Result, design: Design) -> str:
    """Return the limits that keep the wing from being better."""
    if stretched_wing(result) is None:
        return ""
    if gains.keeps_panels(design):
        return ""
    limits = phrases.stopping_limits(design, result)
    return phrases.limit_list(limits) if limits else "no limit"
