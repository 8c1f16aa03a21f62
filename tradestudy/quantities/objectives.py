"""The purposes that a study may optimise for, and the quantities that a front may trade against each other."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

from tradestudy.errors import CommandError, near_match

from .quantities import QUANTITIES, Quantity
from .variables import VARIABLES


class Purpose(NamedTuple):
    """An output of the model to maximise. ``scale`` [SI] is its size on these wings, for objectives of order one."""

    output: str
    scale: float
    number: str  # its name among the numbers of a design

    @property
    def quantity(self) -> Quantity:
        """Return the quantity that it is, with words and unit."""
        return QUANTITIES[self.number]


PURPOSES = {
    "distance": Purpose("range", 1e5, "range_km"),
    "out_and_home": Purpose("radius", 5e4, "radius_by_charge_km"),
    "usual_flight": Purpose("usual_time", 1e4, "usual_flight_min"),
}


@dataclass(frozen=True)
class TradeQuantity:
    """A quantity that a front can trade: an ``output`` of the model, or a variable, divided by the output ``per``.

    ``scale`` is its size on these wings, SI. ``number`` is its name among the numbers of a design. ``condition`` picks
    one load condition of an output that has a value for each.
    """

    output: str
    scale: float
    number: str
    condition: str = ""
    per: str | None = None
    is_proxy: bool = False  # the output is another quantity, which changes in steps together with the parts bought

    @property
    def quantity(self) -> Quantity:
        """Return the quantity that it is, with words, unit and which way is better."""
        return QUANTITIES[self.number]

    @property
    def sense(self) -> int:
        """Return +1 where more is better, -1 where less is."""
        return self.quantity.better

    @property
    def words(self) -> str:
        """Return its name in a sentence."""
        return self.quantity.label

    @property
    def outputs(self) -> list[str]:
        """Return the names of the outputs that it is made of."""
        return [self.output] + ([self.per] if self.per else [])

    def front_axis(self) -> dict[str, Any]:
        """Return the fields of `results.trade.FrontQuantity`."""
        return {"number": self.number, "words": self.words, "unit": self.quantity.suffix, "sense": self.sense}


def _of_purpose(purpose: str) -> TradeQuantity:
    return TradeQuantity(*PURPOSES[purpose])


TRADED = {
    "range": _of_purpose("distance"),
    "radius": _of_purpose("out_and_home"),
    "usual_flight": _of_purpose("usual_flight"),
    "cruise_speed": TradeQuantity("cruise_speed", 10.0, VARIABLES["cruise_speed"].key),
    "failure_load_factor": TradeQuantity("failure_load_factor", 10.0, "failure_load_factor", condition="pull_up"),
    "climb": TradeQuantity("climb_speed", 5.0, "climb_ms"),
    "flying_weight": TradeQuantity("all_up_mass", 1.0, "auw_g"),
    "span": TradeQuantity("span", 1.0, "span_mm"),
    "wing_loading": TradeQuantity("all_up_mass", 5.0, "wing_loading_g_dm2", per="area"),
    "pack_energy": TradeQuantity("pack_mass", 0.5, "pack_energy_wh", is_proxy=True),
}
WEIGHT = "flying_weight"


def purpose_quantity(purpose: str) -> str:
    """Return the name in `TRADED` of the quantity that a purpose maximises."""
    return next(name for name, each in TRADED.items() if each.output == PURPOSES[purpose].output)


def traded_pair(of: str, against: str) -> tuple[str, str]:
    """Return both names as `TRADED` has them. Raises CommandError for an unknown name or a pair that is no trade."""
    names = []
    for option, text in (("--of", of), ("--against", against)):
        name = text.strip().replace("-", "_").replace(" ", "_")
        if name not in TRADED:
            raise CommandError(
                f"{option} {text} is no quantity to trade.{near_match(name, list(TRADED))} "
                f"Quantities: {', '.join(TRADED)}."
            )
        names.append(name)
    if names[0] == names[1]:
        raise CommandError(f"--of and --against are both {names[0]}; give two different quantities.")
    if TRADED[names[0]].is_proxy:
        raise CommandError(f"--of {names[0]}: this quantity changes in steps; give it as --against.")
    return names[0], names[1]
