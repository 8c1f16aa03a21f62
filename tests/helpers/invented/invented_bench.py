"""The data for building an invented wing: sections, cutting list and load tests. Its numbers mean nothing."""

import numpy as np


def section_of(name, station, set_back, foam, elevon, washout, inside=True):
    """Return one end of an invented core: half an ellipse at the front, straight sides behind, cut off at the hinge."""
    along = np.linspace(0, 1, 41) ** 2
    ahead, behind = np.minimum(along / 0.3, 1.0), np.maximum(along - 0.3, 0.0)
    half = 0.07 * foam * (np.sqrt(1 - (1 - ahead) ** 2) - 0.8 * behind / 0.7)
    x = np.concatenate([along[::-1], along[1:]]) * foam
    z = np.concatenate([half[::-1], -half[1:]]) + 0.0
    return {
        "name": name,
        "station_mm": station,
        "leading_edge_mm": set_back,
        "height_mm": 0.0,
        "foam_chord_mm": foam,
        "elevon_chord_mm": elevon,
        "section_chord_mm": foam + elevon,
        "washout_deg": washout,
        "film_mm": 0.04,
        "thickness_mm": 0.14 * foam + 0.08,
        "foam_thickness_mm": 0.14 * foam,
        "foam_area_cm2": 0.1 * foam**2 / 100,
        "x_mm": x.tolist(),
        "z_mm": z.tolist(),
        "lowest_mm": -0.07 * foam,
        "highest_mm": 0.07 * foam,
        "rods": [
            {
                "name": "main",
                "behind_leading_edge_mm": 0.3 * foam,
                "surface": "both",
                "diameter_mm": 3.0,
                "slot_depth_mm": 5.0,
                "inside": inside,
            }
        ],
    }


