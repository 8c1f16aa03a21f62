"""The inputs of a stretched design that an option or an axis of a grid can set.

Each entry says how the input is read from text and how it is printed.
"""

from __future__ import annotations

from dataclasses import dataclass

from .units import in_unit, parse_quantity, unit_of_name
from .variables import VARIABLES


@dataclass(frozen=True)
class QuantityInput:
    """An input that is read as text with a unit.

    ``key`` is its name in files and printed output. ``least`` and ``most`` are the allowed range in SI.
    """

    key: str
    words: str
    least: float
    most: float

    @property
    def unit(self) -> str:
        """Return the unit shown to the user."""
        return unit_of_name(self.key)[1]

    def read(self, text: str) -> float:
        """Return the SI value of text with a unit. Raise ValueError if the text cannot be read."""
        return parse_quantity(text, unit_of_name(self.key)[0])

    def in_unit(self, value: float) -> float:
        """Return an SI value in the unit shown to the user."""
        return in_unit(value, self.unit)

    def allows(self, value: float) -> bool:
        """Return whether an SI value lies in the allowed range."""
        return self.least <= value <= self.most


@dataclass(frozen=True)
class CountInput:
    """An input that is a whole number of parts, from ``least`` to ``most``."""

    words: str
    most: int
    least: int = 1


QUANTITY_INPUTS = {
    "span": QuantityInput("span_mm", "span", 0.3, 6.0),
    "sweep": QuantityInput(VARIABLES["sweep"].key, "leading-edge sweep", 0.0, 0.8),
    "washout": QuantityInput(VARIABLES["washout"].key, "washout", -0.06, 0.25),
    "tip_chord": QuantityInput(VARIABLES["tip_chord"].key, "foam chord at the tip", 0.02, 0.8),
    "static_margin": QuantityInput(VARIABLES["static_margin"].key, "static margin", 0.0, 0.4),
    "cruise_speed": QuantityInput(VARIABLES["cruise_speed"].key, "cruise speed", 3.0, 80.0),
    "rod_diameter": QuantityInput("rod_diameter_mm", "rod diameter", 0.0005, 0.02),
}
COUNT_INPUTS = {
    "parallel": CountInput("cells in parallel", 12),
    "rod_pairs": CountInput("rod pairs in each half wing", 4),
}
PROPELLER_INPUT = "propeller"  # name of the input that is a propeller size, such as 10x6


def input_words_and_unit(name: str) -> tuple[str, str]:
    """Return the words for an input and the unit shown to the user. The unit is empty for a count or a part."""
    if name in QUANTITY_INPUTS:
        return QUANTITY_INPUTS[name].words, QUANTITY_INPUTS[name].unit
    return COUNT_INPUTS[name].words if name in COUNT_INPUTS else name, ""
