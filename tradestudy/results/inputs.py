"""The inputs of a result: assumed values, calibration against the stock wing, and the effect of each input."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from .field_specs import OldName

_LowHigh = list[float | None]


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


@dataclass(frozen=True)
class Uncertainty:
    """The uncertainty of each result, given as half the width of its band."""

    range_km: Annotated[float, "Half width for the range, from all inputs combined."]
    balance_mm: Annotated[float, "Half width for the balance mark."]
    pack_mm: Annotated[float, "Half width for the place of the pack."]
    failure_load_factor: Annotated[float, "Half width for the failure load factor."]
    model_range_km: Annotated[float, "Half width for the range, from the scatter of the models alone."]
    range_km_after_flight: Annotated[
        float | None, "Half width for the range if one flight were noted; empty if a flight is known."
    ]
    measure_first: Annotated[str, "One sentence on what to measure first."]
    strength_first: Annotated[str, "One sentence on what to measure first for the strength."]


@dataclass(frozen=True)
class SpreadPercentiles:
    """The 10th, 50th and 90th percentile of a result over all draws (sampled sets of inputs)."""

    range_km: Annotated[list[float], "Percentiles of the range."]
    auw_g: Annotated[list[float], "Percentiles of the flying weight."]
    balance_mm: Annotated[list[float], "Percentiles of the balance mark."]
    failure_load_factor: Annotated[list[float], "Percentiles of the failure load factor."]
    cruise_speed_kmh: Annotated[list[float], "Percentiles of the cruise speed."]
    cruise_current_a: Annotated[list[float], "Percentiles of the mean current in cruise."]


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
