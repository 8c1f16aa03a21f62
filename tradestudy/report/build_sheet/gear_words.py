"""The words of the build sheet on equipment: where it goes, what must be kept apart, and the balance left and right."""

from __future__ import annotations

from tradestudy.report.words.phrases import Rows, comma_list, number_text, side_words
from tradestudy.results.cutting import Mark
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from .sheet_words import PLACE_HEADS, place_rows

_LISTED = ("pack", "pack 2", "motor", "controller")  # things on board that have rows of other names in the list


def gear_heads(design: Design) -> tuple[str, ...]:
    """Return the heads for `gear_rows`, with the distance from the middle if anything lies beside it."""
    return (*PLACE_HEADS, "From the middle [mm]") if any(row.side for row in design.cut.gear) else PLACE_HEADS


def gear_rows(design: Design) -> Rows:
    """Return a row with the middle of the pack and of each piece of equipment, with the columns of `gear_heads`."""
    rows, asides = place_rows(design.cut.gear), [_aside_words(row) for row in design.cut.gear]
    return [(*row, aside) for row, aside in zip(rows, asides, strict=True)] if any(asides) else rows


def _aside_words(row: Mark) -> str:
    if not row.side:
        return ""
    return f"{number_text(row.from_centre_mm)} {'each side' if row.side == 'both' else row.side}"


def side_notes(design: Design) -> list[str]:
    """Return a sentence on the balance from left to right, if the wing needs a weight in one tip."""
    words = side_words(design)
    return [f"It balances {words}. Weigh it again with that weight in place."] if words else []


def apart_notes(design: Design) -> list[str]:
    """Return a sentence for each two things that are nearer than they should be, and one on all others."""
    pairs = design.outline.kept_apart
    notes = [
        f"Too near: {pair.one} and {pair.other} are {number_text(pair.distance_mm)} mm apart, and "
        f"{number_text(pair.least_mm)} mm are asked ({pair.origin}). {pair.remedy}"
        for pair in pairs
        if not pair.kept
    ]
    kept = [f"{pair.one} and {pair.other} {number_text(pair.least_mm)} mm" for pair in pairs if pair.kept]
    return [*notes, *([f"Keep apart at least: {'; '.join(kept)}."] if kept else [])]


def not_listed_notes(design: Design, result: Result) -> list[str]:
    """Return a sentence on the equipment that the shopping list leaves out, if there is any."""
    listed = {row.what for row in result.shopping} | set(_LISTED)
    names = [mark.name for mark in design.cut.gear if mark.name not in listed and "servo" not in mark.name.lower()]
    if not names:
        return []
    return [
        f"This comes over from the stock wing with its leads: {comma_list(names)}. Cross off the list what it includes."
    ]
