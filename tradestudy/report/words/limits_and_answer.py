"""Plain words for a builder: what a limit is called, and what the study recommends, in sentences."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tradestudy.report.placed import figure, joined, said
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from .purpose import by_weight, knee, measure, traded

# Limit name -> how a builder says it. `slowest_flight` is left to the design: the study decides which rule
# set it.
LIMIT_WORDS = {
    "up_elevon": "up-elevon in cruise",
    "down_elevon": "down-elevon in cruise",
    "cruise_over_stall": "cruise must stay 1.3 times above stall",
    "slowest_flight": "stall speed",
    "failure_load_factor": "load factor at which it breaks in a pull-up",
    "tip_deflection": "bend of the tips in a pull-up",
    "climb": "climb at full throttle",
    "full_speed": "top speed against the never-exceed speed",
    "fin_volume": "fin volume",
    "end_throttle": "throttle needed at the end of the flight",
    "cell_current": "cell current at the end of the flight",
    "cell_voltage": "pack voltage at the end of the flight",
    "full_throttle_motor": "motor current at full throttle",
    "full_throttle_controller": "controller current at full throttle",
    "full_throttle_cells": "cell current at full throttle",
    "strength_pull_up": "strength used in a pull-up",
    "strength_push_over": "strength used in a push-over",
    "strength_gust_cruise": "strength used in a gust at cruise",
    "strength_gust_full_speed": "strength used in a gust at full speed",
    "flying_weight": "flying weight",
    "pack_forward": "pack against the front of its bay",
    "pack_aft": "pack against the back of its bay",
    "smallest_span": "shortest span the study allows",
    "largest_span": "longest span the study allows",
    "smallest_sweep": "least sweep the study allows",
    "largest_sweep": "most sweep the study allows",
    "smallest_washout": "least washout the study allows",
    "largest_washout": "most washout the study allows",
    "smallest_static_margin": "least static margin allowed",
    "largest_static_margin": "most static margin allowed",
    "smallest_cruise_speed": "slowest cruise looked at",
    "largest_cruise_speed": "fastest cruise looked at",
    "smallest_equipment_position": "equipment as far forward as it may go",
    "largest_equipment_position": "equipment as far back as it may go",
}
MOST_BROKEN_TOLD = 3  # of one wing in a sentence, worst first; the table of other wings tells them all
LEAST_SPREAD = 0.03  # of the lightest weight: over less, kilometres per gram say nothing
ONE_STEP = 0.8  # of the gain in one step: then there is a step to buy and no rate
SPOKEN_BY_THE_DESIGN = ("slowest_flight",)

CONDITION_WORDS = {
    "pull_up": "pull-up at full speed",
    "push_over": "push-over at full speed",
    "gust_cruise": "gust at cruise",
    "gust_full_speed": "gust at full speed",
}

# How a person reads what `numbers` holds: key -> (words, unit, decimals). Order is that of the page's table.
NUMBER_WORDS = {
    "span_mm": ("Span", "mm", 0),
    "area_dm2": ("Wing area", "dm²", 1),
    "sweep_deg": ("Sweep of the leading edge", "deg", 1),
    "set_back_mm": ("Tip set-back", "mm", 0),
    "washout_deg": ("Washout", "deg", 1),
    "rod_length_mm": ("Rod length, each half", "mm", 0),
    "auw_g": ("Flying weight", "g", 0),
    "wing_loading_g_dm2": ("Wing loading", "g/dm²", 1),
    "cg_mm": ("Balance mark behind the nose", "mm", 0),
    "cg_from_trailing_edge_mm": ("Balance mark ahead of the root trailing edge", "mm", 0),
    "cg_front_mm": ("Balance window, front end behind the nose", "mm", 0),
    "cg_back_mm": ("Balance window, back end behind the nose", "mm", 0),
    "foremost_cg_mm": ("Foremost balance that flies, behind the nose", "mm", 0),
    "foremost_cg_why": ("What ends it in front", "", 0),
    "rearmost_cg_mm": ("Rearmost balance that flies, behind the nose", "mm", 0),
    "neutral_point_mm": ("Neutral point behind the nose", "mm", 0),
    "static_margin_pct": ("Static margin", "% of mean chord", 1),
    "pack_position_mm": ("Middle of the pack behind the nose", "mm", 0),
    "pack_energy_wh": ("Energy in the pack", "Wh", 0),
    "cruise_speed_kmh": ("Cruise speed", "km/h", 0),
    "range_km": ("Range, still air, reserve kept", "km", 0),
    "radius_km": ("Out and home in the wind", "km", 1),
    "radius_by_charge_km": ("Out and home as far as the charge goes", "km", 1),
    "charge_left_pct": ("Charge left after out and home", "%", 0),
    "usual_flight_min": ("Usual flight with its share of full throttle", "min", 0),
    "endurance_min": ("Time in the air in steady cruise", "min", 0),
    "wh_per_km": ("Energy for a kilometre", "Wh/km", 2),
    "mah_per_km": ("Charge for a kilometre", "mAh/km", 0),
    "cruise_current_a": ("Current in cruise", "A", 1),
    "end_current_a": ("Current at the end of the flight", "A", 1),
    "elevon_mm": ("Elevon in cruise at the trailing edge, up is minus", "mm", 1),
    "elevon_deg": ("Elevon in cruise, up is minus", "deg", 1),
    "stall_speed_kmh": ("Stall speed", "km/h", 0),
    "trimmed_lift_max": ("Largest lift coefficient in trim", "", 2),
    "up_travel_deg": ("Up-elevon at full stick", "deg", 0),
    "stall_elevon_deg": ("Elevon at the stall, up is minus", "deg", 1),
    "stall_elevon_mm": ("Elevon at the stall at the trailing edge", "mm", 1),
    "tips_left_pct": ("Lift the tips have in hand when the stall begins", "%", 0),
    "stall_starts_at_mm": ("Where the stall begins, from the centre line", "mm", 0),
    "top_speed_kmh": ("Top speed", "km/h", 0),
    "control_speed_kmh": ("Twist leaves 0.4 of its roll control at", "km/h", 0),
    "control_speed_weak_kmh": ("and with the film gone loose at", "km/h", 0),
    "roll_reversal_kmh": ("Roll control is gone at", "km/h", 0),
    "roll_reversal_weak_kmh": ("and with the film loose at", "km/h", 0),
    "pitch_reversal_kmh": ("Pitch control is gone at", "km/h", 0),
    "twist_off_kmh": ("Twist-off speed, none found up to 360 km/h where empty", "km/h", 0),
    "swing_hz": ("A wing held at its root swings", "times a second", 1),
    "second_swing_hz": ("and next, bend and twist mixed", "times a second", 1),
    "flutter_low_kmh": ("Flutter may come as early as", "km/h", 0),
    "flutter_kmh": ("Flutter is likely at", "km/h", 0),
    "flutter_high_kmh": ("or as late as", "km/h", 0),
    "advised_speed_kmh": ("Better never faster than", "km/h", 0),
    "advised_speed_weak_kmh": ("and with weak foam, film and bond", "km/h", 0),
    "advised_speed_why": ("since beyond it", "", 0),
    "full_throttle_current_a": ("Current at full throttle", "A", 1),
    "low_pack_current_a": ("and with the pack at its reserve", "A", 1),
    "first_rating": ("Whose rated current that comes nearest to", "", 0),
    "throttle_within_ratings_pct": ("Throttle that keeps all rated currents, standing", "%", 0),
    "static_thrust_g": ("Thrust standing at full throttle", "g", 0),
    "cruise_rpm": ("Propeller in cruise", "rpm", 0),
    "full_throttle_rpm": ("and at full throttle", "rpm", 0),
    "motor_cruise_c": ("Copper of the motor in long cruise, about", "C", 0),
    "motor_full_throttle_c": ("and at top speed for minutes, empty where it burns", "C", 0),
    "climb_ms": ("Climb at full throttle", "m/s", 1),
    "thrust_to_weight": ("Thrust over weight, standing", "", 2),
    "fin_volume": ("Fin volume", "", 4),
    "yaw_stiffness": ("How hard it turns back into the wind, per rad of sideslip", "", 4),
    "dihedral_effect": ("Roll off a wind from the side, per rad, minus lifts the wind side", "", 3),
    "roll_damping": ("What holds it against rolling, per rad", "", 3),
    "roll_rate_deg_s": ("Roll rate at cruise, one elevon 15 deg up, one down", "deg/s", 0),
    "roll_deg_per_m": ("Roll on each metre flown, the same elevons", "deg/m", 1),
    "dutch_roll_damping": ("Damping of its wagging and rocking, 1 is dead", "", 2),
    "dutch_roll_period_s": ("One swing of that wagging", "s", 2),
    "spiral_time_s": ("A bank left alone halves in, minus: doubles in", "s", 1),
    "pitch_damping": ("What holds it against nodding, per rad", "", 2),
    "short_period_damping": ("Damping of its quick nodding, 1 is dead", "", 2),
    "short_period_s": ("One quick nod", "s", 2),
    "phugoid_s": ("One slow rise and fall", "s", 1),
    "servo_torque_ncm": ("Torque of one servo", "N cm", 0),
    "servo_needed_ncm": ("What it should have for full elevon at top speed, reserve included", "N cm", 0),
    "servo_speed_kmh": ("It holds full elevon, with that reserve, up to", "km/h", 0),
    "hinge_moment_ncm": ("Moment of the air about the hinge, full elevon at top speed", "N cm", 0),
    "elevon_held_pct": ("Elevon left of what is asked at top speed, by the linkage's give", "%", 0),
    "elevon_play_deg": ("Free play of the elevon, end to end", "deg", 1),
    "elevon_swing_hz": ("An elevon on its linkage swings", "times a second", 0),
    "elevon_unbalance_gcm": ("Weight of an elevon behind its hinge, times its arm", "g cm", 0),
    "failure_load_factor": ("Load factor at which something breaks", "g", 1),
    "limit_load_factor": ("Load factor to fly to, that over 1.5", "g", 1),
    "first_failure": ("What breaks first", "", 0),
    "first_failure_at_mm": ("Where, from the centre line", "mm", 0),
    "tip_deflection_mm": ("Rise of the tips in a pull-up", "mm", 0),
}


def stretched(result: Result) -> Design | None:
    """Return the wing the report is about: the recommended one, else the best found."""
    return result.recommended or result.best


def limit_words(name: str, *designs: Design | None) -> str:
    """Return a limit in a builder's words; designs may know better than the table what set it."""
    states = (state for design in designs if design for state in design.limits)
    own_words = next((state.words for state in states if state.name == name), "")
    if own_words and (name in SPOKEN_BY_THE_DESIGN or name not in LIMIT_WORDS):
        return own_words
    return LIMIT_WORDS.get(name, name.replace("_", " "))


