"""Every number of the stock wing beside that of the stretched one, by subject."""

from __future__ import annotations

from tradestudy.report.placed import fill
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from .phrases import NUMBER_WORDS, choice_words, design_number, number_text
from .purpose import number_words
from .structure import CONTROL_KEYS

# Subject -> the first of its numbers, in the order of NUMBER_WORDS.
SUBJECTS = {
    "Size and shape": "span_mm",
    "Weight and balance": "auw_g",
    "Cruise, how far and how long": "cruise_speed_kmh",
    "Slow flight": "stall_speed_kmh",
    "Full throttle": "top_speed_kmh",
    "Turning, wagging and nodding": "fin_volume",
    "Strength": "failure_load_factor",
}
OPEN = ("Size and shape", "Cruise, how far and how long")  # not folded away at first

Row = tuple[str, str, list[str]]


def number_rows(result: Result, wings: list[Design]) -> dict[str, Row]:
    """Return key -> (words, unit, one text for each wing), in the order of NUMBER_WORDS."""
    return {
        key: (number_words(key, words, result), unit, [design_number(wing, key) for wing in wings])
        for key, (words, unit, _) in NUMBER_WORDS.items()
        if key not in CONTROL_KEYS
    }


def number_groups(result: Result, wings: list[Design]) -> list[tuple[str, bool, list[Row]]]:
    """Return (subject, whether it stands open, rows of (words, unit, one text for each wing))."""
    starts = {key: subject for subject, key in SUBJECTS.items()}
    groups: list[tuple[str, bool, list[Row]]] = []
    for key, row in number_rows(result, wings).items():
        if key in starts:
            groups.append((starts[key], starts[key] in OPEN, []))
        groups[-1][2].append(row)
    groups[0][2].append(("Built with", "", [choice_words(wing) for wing in wings]))
    return groups


# key in Result.sections: (words, unit, places)
SECTION_WORDS = {
    "chord_mm": ("Chord, foam and elevon", "mm", 0),
    "thickness_pct": ("Thickness over chord", "%", 1),
    "thickness_mm": ("Thickness", "mm", 1),
    "thickness_at_pct": ("Thickest behind the nose, over chord", "%", 0),
    "camber_pct": ("Camber: middle line above the chord line, at most", "%", 1),
    "camber_at_pct": ("Most camber behind the nose, over chord", "%", 0),
    "area_cm2": ("Area of the section", "cm²", 1),
    "perimeter_mm": ("Once round it", "mm", 0),
    "zero_lift_angle_deg": ("Angle of no lift, section model", "deg", 2),
    "thin_zero_lift_angle_deg": ("Angle of no lift, middle line alone", "deg", 2),
    "moment_coefficient": ("Moment coefficient at lift 0.3, section model", "", 3),
    "thin_moment_coefficient": ("Moment coefficient, middle line alone", "", 3),
}
BLEND_NOTE = (
    "Root and tip differ: between them everything is taken as a hot wire cuts it, straight from one template to the "
    "other, over the panel. A plug at the root has the root's section, a piece added at the tip carries the tip's on. "
    "Washout is from chord line to chord line."
)
SECTION_NOTE = (
    "With the elevon straight. The section model counts friction, the middle line alone does not; where the two differ "
    "much, trim is less certain. A moment above zero lifts the nose."
)


def section_heads(result: Result) -> list[str]:
    """Return one head for each section: where it is and what it is called."""
    return [fill("{}: {}", row.place.capitalize(), row.airfoil) for row in result.sections]


def section_rows(result: Result) -> list[tuple[str, str, list[str]]]:
    """Return rows of (words, unit, one figure for each section); none without sections."""
    if not result.sections:
        return []
    return [
        (words, unit, [number_text(getattr(row, key), places) for row in result.sections])
        for key, (words, unit, places) in SECTION_WORDS.items()
    ]


def section_notes(result: Result) -> list[str]:
    """Return what a reader must know of these numbers."""
    return [SECTION_NOTE, *([BLEND_NOTE] if len(result.sections) > 1 else [])]
