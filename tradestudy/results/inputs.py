"""The inputs of a result: assumed values, calibration against the stock wing, and the effect of each input."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated

from .field_specs import OldName, Unit

_AS_SAID = Unit("as unit says")

_LowHigh = list[float | None]
_Numbers = list[float]


@dataclass(frozen=True)
class Assumed:
    """One assumed value, for a key that the study does not give."""

    key: Annotated[str, "Key of the study file."]
    value: Annotated[str, "Value used."]
    origin: Annotated[str, "Reason for this value."]
    band: Annotated[str, "Band of the value, in words."]
    moves: Annotated[str, "Results that it affects."]
    is_choice: Annotated[bool, "Whether it is a choice of the builder and no uncertain value."]


@dataclass(frozen=True)
class SetKey:
    """One key that was set for a result, beside the study file."""

    key: Annotated[str, "Key of the study file."]
    value: Annotated[str, "Value used."]
    was: Annotated[str, "Value of the study file, or what it leaves open."]
    name: Annotated[str, "Name of the item that the key belongs to, if it has one."] = ""


@dataclass(frozen=True)
class CalibrationRow:
    """One measured number of the stock wing, and the number of the model before and after calibration."""

    what: Annotated[str, "Name of the number."]
    measured: Annotated[float, "Measured value."]
    before: Annotated[float, "Value of the model before calibration."]
    after: Annotated[float, "Value of the model after calibration."]
    unit: Annotated[str, "Unit of the three values."]
    how: Annotated[str, "How the model was calibrated."]


@dataclass(frozen=True)
class InputEffect:
    """Effect of one input: changes of the result when the input is at the low or high end of its band."""

    key: Annotated[str, "Key of the study file."]
    value: Annotated[str, "Value used."]
    band: Annotated[str, "Band of the value, in words."]
    moves: Annotated[str, "Results that it affects."]
    range_km: Annotated[_LowHigh, "Change of the range; empty where no such wing exists."]
    balance_mm: Annotated[_LowHigh, "Change of the balance mark; empty where no such wing exists."]
    pack_mm: Annotated[_LowHigh, "Change of the pack's place; empty where no such wing exists."]
    failure_load_factor: Annotated[_LowHigh, "Change of the failure load factor; empty where no such wing exists."]
    kind: Annotated[str, "Assumed, listed (all drag items combined), measured or fitted."]
    score: Annotated[float, "Score by which inputs are ranked."]
    name: Annotated[str, "Name of the item that the key belongs to, if it has one."] = ""


@dataclass(frozen=True)
class Uncertainty:
    """The uncertainty of each result, given as half the distance from the 10th to the 90th percentile of all draws."""

    range_km: Annotated[float, "Half width for the range, from all inputs and models."]
    balance_mm: Annotated[float, "Half width for the balance mark."]
    pack_mm: Annotated[float, "Half width for the place of the pack."]
    failure_load_factor: Annotated[float, "Half width for the failure load factor."]
    measure_first: Annotated[str, "One sentence on what to measure first."]
    strength_first: Annotated[str, "One sentence on what to measure first for the strength."]
    range_after_flight_km: Annotated[
        _Numbers, "Both ends of the range band if one flight of the stock wing were noted; empty if one is known."
    ] = field(default_factory=list)


@dataclass(frozen=True)
class SpreadPercentiles:
    """The value to expect of the stretched wing between the 10th and the 90th percentile of all draws.

    Each list has the 10th percentile, the value to expect, and the 90th percentile. The value to expect is the median,
    or the value at the medians of all inputs if both agree within 1 %.
    """

    range_km: Annotated[_Numbers, "Range on one charge."]
    auw_g: Annotated[_Numbers, "Flying weight."]
    balance_mm: Annotated[_Numbers, "Balance mark."]
    failure_load_factor: Annotated[_Numbers, "Failure load factor."]
    cruise_speed_kmh: Annotated[_Numbers, "Cruise speed."]
    cruise_current_a: Annotated[_Numbers, "Mean current in cruise."]
    radius_by_charge_km: Annotated[_Numbers, "Distance out with a return, limited by charge alone."] = field(
        default_factory=list
    )
    turn_back_min: Annotated[_Numbers, "Time out against the wind until the turn."] = field(default_factory=list)
    endurance_min: Annotated[_Numbers, "Duration of a steady cruise."] = field(default_factory=list)
    usual_flight_min: Annotated[_Numbers, "Duration of a usual flight."] = field(default_factory=list)
    stall_speed_kmh: Annotated[_Numbers, "Stall speed."] = field(default_factory=list)
    top_speed_kmh: Annotated[_Numbers, "Top speed."] = field(default_factory=list)
    pack_mm: Annotated[_Numbers, "Place of the pack."] = field(default_factory=list)


@dataclass(frozen=True)
class VarianceShare:
    """Share of one input in the variance of the range."""

    key: Annotated[str, "Key of the study file, or the models."]
    share: Annotated[float, "Its share of the variance."]


@dataclass(frozen=True)
class SpreadResult:
    """Results of many draws. Each draw samples all inputs at once."""

    percentiles: Annotated[SpreadPercentiles, "Percentiles of the draws."]
    met_share: Annotated[dict[str, float], "Share of the draws that meet each limit.", OldName("holds")]
    variance_shares: Annotated[
        list[VarianceShare], "Shares of the inputs in the variance of the range, largest first.", OldName("matters")
    ]
    draws: Annotated[int, "Number of draws."]
    over_medians: Annotated[
        dict[str, float], "Values to expect over those at the medians of all inputs, where the search compares wings."
    ] = field(default_factory=dict)


@dataclass(frozen=True)
class ToleranceEffect:
    """What one tolerance of the shop does to the wing."""

    name: Annotated[str, "Key of [build_tolerance]."]
    tolerance: Annotated[str, "Tolerance each way; nine wings of ten lie within."]
    range_change_pct: Annotated[_LowHigh, "Change of the range at both ends; empty where no such wing flies."]
    met_without_pct: Annotated[float, "Share of the wings that meet every limit if this error is never made."]


@dataclass(frozen=True)
class LimitAsBuilt:
    """How often one limit is met by wings as they come out of the shop."""

    name: Annotated[str, "Name of the limit."]
    words: Annotated[str, "Words for it in a report."]
    met_pct: Annotated[float, "Share of the wings that meet it, by the shop alone."]
    met_inputs_pct: Annotated[float | None, "Share of the draws that meet it, by the uncertain inputs alone."]
    met_both_pct: Annotated[float | None, "Share of the draws that meet it, by shop and inputs together."]
    short: Annotated[float, "What nine wings of ten lack at most; 0 if they meet it.", _AS_SAID]
    unit: Annotated[str, "Unit of what is lacking."]
    matters: Annotated[str, "Key of the tolerance that moves it most; empty if none does."]
    matters_pct: Annotated[float, "Share of that tolerance in the variance of its margin."]


@dataclass(frozen=True)
class AsBuilt:
    """The wing as it may come out of the shop, within the tolerances of [build_tolerance]."""

    met_pct: Annotated[float, "Share of the wings that meet every limit, by the shop alone."]
    near_pct: Annotated[float, "Share of the wings that miss no limit by more than its small step."]
    met_inputs_pct: Annotated[float | None, "Share of the draws that meet every limit, by the inputs alone."]
    met_both_pct: Annotated[float | None, "Share of the draws that meet every limit, by shop and inputs together."]
    range_change_pct: Annotated[
        _Numbers, "Changes of the range by the shop alone: one wing in ten is below, one in ten above."
    ]
    effects: Annotated[list[ToleranceEffect], "What each tolerance does."]
    limits: Annotated[list[LimitAsBuilt], "Every limit, the one met least often first."]
    matters_most: Annotated[str, "Key of the tolerance that matters most to meeting every limit; empty if none does."]
    held_to: Annotated[str, "Half of that tolerance."]
    held_met_pct: Annotated[float | None, "Share of the wings that meet every limit if it is held to that half."]
    roll_trim_deg: Annotated[float, "Elevon each way that holds level a wing whose halves differ in washout."]
    roll_trim_mm: Annotated[float, "The same at the trailing edge."]
    draws: Annotated[int, "Number of draws."]


@dataclass(frozen=True)
class LedgerCase:
    """One aircraft or drive that others measured, and what the model draws for it with a builder's knowledge."""

    what: Annotated[str, "What was measured."]
    at: Annotated[str, "Speed or thrust at which these values stand."]
    unit: Annotated[str, "Unit of the four values."]
    measured: Annotated[float, "Measured value.", _AS_SAID]
    low: Annotated[float, "Low end: one in ten draws lies below.", _AS_SAID]
    middle: Annotated[float, "Median of the draws.", _AS_SAID]
    high: Annotated[float, "High end: one in ten draws lies above.", _AS_SAID]
    percentile: Annotated[float, "Share of the draws that lie below the measurement.", Unit("%")]
    source: Annotated[str, "Who published it."]
