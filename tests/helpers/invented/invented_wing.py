"""An invented wing with every part of a Design filled in, for the tests of the report. Its numbers mean nothing."""

from helpers.invented.invented_body import body_of
from helpers.invented.invented_numbers import curves_of, numbers_of, outline_of

from tradestudy.results.design import Design, LimitState
from tradestudy.results.json_form import json_data, part_from_json


def made(kind, plain):
    """Return a part of a result from dicts and lists, as it is read from a file. These may contain finished parts."""
    return part_from_json(kind, json_data(plain))


def design(
    label="stretched",
    span=1480.0,
    weight=1560.0,
    distance=81.0,
    parallel=2,
    active=("pack_forward",),
    speed=57.0,
    sweep_back=305.0,
    full=True,
):
    """Return an invented wing."""
    numbers = numbers_of(span, weight, distance, parallel, speed, sweep_back)
    limits = [
        LimitState(
            "pack_forward",
            "pack as far forward as it can lie",
            59.0,
            59.0,
            "mm",
            0.0,
            "pack_forward" in active,
            True,
            "at least",
        ),
        LimitState(
            "slowest_flight",
            "stall speed against stock",
            0.0,
            0.0,
            "",
            0.001,
            "slowest_flight" in active,
            True,
            "at most",
        ),
        LimitState("climb", "climb at full throttle", 3.4, 2.0, "m/s", 0.28, False, True, "at least"),
    ]
    names = {
        "series": 4,
        "parallel": parallel,
        "rod_diameter_mm": 3.0,
        "rod_pairs": 2,
        "propeller": "10x7",
        "words": f"4S{parallel}P, 2 pairs of 3 mm rods, 10x7 propeller",
    }
    variables = {
        "extension_mm": 0.5 * (span - 1100.0),
        "sweep_deg": 24.7,
        "washout_deg": 2.1,
        "tip_chord_mm": 170.0,
        "static_margin_pct": 6.8,
        "cruise_speed_kmh": speed,
        "equipment_position_mm": 0.0,
    }
    told = {
        "label": label,
        "numbers": numbers,
        "choices": names,
        "variables": variables,
        "active_limits": [*active],
        "limits": limits,
    }
    if not full:
        return made(Design, told)
    drag = {
        "wing sections": 62.0 * span / 1480,
        "lift": 41.0,
        "open camera nose": 8.0,
        "motor mount": 5.0,
        "antenna whip": 4.4,
        "fins": 6.3,
        "servo horn and rod": 3.0,
        "hatch edge": 1.6,
        "middle": 7.0,
    }
    masses = {
        "foam": 0.16 * span,
        "covering": 0.05 * span,
        "rods main": 0.02 * span,
        "pack": 290.0 * parallel,
        "motor": 92.0,
        "camera and video transmitter": 62.0,
        "autopilot, receiver and GPS": 58.0,
        "servos": 50.0,
        "controller": 38.0,
        "elevons": 36.0,
        "fins": 22.0,
        "joiner": 32.0,
    }
    masses["not listed"] = weight - sum(masses.values())
    watts = {
        "thrust": 0.0243 * weight,
        "propeller": 0.01 * weight,
        "motor": 9.0,
        "controller": 3.5,
        "avionics": 9.0,
        "pack": 2.1,
    }
    structure = [
        {
            "condition": name,
            "load_factor": factor,
            "mode": mode,
            "at_mm": at,
            "failure_load_factor": fails,
            "weak_failure_load_factor": 0.7 * fails,
            "tip_deflection_mm": rise,
        }
        for name, factor, mode, at, fails, rise in (
            ("pull_up", 4.0, "rod buckling in the foam (main)", 120.0, 6.2, 95.0),
            ("push_over", -1.5, "foam crushed in bending", 40.0, -5.1, -38.0),
            ("gust_cruise", 2.9, "rod buckling in the foam (main)", 120.0, 6.6, 61.0),
            ("gust_full_speed", 3.3, "joiner bending", 0.0, 6.9, 72.0),
        )
    ]
    checks = [
        {
            "what": what,
            "condition": condition,
            "load_factor": asked,
            "utilisation": 0.3,
            "failure_load_factor": fails,
            "mode": mode,
            "at_mm": at,
            "note": note,
        }
        for what, condition, asked, fails, mode, at, note in (
            (
                "cut centre",
                "pull_up",
                4.0,
                7.3,
                "joiner bending where it crosses the cut centre",
                0.0,
                "lids carry nothing",
            ),
            ("covering", "pull_up", 4.0, None, "film wrinkling on the pressed side", 60.0, ""),
            ("ground load", "belly landing", 5.0, 21.4, "rod buckling in the foam (main)", 0.0, ""),
        )
    ]
    return made(
        Design,
        told
        | {
            "flags": ["tip section close to its stall"],
            "outline": outline_of(0.5 * span, sweep_back),
            "curves": curves_of(0.5 * span, weight, speed, 138.0, distance),
            "masses_g": masses,
            "drag_cm2": drag,
            "watts": watts,
            "structure": structure,
            "drag_breakdown": breakdown_of(drag, speed),
            "structure_checks": checks,
            "full_throttle_watts": {part: 6.0 * value for part, value in watts.items()},
            "pilot_card": pilot_card_of(speed, 5.62),
            "mission": mission_of(),
            "second_opinion": opinion_of(sweep_back),
            "body": body_of(outline_of(0.5 * span, sweep_back)),
        },
    )


