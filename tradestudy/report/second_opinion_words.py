"""What another lattice finds for one wing: sentences and a table."""

from __future__ import annotations

from tradestudy.report.placed import fill
from tradestudy.results.design import Design

from .words.phrases import number_text

OPINION_HEADS = ["In trimmed cruise", "This model", "Another lattice", "Differs by [%]", "Agreement [%]"]
_SHARED = (
    "It is given the same section data and attitude. So it is a second opinion on wake and neutral point alone, and "
    "says nothing about section drag, stall or drive."
)


def opinion_words(design: Design) -> list[str]:
    """Return sentences on how far another lattice agrees, or none if it was not asked."""
    opinion = design.second_opinion
    if opinion is None:
        return []
    found = fill(
        "A lattice of another library puts the neutral point {} {} the place found here. It finds {} drag from the "
        "wake and {} lift: {}.",
        fill("{} % of the mean chord", number_text(abs(opinion.neutral_point_off_pct), 1)),
        "behind" if opinion.neutral_point_off_pct >= 0 else "ahead of",
        _more_or_less(opinion.wake_drag_off_pct),
        _more_or_less(opinion.lift_off_pct),
        "the two agree" if not opinion.differs else "the two do not agree",
    )
    return [found, _SHARED]


def _more_or_less(percent: float) -> str:
    return fill("{} % {}", number_text(abs(percent), 1), "more" if percent >= 0 else "less")


def opinion_rows(design: Design) -> list[tuple[str, str, list[str]]]:
    """Return rows (words, unit, texts) with the columns of `OPINION_HEADS`."""
    opinion = design.second_opinion
    if opinion is None:
        return []
    lines = [
        ("neutral point behind the nose", "mm", "neutral_point_mm", "neutral_point", 1),
        ("span efficiency; its drag from the wake", "", "span_efficiency", "wake_drag", 2),
        ("lift coefficient at this attitude", "", "lift_coefficient", "lift", 3),
        ("slope of the lift coefficient", "1/rad", "lift_slope", "lift_slope", 2),
    ]
    rows = []
    for words, unit, key, name, digits in lines:
        stem, mm, _ = key.partition("_mm")
        values = [getattr(opinion, key), getattr(opinion, f"{stem}_other{mm}")]
        texts = [*(number_text(value, digits) for value in values)]
        off, allowed = getattr(opinion, f"{name}_off_pct"), opinion.allowed_pct[name]
        rows.append((words, unit, [*texts, number_text(off, 1), number_text(allowed)]))
    return rows
