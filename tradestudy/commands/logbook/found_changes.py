"""Ageing and drift of a logbook in the units shown to the user, for the card and for a note."""

from __future__ import annotations

import math
from collections.abc import Sequence

from tradestudy.quantities import in_unit, rounded
from tradestudy.results.flight import DayChange
from tradestudy.uncertainty.logbook.changes import FoundChange


def reported_changes(found: Sequence[FoundChange]) -> list[DayChange]:
    """Return changes in the units shown to the user."""
    return [_reported(one) for one in found]


def _reported(found: FoundChange) -> DayChange:
    one = found.change
    size, low, high = (in_unit(math.expm1(end), "%") for end in (one.size, one.low, one.high))
    way = -1 if found.what == "charge" else 1
    sure = None if one.surely_seen is None else in_unit(abs(math.expm1(way * one.surely_seen)), "%")
    return DayChange(
        what=found.what,
        whose=found.whose,
        readings=found.readings,
        seen=one.is_seen,
        since=one.since,
        **rounded({"size_pct": size, "low_pct": low, "high_pct": high, "surely_seen_pct": sure}, 2),
    )
