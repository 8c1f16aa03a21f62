"""What a flight says, in three lines: what was expected, what the factors are now, what the wing to build does."""

from __future__ import annotations

from typing import Any

from tradestudy.report.first_flight import reminders
from tradestudy.results.flight import DayChange
from tradestudy.results.json_form import part_from_json

from .change_words import drift_sentences

_FACTOR_WORDS = {
    "drag": "drag of section and fins",
    "induced": "drag due to lift",
    "drive_power": "power of the drive",
}
_EIGHT = "in eight of ten"


def note_lines(document: dict[str, Any]) -> list[str]:
    """Return the three lines on one flight of a document of the command ``note``."""
    return [_expected_line(document), _factor_line(document), _range_line(document["range"])]


def seen_changes(document: dict[str, Any]) -> list[str]:
    """Return a sentence on each change that is seen, and what to look at after this flight."""
    seen = [part_from_json(DayChange, one) for one in document["changes"] if one["seen"]]
    points = reminders(document["flown"])
    head = [f"After flight {document['flown']} of this wing look at:"] if points else []
    return [*drift_sentences(seen), *head, *(f"[ ] {point}" for point in points)]


def season_lines(season: dict[str, Any]) -> list[str]:
    """Return what all flights of a logbook say, for the document of a season."""
    count, was = len(season["flights"]), season["before"]
    now = season["flights"][-1]["range"] if count else was
    aside = season["set_aside"]
    return [
        f"{count} flight{'' if count == 1 else 's'}{f', and {aside} set aside' if aside else ''}.",
        f"Times those of usual built wings: {_factor_words(season['factors'])}.",
        f"The stock wing flies {now['middle_km']:.1f} km ({now['low_km']:.1f} to {now['high_km']:.1f} {_EIGHT}); "
        f"before any flight {was['middle_km']:.1f} km ({was['low_km']:.1f} to {was['high_km']:.1f}).",
    ]


def _factor_words(factors: dict[str, Any]) -> str:
    return ", ".join(
        f"{_FACTOR_WORDS[name]} {one['middle']:.2f} ({one['low']:.2f} to {one['high']:.2f})"
        for name, one in factors.items()
    )


def _expected_line(document: dict[str, Any]) -> str:
    sentences = []
    for one in document["expected"]:
        noted = "you used" if one["what"] == "charge" else "by the distance you flew"
        sentences.append(
            f"Expected {one['middle']:.0f} {one['unit']} ({one['low']:.0f} to {one['high']:.0f} {_EIGHT}); {noted} "
            f"{one['noted']:.0f} {one['unit']}: {likelihood_words(one['share_as_far_pct'])}."
        )
    return " ".join(sentences)


def likelihood_words(share_pct: float) -> str:
    """Return how likely a flight was. ``share_pct`` is the share of flights that are as far off, or farther."""
    if share_pct >= 25:
        return f"as expected; {share_pct / 10:.0f} of 10 flights are farther off"
    if share_pct >= 2:
        return f"1 flight in {100 / share_pct:.0f} is as far off"
    return "fewer than 1 flight in 50 is as far off" if share_pct >= 0.01 else "no such flight is to be expected"


def _factor_line(document: dict[str, Any]) -> str:
    words = _factor_words(document["factors"])
    if document["set_aside"]:
        return (
            f"The flight is {document['set_aside']}. It is in the logbook and is not used; the factors stay: {words}."
        )
    count = document["flights"]
    return f"After {count} flight{'' if count == 1 else 's'}, times those of usual built wings: {words}."


def _range_line(band: dict[str, Any]) -> str:
    was = band["before"]
    numbers = f"{band['middle_km']:.1f} km ({band['low_km']:.1f} to {band['high_km']:.1f} {_EIGHT})"
    before = f"before this flight {was['middle_km']:.1f} km ({was['low_km']:.1f} to {was['high_km']:.1f})"
    if band["wing"] == "stock":
        return f"The stock wing flies {numbers}; {before}. For the wing to build: tradestudy run."
    return f"The recommended wing of {band['span_mm']:.0f} mm flies {numbers}; {before}."
