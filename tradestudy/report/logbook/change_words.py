"""Ageing and drift in words, for the card and for a note."""

from __future__ import annotations

from collections.abc import Sequence

from tradestudy.results.flight import DayChange

_SEEN = {
    "need": "{whose} wing: it needs {size} more charge for the same flight than at first ({band}, {since}). Look for "
    "loose film, dents, nicks in the propeller and a warm motor.",
    "charge": "{whose}: it holds {size} less than at first ({band}, {since}). Set its alarms by a lower charge.",
    "resistance": "{whose}: its resistance is {size} higher than at first ({band}, {since}). Keep it for gentle "
    "flights.",
}
_UNSEEN = {
    "need": "No drift of the {whose} wing is seen in {count} flights",
    "charge": "No loss of charge of {whose} is seen in {count} readings",
    "resistance": "No growth of the resistance of {whose} is seen in {count} readings",
}


def drift_sentences(changes: Sequence[DayChange]) -> list[str]:
    """Return a sentence on each change: what is seen, or else the smallest change that would surely be seen."""
    return [_sentence(one) for one in changes]


def _sentence(one: DayChange) -> str:
    whose = f"Pack {one.whose}" if one.what != "need" and one.whose != "the pack" else one.whose
    if one.seen:
        low, high = sorted((abs(one.low_pct), abs(one.high_pct)))
        since = "bit by bit" if one.since is None else f"at once before flight {one.since}"
        words = _SEEN[one.what].format(
            whose=whose,
            size=f"{abs(one.size_pct):.0f} %",
            band=f"{low:.0f} to {high:.0f} % in eight of ten",
            since=since,
        )
        return words[:1].upper() + words[1:]
    words = _UNSEEN[one.what].format(whose=whose, count=one.readings)
    if one.surely_seen_pct is None:
        return f"{words}, too few to be sure of any change."
    return f"{words}; one of {one.surely_seen_pct:.0f} % would surely be seen."
