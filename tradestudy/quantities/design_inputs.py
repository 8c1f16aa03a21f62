"""What of a stretched design may be asked for by hand, or laid out on an axis, each once: how it is read and told."""

from __future__ import annotations

from dataclasses import dataclass

from .units import in_unit, parse_quantity, unit_of_name
from .variables import VARIABLES


@dataclass(frozen=True)
class QuantityInput:
    """A quantity that is read as text with its unit: ``key`` at the edges, and what these wings can be [SI]."""

    key: str
    words: str
    least: float
    most: float

    @property
    def kind(self) -> str:
        """What kind of quantity it is."""
        return unit_of_name(self.key)[0]

    @property
    def unit(self) -> str:
        """Its usual unit at the edges."""
        return unit_of_name(self.key)[1]

    def read(self, text: str) -> float:
        """Return the SI value of text with a unit. Raises ValueError with a sentence for a person."""
        return parse_quantity(text, self.kind)

    def told(self, value: float) -> float:
        """Return an SI value in its usual unit."""
        return in_unit(value, self.unit)

    def can_be(self, value: float) -> bool:
        """Whether these wings can be so."""
        return self.least <= value <= self.most


@dataclass(frozen=True)
class CountInput:
    """Something that is bought by the piece."""

    words: str
    most: int
    least: int = 1


QUANTITY_INPUTS = {
    "span": QuantityInput("span_mm", "span", 0.3, 6.0),
    "sweep": QuantityInput(VARIABLES["sweep"].key, "leading-edge sweep", 0.0, 0.8),
    "washout": QuantityInput(VARIABLES["washout"].key, "washout", -0.06, 0.25),
    "static_margin": QuantityInput(VARIABLES["static_margin"].key, "static margin", 0.0, 0.4),
    "cruise_speed": QuantityInput(VARIABLES["cruise_speed"].key, "cruise speed", 3.0, 80.0),
    "rod_diameter": QuantityInput("rod_diameter_mm", "rod diameter", 0.0005, 0.02),
}
COUNT_INPUTS = {"parallel": CountInput("cells in parallel", 12), "rod_pairs": CountInput("rod pairs in each half wing", 4)}
PROPELLER_INPUT = "propeller"  # by its size, such as 10x6


def words_and_unit(name: str) -> tuple[str, str]:
    """Return what a person calls something that may be asked for, and its usual unit, empty without one."""
    if name in QUANTITY_INPUTS:
        return QUANTITY_INPUTS[name].words, QUANTITY_INPUTS[name].unit
    return COUNT_INPUTS[name].words if name in COUNT_INPUTS else name, ""