def cutting_of(half_span, set_back, stock_half=580.0):
    """Return the data for building the invented wing of `outline_of`, with redrawn panels."""
    panel = half_span - 40.0
    stations = []
    for y in (0.0, 40.0, half_span):
        share = max(y - 40.0, 0.0) / panel
        front, foam, elevon = share * set_back, 235.0 - 85.0 * share, 45.0 - 15.0 * share
        stations.append(
            {
                "station_mm": y,
                "leading_edge_mm": front,
                "hinge_mm": front + foam,
                "trailing_edge_mm": front + foam + elevon,
                "foam_chord_mm": foam,
                "elevon_chord_mm": elevon,
                "height_mm": 0.0,
                "leading_edge_ahead_mm": 280.0 - front,
                "trailing_edge_behind_mm": front + foam + elevon - 280.0,
            }
        )
    rod = float(np.hypot(half_span - 30.0, 0.9 * set_back))
    core = {"inner": "root", "outer": "root", "set_back_mm": 0.0, "block_chord_mm": 255.0, "block_thickness_mm": 43.0}
    return {
        "scheme": "scaled",
        "keep": "sweep_angle",
        "added_mm": half_span - stock_half,
        "joint_mm": None,
        "stock_sweep_deg": 24.7,
        "stock_set_back_mm": 235.0,
        "stock_washout_deg": 1.5,
        "stock_tip_chord_mm": 175.0,
        "root_trailing_edge_mm": 280.0,
        "foam": "EPP 30",
        "covering": "film",
        "stations": stations,
        "marks": [{"name": "balance mark", "behind_nose_mm": 171.0, "ahead_mm": 109.0}],
        "checks": [
            {"name": name, "what": what, "how": "steel rule", "value": value, "low": low, "high": high, "unit": unit}
            for name, what, value, low, high, unit in (
                ("washout", "washout, left tip", 4.2, 3.0, 5.4, "mm"),
                ("washout", "washout, right tip", 4.2, 3.0, 5.4, "mm"),
                ("twist_difference", "washout, left over right", 0.0, -0.9, 0.9, "mm"),
                ("sweep", "set-back, left tip", set_back, set_back - 3.0, set_back + 3.0, "mm"),
                ("sweep", "set-back, right tip", set_back, set_back - 3.0, set_back + 3.0, "mm"),
                ("core_chord", "foam chord, tip", 150.0, 149.0, 151.0, "mm"),
                ("rod_depth", "slots, rods 1", 4.0, 3.5, 4.5, "mm"),
                ("balance", "balance mark", 171.0, 169.0, 173.0, "mm"),
                ("weight", "flying weight", 1500.0, 1455.0, 1545.0, "g"),
            )
        ],
        "gear": [
            {"name": "pack", "behind_nose_mm": 66.0, "ahead_mm": 214.0},
            {"name": "motor", "behind_nose_mm": 272.0, "ahead_mm": 8.0},
        ],
        "sections": [
            section_of("root", 40.0, 0.0, 235.0, 45.0, 0.0),
            section_of("tip", half_span, set_back, 150.0, 30.0, 2.1, inside=False),
        ],
        "cores": [
            core
            | {
                "name": "centre piece",
                "new": False,
                "count": 1,
                "from_mm": 0.0,
                "to_mm": 40.0,
                "width_mm": 80.0,
                "block_length_mm": 80.0,
                "litres": 0.5,
            },
            core
            | {
                "name": "panel",
                "new": True,
                "count": 2,
                "from_mm": 40.0,
                "to_mm": half_span,
                "outer": "tip",
                "width_mm": panel,
                "set_back_mm": set_back,
                "block_length_mm": panel,
                "block_chord_mm": set_back + 170.0,
                "litres": 5.0,
            },
        ],
        "jig": [
            {
                "name": "root",
                "station_mm": 40.0,
                "front_block_behind_edge_mm": 35.25,
                "front_block_mm": 1.3,
                "hinge_block_mm": 13.2,
                "trailing_edge_raised_mm": 0.0,
                "foam_raised_mm": 0.0,
            },
            {
                "name": "tip",
                "station_mm": half_span,
                "front_block_behind_edge_mm": 22.5,
                "front_block_mm": 7.1,
                "hinge_block_mm": 20.3,
                "trailing_edge_raised_mm": 6.6,
                "foam_raised_mm": 5.5,
            },
        ],
        "rods": [
            {
                "name": "main",
                "material": "glass",
                "diameter_mm": 3.0,
                "pairs": 1,
                "surface": "both",
                "each_half": 2,
                "length_mm": rod,
                "from_mm": 0.0,
                "to_mm": half_span - 30.0,
                "behind_nose_mm": [70.5, 0.9 * set_back + 47.0],
                "slot_depth_mm": 5.0,
                "at_centre": "lap",
                "across_mm": 137.0,
                "lap_mm": 75.0,
                "splice": "sleeve",
                "splice_mm": 75.0,
                "splices_at_mm": [612.0],
            }
        ],
        "lengths": [
            {
                "material": "glass",
                "diameter_mm": 3.0,
                "sold_mm": 1000.0,
                "pieces": [{"name": "main", "length_mm": rod, "count": 4}],
                "cuts_mm": [[rod]] * 4,
                "waste_mm": 4 * (1000.0 - rod),
            },
            {
                "material": "carbon",
                "diameter_mm": 8.0,
                "sold_mm": 1000.0,
                "pieces": [{"name": "joiner", "length_mm": 500.0, "count": 1}],
                "cuts_mm": [[500.0]],
                "waste_mm": 500.0,
            },
        ],
        "elevon": {"thickness_mm": 6.0, "material": "balsa", "inner_end_mm": 70.0, "outer_end_mm": 0.964 * half_span},
        "throws": {
            "elevon_chord_mm": 37.5,
            "up_deg": 20.0,
            "up_mm": 12.8,
            "down_deg": 10.0,
            "down_mm": 6.5,
            "roll_deg": 15.0,
            "roll_mm": 9.7,
        },
        "fins": [
            {
                "from_centre_mm": None,
                "material": "sheet",
                "behind_leading_edge_mm": 20.0,
                "foot_mm": 150.0,
                "cant_deg": 0.0,
                "toe_deg": 0.0,
                "x_mm": [0.0, 60.0, 150.0, 150.0],
                "z_mm": [0.0, 130.0, 130.0, 0.0],
            }
        ],
        "pockets": [
            {
                "name": "servo",
                "middle_mm": 240.0,
                "along_mm": 24.0,
                "behind_leading_edge_mm": 120.0,
                "behind_nose_mm": 210.0,
                "length_mm": 24.0,
                "depth_mm": 13.0,
                "side": "bottom",
            }
        ],
        "bays": [
            {
                "name": "nose",
                "from_nose_mm": 18.0,
                "length_mm": 156.0,
                "width_mm": 90.0,
                "depth_mm": 24.0,
                "through": False,
            }
        ],
    }


def load_test_of():
    """Return an invented card of the three load tests."""
    bend = {
        "station_mm": 700.0,
        "behind_nose_mm": 340.0,
        "mass_g": 410.0,
        "rise_mm": 11.8,
        "weak_rise_mm": 19.6,
        "stop_mass_g": 685.0,
        "stop_rise_mm": 20.0,
        "stop_mode": "rod buckling",
    }
    twist = {
        "station_mm": 700.0,
        "arm_mm": 150.0,
        "mass_g": 100.0,
        "angle_deg": 4.0,
        "edge_mm": 10.2,
        "weak_angle_deg": 11.9,
        "weak_edge_mm": 30.0,
        "stop_mass_g": 202.0,
        "stop_angle_deg": 8.0,
    }
    bags = [{"station_mm": y, "behind_nose_mm": 80.0 + 0.4 * y, "mass_g": 460.0} for y in (65.0, 210.0, 375.0, 585.0)]
    proof = {
        "load_factor": 3.5,
        "required_load_factor": 4.0,
        "bags": bags,
        "rise_mm": 16.2,
        "weak_rise_mm": 28.5,
        "used_pct": 66.0,
        "weak_used_pct": 94.0,
        "stop_pct": 121.0,
        "weak_stop_pct": 84.0,
        "stop_mode": "rod buckling",
        "moment_nm": 6.1,
        "own_moment_nm": 0.5,
        "along": [{"station_mm": 0.0, "flight_nm": 6.1, "bench_nm": 6.2}],
    }
    return {"bend": bend, "twist": twist, "proof": proof}
