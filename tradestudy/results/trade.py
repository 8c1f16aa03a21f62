"""What a search found beside its wings: the flat band, prices of limits, choices left out, what a front trades."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from .field_specs import OldName, Unit

MEASURE = Unit("km or min, as the purpose")


@dataclass(frozen=True)
class SpanBand:
    """The recommended span and the flat band around the best."""

    span_mm: Annotated[int, "Span to build."]
    low_mm: Annotated[float, "Shortest span that gives up no more than 2 % of the best."]
    high_mm: Annotated[float, "Longest span that gives up no more than 2 % of the best."]
    best_mm: Annotated[float, "Span of the best wing."]
    reason: Annotated[str, "Why this span."]


@dataclass(frozen=True)
class Purposes:
    """What the study wants most of, and what its three measures assume."""

    purpose: Annotated[str, "What it wants most of: distance, out_and_home or usual_flight."] = "distance"
    wind_ms: Annotated[float, "Wind for out and home."] = 0.0
    farthest_out_km: Annotated[float | None, "How far out radio or law let it go; empty without a limit."] = None
    full_throttle_share_pct: Annotated[float, "Share of a usual flight at full throttle."] = 0.0
    reserve_pct: Annotated[float, "Charge that is kept."] = 0.0


@dataclass(frozen=True)
class PrunedChoice:
    """A choice that was not searched, since it cannot be near the best."""

    words: Annotated[str, "What is bought."]
    at_most: Annotated[float, "What it reaches at most, with any rods between those to try.", MEASURE]


@dataclass(frozen=True)
class LimitConfidence:
    """How surely one wing holds its limits."""

    words: Annotated[str, "What it is built with."]
    auw_g: Annotated[float, "Flying weight."]
    span_mm: Annotated[float, "Span."]
    gain: Annotated[float, "What the study wants most of, as assumed.", MEASURE]
    low: Annotated[float, "What nine draws in ten reach.", MEASURE]
    least_certain_limit: Annotated[str, "Name of the limit met least often.", OldName("least_sure")]
    least_certain_limit_words: Annotated[str, "What a builder calls it.", OldName("least_sure_words")]
    least_certain_limit_pct: Annotated[float, "Share of the draws that meet it.", OldName("least_sure_pct")]
    met_share: Annotated[dict[str, float], "Share of the draws that meet each limit.", OldName("holds")]


@dataclass(frozen=True)
class RobustComparison:
    """The best wing that holds every limit as surely as asked, beside the plain best."""

    chance_pct: Annotated[float, "Share of the draws that was asked for."]
    rounds: Annotated[int, "How often it was searched."]
    reached: Annotated[bool, "Whether such a wing was found."]
    nominal: Annotated[LimitConfidence, "The best as assumed.", OldName("plain")]
    robust: Annotated[LimitConfidence, "The best as sure as asked, or the surest looked at."]


@dataclass(frozen=True)
class Price:
    """What one small step would buy, the best wing found anew."""

    limit: Annotated[str, "Name of the limit that gives; empty for a part."]
    words: Annotated[str, "The step."]
    gain: Annotated[float | None, "What it gains; empty where no wing meets every limit.", MEASURE]


@dataclass(frozen=True)
class Prices:
    """What a little slack would buy at the best design."""

    slack: Annotated[list[Price], "Steps of the limits that stop it, most first."]
    parts: Annotated[list[Price], "The next step up in each part bought."]
    slope: Annotated[float, "Change of the measure across the whole ranges of what is free.", MEASURE]
    unexplained: Annotated[float, "What of that no limit explains.", MEASURE, OldName("left_over")]


@dataclass(frozen=True)
class FrontAxis:
    """One of the two quantities that a front trades."""

    number: Annotated[str, "Its name among the numbers of a design."]
    words: Annotated[str, "What a builder calls it."]
    unit: Annotated[str, "Its unit."]
    sense: Annotated[int, "One where more is better, minus one where less is."]


@dataclass(frozen=True)
class FrontAxes:
    """What a front trades against what, and where it bends most."""

    of: Annotated[FrontAxis, "What is wanted."]
    against: Annotated[FrontAxis, "What it costs."]
    knee: Annotated[int | None, "Which wing of the front lies farthest off the line between its ends."]
