"""What is free in a search, each once: its name at the edges, the words for both its ends, the step they are priced by."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from .units import from_edge, to_si


class End(NamedTuple):
    """One end of a variable's range, as what stops a design: how a report calls it, and a step past it in words."""

    words: str
    step: str


@dataclass(frozen=True)
class Variable:
    """One variable. ``key``: at the edges; ``words``: with "least" or "most" before it, that end; ``step``: SI."""

    name: str
    key: str
    words: str
    step: float
    low: End
    high: End
    called: str = ""  # in the names of its ends, where that is another word

    def end_name(self, high: bool) -> str:
        """Return what a list of active limits calls one of its ends, such as "largest_span"."""
        return f"{'largest' if high else 'smallest'}_{self.called or self.name}"

    def end(self, high: bool) -> End:
        """Return one of its ends."""
        return self.high if high else self.low

    def read(self, value: float) -> float:
        """Return the SI value of one at the edges."""
        return float(from_edge(self.key, value))


VARIABLES: dict[str, Variable] = {
    each.name: each
    for each in (
        # on each side: a step of span is twice as long
        Variable(
            "extension",
            "extension_mm",
            "span",
            to_si(5, "mm", "length"),
            called="span",
            low=End("shortest span the study allows", "10 mm less than the shortest span"),
            high=End("longest span the study allows", "10 mm more than the longest span"),
        ),
        Variable(
            "sweep",
            "sweep_deg",
            "sweep",
            to_si(1, "deg", "angle"),
            low=End("least sweep the study allows", "1 deg less than the least sweep"),
            high=End("most sweep the study allows", "1 deg more than the most sweep"),
        ),
        Variable(
            "washout",
            "washout_deg",
            "washout",
            to_si(0.1, "deg", "angle"),
            low=End("least washout the study allows", "0.1 deg less than the least washout"),
            high=End("most washout the study allows", "0.1 deg more than the most washout"),
        ),
        Variable(
            "static_margin",
            "static_margin_pct",
            "static margin",
            to_si(1, "%", "fraction"),
            low=End("least static margin allowed", "1 % less static margin"),
            high=End("most static margin allowed", "1 % more static margin"),
        ),
        Variable(
            "cruise_speed",
            "cruise_speed_kmh",
            "cruise speed",
            to_si(1, "km/h", "speed"),
            low=End("slowest cruise looked at", "1 km/h less than the slowest cruise"),
            high=End("fastest cruise looked at", "1 km/h more than the fastest cruise"),
        ),
        Variable(
            "equipment_position",
            "equipment_position_mm",
            "distance of the equipment from the nose",
            to_si(10, "mm", "length"),
            low=End("equipment as far forward as it may go", "equipment 10 mm farther forward"),
            high=End("equipment as far back as it may go", "equipment 10 mm farther back"),
        ),
    )
}
ENDS: dict[str, End] = {each.end_name(high): each.end(high) for each in VARIABLES.values() for high in (False, True)}
