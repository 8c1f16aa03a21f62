"""Every number of the stock wing beside that of the stretched one, by subject."""

from __future__ import annotations

from tradestudy.search.result import Design, Result

from .purpose import number_words
from .structure import OBEYS_KEYS
from .words import NUMBER_WORDS, choice_words, told

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
    return {key: (number_words(key, words, result), unit, [told(wing, key) for wing in wings])
            for key, (words, unit, _) in NUMBER_WORDS.items() if key not in OBEYS_KEYS}


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
