"""The numbers, the outline and the curves of an invented wing. Their values mean nothing."""

import numpy as np

from tradestudy.results.numbers import KEYS


def numbers_of(span, weight, distance, parallel, speed, sweep_back):
    """Return every number of an invented wing."""
    return dict.fromkeys(KEYS, 1.0) | {
        "first_rating": "motor",
        "launch_way": "hand",
        "launch_speed_kmh": 30.0,
        "throw_low_kmh": 28.0,
        "throw_high_kmh": 32.0,
        "least_launch_speed_kmh": 43.0,
        "launch_height_left_m": 1.2,
        "launch_angle_deg": 15.0,
        "launch_delay_s": 0.4,
        "weak_throw_height_left_m": 0.7,
        "launch_elevon_mm": -4.6,
        "full_throttle_voltage_v": 13.1,
        "span_mm": span,
        "sweep_deg": 24.7,
        "set_back_mm": sweep_back,
        "washout_deg": 2.1,
        "tip_chord_mm": 170.0,
        "area_dm2": 0.0235 * span,
        "auw_g": weight,
        "cg_mm": 171.0,
        "cg_from_trailing_edge_mm": 109.0,
        "side_balance_mm": 0.2,
        "tip_weight_g": 0.4,  # too little to be mentioned
        "cg_front_mm": 148.0,
        "cg_front_from_trailing_edge_mm": 132.0,
        "cg_front_why": "a stall at launch speed",
        "cg_back_mm": 181.0,
        "cg_back_from_trailing_edge_mm": 99.0,
        "cg_back_why": "a static margin of 4.0 %, below which such wings oscillate in pitch",
        "first_flight_cg_mm": 166.0,
        "first_flight_cg_from_trailing_edge_mm": 114.0,
        "neutral_point_mm": 187.0,
        "static_margin_pct": 6.8,
        "elevon_deg": -2.4,
        "elevon_mm": -1.6,
        "stall_elevon_deg": -9.2,
        "stall_elevon_mm": -6.0,
        "up_travel_deg": 20.0,
        "servo_torque_ncm": 18.0,
        "servo_needed_ncm": 14.6,
        "servo_speed_kmh": 124.0,
        "elevon_play_deg": 0.4,
        "cruise_speed_kmh": speed,
        "range_km": distance,
        "radius_km": 0.46 * distance,
        "radius_by_charge_km": 0.46 * distance,
        "charge_left_pct": 20.0,
        "usual_flight_min": 42 * distance / speed,
        "endurance_min": 60 * distance / speed,
        "wh_per_km": 57.6 / distance,
        "mah_per_km": 4000.0 * parallel / distance,
        "cruise_current_a": 5.62,
        "end_current_a": 6.5,
        "trimmed_lift_max": 0.94,
        "stall_starts_at_mm": 320.0,
        "tips_left_pct": 9.0,
        "stall_speed_kmh": 38.0 + 0.003 * weight,
        "top_speed_kmh": 112.0,
        "control_speed_kmh": 170.0 * 1160 / span,
        "control_speed_weak_kmh": 110.0 * 1160 / span,
        "roll_reversal_kmh": 190.0 * 1160 / span,
        "roll_reversal_weak_kmh": 140.0 * 1160 / span,
        "pitch_reversal_kmh": 300.0,
        "twist_off_kmh": None,
        "natural_frequency_hz": 20.0,
        "second_natural_frequency_hz": 41.0,
        "flutter_low_kmh": 90.0 * 1160 / span,
        "flutter_kmh": 160.0 * 1160 / span,
        "flutter_high_kmh": 190.0 * 1160 / span,
        "advised_speed_kmh": 120.0 * 1160 / span,
        "advised_speed_weak_kmh": 68.0 * 1160 / span,
        "advised_speed_why": "roll control fades",
        "most_payload_g": 240.0,
        "payload_end": "stall speed against stock",
        "full_throttle_current_a": 21.0,
        "climb_ms": 3.4,
        "failure_load_factor": 6.2,
        "limit_load_factor": 4.13,
        "first_failure": "rod buckling in the foam (main)",
        "first_failure_at_mm": 120.0,
        "tip_deflection_mm": 95.0,
        "wing_loading_g_dm2": weight / (0.0235 * span),
        "thrust_to_weight": 0.62,
        "fin_volume": 0.0213,
        "pack_position_mm": 66.0,
        "pack_energy_wh": 72.0 * parallel,
        "rod_length_mm": span / 2 - 30,
        "yaw_stiffness": 0.030 * (1160 / span) ** 0.5,
        "dihedral_effect": -0.12,
        "roll_damping": -0.48,
        "roll_rate_deg_s": 260 * 1160 / span,
        "roll_deg_per_m": 18.0 * 1160 / span,
        "dutch_roll_damping": 0.11 + 1e-5 * span,
        "dutch_roll_period_s": 1.1,
        "spiral_time_s": -2.6e4 / span,
        "pitch_damping": -1.3,
        "short_period_damping": 0.5,
        "short_period_s": 0.42,
        "phugoid_s": 6.8,
    }


