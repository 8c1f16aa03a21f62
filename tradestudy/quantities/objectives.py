"""What a builder may trade against each other, and what a study may want most of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

from tradestudy.errors import CommandError, near_match

from .quantities import QUANTITIES, Quantity
from .variables import VARIABLES


class Purpose(NamedTuple):
    """An output of the model to be made greatest, SI, and its size on these wings: objectives of order one."""

    output: str
    scale: float
    number: str  # its name among the numbers of a design

    @property
    def quantity(self) -> Quantity:
        """What it is: its words and unit."""
        return QUANTITIES[self.number]

    @property
    def words(self) -> str:
        """What a person calls it."""
        return self.quantity.label

    @property
    def unit(self) -> str:
        """Unit at the edges."""
        return self.quantity.unit

    @property
    def si(self) -> float:
        """Return one of its unit, SI."""
        return self.quantity.si


PURPOSES = {
    "distance": Purpose("range", 1e5, "range_km"),
    "out_and_home": Purpose("radius", 5e4, "radius_by_charge_km"),
    "usual_flight": Purpose("usual_time", 1e4, "usual_flight_min"),
}


@dataclass(frozen=True)
class TradeQuantity:
    """One quantity: an ``output`` of the model, or a variable, divided by output ``per``.

    ``scale`` is its size on these wings, SI. ``number`` is its name among the numbers of a design. ``condition``: of an
    output that has one value for each load condition, which one.
    """

    output: str
    scale: float
    number: str
    condition: str = ""
    per: str | None = None
    stands_for: bool = False  # the output is something else that goes with it, in steps: it hangs on what is bought

    @property
    def quantity(self) -> Quantity:
        """What it is: its words, unit, and which way is better."""
        return QUANTITIES[self.number]

    @property
    def sense(self) -> int:
        """Return +1 where more is better, -1 where less is."""
        return self.quantity.better

    @property
    def words(self) -> str:
        """What a person calls it."""
        return self.quantity.label

    @property
    def outputs(self) -> list[str]:
        """Names of what it is made of."""
        return [self.output] + ([self.per] if self.per else [])

    def told(self) -> dict[str, Any]:
        """Return how a report names it."""
        return {"number": self.number, "words": self.words, "unit": self.quantity.behind, "sense": self.sense}


def _wanted(purpose: str) -> TradeQuantity:
    known = PURPOSES[purpose]
    return TradeQuantity(known.output, known.scale, known.number)


TRADED = {
    "range": _wanted("distance"),
    "radius": _wanted("out_and_home"),
    "usual_flight": _wanted("usual_flight"),
    "cruise_speed": TradeQuantity("cruise_speed", 10.0, VARIABLES["cruise_speed"].key),
    "failure_load_factor": TradeQuantity("failure_load_factor", 10.0, "failure_load_factor", condition="pull_up"),
    "climb": TradeQuantity("climb_speed", 5.0, "climb_ms"),
    "flying_weight": TradeQuantity("all_up_mass", 1.0, "auw_g"),
    "span": TradeQuantity("span", 1.0, "span_mm"),
    "wing_loading": TradeQuantity("all_up_mass", 5.0, "wing_loading_g_dm2", per="area"),
    "pack_energy": TradeQuantity("pack_mass", 0.5, "pack_energy_wh", stands_for=True),
}
WEIGHT = "flying_weight"


def purpose_quantity(purpose: str) -> str:
    """Return the name of the quantity that a study's purpose wants most of."""
    return next(name for name, each in TRADED.items() if each.output == PURPOSES[purpose].output)


def traded_pair(of: str, against: str) -> tuple[str, str]:
    """Return both names as they stand in `TRADED`. Raises CommandError for names that are not there, or are no pair."""
    found = []
    for option, asked in (("--of", of), ("--against", against)):
        name = asked.strip().replace("-", "_").replace(" ", "_")
        if name not in TRADED:
            raise CommandError(
                f"{option} {asked} is no quantity to trade.{near_match(name, list(TRADED))} "
                f"Quantities: {', '.join(TRADED)}."
            )
        found.append(name)
    if found[0] == found[1]:
        raise CommandError(f"--of and --against are both {found[0]}: two different quantities are wanted.")
    if TRADED[found[0]].stands_for:
        raise CommandError(f"--of {found[0]}: it comes in steps; give it as --against.")
    return found[0], found[1]