def opinion_of(sweep_back):
    """Return an invented second opinion, which disagrees on the drag from the wake."""
    return {
        "neutral_point_mm": 0.6 * sweep_back,
        "neutral_point_other_mm": 0.6 * sweep_back + 1.1,
        "neutral_point_off_pct": 0.44,
        "span_efficiency": 1.163,
        "span_efficiency_other": 1.128,
        "wake_drag_off_pct": 3.1,
        "lift_coefficient": 0.412,
        "lift_coefficient_other": 0.4105,
        "lift_off_pct": -0.36,
        "lift_slope": 4.07,
        "lift_slope_other": 4.05,
        "lift_slope_off_pct": -0.49,
        "differs": ["wake_drag"],
        "allowed_pct": {"neutral_point": 1.0, "lift": 1.0, "lift_slope": 1.0, "wake_drag": 2.0},
    }


def breakdown_of(drag, speed):
    """Return the invented drag areas with their shares, and bands for listed drag items."""
    whole, wings_own = sum(drag.values()), ("wing sections", "lift", "fins", "middle")
    parts = [
        {
            "part": part,
            "listed": part not in wings_own,
            "count": 2 if part == "antenna whip" else 1,
            "cm2": area,
            "share_pct": 100 * area / whole,
            "low_cm2": None if part in wings_own else 0.7 * area,
            "high_cm2": None if part in wings_own else 1.5 * area,
            "how": "invented",
        }
        for part, area in drag.items()
    ]
    items = sum(row["cm2"] for row in parts if row["listed"])
    return {
        "cruise_speed_kmh": speed,
        "parts": parts,
        "total_cm2": whole,
        "items_cm2": items,
        "items_low_cm2": 0.8 * items,
        "items_high_cm2": 1.3 * items,
        "lift_to_drag": 12.3,
        "glide_ratio": 8.4,
        "glide_parts": [{**parts[0], "part": "stopped propeller", "listed": True, "cm2": 42.7}],
    }


def pilot_card_of(speed, amps, unit="km/h"):
    """Return an invented speed card for still air and one wind."""
    legs = [
        {
            "wind_kmh": wind,
            "direction": way,
            "speed_kmh": speed + extra,
            "hold_a": amps + 0.03 * extra,
            "ground_kmh": speed + extra - wind * against,
            "mah_per_km": 70.0 + 2 * extra,
            "full_km": 80.0 - extra,
            "half_km": 30.0,
        }
        for wind, way, extra, against in ((0.0, "none", 0.0, 0), (20.0, "against", 9.0, 1), (20.0, "with", -4.0, -1))
    ]
    turns = [
        {
            "wind_kmh": wind,
            "full_km": 40.0 - wind / 4,
            "full_mah": 3100.0 + 40 * wind,
            "full_v": 15.0,
            "half_km": 15.0,
            "half_mah": 6400.0,
            "half_v": 14.2,
        }
        for wind in (0.0, 20.0)
    ]
    return {
        "unit": unit,
        "speed_kmh": speed,
        "hold_a": amps,
        "fresh_a": 0.92 * amps,
        "end_a": 1.1 * amps,
        "fresh_v": 16.5,
        "end_v": 13.6,
        "power_w": 15 * amps,
        "band_low_kmh": 0.9 * speed,
        "band_high_kmh": 1.1 * speed,
        "band_low_a": 0.9 * amps,
        "band_high_a": 1.2 * amps,
        "longest_kmh": 0.85 * speed,
        "longest_a": 0.88 * amps,
        "longest_min": 99.0,
        "stall_kmh": 0.65 * speed,
        "capacity_mah": 10000.0,
        "reserve_mah": 2000.0,
        "half_mah": 5000.0,
        "legs": legs,
        "turns": turns,
    }


def mission_of(ends=""):
    """Return an invented mission of two parts, which is completed or ends early."""
    parts = [
        {
            "name": name,
            "kind": kind,
            "airspeed_kmh": 58.0,
            "ground_kmh": ground,
            "time_min": minutes,
            "km": km,
            "wh": 1.1 * minutes,
            "mah": 75.0 * minutes,
            "mean_a": 4.5,
            "end_v": 15.2,
            "end_throttle_pct": 55.0,
            "charge_left_pct": left,
        }
        for name, kind, ground, minutes, km, left in (
            ("out", "leg", 47.0, 20.0, 15.7, 80.0),
            ("round the lake", "loiter", None, 10.0, None, 71.0),
        )
    ]
    return {
        "parts": parts,
        "parts_requested": 3 if ends else 2,
        "end_reason": ends,
        "time_min": 30.0,
        "km": 15.7,
        "wh": 33.0,
        "mah": 2250.0,
        "reserve_pct": 20.0,
        "left_mah": 0.0 if ends else 4100.0,
        "left_km": 0.0 if ends else 51.0,
        "left_min": 0.0 if ends else 52.0,
    }
