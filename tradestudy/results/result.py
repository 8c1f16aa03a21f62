"""The result of a command, as plain data: the only input of a report.

It consists of numbers, texts, and lists of them. The name of a number ends in its unit. So a Result can be written as
JSON, read again, and drawn without running a model.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import Annotated, Any

from tradestudy.notebook import as_html, as_text, data_frame

from .club import ClubSpan, ClubWing, ComparedParts, Purchase, SectionFacts
from .design import Design
from .field_specs import OldName
from .inputs import AsBuilt, Assumed, CalibrationRow, InputEffect, LedgerCase, SetKey, SpreadResult, Uncertainty
from .json_form import json_data, json_text, part_from_json
from .trade import (
    AdvisedChange,
    BuildsTrade,
    Flips,
    FrontTrade,
    Prices,
    PrunedChoice,
    Purposes,
    RobustComparison,
    RuleCost,
    SpanBand,
)

_DESIGN_LISTS = ("alternatives", "span_trade", "front", "builds", "steps")


@dataclass(frozen=True)
class Result:
    """Everything that one command computed for one study."""

    study_name: Annotated[str, "Name of the study."]
    note: Annotated[str, "Note in the study file."]
    study_file: Annotated[str, "Name of the study file."]
    study_text: Annotated[str, "Text of the study file, with the keys that were set."]
    command: Annotated[str, "Command line that computed this."]
    versions: Annotated[dict[str, str], "Versions of the program and its libraries."]
    defaults_used: Annotated[list[Assumed], "Values that the study does not give."]
    stock: Annotated[Design, "The stock wing."]
    best: Annotated[Design | None, "The best wing of a search, or the requested wing."] = None
    instead: Annotated[Design | None, "The recommended wing, where another one was requested."] = None
    units: Annotated[str, "Units in which the result is shown to a person: metric or imperial."] = "metric"
    which_wing: Annotated[str, "A sentence on where a requested wing comes from; empty for a search."] = ""
    recommended: Annotated[Design | None, "The recommended wing, where spans were compared."] = None
    band: Annotated[SpanBand | None, "The recommended span and the flat band around the best span."] = None
    alternatives: Annotated[list[Design], "The next best wings with other choices."] = field(default_factory=list)
    span_trade: Annotated[list[Design], "The best wing of each span."] = field(default_factory=list)
    front: Annotated[list[Design], "Wings that trade one quantity for another."] = field(default_factory=list)
    steps: Annotated[list[Design], "The stock wing with one change: the best pack alone, or the best span alone."] = (
        field(default_factory=list)
    )
    solved: Annotated[int, "Number of choices that were searched."] = 0
    robust: Annotated[RobustComparison | None, "The robust wing beside the nominal best, where requested."] = None
    pruned: Annotated[
        list[PrunedChoice],
        "Choices that were not searched, since their upper bounds are below the best.",
        OldName("left_out"),
    ] = field(default_factory=list)
    excluded: Annotated[
        list[str], "One sentence on each choice that cannot be built or flown.", OldName("set_aside")
    ] = field(default_factory=list)
    conflict: Annotated[list[str], "One sentence on each limit of a set that cannot be met at once."] = field(
        default_factory=list
    )
    advice: Annotated[list[AdvisedChange], "What to change where no design meets every limit, together and alone."] = (
        field(default_factory=list)
    )
    notes: Annotated[list[str], "Sentences on the models and the study."] = field(default_factory=list)
    sources: Annotated[list[str], "Sources of the numbers of materials and parts."] = field(default_factory=list)
    calibration: Annotated[
        list[CalibrationRow], "Calibration of the model against the stock wing.", OldName("ties")
    ] = field(default_factory=list)
    calibration_notes: Annotated[
        list[str], "Sentences on what was not measured or cannot be distinguished.", OldName("kept")
    ] = field(default_factory=list)
    purposes: Annotated[Purposes, "Objective of the study."] = field(default_factory=Purposes)
    currency: Annotated[str, "Currency of all prices; empty where the study names none."] = ""
    input_effects: Annotated[
        list[InputEffect], "Effect of each input, largest first, where requested.", OldName("worth")
    ] = field(default_factory=list)
    uncertainty: Annotated[Uncertainty | None, "Uncertainty of the result, where requested."] = None
    club: Annotated[list[ClubWing], "The proposed airframe with each member's equipment."] = field(default_factory=list)
    club_spans: Annotated[list[ClubSpan], "The best airframe of each span with each member's equipment."] = field(
        default_factory=list
    )
    shopping: Annotated[list[Purchase], "Shopping list."] = field(default_factory=list)
    sections: Annotated[list[SectionFacts], "Sections of root and tip."] = field(default_factory=list)
    compared: Annotated[list[ComparedParts], "Propellers, motors and packs on one wing, best first."] = field(
        default_factory=list
    )
    spread: Annotated[SpreadResult | None, "Spread of the result with all inputs varied, where requested."] = None
    as_built: Annotated[AsBuilt | None, "The wing as it may come out of the shop, where it was computed."] = None
    ledger: Annotated[list[LedgerCase], "Measured aircraft and drives against the model."] = field(default_factory=list)
    prices: Annotated[Prices | None, "Prices of the active limits."] = None
    rule_costs: Annotated[list[RuleCost], "What each active rule costs, largest gain first."] = field(
        default_factory=list
    )
    flips: Annotated[Flips | None, "What flips the answer, where requested or kept from an earlier search."] = None
    inputs: Annotated[str, "Hash of everything that this was computed from."] = ""
    set_keys: Annotated[list[SetKey], "Keys that were set for this result, beside the study file."] = field(
        default_factory=list
    )
    traded: Annotated[FrontTrade | None, "The quantities that the front trades; empty without a front."] = None
    builds: Annotated[list[Design], "Wings that trade several quantities, over all sets of parts."] = field(
        default_factory=list
    )
    builds_traded: Annotated[BuildsTrade | None, "The quantities that those wings trade; empty without them."] = None

    def __repr__(self) -> str:
        return as_text(*self._rows())

    def _repr_html_(self) -> str:
        return as_html(*self._rows())

    def _rows(self) -> tuple[str, list[tuple[str, str]]]:
        """Return a title and (head, words) rows that describe the result."""
        named = ("stock", "recommended", "best")
        wings = [(name, repr(design)[1:-1].partition(": ")[2]) for name in named if (design := getattr(self, name))]
        lists = [f"{len(getattr(self, name))} in {name}" for name in _DESIGN_LISTS if getattr(self, name)]
        band = self.band
        return f"Result of {self.command} ({self.study_name})", [
            *wings,
            ("to build", f"{band.span_mm} mm; {band.low_mm:.0f} to {band.high_mm:.0f} mm does as well" if band else ""),
            ("wings", ", ".join(lists)),
            ("limits", self.message),
            ("flags", "; ".join(self._flags())),
        ]

    def _flags(self) -> list[str]:
        design = self.recommended or self.best
        return design.flags if design else []

    def to_dataframe(self) -> Any:
        """Return a pandas DataFrame with a row for every wing of the result.

        The column ``where`` names the field of the result that holds the wing.
        """
        rows = [
            ("stock", self.stock),
            ("recommended", self.recommended),
            ("best", self.best),
            *((name, design) for name in _DESIGN_LISTS for design in getattr(self, name)),
        ]
        return data_frame([{"where": name, **design.row()} for name, design in rows if design is not None])

    @property
    def violated_limits(self) -> list[str]:
        """Return the words for the limits that the proposed design violates."""
        design = self.recommended or self.best
        return [state.words for state in design.limits if not state.met] if design else []

    @property
    def success(self) -> bool:
        """Return whether every limit is met."""
        return not self.conflict and not self.violated_limits

    @property
    def message(self) -> str:
        """Return one sentence that says whether every limit is met."""
        if self.conflict:
            return "No design meets every limit: " + "; ".join(self.conflict) + "."
        if self.violated_limits:
            return "This design breaks: " + ", ".join(self.violated_limits) + "."
        return "Every limit is met." if self.best else "Stock wing assessed."

    def to_json(self) -> str:
        """Return the result as JSON text."""
        return json_text({**json_data(self), "success": self.success, "message": self.message})


def result_from_json(text: str) -> Result:
    """Return the Result in a text that ``Result.to_json`` wrote. Raise CommandError if another version wrote it."""
    return part_from_json(Result, json.loads(text))