def stops(design: Design, result: Result) -> list[str]:
    """Return in words what stops a design, most pressing first, nothing said twice."""
    known = (design, result.recommended, result.best, result.stock)
    return list(dict.fromkeys(limit_words(name, *known) for name in design.active_limits))


def listed(phrases: list[str]) -> str:
    """Return phrases as a person lists them: a, b and c."""
    if len(phrases) < 2:
        return joined("", phrases)
    return joined(", ", phrases[:-1]) + " and " + phrases[-1]


def figure_of(value: Any, decimals: int = 0) -> str:
    """Return a number as text, with a proper minus; text as it is, a dash for what is not known."""
    if value is None:
        return "–"
    if isinstance(value, str):
        return value or "–"
    text = f"{float(value):.{decimals}f}"
    if float(text) == 0:
        text = text.lstrip("-")
    return figure(value, text.replace("-", "\N{MINUS SIGN}"))


def short_figure(value: float) -> str:
    """Return a number with the digits that matter."""
    size = abs(value)
    return figure_of(value, 0 if size >= 100 or size == 0 else 1 if size >= 10 else 2 if size >= 0.1 else 4)


def told(design: Design, key: str, decimals: int | None = None) -> str:
    """Return one of the numbers of a design as text without its unit."""
    if decimals is None:
        decimals = NUMBER_WORDS[key][2] if key in NUMBER_WORDS else 1
    return figure_of(getattr(design.numbers, key), decimals)


