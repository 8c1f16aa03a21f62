"""What a builder reads first, in the terminal and on the page: what to build, where to balance, what to hold."""

from __future__ import annotations

import math

from tradestudy.results.design import Design
from tradestudy.results.outline import Outline
from tradestudy.results.result import Result

from .limits_and_answer import (
    choice_words,
    elevon_answer,
    figure_of,
    listed,
    step_words,
    stops,
    stretched,
    told,
    weight_figure,
    weight_prices,
)
from .purpose import measure, purpose_answer

MOVED = 1.5  # mm; less is not worth the word

Rows = list[tuple[str, ...]]


def first_screen(result: Result) -> Rows:
    """Return (head, words) rows, most wanted first; rows about which nothing is known are left out."""
    design = stretched(result) or result.stock
    rows: Rows = [
        ("Span", span_words(result, design)),
        ("Balance mark", balance_words(result, design)),
        ("Gear", gear_words(result, design)),
        ("Elevons in cruise", elevon_answer(result)),
        ("Hold", f"about {told(design, 'cruise_current_a', 1)} A: {told(design, 'cruise_speed_kmh')} km/h, "
                 f"{told(design, 'mah_per_km')} mAh/km"),
        ("Fly no faster", advised_words(design)),
        ("How far", far_words(result, design)),
        ("Made for", " ".join(purpose_answer(result, design))),
        ("Flying weight", f"{weight_figure(design)} g, today {weight_figure(result.stock)} g"),
        ("Built with", choice_words(design)),
        ("What weight buys", " ".join([*step_words(result), *weight_prices(result)])),
        ("What limits it", limit_words_of(result, design)),
        ("Measure first", measure_first(result)),
    ]  # fmt: skip
    return [row for row in rows if row[1]]


def span_words(result: Result, design: Design) -> str:
    """Return the span to build, what that adds on each side, and the band that does as well."""
    more = 0.5 * (design.numbers.span_mm - result.stock.numbers.span_mm)
    words = f"{told(design, 'span_mm')} mm, " + (
        f"{figure_of(more)} mm more on each side" if more >= 0.5 else "as the stock wing")
    if result.band:
        words += (f"; {figure_of(result.band.low_mm)} to {figure_of(result.band.high_mm)} mm does as well "
                  f"within 2 % of the {measure(result).noun}; {result.band.reason}")  # fmt: skip
    return words


def advised_words(design: Design) -> str:
    """Return the speed not to exceed with its reason, or nothing where none was found."""
    if design.numbers.advised_speed_kmh is None:
        return ""
    likely, weak = (told(design, key) for key in ("advised_speed_kmh", "advised_speed_weak_kmh"))
    return (f"than {likely} km/h, since beyond it {design.numbers.advised_speed_why}; with weak film and foam "
            f"{weak}. Estimates, no clearance: work up to it in steps")


def balance_words(result: Result, design: Design) -> str:
    """Return the balance mark from both datums, its window, and how far it moved."""
    numbers = design.numbers
    words = (f"{told(design, 'cg_mm')} mm behind the nose, {told(design, 'cg_from_trailing_edge_mm')} mm ahead of the "
             "root trailing edge")  # fmt: skip
    if numbers.cg_front_mm is not None:
        words += f"; stay within {told(design, 'cg_front_mm')} to {told(design, 'cg_back_mm')} mm"
    moved = numbers.cg_mm - result.stock.numbers.cg_mm
    if abs(moved) >= 0.5:
        words += f"; {figure_of(abs(moved))} mm further {'back' if moved > 0 else 'forward'} than today"
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
    return "; ".join(parts) + ("" if len(parts) > 1 else "; all else stays")


def _placed(name: str, place: float, today: float | None, outline: Outline) -> str:
    bay = next((bay.name for bay in outline.bays
                if bay.x_mm <= place <= bay.x_mm + bay.length_mm), "")  # fmt: skip
    words = f"{name}: middle {figure_of(place)} mm behind the nose" + (f", in the bay {bay}" if bay else "")
    if today is not None and abs(place - today) >= MOVED:
        words += f" (today {figure_of(today)})"
    return words


def far_words(result: Result, design: Design) -> str:
    """Return kilometres on one charge and out and home, with the band, and minutes of a usual flight."""
    known, numbers = result.purposes, design.numbers
    off = result.uncertainty  # what is open in the study, and the scatter of the models beside it
    band = math.hypot(off.range_km, off.model_range_km) if off else 0.0
    words = f"{told(design, 'range_km')} km on one charge"
    if result.spread:
        low, _, high = result.spread.percentiles.range_km
        words += f", eight in ten such wings between {figure_of(low)} and {figure_of(high)}"
    elif band:
        words += f" \N{PLUS-MINUS SIGN} {figure_of(band)}"
    if numbers.radius_km is not None:
        words += f"; {told(design, 'radius_km', 0)} km out and home in wind of {known.wind_ms:g} m/s"
    if numbers.usual_flight_min is not None:
        words += (f"; {told(design, 'usual_flight_min', 0)} minutes with {known.full_throttle_share_pct:g} % of "
                  "them at full throttle")  # fmt: skip
    return words + f"; {known.reserve_pct:g} % kept for the landing"


def limit_words_of(result: Result, design: Design) -> str:
    """Return what keeps the wing from going further."""
    if stretched(result) is None:
        return ""
    phrases = stops(design, result)
    return listed(phrases) if phrases else "no limit: it is at its best"


def measure_first(result: Result) -> str:
    """Return which one measurement would sharpen the answer most."""
    return result.uncertainty.measure_first if result.uncertainty else ""
