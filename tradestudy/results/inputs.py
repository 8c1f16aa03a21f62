"""What an answer rests on: values assumed, ties to the stock wing, and what each input is worth."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from .field_specs import OldName

_LowHigh = list[float | None]


@dataclass(frozen=True)
class Assumed:
    """One value that the study did not give."""

    key: Annotated[str, "Key of the study file."]
    value: Annotated[str, "What was taken."]
    origin: Annotated[str, "Why that."]
    band: Annotated[str, "How far off it may be, in words."]
    moves: Annotated[str, "What it moves."]
    is_choice: Annotated[bool, "Whether it is the builder's to choose."]


@dataclass(frozen=True)
class CalibrationRow:
    """One measured number of the stock wing, and the model before and after it was tied to it."""

    what: Annotated[str, "What was measured."]
    measured: Annotated[float, "As measured, in the unit named."]
    before: Annotated[float, "As modelled before."]
    after: Annotated[float, "As modelled after."]
    unit: Annotated[str, "Unit of the three."]
    how: Annotated[str, "In what way the model was tied."]


@dataclass(frozen=True)
class InputEffect:
    """What one input is worth: changes of the answer at the low and the high end of its band."""

    key: Annotated[str, "Key of the study file."]
    value: Annotated[str, "What was taken."]
    band: Annotated[str, "How far off it may be, in words."]
    moves: Annotated[str, "What it moves."]
    range_km: Annotated[_LowHigh, "Change of the range; empty where the wing cannot be so."]
    balance_mm: Annotated[_LowHigh, "Change of the balance mark; empty where the wing cannot be so."]
    pack_mm: Annotated[_LowHigh, "Change of the pack's place; empty where the wing cannot be so."]
    failure_load_factor: Annotated[_LowHigh, "Change of the load factor at which it breaks, likewise."]
    kind: Annotated[str, "Assumed, listed (the drag items together), measured or fitted."]
    score: Annotated[float, "What inputs are ranked by."]


@dataclass(frozen=True)
class Uncertainty:
    """How far off the whole answer may be: half widths of its band."""

    range_km: Annotated[float, "Of the range, all inputs together."]
    balance_mm: Annotated[float, "Of the balance mark."]
    pack_mm: Annotated[float, "Of the pack's place."]
    failure_load_factor: Annotated[float, "Of the load factor at which it breaks."]
    model_range_km: Annotated[float, "Of the range, by the scatter of the models beside that."]
    range_km_after_flight: Annotated[
        float | None, "Of the range with one flight remembered, in km; empty where one is known."
    ]  # fmt: skip
    measure_first: Annotated[str, "What to measure first, a sentence."]
    strength_first: Annotated[str, "What to find out first for the strength, a sentence."]


@dataclass(frozen=True)
class SpreadPercentiles:
    """The tenth, the fiftieth and the ninetieth percentile of what all draws give."""

    range_km: Annotated[list[float], "Of the range."]
    auw_g: Annotated[list[float], "Of the flying weight."]
    balance_mm: Annotated[list[float], "Of the balance mark."]
    failure_load_factor: Annotated[list[float], "Of the load factor at which it breaks."]
    cruise_speed_kmh: Annotated[list[float], "Of the cruise speed."]
    cruise_current_a: Annotated[list[float], "Of the current in cruise."]


@dataclass(frozen=True)
class VarianceShare:
    """What one input makes of the variance of the range."""

    key: Annotated[str, "Key of the study file, or the models."]
    share: Annotated[float, "Its share of the variance."]


@dataclass(frozen=True)
class SpreadResult:
    """All inputs off at once, drawn many times."""

    percentiles: Annotated[SpreadPercentiles, "Where eight draws in ten lie."]
    met_share: Annotated[dict[str, float], "Share of the draws that meet each limit.", OldName("holds")]
    variance_shares: Annotated[list[VarianceShare], "What makes the range uncertain, most first.", OldName("matters")]
    draws: Annotated[int, "How many were drawn."]
