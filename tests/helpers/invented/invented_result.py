"""An invented Result with every part filled in, for the tests of the report. Its numbers mean nothing."""

from copy import deepcopy
from dataclasses import replace
from functools import cache

from helpers.invented.invented_bench import cutting_of, load_test_of
from helpers.invented.invented_wing import design, made

from tradestudy.results.field_specs import field_specs
from tradestudy.results.json_form import json_data, part_from_json
from tradestudy.results.result import Result
from tradestudy.results.trade import SpanBand


def compared_rows():
    """Return an invented comparison of parts: the best, the wing's own, and one that breaks a limit."""
    numbers = dict.fromkeys(
        (
            "range_km",
            "speed_kmh",
            "hold_a",
            "top_speed_kmh",
            "stall_speed_kmh",
            "thrust_to_weight",
            "climb_ms",
            "full_throttle_current_a",
            "full_throttle_motor_current_a",
            "w_per_kg",
            "wing_loading_g_dm2",
            "auw_g",
        ),
        12.5,
    )
    return [
        {
            "propeller": propeller,
            "motor": motor,
            "pack": "4S2P",
            "own": own,
            "gain": gain,
            "violations": breaks,
            **numbers,
            "first_rating": "motor",
            "first_rating_pct": share,
        }
        for propeller, motor, own, gain, breaks, share in (
            ("10x7", "slow", False, 84.0, [], 88.0),
            ("10x6", "the wing's own", True, 80.0, [], 71.0),
            ("11x8", "slow", False, 86.0, ["full throttle is 104 % of what the motor may carry"], 104.0),
        )
    ]


def purposes_of(purpose="distance", **changed):
    """Return the purpose of an invented study and its inputs."""
    return {
        "purpose": purpose,
        "wind_ms": 4.0,
        "farthest_out_km": None,
        "full_throttle_share_pct": 10.0,
        "reserve_pct": 20.0,
    } | changed


def member(name, members, weight, balance, ballast=0.0):
    """Return one member of an invented club."""
    return {
        "set": name,
        "members": members,
        "flown_today": name == "plain",
        "equipment": ["servos", "receiver"],
        "equipment_g": 74.0,
        "auw_g": weight,
        "cg_mm": 171.0,
        "cg_from_trailing_edge_mm": 104.0,
        "cg_front_mm": 166.0,
        "cg_back_mm": 175.0,
        "cruise_speed_kmh": 58.0,
        "range_km": 81.3,
        "radius_km": 37.0,
        "usual_flight_min": 61.0,
        "endurance_min": 84.0,
        "cruise_current_a": 4.1,
        "stall_speed_kmh": 39.0,
        "climb_ms": 3.4,
        "up_elevon_mm": 2.4,
        "pack_mm": 92.0,
        "pack_needed_mm": 92.0 - ballast / 4,
        "pack_in_bay": not ballast,
        "pack_reach_mm": [92.0, 130.0],
        "movable_mm": None,
        "ballast_g": ballast,
        "ballast_mm": 15.0 if ballast else None,
        "balance": balance,
        "violated_limits": ["pack as far forward as it can lie"] if ballast else [],
    }


def club_span(name, span, gain, weight, *breaks, recommended=False):
    """Return the wing of one member of an invented club at one span."""
    return {
        "span_mm": span,
        "recommended": recommended,
        "set": name,
        "members": 2 if name == "plain" else 1,
        "flown_today": name == "plain",
        "auw_g": weight,
        "range_km": gain,
        "radius_km": gain and 0.45 * gain,
        "usual_flight_min": gain and 0.9 * gain,
        "stall_speed_kmh": gain and 39.0,
        "pack_in_bay": True,
        "ballast_g": 0.0,
        "violated_limits": list(breaks),
    }


def sample_result(**changed):
    """Return an invented Result with every part filled in."""
    types = {spec.name: spec.type for spec in field_specs(Result)}
    read = {name: part_from_json(types[name], json_data(value)) for name, value in changed.items()}
    return replace(deepcopy(_whole()), **read)


