"""Dataclasses for one wing with all its numbers. It is the stock wing or a stretched wing."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Any

from tradestudy.notebook import as_html, data_frame

from .body import Body
from .cutting import Cutting
from .field_specs import OldName, Unit
from .flight import Curves, DragBreakdown, Mission, PilotCard, SecondOpinion
from .json_form import json_data
from .numbers import DesignNumbers, WingBalance
from .outline import Outline
from .structure import BenchTests, StructureCase, StructureCheck


@dataclass(frozen=True)
class LimitState:
    """Value, bound and margin of one limit for one design."""

    name: Annotated[str, "Name of the limit."]
    words: Annotated[str, "Words for it in a report."]
    value: Annotated[float, "Value of this wing.", Unit("as unit says")]
    bound: Annotated[float, "Bound of the limit.", Unit("as unit says")]
    unit: Annotated[str, "Unit of value and bound."]
    margin: Annotated[float, "Scaled distance from the bound: negative is violated, near zero is active."]
    active: Annotated[bool, "Whether it is active."]
    met: Annotated[bool, "Whether it is met."]
    side: Annotated[str, "Side of the bound that is allowed: at least, or at most."] = ""
    origin: Annotated[str, "Where the bound comes from."] = ""
    whose: Annotated[
        str, "Whose rule it is: you, your stock wing, practice, the maker of a part, the room there is, or the model."
    ] = ""


@dataclass(frozen=True)
class DesignChoices:
    """The choices of a wing: the parts that are bought, and numbers that change in steps."""

    series: Annotated[int, "Cells in series."]
    parallel: Annotated[int, "Cells in parallel."]
    rod_diameter_mm: Annotated[float, "Diameter of the first set of rods."]
    rod_pairs: Annotated[int, "Pairs of those rods in each half wing."]
    propeller: Annotated[str, "Size of the propeller."]
    words: Annotated[str, "All choices in one phrase."]
    motor: Annotated[str | None, "Name of the chosen motor; empty for the motor of the study."] = None
    pack: Annotated[str | None, "Name of the chosen pack; empty for the pack of the study."] = None
    scheme: Annotated[str | None, "Stretch scheme; empty where the study leaves no choice."] = None
    throttle_cap_pct: Annotated[float | None, "Largest throttle; empty where the study leaves no choice."] = None
    bays: Annotated[str | None, "Equipment in other bays than those of the study; empty if all stays."] = None
    layout: Annotated[str | None, "How the cells lie in a bay cut to the pack; empty in the stock wing's bay."] = None
    raised_lid_mm: Annotated[float | None, "Height of that bay's lid above the skin; empty for a flush lid."] = None

    def known(self) -> dict[str, Any]:
        """Return a dict of name -> value, with only the choices that this study leaves open."""
        return {name: value for name, value in json_data(self).items() if value is not None}


@dataclass(frozen=True)
class DesignVariables:
    """The values of the variables of a search."""

    extension_mm: Annotated[float, "Span added on each side."]
    sweep_deg: Annotated[float, "Sweep of the stretched wing in the model."]
    washout_deg: Annotated[float, "Washout of the stretched wing in the model."]
    tip_chord_mm: Annotated[float, "Chord of the foam at the tip."]
    static_margin_pct: Annotated[float, "Static margin, over the mean chord."]
    cruise_speed_kmh: Annotated[float, "Cruise speed through the air."]
    equipment_position_mm: Annotated[float, "Place of the movable equipment, behind the nose."]


@dataclass(frozen=True)
class Design:
    """One wing with all its numbers. It is the stock wing or a stretched wing."""

    label: Annotated[str, "Which wing it is, such as stock, best or recommended."]
    numbers: Annotated[DesignNumbers, "Numbers of the design."]
    choices: Annotated[DesignChoices, "Choices that it is built with."]
    variables: Annotated[DesignVariables, "Values of the variables."]
    active_limits: Annotated[list[str], "Names of the active limits."]
    limits: Annotated[list[LimitState], "State of every limit."] = field(default_factory=list)
    flags: Annotated[list[str], "Sentences that warn the builder."] = field(default_factory=list)
    outline: Annotated[Outline, "Outline of the right half from above."] = field(default_factory=Outline)
    curves: Annotated[Curves, "Curves along speed and along the half span."] = field(default_factory=Curves)
    masses_g: Annotated[dict[str, float], "Mass of each part; the sum is the total."] = field(default_factory=dict)
    drag_cm2: Annotated[dict[str, float], "Drag area of each part in cruise; the sum is the total."] = field(
        default_factory=dict
    )
    watts: Annotated[dict[str, float], "Power of the pack by use in cruise; the sum is the total.", Unit("W")] = field(
        default_factory=dict
    )
    structure: Annotated[list[StructureCase], "What fails first in every load condition."] = field(default_factory=list)
    drag_breakdown: Annotated[DragBreakdown | None, "Drag in cruise, part by part."] = None
    structure_checks: Annotated[
        list[StructureCheck], "Checks besides the load conditions: splices, joints, landing and launch."
    ] = field(default_factory=list)
    load_test: Annotated[BenchTests | None, "Load tests on the bench."] = None
    cutting: Annotated[Cutting | None, "What a builder needs at the bench; present for wings that may be built."] = None
    full_throttle_watts: Annotated[
        dict[str, float],
        "Power of the full pack by use in level flight at full throttle.",
        Unit("W"),
        OldName("watts_flat_out"),
    ] = field(default_factory=dict)
    pilot_card: Annotated[PilotCard | None, "Speed card of the pilot; empty where the wing cannot cruise."] = None
    mission: Annotated[Mission | None, "Mission of the study, simulated."] = None
    body: Annotated[Body | None, "Skin and parts as solids; present for wings that are reported in full."] = None
    balance: Annotated[WingBalance | None, "What ends the balance window, and what moves the balance."] = None
    second_opinion: Annotated[
        SecondOpinion | None, "Wake, neutral point and lift by another lattice, where requested."
    ] = None

    def __repr__(self) -> str:
        return f"<Design {self.label}: {', '.join(words for _, words in self._rows() if words)}>"

    def _repr_html_(self) -> str:
        numbers = [
            (key, f"{value:.5g}" if isinstance(value, float) else "" if value is None else str(value))
            for key, value in self.numbers.known().items()
        ]
        return as_html(f"Design: {self.label}", [*self._rows()[-2:], *numbers])

    def _rows(self) -> list[tuple[str, str]]:
        """Return (head, words) rows that describe the wing."""
        known = self.numbers
        violated = [state.words for state in self.limits if not state.met]
        return [
            ("span", f"{known.span_mm:.0f} mm"),
            ("weight", f"{known.auw_g:.0f} g"),
            ("range", f"{known.range_km:.1f} km"),
            ("cruise", f"{known.cruise_speed_kmh:.0f} km/h"),
            ("built with", self.choices.words),
            ("breaks", f"breaks: {', '.join(violated)}" if violated else ""),
        ]

    @property
    def cut(self) -> Cutting:
        """Return the data that a builder needs at the bench. Raise ValueError if this wing has none."""
        if self.cutting is None:
            raise ValueError(f"there are no cutting data for the {self.label} wing")
        return self.cutting

    def to_dataframe(self) -> Any:
        """Return a pandas DataFrame with one row: numbers, choices, and active and violated limits."""
        return data_frame([self.row()])

    def row(self) -> dict[str, Any]:
        """Return a dict of name -> value with numbers, choices, and active and violated limits.

        The names of choices begin with ``choice_``.
        """
        return {
            "label": self.label,
            **self.numbers.known(),
            **{f"choice_{name}": one for name, one in self.choices.known().items()},
            "active_limits": "; ".join(self.active_limits),
            "violated_limits": "; ".join(state.name for state in self.limits if not state.met),
        }

    def summary(self) -> dict[str, Any]:
        """Return numbers, choices and limits for the JSON output of a command."""
        return {
            "label": self.label,
            **self.numbers.known(),
            "active_limits": self.active_limits,
            "violated_limits": [state.name for state in self.limits if not state.met],
            "choices": self.choices.known(),
            "flags": self.flags,
        }
