"""What a search found, as plain data: the only thing a report needs to know.

Everything here is numbers, text and lists of them, in the units that the names spell, so that a Result can be
written as JSON, read back and drawn again without running a model.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import Annotated, Any

from tradestudy.notebook import as_html, as_text, data_frame

from .club import ClubWing, ComparedParts, Purchase, SectionFacts
from .design import Design
from .field_specs import OldName
from .inputs import Assumed, CalibrationRow, InputEffect, SpreadResult, Uncertainty
from .json_form import json_data, json_text, part_from_json
from .trade import FrontAxes, Prices, PrunedChoice, Purposes, RobustComparison, SpanBand

SEVERAL = ("alternatives", "span_trade", "front", "steps")  # what a Result has lists of


@dataclass(frozen=True)
class Result:
    """Everything one command found out about one study."""

    study_name: Annotated[str, "Name of the study."]
    note: Annotated[str, "What its file says of it."]
    study_file: Annotated[str, "Name of its file."]
    study_text: Annotated[str, "Its file as it was read."]
    command: Annotated[str, "Command that made this."]
    versions: Annotated[dict[str, str], "Version of everything this was computed with."]
    defaults_used: Annotated[list[Assumed], "Values that the study did not give."]
    stock: Annotated[Design, "The wing as it flies."]
    best: Annotated[Design | None, "The best wing found, or the one asked for."] = None
    recommended: Annotated[Design | None, "The wing to build, where spans were compared."] = None
    band: Annotated[SpanBand | None, "The recommended span and the flat band around the best."] = None
    alternatives: Annotated[list[Design], "The next best wings built with other parts."] = field(default_factory=list)
    span_trade: Annotated[list[Design], "The best wing of each span."] = field(default_factory=list)
    front: Annotated[list[Design], "Wings that trade one quantity for another."] = field(default_factory=list)
    steps: Annotated[list[Design], "Wings that change one thing only."] = field(default_factory=list)
    solved: Annotated[int, "How many choices were searched."] = 0
    robust: Annotated[RobustComparison | None, "The surest wing beside the best; where asked for."] = None
    pruned: Annotated[list[PrunedChoice], "Choices that were not searched.", OldName("left_out")] = field(
        default_factory=list
    )
    excluded: Annotated[list[str], "Choices that cannot be, a sentence each.", OldName("set_aside")] = field(
        default_factory=list
    )
    conflict: Annotated[list[str], "Limits that cannot be met together, a sentence each."] = field(default_factory=list)
    notes: Annotated[list[str], "Sentences on the models and the study."] = field(default_factory=list)
    sources: Annotated[list[str], "Where numbers of materials and parts come from."] = field(default_factory=list)
    calibration: Annotated[list[CalibrationRow], "The stock wing, measured and modelled.", OldName("ties")] = field(
        default_factory=list
    )
    calibration_notes: Annotated[
        list[str], "What was not measured or cannot be told apart, sentences.", OldName("kept")
    ] = field(default_factory=list)
    purposes: Annotated[Purposes, "What the study wants most of."] = field(default_factory=Purposes)
    input_effects: Annotated[
        list[InputEffect], "What each input is worth, most first; where asked for.", OldName("worth")
    ] = field(default_factory=list)
    uncertainty: Annotated[Uncertainty | None, "How far off the answer may be; where asked for."] = None
    club: Annotated[list[ClubWing], "Each member's wing on the airframe proposed."] = field(default_factory=list)
    shopping: Annotated[list[Purchase], "What to buy."] = field(default_factory=list)
    sections: Annotated[list[SectionFacts], "The sections of root and tip."] = field(default_factory=list)
    compared: Annotated[list[ComparedParts], "Propellers, motors and packs on one wing, best first."] = field(
        default_factory=list
    )
    spread: Annotated[SpreadResult | None, "All inputs off at once; where asked for."] = None
    prices: Annotated[Prices | None, "What a little slack would buy."] = None
    traded: Annotated[FrontAxes | None, "What the front trades; empty without a front."] = None

    def __repr__(self) -> str:
        return as_text(*self._told())

    def _repr_html_(self) -> str:
        return as_html(*self._told())

    def _told(self) -> tuple[str, list[tuple[str, str]]]:
        """Return a title and (head, words) rows for whoever looks at the result in Python."""
        named = ("stock", "recommended", "best")
        wings = [(name, repr(design)[1:-1].partition(": ")[2]) for name in named if (design := getattr(self, name))]
        several = [f"{len(getattr(self, name))} in {name}" for name in SEVERAL if getattr(self, name)]
        band = self.band
        return f"Result of {self.command} ({self.study_name})", [
            *wings,
            ("to build", f"{band.span_mm} mm; {band.low_mm:.0f} to {band.high_mm:.0f} mm does as well" if band else ""),
            ("wings", ", ".join(several)),
            ("limits", self.message),
            ("flags", "; ".join(self._flags())),
        ]

    def _flags(self) -> list[str]:
        design = self.recommended or self.best
        return design.flags if design else []

    def to_dataframe(self) -> Any:
        """Return every wing of the result as a pandas DataFrame: a row each, ``where`` telling where it stands."""
        rows = [
            ("stock", self.stock),
            ("recommended", self.recommended),
            ("best", self.best),
            *((name, design) for name in SEVERAL for design in getattr(self, name)),
        ]
        return data_frame([{"where": name, **design.row()} for name, design in rows if design is not None])

    @property
    def violated_limits(self) -> list[str]:
        """Limits that the design asked for breaks, in words."""
        design = self.recommended or self.best
        return [state.words for state in design.limits if not state.met] if design else []

    @property
    def success(self) -> bool:
        """True when no limit is broken."""
        return not self.conflict and not self.violated_limits

    @property
    def message(self) -> str:
        """One sentence: found, or why not."""
        if self.conflict:
            return "No design meets every limit: " + "; ".join(self.conflict) + "."
        if self.violated_limits:
            return "This design breaks: " + ", ".join(self.violated_limits) + "."
        return "Every limit is met." if self.best else "Stock wing assessed."

    def to_json(self) -> str:
        """Return the whole result as JSON text."""
        return json_text({**json_data(self), "success": self.success, "message": self.message})


def result_from_json(text: str) -> Result:
    """Rebuild a Result from ``Result.to_json``. Raises CommandError for one that another version wrote."""
    return part_from_json(Result, json.loads(text))
