"""The section of the wing in a builder's words: root, and tip where it has another."""

from __future__ import annotations

from tradestudy.search.result import Result

from .words import figure_of

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
    return [f"{row['place'].capitalize()}: {row['airfoil']}" for row in result.sections]


def section_rows(result: Result) -> list[tuple[str, str, list[str]]]:
    """Return rows of (words, unit, one figure for each section); none without sections."""
    if not result.sections:
        return []
    return [(words, unit, [figure_of(row[key], places) for row in result.sections])
            for key, (words, unit, places) in SECTION_WORDS.items()]


def section_notes(result: Result) -> list[str]:
    """Return what a reader must know of these numbers."""
    return [SECTION_NOTE, *([BLEND_NOTE] if len(result.sections) > 1 else [])]
