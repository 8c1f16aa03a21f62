"""What to check before and on the first flights of a stretched wing, with its numbers."""

from __future__ import annotations

from tradestudy.report.words.phrases import design_number, number_text
from tradestudy.results.design import Design
from tradestudy.results.result import Result


def before_words(design: Design) -> list[str]:
    """Return what to tick off on the bench and on the field, in order."""
    numbers = design.numbers
    window = (f", within {design_number(design, 'cg_front_mm')} to {design_number(design, 'cg_back_mm')} mm"
              if numbers.cg_front_mm is not None else "")  # fmt: skip
    return [
        f"Load test done as on its card, no cracks, back to zero; weighed: {design_number(design, 'auw_g')} g expected.",
        f"Balances level on the marks: {design_number(design, 'cg_mm')} mm behind the nose, "
        f"{design_number(design, 'cg_from_trailing_edge_mm')} mm ahead of the root trailing edge{window}. For the first flight "
        "rather ahead of the mark than behind it.",
        "Left and right alike: weight of the half wings, washout at both tips, elevons in neutral.",
        "Stick back: both elevons go up. Stick right: the right elevon goes up. From behind, with your own eyes.",
        "Pack strapped so that it cannot shift, leads clear of the propeller, failsafe cuts the motor.",
        f"Full throttle held on the ground for ten seconds: no more than about "
        f"{design_number(design, 'full_throttle_current_a')} A, nothing hot.",
        "Range of the radio checked with the motor running.",
    ]


def flight_words(result: Result, design: Design) -> list[str]:
    """Return what to look for in the air, in order."""
    numbers = design.numbers
    found = [
        f"Launch into the wind, level, faster than the stall at {design_number(design, 'stall_speed_kmh')} km/h; motor on when "
        "the hand is clear.",
        f"Trim high up at about {design_number(design, 'cruise_speed_kmh')} km/h: it should take "
        f"{_way(numbers.elevon_mm)} of elevon at the trailing edge and about "
        f"{design_number(design, 'cruise_current_a')} A.",
        "Dive gently from trim and let go: pulling out hard by itself is nose heavy, steepening is tail heavy: land.",
        f"Slow down high up until it stalls. It should begin near {design_number(design, 'stall_starts_at_mm')} mm from the "
        "centre line and drop its nose; if a tip drops, move the balance forward before anything else.",
    ]
    if numbers.advised_speed_kmh is not None:
        found.append(
            f"Stay below {design_number(design, 'advised_speed_weak_kmh')} km/h at first, and never faster than "
            f"{design_number(design, 'advised_speed_kmh')} km/h, since beyond it {numbers.advised_speed_why}. "
            "Work up to it in steps; at any buzz or sluggish roll close the throttle and slow down."
        )
    found.append(f"Pull no harder than {design_number(design, 'limit_load_factor')} g: it breaks at about "
                 f"{design_number(design, 'failure_load_factor')} g ({numbers.first_failure}).")  # fmt: skip
    if result.purposes:
        found.append(f"Land with {result.purposes.reserve_pct:g} % of the charge left; note distance, time and mAh: "
                     "a known flight sharpens the next study.")  # fmt: skip
    return found


def _way(millimetres: float | None) -> str:
    if millimetres is None:
        return "little"
    return f"{number_text(abs(millimetres), 1)} mm {'up' if millimetres <= 0 else 'down'}"