def outline_of(half_span, set_back, stock_half=580.0):
    """Return the right half of an invented wing in mm: a straight panel, a flat centre piece, an elevon behind it."""
    y = [0.0, 40.0, half_span]
    leading, foam, whole = [0.0, 0.0, set_back], [235.0, 235.0, 150.0], [280.0, 280.0, 180.0]
    back = [lead + chord for lead, chord in zip(leading, whole, strict=True)]
    inner, outer = 70.0, 0.964 * half_span

    def at(values, place):
        return float(np.interp(place, y, values))

    hinge = [lead + chord for lead, chord in zip(leading, foam, strict=True)]
    return {
        "x_mm": [*leading, *back[::-1], leading[0]],
        "y_mm": [*y, *y[::-1], y[0]],
        "elevon_x_mm": [
            at(hinge, inner),
            at(hinge, outer),
            at(back, outer),
            at(back, inner),
            at(hinge, inner),
        ],
        "elevon_y_mm": [inner, outer, outer, inner, inner],
        "fins": [
            {
                "x_mm": [set_back + 20.0, set_back + 170.0],
                "y_mm": [half_span, half_span],
                "height_mm": 130.0,
                "depth_below_mm": 0.0,
                "ends": [{"x_mm": [set_back + 80.0, set_back + 170.0], "y_mm": [half_span, half_span]}],
            }
        ],
        "stock_part_y_mm": [] if half_span > stock_half else [0.0, half_span],
        "rods": [
            {
                "from_x_mm": 0.3 * 235.0,
                "from_y_mm": 0.0,
                "to_x_mm": at(leading, half_span - 30) + 0.3 * at(foam, half_span - 30),
                "to_y_mm": half_span - 30,
                "name": "rod main",
            },
            {
                "from_x_mm": 66.5,
                "from_y_mm": 0.0,
                "to_x_mm": 66.5,
                "to_y_mm": 70.0,
                "name": "rod main across",
                "across": True,
            },
        ],
        "parts": [
            plan_part(*row)
            for row in (
                ("bay nose", "bay", 18.0, 174.0, -45.0, 45.0),
                ("lid nose", "lid", 18.0, 174.0, -45.0, 45.0),
                ("board nose", "board", 174.0, 176.0, -45.0, 45.0),
                ("bay middle", "bay", 180.0, 225.0, -30.0, 30.0),
                ("pack", "pack", 30.5, 101.5, -42.5, 42.5),
                ("joiner", "joiner", 176.0, 180.0, -150.0, 150.0),
                ("motor", "motor", 262.0, 290.0, -14.0, 14.0),
                ("pocket servo", "pocket", 130.0, 154.0, 228.0, 252.0),
            )
        ],
        "bays": [
            {"name": "nose", "x_mm": 18.0, "length_mm": 156.0, "width_mm": 90.0, "mass_g": 0.0},
            {"name": "middle", "x_mm": 180.0, "length_mm": 45.0, "width_mm": 60.0, "mass_g": 0.0},
        ],
        "equipment": [
            {
                "name": "camera and video transmitter",
                "x_mm": 12.0,
                "length_mm": 0.0,
                "width_mm": 0.0,
                "mass_g": 62.0,
            },
            {
                "name": "autopilot, receiver and GPS",
                "x_mm": 188.0,
                "length_mm": 0.0,
                "width_mm": 0.0,
                "mass_g": 58.0,
            },
        ],
        "pack": {"x_mm": 66.0, "length_mm": 71.0, "width_mm": 85.0},
        "mean_chord": {"x_mm": 0.45 * set_back, "y_mm": 0.45 * half_span, "length_mm": 234.0},
    }


