"""What a builder reads first, in the terminal and on the page: what to build, where to balance, what to hold."""

from __future__ import annotations

import math

from tradestudy.report.placed import fill, join
from tradestudy.results.design import Design
from tradestudy.results.outline import Outline
from tradestudy.results.result import Result

from .phrases import (
    choice_words,
    comma_list,
    design_number,
    elevon_words,
    number_text,
    step_words,
    stopping_limits,
    stretched_wing,
    weight_prices,
    weight_text,
)
from .purpose import measure, purpose_words

MOVED = 1.5  # mm; less is not worth the word

Rows = list[tuple[str, ...]]


def first_screen(result: Result) -> Rows:
    """Return (head, words) rows, most wanted first; rows about which nothing is known are left out."""
    design = stretched_wing(result) or result.stock
    rows: Rows = [
        ("Span", span_words(result, design)),
        ("Balance mark", balance_words(result, design)),
        ("Gear", gear_words(result, design)),
        ("Elevons in cruise", elevon_words(result)),
        ("Hold", fill("about {} A: {} km/h, {} mAh/km", design_number(design, "cruise_current_a", 1),
                      design_number(design, "cruise_speed_kmh"), design_number(design, "mah_per_km"))),
        ("Fly no faster", advised_words(design)),
        ("How far", far_words(result, design)),
        ("Made for", join(" ", purpose_words(result, design))),
        ("Flying weight", fill("{} g, today {} g", weight_text(design), weight_text(result.stock))),
        ("Built with", choice_words(design)),
        ("What weight buys", join(" ", [*step_words(result), *weight_prices(result)])),
        ("What limits it", limit_words_of(result, design)),
        ("Measure first", measure_first(result)),
    ]  # fmt: skip
    return [row for row in rows if row[1]]


def span_words(result: Result, design: Design) -> str:
    """Return the span to build, what that adds on each side, and the band that does as well."""
    more = 0.5 * (design.numbers.span_mm - result.stock.numbers.span_mm)
    words = fill("{} mm, ", design_number(design, "span_mm")) + (
        fill("{} mm more on each side", number_text(more)) if more >= 0.5 else "as the stock wing"
    )
    if result.band:
        words += fill("; {} to {} mm does as well within 2 % of the {}; {}", number_text(result.band.low_mm),
                      number_text(result.band.high_mm), measure(result).noun, result.band.reason)  # fmt: skip
    return words


def advised_words(design: Design) -> str:
    """Return the speed not to exceed with its reason, or nothing where none was found."""
    if design.numbers.advised_speed_kmh is None:
        return ""
    likely, weak = (design_number(design, key) for key in ("advised_speed_kmh", "advised_speed_weak_kmh"))
    return fill(
        "than {} km/h, since beyond it {}; with weak film and foam {}. Estimates, no clearance: work up to it in steps",
        likely,
        design.numbers.advised_speed_why,
        weak,
    )


def balance_words(result: Result, design: Design) -> str:
    """Return the balance mark from both datums, its window, and how far it moved."""
    numbers = design.numbers
    words = fill("{} mm behind the nose, {} mm ahead of the root trailing edge", design_number(design, "cg_mm"),
                 design_number(design, "cg_from_trailing_edge_mm"))  # fmt: skip
    if numbers.cg_front_mm is not None:
        words += fill(
            "; stay within {} to {} mm", design_number(design, "cg_front_mm"), design_number(design, "cg_back_mm")
        )
    moved = numbers.cg_mm - result.stock.numbers.cg_mm
    if abs(moved) >= 0.5:
        words += fill("; {} mm further {} than today", number_text(abs(moved)), "back" if moved > 0 else "forward")
    return words


def gear_words(result: Result, design: Design) -> str:
    """Return where the pack goes, and what else must move from where it is today."""
    outline, today = design.outline, result.stock.outline
    if not outline.pack:
        return ""
    parts = [_placed("pack", outline.pack.x_mm, today.pack.x_mm if today.pack else None, outline)]
    before = {thing.name: thing.x_mm for thing in today.equipment}
    for thing in outline.equipment:
        was = before.get(thing.name)
        if was is not None and abs(thing.x_mm - was) >= MOVED:
            parts.append(_placed(thing.name, thing.x_mm, was, outline))
    return join("; ", parts) + ("" if len(parts) > 1 else "; all else stays")


def _placed(name: str, place: float, today: float | None, outline: Outline) -> str:
    bay = next((bay.name for bay in outline.bays
                if bay.x_mm <= place <= bay.x_mm + bay.length_mm), "")  # fmt: skip
    words = fill("{}: middle {} mm behind the nose{}", name, number_text(place), f", in the bay {bay}" if bay else "")
    if today is not None and abs(place - today) >= MOVED:
        words += fill(" (today {})", number_text(today))
    return words


def far_words(result: Result, design: Design) -> str:
    """Return kilometres on one charge and out and home, with the band, and minutes of a usual flight."""
    known, numbers = result.purposes, design.numbers
    off = result.uncertainty  # what is open in the study, and the scatter of the models beside it
    band = math.hypot(off.range_km, off.model_range_km) if off else 0.0
    words = fill("{} km on one charge", design_number(design, "range_km"))
    if result.spread:
        low, _, high = result.spread.percentiles.range_km
        words += fill(", eight in ten such wings between {} and {}", number_text(low), number_text(high))
    elif band:
        words += fill(" \N{PLUS-MINUS SIGN} {}", number_text(band))
    if numbers.radius_km is not None:
        words += fill("; {} km out and home in wind of {:g} m/s", design_number(design, "radius_km", 0), known.wind_ms)
    if numbers.usual_flight_min is not None:
        words += fill("; {} minutes with {:g} % of them at full throttle", design_number(design, "usual_flight_min", 0),
                      known.full_throttle_share_pct)  # fmt: skip
    return words + fill("; {:g} % kept for the landing", known.reserve_pct)


def limit_words_of(result: Result, design: Design) -> str:
    """Return what keeps the wing from going further."""
    if stretched_wing(result) is None:
        return ""
    phrases = stopping_limits(design, result)
    return comma_list(phrases) if phrases else "no limit: it is at its best"


def measure_first(result: Result) -> str:
    """Return which one measurement would sharpen the answer most."""
    return result.uncertainty.measure_first if result.uncertainty else ""
