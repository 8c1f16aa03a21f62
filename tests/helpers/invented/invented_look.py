"""Invented looks at wings and the controls of an invented study, for tests of the live page. Numbers mean nothing."""

from dataclasses import fields

from helpers.invented.invented_wing import design, made

from tradestudy.results.look.look import LookNumbers, WingLook
from tradestudy.results.look.sliders import Controls

STUDY = "0123456789abcdef"
# key -> (words, low, high, stock, step, digits)
SLIDERS = {
    "span_mm": ("span", 1300.0, 1750.0, 1300.0, 5.0, 0),
    "sweep_deg": ("sweep", 16.0, 30.0, 24.7, 0.25, 2),
    "washout_deg": ("washout", 0.0, 4.0, 2.1, 0.1, 1),
    "pack_position_mm": ("pack place", 60.0, 160.0, 66.0, 1.0, 0),
    "cruise_speed_kmh": ("cruise speed", 40.0, 110.0, 57.0, 0.5, 1),
}


def look_at(span=1480.0, name="", bands=(), broken=False, **more):
    """Return an invented look. Its limits are those of `invented_wing.design`, the first one broken if asked for."""
    wing = design(span=span, **more)
    numbers = {each.name: getattr(wing.numbers, each.name) for each in fields(LookNumbers)}
    limits = [
        each
        | {"whose": "you", "origin": "the study"}
        | ({"met": False, "value": 57.4, "margin": -0.1} if first else {})
        for first, each in ((broken and index == 0, vars(state)) for index, state in enumerate(wing.limits))
    ]
    return made(
        WingLook,
        {
            "study_id": STUDY,
            "name": name or f"{span:.0f} mm",
            "choices": wing.choices,
            "variables": wing.variables,
            "numbers": numbers,
            "purpose": "range_km",
            "expected": True,
            "about": False,
            "bands": list(bands),
            "limits": limits,
            "worst_limit": limits[0]["name"],
            "all_met": not broken,
            "layouts": [],
            "pack_reach": {"at_mm": 66.0, "front_mm": 60.0, "back_mm": 160.0, "left_mm": 6.0},
            "curves": wing.curves,
            "least_cruise_kmh": 50.0,
            "outline": wing.outline,
            "body": wing.body,
        },
    )


def controls_of(stock=None, name="Heron"):
    """Return invented controls of a study with two propellers to choose from."""
    sliders = [
        {
            "key": key,
            "words": words,
            "unit": {"mm": "mm", "deg": "deg", "kmh": "km/h"}[key.rpartition("_")[2]],
            "low": low,
            "high": high,
            "stock": value,
            "step": step,
            "digits": digits,
        }
        for key, (words, low, high, value, step, digits) in SLIDERS.items()
    ]
    options = [{"value": size, "words": size} for size in ("10x7", "11x7")]
    key = {"key": "fly.wind", "words": "wind", "value": "5 m/s", "given": True, "number": 5.0, "unit": "m/s"}
    return made(
        Controls,
        {
            "study_id": STUDY,
            "study_name": name,
            "sliders": sliders,
            "parts": [{"key": "propeller", "words": "propeller", "stock": "10x7", "options": options}],
            "study_keys": [key | {"low": 0.0, "high": 20.0, "options": []}],
            "purpose": "range_km",
            "stock": stock or look_at(1300.0),
        },
    )
