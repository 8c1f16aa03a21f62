"""The checks before and during the first flights of a stretched wing, with that wing's numbers."""

from __future__ import annotations

from tradestudy.report.balance_words import balance_mark_words, first_flight_words, window_words
from tradestudy.report.words.load_test import is_held_back, twist_test_words, until_tested_words
from tradestudy.report.words.phrases import (
    ENERGY_ONLY,
    bracketed_band,
    design_number,
    expected_band,
    number_text,
)
from tradestudy.results.design import Design
from tradestudy.results.result import Result


def before_words(design: Design) -> list[str]:
    """Return the checks to tick off on the bench and on the field, in order."""
    return [
        f"Load test done as described, no cracks, back to zero. Weighed: {design_number(design, 'auw_g')} g expected.",
        f"{_level_words(design)}; the mark is at {balance_mark_words(design)}; {window_words(design)}.",
        "Left and right are equal: weight of the half wings, washout at both tips, neutral elevons.",
        "Stick back: both elevons go up. Stick right: the right elevon goes up. Check it from behind with your own "
        "eyes.",
        "Pack strapped so that it cannot move, leads clear of the propeller, failsafe stops the motor.",
        f"Full throttle held on the ground for ten seconds: at most about "
        f"{design_number(design, 'full_throttle_current_a')} A, and nothing becomes hot.",
        "Radio range checked with the motor running.",
    ]


def _level_words(design: Design) -> str:
    """Return where the wing must balance for its first flight, or that it must not fly."""
    if design.numbers.first_flight_cg_mm is None:
        return f"Do not fly it as it is: {first_flight_words(design)}"
    return f"Balances level: {first_flight_words(design)}"


def flight_words(result: Result, design: Design) -> list[str]:
    """Return the points to observe in flight, in order."""
    numbers = design.numbers
    lines = [
        f"Launch level into the wind, faster than the stall speed of {design_number(design, 'stall_speed_kmh')} km/h"
        f"{bracketed_band(result, design, 'stall_speed_kmh')}. Start the motor when the hand is clear.",
        f"Trim at a safe height at about {design_number(design, 'cruise_speed_kmh')} km/h: it should take "
        f"{_with_direction(numbers.elevon_mm)} of elevon at the trailing edge and about "
        f"{design_number(design, 'cruise_current_a')} A{bracketed_band(result, design, 'cruise_current_a', 1)}.",
        "Dive gently from trim and release the stick. If it pulls out hard by itself, it is nose heavy. If the dive "
        "gets steeper, it is tail heavy: land.",
        "Slow down at a safe height until it stalls. The stall should begin near "
        f"{design_number(design, 'stall_starts_at_mm')} mm from the centre line, and the nose should drop. If a wing "
        "tip drops, first move the balance forward.",
    ]
    if numbers.advised_speed_kmh is not None:
        first = until_tested_words(design) or f"no faster than {design_number(design, 'advised_speed_weak_kmh')} km/h"
        lines.append(
            f"Fly {first}{'' if is_held_back(design) else ' at first'}, and never exceed the "
            f"advised maximum speed of {design_number(design, 'advised_speed_kmh')} km/h, since above it "
            f"{numbers.advised_speed_why}. Work up to it in steps. At any buzz or sluggish roll, close the throttle "
            "and slow down."
        )
        if is_held_back(design):
            lines.append(f"{twist_test_words(design)}.")
    lines.append(
        f"Do not pull harder than {design_number(design, 'limit_load_factor')} g: it breaks at about "
        f"{design_number(design, 'failure_load_factor')} g ({numbers.first_failure})."
    )
    if reach := expected_band(result, design, "range_km"):
        low, expected, high = map(number_text, reach)
        lines.append(
            f"Range to expect: {expected} km on one charge, eight in ten such wings {low} to {high} km. {ENERGY_ONLY}"
        )
    if result.purposes:
        lines.append(
            f"Land with {result.purposes.reserve_pct:g} % of the charge left. Note distance, time and mAh: "
            "a known flight makes the next study more accurate."
        )
    return lines


def _with_direction(millimetres: float | None) -> str:
    if millimetres is None:
        return "little"
    return f"{number_text(abs(millimetres), 1)} mm {'up' if millimetres <= 0 else 'down'}"