def plan_part(name, kind, front, back, left, right):
    """Return a rectangle as one part of an invented wing from above."""
    return {"name": name, "kind": kind, "x_mm": [front, front, back, back], "y_mm": [left, right, right, left]}


def curves_of(half_span, weight_g, cruise_kmh, drag_cm2, range_km):
    """Return the curves of an invented wing, whose drag has a parasite part and a part due to lift."""
    speed = np.linspace(0.72 * cruise_kmh, 2.1 * cruise_kmh, 40)
    pressure = 0.6 * (speed / 3.6) ** 2
    weight = 9.81e-3 * weight_g
    drag = pressure * 0.75e-4 * drag_cm2 + weight**2 / (3 * pressure * (2e-3 * half_span) ** 2)
    power = drag * speed / 3.6 / 0.52 + 9
    economy = speed / power
    distance = range_km * economy / np.interp(cruise_kmh, speed, economy)
    middle = (np.arange(12) + 0.5) / 12 * half_span
    edge = np.linspace(0, 1, 13) * half_span
    share = edge / half_span
    lift = 4 * weight / (np.pi * 2e-3 * half_span) * np.sqrt(1 - (middle / half_span) ** 2)
    chord = np.interp(middle, [0, half_span], [0.28, 0.18])
    at_cruise = 0.6 * (cruise_kmh / 3.6) ** 2
    found = {
        "speed_kmh": speed,
        "drag_n": drag,
        "power_w": power,
        "range_km": distance,
        "radius_km": 0.46 * distance,
        "radius_by_charge_km": 0.46 * distance,
        "usual_flight_min": 42 * distance / speed,
        "endurance_min": 60 * distance / speed,
        "wh_per_km": power / speed,
        "mah_per_km": 1e3 * power / speed / 14.4,
        "current_a": power / 14.4,
        "throttle_pct": 30 + 0.5 * (speed - speed[0]),
        "elevon_deg": -3 + 0.02 * speed,
        "roll_control": 1 - 0.6 * (speed / 120) ** 2 * half_span / 600,
        "roll_control_weak": 1 - 0.95 * (speed / 120) ** 2 * half_span / 600,
        "pitch_control": 1 - 0.2 * (speed / 120) ** 2 * half_span / 600,
        "pitch_control_weak": 1 - 0.35 * (speed / 120) ** 2 * half_span / 600,
        "station_mm": middle,
        "lift_n_per_m": lift,
        "section_lift": lift / (at_cruise * chord),
        "section_lift_limit": 0.95 - 0.1 * middle / half_span,
        "edge_mm": edge,
        "bending_rigidity_nm2": 14 * (1 - 0.8 * share),
        "bending_moment_nm": 12 * (1 - share) ** 2,
        "utilisation": 0.65 * (1 - share) ** 1.5,
        "deflection_mm": 95 * share**2,
    }
    return {name: [float(value) for value in values] for name, values in found.items()}