def weight_figure(design: Design) -> str:
    """Return the flying weight to 5 g: finer than that no build comes out. [g]"""
    weight = design.numbers.auw_g
    return figure(weight, figure_of(5 * round(float(weight) / 5)), step=5)


def drawable(designs: Sequence[Design], *keys: str) -> list[Design]:
    """Return the designs that have all of these numbers, in the order of the numbers."""
    found = [design for design in designs if all(getattr(design.numbers, key) is not None for key in keys)]
    return sorted(found, key=lambda design: tuple(getattr(design.numbers, key) for key in keys))


def choice_words(design: Design) -> str:
    """Return what is bought for a design in one phrase."""
    return design.choices.words


def searched_words(result: Result) -> str:
    """Return how many combinations were solved, and which could not win."""
    left = result.left_out
    told = "One combination was solved"
    if result.solved > 1:
        told = said("{} combinations of parts were solved", result.solved)
    if not left:
        return said("{}, all there are.", told)
    most, known = max(row.at_most for row in left), measure(result)
    return said("{}. The other {} cannot come near: with any rods between those to try they reach no more than {} "
                "{}.", told, len(left), figure_of(most), known.unit)


def speed_answer(result: Result) -> str:
    """Return how fast to cruise, in terms of what the pilot sees."""
    design = stretched(result) or result.stock
    return (
        said("Cruise at {} km/h: hold about {} A, {} mAh/km ({} Wh/km).", told(design, "cruise_speed_kmh"),
             told(design, "cruise_current_a"), told(design, "mah_per_km"), told(design, "wh_per_km"))
    )