@cache
def _whole():
    stock = design("stock", 1160.0, 1010.0, 41.0, 1, (), 62.0, 235.0)
    best = design("best", 1517.0, 1571.0, 81.3, 2, ("pack_forward", "slowest_flight"))
    trade = [
        design(
            f"span {span:.0f} mm",
            span,
            1010.0 + 0.4 * (span - 1160) + 290 * parallel,
            81.3 - 40 * ((span - 1517) / 420) ** 2,
            parallel,
            active,
            full=False,
        )
        for span, parallel, active in (
            (1160.0, 1, ("slowest_flight",)),
            (1200.0, 1, ("slowest_flight", "climb")),
            (1300.0, 2, ("pack_forward",)),
            (1400.0, 2, ("pack_forward",)),
            (1517.0, 2, ("pack_forward",)),
            (1600.0, 2, ("pack_forward", "tip_deflection")),
            (1700.0, 2, ("tip_deflection",)),
            (1800.0, 2, ("tip_deflection", "failure_load_factor", "largest_span")),
        )
    ]
    front = [
        design(
            f"up to {weight:.0f} g",
            1300 + 0.3 * (weight - 1100),
            weight,
            distance,
            parallel,
            active,
            full=False,
        )
        for weight, distance, parallel, active in (
            (1120.0, 52.0, 1, ("slowest_flight",)),
            (1200.0, 55.5, 1, ("slowest_flight",)),
            (1290.0, 57.0, 1, ("tip_deflection",)),
            (1410.0, 73.0, 2, ("pack_forward",)),
            (1500.0, 79.0, 2, ("pack_forward", "slowest_flight")),
            (1571.0, 81.3, 2, ("pack_forward",)),
        )
    ]
    steps = [
        design("pack only", 1160.0, 1320.0, 58.0, 2, ("slowest_flight",), full=False),
        design("span only", 1480.0, 1190.0, 55.0, 1, (), full=False),
    ]
    parts = {
        "study_name": "Godwit",
        "note": "Club long-distance version.",
        "study_file": "studies/godwit.toml",
        "study_text": '[study]\nname = "Godwit"\n',
        "command": "tradestudy run studies/godwit.toml",
        "versions": {"tradestudy": "0.1.0", "numpy": "2.3.4"},
        "defaults_used": [
            {
                "key": "fly.wind",
                "value": "0 km/h",
                "origin": "common practice, no source",
                "band": "yours to choose",
                "moves": "",
                "is_choice": True,
            }
        ],
        "purposes": purposes_of(),
        "stock": stock,
        "best": best,
        "recommended": design(active=("pack_forward", "slowest_flight")),
        "band": SpanBand(
            1480, 1392.0, 1608.0, 1517.0, "whole centimetre in the flat part; rods of 710 mm leave little"
        ),
        "alternatives": [design("one pack less", 1390.0, 1260.0, 57.0, 1, ("tip_deflection",), full=False)],
        "span_trade": trade,
        "front": front,
        "steps": steps,
        "solved": 16,
        "excluded": ["the 4S3P pack is 99 mm wide, the nose bay 90 mm"],
        "notes": ["Cruise is 1.5 times stall."],
        "calibration": [
            {
                "what": "flying weight",
                "measured": 1010.0,
                "before": 871.4,
                "after": 1010.0,
                "unit": "g",
                "how": "mass not listed: 139 g at 151 mm",
            },
            {
                "what": "charge for a kilometre",
                "measured": 98.2,
                "before": 90.4,
                "after": 95.6,
                "unit": "mAh/km",
                "how": "drag factor 1.11 \N{PLUS-MINUS SIGN} 0.13, at 62 km/h",
            },
        ],
        "club": [
            member("plain", 2, 1571.0, "pack 92 mm behind the nose; no ballast"),
            member("night", 1, 1640.0, "the nose bay ends 9 mm too soon for the pack", 31.0),
        ],
        "club_spans": [
            club_span("plain", 1340.0, 78.4, 1502.0),
            club_span("night", 1340.0, 70.2, 1571.0),
            club_span("plain", 1517.0, 81.3, 1571.0, recommended=True),
            club_span("night", 1517.0, 72.9, 1640.0, "climb at full throttle", recommended=True),
        ],
        "shopping": [
            {
                "what": "cells, 21700, 4S2P",
                "description": "5000 mAh, 72 g",
                "count_per_wing": 8,
                "wings": 3,
                "total": 24,
                "unit": "pieces",
            },
            {
                "what": "covering, film",
                "description": "10 % for seams within",
                "count_per_wing": 0.8123,
                "wings": 3,
                "total": 2.4369,
                "unit": "m\N{SUPERSCRIPT TWO}",
            },
        ],
        "compared": compared_rows(),
        "prices": {
            "slack": [
                {"limit": "pack_forward", "words": "10 mm more bay for the pack", "gain": 1.74},
                {"limit": "slowest_flight", "words": "1 km/h more stall speed", "gain": 0.316},
            ],
            "parts": [
                {"limit": "", "words": "rod pairs: 2 instead of 1", "gain": -2.2},
                {"limit": "", "words": "cells in parallel: 3 instead of 2", "gain": None},
            ],
            "slope": 31.4,
            "unexplained": 0.0042,
        },
        "ledger": [
            {
                "what": "drag of a wing",
                "at": "at 16 m/s",
                "unit": "CD",
                "measured": 0.026,
                "low": 0.0195,
                "middle": 0.0255,
                "high": 0.0347,
                "percentile": 57.0,
                "source": "a tunnel",
            },
            {
                "what": "a drive",
                "at": "at 3 N",
                "unit": "W",
                "measured": 59.0,
                "low": 60.0,
                "middle": 71.0,
                "high": 82.0,
                "percentile": 4.0,
                "source": "a stand",
            },
        ],
        "calibration_notes": ["One flight cannot tell drag from losses of propeller and motor."],
        "sources": ["S. F. Hoerner, Fluid-Dynamic Drag, 1965 (from memory)"],
    }
    return made(Result, parts)


def bench(**changed):
    """Return a result whose recommended wing breaks no limit, with fields of that wing changed."""
    wing = design("recommended", active=("pack_forward",))
    half = 0.5 * wing.numbers.span_mm
    wing = replace(wing, cutting=cutting_of(half, wing.numbers.set_back_mm), load_test=load_test_of())
    return sample_result(recommended=replace(wing, **changed))


def broken_bench(**changed):
    """Return the result of `bench` with a wing that climbs too slowly and whose pack is 4 um too far forward."""
    result = bench(**changed)
    missed = {"climb": (1.3, -0.35), "pack_forward": (58.996, -0.0002)}
    states = [
        replace(state, value=missed[state.name][0], margin=missed[state.name][1], met=False)
        if state.name in missed
        else state
        for state in result.recommended.limits
    ]
    return replace(result, recommended=replace(result.recommended, limits=states))
