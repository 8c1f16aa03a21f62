"""Tables of every number of the stock wing and the stretched wing by subject, and of their sections."""

from __future__ import annotations

from tradestudy.report.placed import fill
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from .phrases import NUMBER_WORDS, choice_words, design_number, number_text
from .purpose import WITH_PAYLOAD, measure, number_words
from .structure import CONTROL_KEYS

# subject -> key of its first number, in the order of NUMBER_WORDS
_SUBJECTS = {
    "Size and shape": "span_mm",
    "Weight and balance": "auw_g",
    "Cruise, how far and how long": "cruise_speed_kmh",
    "Slow flight": "stall_speed_kmh",
    "Full throttle": "top_speed_kmh",
    "Stability and turning": "fin_volume",
    "Strength": "failure_load_factor",
}
_OPEN = ("Size and shape", "Cruise, how far and how long")  # subjects that are unfolded when the page opens
_ONLY_IF_KNOWN = (
    "side_balance_mm",
    "tip_weight_g",
    "payload_g",
    "most_payload_g",
    "loaded_range_km",
    "loaded_radius_km",
    "loaded_flight_min",
    "loaded_cruise_kmh",
    "loaded_cg_mm",
    "payload_end",
    "build_price",
    "price_per_km_gained",
)  # rows that most wings do not need

Row = tuple[str, str, list[str]]


def number_rows(result: Result, wings: list[Design]) -> dict[str, Row]:
    """Return a dict of key -> (words, unit, one text for each wing), in the order of NUMBER_WORDS."""
    loaded = {key for key in WITH_PAYLOAD.values() if key != WITH_PAYLOAD[measure(result).key]}
    unknown = [key for key in _ONLY_IF_KNOWN if all(getattr(wing.numbers, key) in (None, "") for wing in wings)]
    return {
        key: (number_words(key, words, result), unit, [design_number(wing, key) for wing in wings])
        for key, (words, unit, _) in NUMBER_WORDS.items()
        if key not in (*CONTROL_KEYS, *unknown, *loaded)
    }


def number_groups(result: Result, wings: list[Design]) -> list[tuple[str, bool, list[Row]]]:
    """Return a list of (subject, whether it is unfolded, rows of (words, unit, one text for each wing))."""
    starts = {key: subject for subject, key in _SUBJECTS.items()}
    groups: list[tuple[str, bool, list[Row]]] = []
    for key, row in number_rows(result, wings).items():
        if key in starts:
            groups.append((starts[key], starts[key] in _OPEN, []))
        groups[-1][2].append(row)
    groups[0][2].append(("Built with", "", [choice_words(wing) for wing in wings]))
    return groups


# key of Result.sections -> (words, unit, decimals)
_SECTION_WORDS = {
    "chord_mm": ("Chord, foam and elevon", "mm", 0),
    "thickness_pct": ("Thickness over chord", "%", 1),
    "thickness_mm": ("Thickness", "mm", 1),
    "thickness_at_pct": ("Place of the largest thickness, over chord", "%", 0),
    "camber_pct": ("Largest camber (mean line above the chord line)", "%", 1),
    "camber_at_pct": ("Place of the largest camber, over chord", "%", 0),
    "area_cm2": ("Area of the section", "cm²", 1),
    "perimeter_mm": ("Perimeter", "mm", 0),
    "zero_lift_angle_deg": ("Zero-lift angle, section model", "deg", 2),
    "thin_zero_lift_angle_deg": ("Zero-lift angle, mean line alone", "deg", 2),
    "moment_coefficient": ("Moment coefficient at lift 0.3, section model", "", 3),
    "thin_moment_coefficient": ("Moment coefficient, mean line alone", "", 3),
}
_BLEND_NOTE = (
    "Root and tip differ: between them the panel is as a hot wire cuts it, in straight lines from one template to the "
    "other. A plug at the root has the root's section; a piece added at the tip continues the tip's section. Washout "
    "is measured from chord line to chord line."
)
_SECTION_NOTE = (
    "With the elevon straight. The section model includes friction, the mean line alone does not; where the two differ "
    "much, trim is less certain. A positive moment raises the nose."
)


def section_heads(result: Result) -> list[str]:
    """Return one column head for each section, with its place and its name."""
    return [fill("{}: {}", row.place.capitalize(), row.airfoil) for row in result.sections]


def section_rows(result: Result) -> list[tuple[str, str, list[str]]]:
    """Return rows (words, unit, one number for each section), or none without sections."""
    if not result.sections:
        return []
    return [
        (words, unit, [number_text(getattr(row, key), decimals) for row in result.sections])
        for key, (words, unit, decimals) in _SECTION_WORDS.items()
    ]


def section_notes(result: Result) -> list[str]:
    """Return notes on how the numbers of sections are measured and computed."""
    return [_SECTION_NOTE, *([_BLEND_NOTE] if len(result.sections) > 1 else [])]
