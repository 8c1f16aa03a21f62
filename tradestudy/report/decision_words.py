"""The decision in a few sentences: what to carry, what span that needs, what to expect, what limits it, what is next.

It stands first on the terminal. Each sentence is short, and no detail stands here that a builder does not decide by.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from tradestudy.report.placed import fill, join
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from .words import gains, phrases
from .words.first_screen import cautious_turn
from .words.load_test import until_tested_words
from .words.phrases import design_number, number_text, stretched_wing, weight_text
from .words.purpose import measure
from .words.violated_limits import conflict_lines, violation_lines

_MOST_NAMED = 3  # limits that are named; the table of limits has them all
# Exclusions of a pack begin with its name, as in `aircraft.model.pack_fit.pack_words`; those of drive or rods do not
_OF_A_PACK = re.compile(r"the \d+S\d+P pack ")
_MOST_PACKS = 2  # packs without room that are named
_REASONS = " Of single values"  # from here on, the advice on what to measure is left to the whole of the output
_SAME_MARK = 0.5  # mm; a smaller change of the balance mark is not told


_OWN_DRAWS = (
    "It is chosen to be that sure, so it need not be the wing that tradestudy run recommends. Ranges are by its own "
    "draws, so that of the stock wing may differ a little too."
)


class Decision(NamedTuple):
    """The decision on one wing: the sentences that decide, those on what limits the wing, and what to measure."""

    lines: list[str]
    limits: list[str]
    measure: list[str]


def decision(result: Result) -> Decision:
    """Return the decision of a result. Lists are empty where the result has nothing to say."""
    design = stretched_wing(result)
    if design is None:
        return Decision(_nothing_fits(result), [], _measure_words(result))
    lines = [
        *_how_surely(result),
        *_lead(result, design),
        *_expected(result, design),
        _weight(result, design),
        _flying(design),
        *_balance(result, design),
    ]
    return Decision(lines, _limits(result, design), _measure_words(result))


def _nothing_fits(result: Result) -> list[str]:
    if not result.conflict:
        return ["Nothing was stretched: these are the numbers of the stock wing."]
    return [fill("No design meets every limit: {}.", join("; ", conflict_lines(result)))]


def _lead(result: Result, design: Design) -> list[str]:
    """Return what to build, or why not."""
    violations = violation_lines(design)
    if result.conflict:
        return [*_nothing_fits(result), "The numbers below are those of the nearest wing. Do not build it like this."]
    if violations:
        return [fill("Do not build this wing: it breaks {}.", _counted(len(violations), "limit")), *violations[:2]]
    if advice := gains.advice_words(result):
        return [*advice, *gains.best_found_words(result)]
    return [*_to_build(result, design), fill("Build it with: {}.", phrases.choice_words(design))]


def _how_surely(result: Result) -> list[str]:
    """Return how surely a robust wing meets its limits, beside the best one as assumed; none without that search."""
    known = result.robust
    if known is None or result.conflict:
        return []
    draws, wing, best = fill("{:g} of 100 draws", known.chance_pct), known.robust, known.nominal
    if not known.reached:
        lines = [
            fill("No wing was found that meets every limit in {}.", draws),
            fill("The surest one found meets them in {}.", number_text(wing.all_met_pct)),
        ]
    else:
        lines = [fill("This wing meets every limit in at least {} of inputs and shop.", draws)]
    lines.append(_OWN_DRAWS)
    if wing == best:
        return lines
    unit, gain = measure(result).unit, phrases.gain_text(best.gain)
    return [
        *lines,
        fill(
            "The best wing as assumed reaches {} {}, with {}; it meets them in {}.",
            gain,
            unit,
            best.words,
            number_text(best.all_met_pct),
        ),
    ]


def _to_build(result: Result, design: Design) -> list[str]:
    span, stock = design.numbers.span_mm, result.stock.numbers.span_mm
    pack = f"{design.choices.series}S{design.choices.parallel}P{f' {design.choices.pack}' * bool(design.choices.pack)}"
    as_today = not any(map(_is_pack, gains.changed_parts(design, result.stock)))
    carry = fill("Keep the {} pack" if as_today else "Carry a {} pack", pack)
    energy, today = (each.numbers.pack_energy_wh for each in (design, result.stock))
    if not as_today and energy and today:
        carry = fill("{} ({} Wh, today {} Wh)", carry, number_text(energy), number_text(today))
    more = 0.5 * (span - stock)
    if abs(more) < _SAME_MARK:
        return [fill("{} and the span of today, {} mm.", carry, number_text(span))]
    side = fill("{} mm {} on each side", number_text(abs(more)), "more" if more > 0 else "less")
    spans = fill("{} mm, today {} mm", number_text(span), number_text(stock))
    return [fill("{} and build a span of {}: {}.", carry, spans, side)]


def _expected(result: Result, design: Design) -> list[str]:
    """Return what the wing reaches of what the study maximises, with its band."""
    known = measure(result)
    lines = []
    if known.headline_key == "radius_km" and (turn := cautious_turn(result, design)):
        lines.append(
            fill(
                "Turn back by {} km or {} minutes out, in wind of {:.3g} m/s at one airspeed: nine in ten such wings "
                "then come home.",
                number_text(turn[0]),
                number_text(turn[1]),
                result.purposes.wind_ms,
            )
        )
    key, unit, after = known.headline_key, known.unit, known.suffix
    value = phrases.gain_text(getattr(design.numbers, key))
    words = fill("Expect {} {}{}", value, unit, after or " on one charge")
    if band := phrases.expected_band(result, design, key):
        words += fill("; eight in ten such wings fly {} to {} {}", *map(phrases.gain_text, (band[0], band[2])), unit)
    lines.append(fill("{}.", words))
    if not gains.is_as_today(design, result.stock):
        lines.append(_gained(getattr(design.numbers, key), getattr(result.stock.numbers, key), unit))
    return lines if key == "usual_flight_min" else [*lines, phrases.ENERGY_ONLY]


def _gained(number: float, today: float | None, unit: str) -> str:
    """Return what the stock wing reaches, and by how much more the wing does."""
    stock = phrases.gain_text(today)
    if today is None or number <= today:
        return fill("The stock wing flies {} {}.", stock, unit)
    gain = phrases.gain_text(phrases.printed_gain(number, today))
    return fill("That is {} {} more than the stock wing, which flies {} {}.", gain, unit, stock, unit)


def _weight(result: Result, design: Design) -> str:
    today = "" if gains.is_as_today(design, result.stock) else fill(" (today {} g)", weight_text(result.stock))
    return fill(
        "It weighs {} g{} and stalls at {} km/h.", weight_text(design), today, design_number(design, "stall_speed_kmh")
    )


def _flying(design: Design) -> str:
    words = fill(
        "Cruise at {} km/h: hold about {} A.",
        design_number(design, "cruise_speed_kmh"),
        design_number(design, "cruise_current_a", 1),
    )
    if design.numbers.advised_speed_kmh is None:
        return words
    words = fill("{} Never fly faster than {} km/h.", words, design_number(design, "advised_speed_kmh"))
    until = until_tested_words(design)
    return fill("{} {}.", words, phrases.with_capital(until)) if until else words


def _balance(result: Result, design: Design) -> list[str]:
    numbers = design.numbers
    first = numbers.first_flight_cg_mm
    words = fill("Balance it {} mm behind the nose", number_text(numbers.cg_mm))
    if first is not None and abs(first - numbers.cg_mm) >= _SAME_MARK and not gains.is_as_today(design, result.stock):
        words += fill(", on the first flight {} mm", number_text(first))
    return [fill("{}.", words)]


def _limits(result: Result, design: Design) -> list[str]:
    """Return what keeps the wing from being better: the limits, and packs without room where today's pack stays."""
    if result.conflict:
        return []
    left_out = [] if any(map(_is_pack, gains.changed_parts(design, result.stock))) else _packs_left_out(result)
    if gains.keeps_panels(design):
        return left_out
    limits = phrases.stopping_limits(design, result)
    if not limits:
        return ["No limit stops it.", *left_out]
    named = limits if len(limits) <= _MOST_NAMED else limits[: _MOST_NAMED - 1]
    more = [fill("{} more limits", len(limits) - len(named))] if len(named) < len(limits) else []
    return [fill("What limits it: {}.", phrases.comma_list([*named, *more])), *left_out]


def _packs_left_out(result: Result) -> list[str]:
    """Return why other packs were not tried: a person who wants to fly farther asks that first."""
    reasons = [each for each in result.excluded if _OF_A_PACK.match(each)]
    return [fill("Not tried: {}.", each) for each in reasons[:_MOST_PACKS]]


def _is_pack(part: str) -> bool:
    return part.startswith("the pack")


def _measure_words(result: Result) -> list[str]:
    """Return what to measure first, without its reasons."""
    words = phrases.measure_first_words(result)
    return [words.partition(_REASONS)[0]] if words else []


def _counted(count: int, thing: str) -> str:
    return f"a {thing}" if count == 1 else fill("{} {}s", count, thing)
