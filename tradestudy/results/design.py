"""One wing in full: the stock wing or a stretched one."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Any

from tradestudy.notebook import as_html, data_frame

from .cutting import Cutting
from .field_specs import OldName, Unit
from .flight import Curves, DragBreakdown, Mission, PilotCard
from .json_form import json_data
from .numbers import DesignNumbers
from .outline import Outline
from .structure import BenchTests, StructureCase, StructureCheck


@dataclass(frozen=True)
class LimitState:
    """How one limit stands at one design."""

    name: Annotated[str, "Name of the limit."]
    words: Annotated[str, "What a builder calls it."]
    value: Annotated[float, "What this wing has.", Unit("as unit says")]
    bound: Annotated[float, "What is asked.", Unit("as unit says")]
    unit: Annotated[str, "Unit of value and bound."]
    margin: Annotated[float, "Scaled distance from the bound: negative is broken, near zero is active."]
    active: Annotated[bool, "Whether it stops the wing."]
    met: Annotated[bool, "Whether it is kept."]
    side: Annotated[str, "Which side of the bound the value must lie on: at least, or at most."] = ""
    origin: Annotated[str, "Who asks for it."] = ""


@dataclass(frozen=True)
class DesignChoices:
    """What is bought or decided in steps."""

    series: Annotated[int, "Cells in series."]
    parallel: Annotated[int, "Cells in parallel."]
    rod_diameter_mm: Annotated[float, "Diameter of the first set of rods."]
    rod_pairs: Annotated[int, "Pairs of those rods in each half wing."]
    propeller: Annotated[str, "Size of the propeller."]
    words: Annotated[str, "All of it in one phrase."]
    motor: Annotated[str | None, "Name among the motors to choose from; empty for the wing's own."] = None
    pack: Annotated[str | None, "Name among the packs to choose from; empty for the wing's own."] = None
    scheme: Annotated[str | None, "How the wing is stretched; empty where the study leaves no choice."] = None
    throttle_cap_pct: Annotated[float | None, "Largest throttle; empty where the study leaves no choice."] = None

    def known(self) -> dict[str, Any]:
        """Return by their names those that this study leaves open, and those that every study has."""
        return {name: value for name, value in json_data(self).items() if value is not None}


@dataclass(frozen=True)
class Variables:
    """What is free in a design."""

    extension_mm: Annotated[float, "What each side gains over the stock wing."]
    sweep_deg: Annotated[float, "Sweep of the stretched wing as the model has it."]
    washout_deg: Annotated[float, "Washout of the stretched wing as the model has it."]
    static_margin_pct: Annotated[float, "Static margin asked for, over the mean chord."]
    cruise_speed_kmh: Annotated[float, "Cruise speed through the air."]
    equipment_position_mm: Annotated[float, "Where the movable equipment sits, behind the nose."]


@dataclass(frozen=True)
class Design:
    """One wing in full: the stock wing or a stretched one."""

    label: Annotated[str, "Which wing it is, such as stock, best or recommended."]
    numbers: Annotated[DesignNumbers, "The numbers a wing is known by."]
    choices: Annotated[DesignChoices, "What it is built with."]
    variables: Annotated[Variables, "What is free in it."]
    active_limits: Annotated[list[str], "Names of the limits that stop it."]
    limits: Annotated[list[LimitState], "How every limit it is held to stands."] = field(default_factory=list)
    flags: Annotated[list[str], "Sentences on what a builder must be told."] = field(default_factory=list)
    outline: Annotated[Outline, "The right half from above."] = field(default_factory=Outline)
    curves: Annotated[Curves, "What changes along speed and along the half span."] = field(default_factory=Curves)
    masses_g: Annotated[dict[str, float], "What each part weighs, summing to the whole."] = field(default_factory=dict)
    drag_cm2: Annotated[
        dict[str, float], "Drag area of each part in cruise, summing to the whole."
    ] = field(default_factory=dict)  # fmt: skip
    watts: Annotated[
        dict[str, float], "Where the power of the cells goes in cruise, summing to the whole.", Unit("W")
    ] = field(default_factory=dict)  # fmt: skip
    structure: Annotated[
        list[StructureCase], "What breaks first in every load condition."
    ] = field(default_factory=list)  # fmt: skip
    drag_breakdown: Annotated[DragBreakdown | None, "What holds it back in cruise, part by part."] = None
    structure_checks: Annotated[
        list[StructureCheck], "Checks beside the load conditions: splices, joints, landing and launch."
    ] = field(default_factory=list)  # fmt: skip
    load_test: Annotated[BenchTests | None, "What to hang on it on the bench."] = None
    cutting: Annotated[Cutting | None, "What the bench needs; told of wings that may be built."] = None
    full_throttle_watts: Annotated[
        dict[str, float], "Where the power goes level at full throttle on a full pack.", Unit("W"), OldName("watts_flat_out")] = field(default_factory=dict)  # fmt: skip
    pilot_card: Annotated[PilotCard | None, "What to hold; empty where the wing makes no way."] = None
    mission: Annotated[Mission | None, "The mission of the study as it flies it."] = None

    def __repr__(self) -> str:
        return f"<Design {self.label}: {', '.join(words for _, words in self._told() if words)}>"

    def _repr_html_(self) -> str:
        numbers = [
            (key, f"{value:.5g}" if isinstance(value, float) else "" if value is None else str(value))
            for key, value in self.numbers.known().items()
        ]
        return as_html(f"Design: {self.label}", [*self._told()[-2:], *numbers])

    def _told(self) -> list[tuple[str, str]]:
        """Return (head, words) rows of what a wing is known by."""
        known = self.numbers
        broken = [state.words for state in self.limits if not state.met]
        return [
            ("span", f"{known.span_mm:.0f} mm"),
            ("weight", f"{known.auw_g:.0f} g"),
            ("range", f"{known.range_km:.1f} km"),
            ("cruise", f"{known.cruise_speed_kmh:.0f} km/h"),
            ("built with", self.choices.words),
            ("breaks", f"breaks: {', '.join(broken)}" if broken else ""),
        ]

    @property
    def cut(self) -> Cutting:
        """What the bench needs. Raises ValueError for a wing of which it is not told."""
        if self.cutting is None:
            raise ValueError(f"nothing tells how to build the {self.label} wing")
        return self.cutting

    def to_dataframe(self) -> Any:
        """Return its numbers, choices and what stops it as one row of a pandas DataFrame."""
        return data_frame([self.row()])

    def row(self) -> dict[str, Any]:
        """Return its numbers under their names, choices with ``choice_`` before theirs, and what stops it."""
        return {
            "label": self.label,
            **self.numbers.known(),
            **{f"choice_{name}": one for name, one in self.choices.known().items()},
            "active_limits": "; ".join(self.active_limits),
            "violated_limits": "; ".join(state.name for state in self.limits if not state.met),
        }

    def summary(self) -> dict[str, Any]:
        """Return the numbers with choices and limits, as JSON output carries them."""
        return {
            "label": self.label,
            **self.numbers.known(),
            "active_limits": self.active_limits,
            "violated_limits": [state.name for state in self.limits if not state.met],
            "choices": self.choices.known(),
            "flags": self.flags,
        }