def gain_words(design: Design, result: Result) -> str:
    """Return how much a design has of what the study wants most of, such as 81 km."""
    known = measure(result)
    return said("{} {}{}", gain_figure(getattr(design.numbers, known.key)), known.unit, known.after)


def gain_figure(value: float | None) -> str:
    """Return kilometres or minutes as text, a decimal where they are few; a dash for what is not known."""
    return figure_of(value, 1 if value is not None and 0 < value < 9.95 else 0)


def step_words(result: Result) -> list[str]:
    """Return what each single change would give by itself, broken limits told."""
    found = []
    for step in result.steps:
        states = sorted((state for state in step.limits if not state.met), key=lambda state: state.margin)
        broken = list(dict.fromkeys(limit_words(state.name, step) for state in states))
        if len(broken) > MOST_BROKEN_TOLD:
            broken[MOST_BROKEN_TOLD - 1 :] = [said("{} more", len(broken) - MOST_BROKEN_TOLD + 1)]
        limit = "limit" if len(broken) == 1 else "limits"
        if not broken and abs(step.numbers.span_mm - result.stock.numbers.span_mm) < 1 and "span" in step.label:
            found.append("Span only: no longer wing with today's pack flies further within the limits.")
            continue
        found.append(
            said("{}: {} at {} g", step.label.capitalize(), gain_words(step, result), weight_figure(step))
            + (said(", but it breaks the {} on {}.", limit, listed(broken)) if broken else ".")
        )
    return found


def knee_words(result: Result) -> list[str]:
    """Return where the front bends most, and by which rule."""
    bend = knee(result)
    if bend is None:
        return []
    up, along = traded(result)
    return [
        said("Its knee, farthest from the straight line between both ends with both axes scaled to one, is at {} "
             "{} and {} {} ({}).", figure_of(getattr(bend.numbers, along.key), along.digits), along.unit,
             figure_of(getattr(bend.numbers, up.key), up.digits), up.unit, choice_words(bend))
    ]


def weight_prices(result: Result) -> list[str]:
    """Return how much the front gives for weight, where along it most is gained, and its knee."""
    if not by_weight(result):
        return []
    known = measure(result)
    key, unit = known.key, known.unit
    points = drawable(result.front, "auw_g", key)
    if len(points) < 2 or points[-1].numbers.auw_g - points[0].numbers.auw_g < 1:
        return []
    first, last = points[0], points[-1]
    more, further = (getattr(last.numbers, name) - getattr(first.numbers, name) for name in ("auw_g", key))
    if more < LEAST_SPREAD * first.numbers.auw_g:
        return []  # all of one weight: there is no price to tell
    light, heavy = max(
        zip(points, points[1:], strict=False),
        key=lambda pair: getattr(pair[1].numbers, key) - getattr(pair[0].numbers, key),
    )
    jump = getattr(heavy.numbers, key) - getattr(light.numbers, key)
    sentence = said("Along the {}, from {} to {} g, ", known.line, weight_figure(first), weight_figure(last))
    if jump <= ONE_STEP * further:
        sentence += said("100 g more buy about {} {}; ", figure_of(100 * further / more, 1), unit)
    if len(points) > 2 and jump > 0.5 * further:
        changed = [
            words for words in choice_words(heavy).split(", ") if words not in choice_words(light).split(", ")
        ]
        sentence += (
            said("{} of the {} {} come in one step from {} to {} g", figure_of(jump), figure_of(further), unit,
                 weight_figure(light), weight_figure(heavy))
            + (said(" ({})", joined(", ", changed)) if changed and changed != [""] else "")
        )
    return [sentence.removesuffix("; ") + ".", *knee_words(result)]


def elevon_answer(result: Result) -> str:
    """Return the elevon in cruise as a ruler finds it."""
    millimetres = (stretched(result) or result.stock).numbers.elevon_mm
    side = "up" if millimetres <= 0 else "down"
    return said("{} mm {} at the trailing edge", figure_of(abs(millimetres), 1), side)
