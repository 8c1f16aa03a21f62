"""Results of a search in addition to its wings: span band, prices of limits, pruned choices, axes of a front."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated

from .field_specs import OldName, Unit

MEASURE = Unit("km or min, as the purpose")
# Least gain of new panels over those that fly today, as a share of the best gain. Less is not worth the work, and less
# than a new coat of film or another propeller of the same size may change; judgement, no source
WORTH_BUILDING = 0.05


@dataclass(frozen=True)
class SpanBand:
    """The recommended span, and the band of spans whose objective is within 2 % of the best."""

    span_mm: Annotated[int, "Span to build."]
    low_mm: Annotated[float, "Shortest span within 2 % of the best."]
    high_mm: Annotated[float, "Longest span within 2 % of the best."]
    best_mm: Annotated[float, "Span of the best wing."]
    reason: Annotated[str, "Reason for this span."]


@dataclass(frozen=True)
class Purposes:
    """Objective of the study, and the assumptions behind the three possible objectives."""

    purpose: Annotated[str, "Objective: distance, out_and_home or usual_flight."] = "distance"
    wind_ms: Annotated[float, "Wind for out and home."] = 0.0
    farthest_out_km: Annotated[float | None, "Limit on the distance out, by radio or law; empty without one."] = None
    full_throttle_share_pct: Annotated[float, "Share of a usual flight at full throttle."] = 0.0
    reserve_pct: Annotated[float, "Charge kept as reserve."] = 0.0


@dataclass(frozen=True)
class PrunedChoice:
    """A set of parts that was not searched, since the upper bound of its objective is below the best."""

    words: Annotated[str, "Words for the choice."]
    at_most: Annotated[float, "Upper bound of its objective, with the rods relaxed.", MEASURE]


@dataclass(frozen=True)
class LimitLack:
    """How far one limit falls short at the requested share of the draws."""

    name: Annotated[str, "Name of the limit."]
    words: Annotated[str, "Words for it in a report."]
    short: Annotated[float, "What it lacks at most in that share of the draws.", Unit("as unit says")]
    unit: Annotated[str, "Unit of what is lacking."]


@dataclass(frozen=True)
class LimitConfidence:
    """Confidence with which one wing meets its limits."""

    words: Annotated[str, "Words for its choices."]
    auw_g: Annotated[float, "Flying weight."]
    span_mm: Annotated[float, "Span."]
    gain: Annotated[float, "Objective to expect: the middle of the draws.", MEASURE]
    low: Annotated[float, "Objective that the requested share of the draws reaches.", MEASURE]
    least_certain_limit: Annotated[str, "Name of the limit met least often.", OldName("least_sure")]
    least_certain_limit_words: Annotated[str, "Words for it in a report.", OldName("least_sure_words")]
    least_certain_limit_pct: Annotated[float, "Share of the draws that meet it.", OldName("least_sure_pct")]
    met_share: Annotated[dict[str, float], "Share of the draws that meet each limit.", OldName("holds")]
    all_met_pct: Annotated[float, "Share of the true draws that meet every limit at once."] = 0.0
    all_met_error_pct: Annotated[float, "Standard error of that share."] = 0.0
    lacking: Annotated[list[LimitLack], "Limits that fall short at the requested share."] = field(default_factory=list)


@dataclass(frozen=True)
class SureWing:
    """One wing of those that trade the objective against how often every limit is met."""

    words: Annotated[str, "Words for its choices."]
    span_mm: Annotated[float, "Span."]
    gain: Annotated[float, "Objective to expect: the middle of the draws.", MEASURE]
    met_pct: Annotated[float, "Share of the draws that meet every limit at once, by sums of single effects."]


@dataclass(frozen=True)
class RobustComparison:
    """The best wing that meets every limit with the requested confidence, and the nominal best for comparison."""

    chance_pct: Annotated[float, "Requested share of the draws."]
    rounds: Annotated[int, "Number of searches."]
    reached: Annotated[bool, "Whether the requested confidence was reached."]
    nominal: Annotated[LimitConfidence, "The best wing with the inputs as assumed.", OldName("plain")]
    robust: Annotated[LimitConfidence, "The best wing with the requested confidence, or the most robust one found."]
    looked: Annotated[int, "Number of sets of parts that were searched with required margins."] = 0
    may_win: Annotated[int, "Number of sets of parts whose gain as assumed exceeds that of the robust wing."] = 0
    trade: Annotated[list[SureWing], "Wings that trade the objective for sureness, most of it first."] = field(
        default_factory=list
    )


@dataclass(frozen=True)
class Price:
    """Gain of the objective, in a new search, if one limit is relaxed or a part is one size larger."""

    limit: Annotated[str, "Name of the relaxed limit; empty for a part."]
    words: Annotated[str, "Words for the step."]
    gain: Annotated[float | None, "Gain of the objective; empty where no wing meets every limit.", MEASURE]


@dataclass(frozen=True)
class AdvisedChange:
    """One change that helps to make a study feasible: a key and its value, and the limit that it moves."""

    key: Annotated[str, "Key of the study, such as limits.climb; empty where no key moves the limit."]
    value: Annotated[str, "Value to type, or, without a key, what helps in words."]
    now: Annotated[str, "Value of today; empty if the study has none."]
    limit: Annotated[str, "Name of the limit."]
    limit_words: Annotated[str, "Words for the limit."]
    whose: Annotated[str, "Whose rule the limit is."]
    from_bound: Annotated[str, "Bound of today with its unit."]
    to_bound: Annotated[str, "Bound that would do, with its unit."]
    alone: Annotated[bool, "Whether the changes of this limit suffice alone; otherwise all such rows belong together."]
    proven: Annotated[bool, "Whether the changed study was searched again and has a wing that meets every limit."]
    words: Annotated[str, "Choices of the wing that then meets every limit."]


@dataclass(frozen=True)
class RuleCost:
    """What one rule costs: the best wing found again without it, compared with the best wing."""

    limits: Annotated[list[str], "Names of the limits or of the bound of a variable that were let go together."]
    moved_to: Annotated[str, "The place to which a bound was moved; empty for a limit that was let go."]
    gain: Annotated[float, "Gain of the objective.", MEASURE]
    span_mm: Annotated[float, "Span without it."]
    auw_g: Annotated[float, "Flying weight without it."]
    words: Annotated[str, "Words for the choices without it."]
    whose: Annotated[str, "Whose rule a bound of a variable is; empty for limits, which say it themselves."] = ""


@dataclass(frozen=True)
class Flip:
    """One change of a limit, bound, decision or input that flips the answer: other parts win, or another span."""

    name: Annotated[str, "Name of the limit or bound, or key of the study."]
    kind: Annotated[str, "Limit, bound, decision or input."]
    words: Annotated[str, "Words for the change."]
    relaxes: Annotated[bool, "Whether the change relaxes a limit or a bound."]
    at: Annotated[str, "Value at about which the answer flips; empty where it is not known."]
    step_share_pct: Annotated[float | None, "Share of the change at about which it flips; empty where not known."]
    differences: Annotated[list[str], "What is different in the answer after the change."]
    span_mm: Annotated[float | None, "Span of the best wing after the change; empty where no wing is left."]
    parts: Annotated[str, "Words for its choices."]
    gain: Annotated[float | None, "Objective after the change.", MEASURE]
    change: Annotated[float | None, "Change of the objective from today's best.", MEASURE]
    lost: Annotated[
        float | None, "Objective lost if today's wing is built anyway; empty where it breaks a limit.", MEASURE
    ]
    breaks: Annotated[str, "The limit that today's wing then breaks; empty if it breaks none."]
    in_full: Annotated[bool, "Whether every set of parts not far outside the limits was searched after it."]
    band_end: Annotated[str, "End of the band that an input is at, low or high; empty for all else."] = ""


@dataclass(frozen=True)
class Flips:
    """The changes that flip the answer, greatest loss first, and the number of changes examined."""

    rows: Annotated[list[Flip], "The flips."]
    examined: Annotated[int, "Number of changes that were examined."]
    impossible: Annotated[int, "Number of changes left out, since they contradict other values of the study."]


@dataclass(frozen=True)
class Prices:
    """Prices at the best design: gains of the objective from relaxing active limits, or from larger parts."""

    slack: Annotated[list[Price], "Steps of the active limits, largest gain first."]
    parts: Annotated[list[Price], "The next larger part of each kind."]
    slope: Annotated[float, "Slope of the objective over the full ranges of the variables.", MEASURE]
    unexplained: Annotated[float, "Part of that slope that no active limit explains.", MEASURE, OldName("left_over")]


@dataclass(frozen=True)
class FrontQuantity:
    """One of the quantities that a front trades."""

    number: Annotated[str, "Name among the numbers of a design."]
    words: Annotated[str, "Words for it in a report."]
    unit: Annotated[str, "Unit."]
    sense: Annotated[int, "Sign: 1 where more is better, -1 where less is better."]


@dataclass(frozen=True)
class FrontTrade:
    """The two quantities that a front trades, and the knee of the front."""

    of: Annotated[FrontQuantity, "The quantity that is optimised."]
    against: Annotated[FrontQuantity, "The quantity that it is traded against."]
    knee: Annotated[int | None, "Index of the knee: the wing farthest from the line between both ends of the front."]


@dataclass(frozen=True)
class BuildsTrade:
    """The quantities that a front of several quantities trades, and its knee."""

    of: Annotated[FrontQuantity, "The quantity that is optimised."]
    against: Annotated[list[FrontQuantity], "The quantities that it is traded against."]
    knee: Annotated[int | None, "Index of the knee: the wing with the greatest sum of all quantities, scaled to 0..1."]
    carried_g: Annotated[float, "Mass of the equipment that each wing carries."] = 0.0
