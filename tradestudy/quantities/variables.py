"""The variables of a search.

Each has a name in files and printed output, words for its bounds, and a step. The price of a bound is the gain of the
objective when the bound is moved by that step.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from .units import from_edge, short_with_unit, to_si, unit_of_name


class VariableBound(NamedTuple):
    """One bound of a variable: its words in a report, and the words for one step beyond it."""

    words: str
    step: str


@dataclass(frozen=True)
class Variable:
    """One variable of a search.

    ``key`` is its name in files and printed output. ``words`` are used after "least" or "most". ``step`` is in SI.
    """

    name: str
    key: str
    words: str
    step: float
    low: VariableBound
    high: VariableBound
    short_name: str = ""  # name of the variable in the names of its bounds; if empty, ``name`` is used

    def bound_name(self, high: bool) -> str:
        """Return the name of the high or low bound in a list of active limits, such as "largest_span"."""
        return f"{'largest' if high else 'smallest'}_{self.short_name or self.name}"

    def bound(self, high: bool) -> VariableBound:
        """Return the high bound if ``high`` is True, else the low bound."""
        return self.high if high else self.low

    def read(self, value: float) -> float:
        """Return the SI value of a value in the unit shown to the user."""
        return float(from_edge(self.key, value))

    def text(self, value: float) -> str:
        """Return an SI value of the variable as text with its unit."""
        return short_with_unit(value, unit_of_name(self.key)[1], 3)


VARIABLES: dict[str, Variable] = {
    each.name: each
    for each in (
        # the extension of one side; a step of it changes the span by twice as much
        Variable(
            "extension",
            "extension_mm",
            "span",
            to_si(5, "mm", "length"),
            short_name="span",
            low=VariableBound("shortest span the study allows", "10 mm less than the shortest span"),
            high=VariableBound("longest span the study allows", "10 mm more than the longest span"),
        ),
        Variable(
            "sweep",
            "sweep_deg",
            "sweep",
            to_si(1, "deg", "angle"),
            low=VariableBound("least sweep the study allows", "1 deg less than the least sweep"),
            high=VariableBound("most sweep the study allows", "1 deg more than the most sweep"),
        ),
        Variable(
            "washout",
            "washout_deg",
            "washout",
            to_si(0.1, "deg", "angle"),
            low=VariableBound("least washout the study allows", "0.1 deg less than the least washout"),
            high=VariableBound("most washout the study allows", "0.1 deg more than the most washout"),
        ),
        Variable(
            "tip_chord",
            "tip_chord_mm",
            "foam chord at the tip",
            to_si(5, "mm", "length"),
            low=VariableBound("smallest tip chord tried", "5 mm less than the smallest tip chord"),
            high=VariableBound("largest tip chord tried", "5 mm more than the largest tip chord"),
        ),
        Variable(
            "static_margin",
            "static_margin_pct",
            "static margin",
            to_si(1, "%", "fraction"),
            low=VariableBound("least static margin allowed", "1 % less static margin"),
            high=VariableBound("most static margin allowed", "1 % more static margin"),
        ),
        Variable(
            "cruise_speed",
            "cruise_speed_kmh",
            "cruise speed",
            to_si(1, "km/h", "speed"),
            low=VariableBound("slowest cruise considered", "1 km/h less than the slowest cruise"),
            high=VariableBound("fastest cruise considered", "1 km/h more than the fastest cruise"),
        ),
        Variable(
            "equipment_position",
            "equipment_position_mm",
            "distance of the equipment from the nose",
            to_si(10, "mm", "length"),
            low=VariableBound("equipment as far forward as it may go", "equipment 10 mm farther forward"),
            high=VariableBound("equipment as far back as it may go", "equipment 10 mm farther back"),
        ),
    )
}
# name of a bound -> its variable, and whether it is the high one
BOUNDED: dict[str, tuple[Variable, bool]] = {
    each.bound_name(high): (each, high) for each in VARIABLES.values() for high in (False, True)
}
VARIABLE_BOUNDS: dict[str, VariableBound] = {name: each.bound(high) for name, (each, high) in BOUNDED.items()}
