"""The purposes that a study may optimise for, and the quantities that a front may trade against each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from tradestudy.errors import CommandError, near_match

from .quantities import QUANTITIES, Quantity
from .variables import VARIABLES


class Purpose(NamedTuple):
    """An output of the model that a search maximises.

    The search divides the output by ``scale`` [SI], its usual size on these wings, so that objectives are of order one.
    """

    output: str
    scale: float
    number: str  # field of `results.numbers.DesignNumbers` that holds the output

    @property
    def quantity(self) -> Quantity:
        """Return the quantity that the output is, with its words and its unit."""
        return QUANTITIES[self.number]


PURPOSES = {
    "distance": Purpose("range", 1e5, "range_km"),
    "out_and_home": Purpose("radius", 5e4, "radius_by_charge_km"),
    "usual_flight": Purpose("usual_time", 1e4, "usual_flight_min"),
}


@dataclass(frozen=True)
class TradeQuantity:
    """A quantity that a front can trade.

    It is an ``output`` of the model or a variable. If ``per`` names another output, it is divided by that output.
    ``scale`` is its usual size on these wings, in SI. ``number`` is its field in `results.numbers.DesignNumbers`.
    If the output has a value for each load condition, ``condition`` names the one that is traded.
    """

    output: str
    scale: float
    number: str
    condition: str = ""
    per: str | None = None
    is_proxy: bool = False  # True if ``output`` is a substitute that changes in the same steps, with the parts bought
    in_steps: bool = False  # True if it changes in steps, so that no search can optimise it
    is_carried: bool = False  # True if it is no property of a wing: every level of it is a study of its own

    @property
    def quantity(self) -> Quantity:
        """Return the declared quantity, with its words, its unit and its better direction."""
        return QUANTITIES[self.number]

    @property
    def sense(self) -> int:
        """Return +1 if more is better, -1 if less is better."""
        return self.quantity.better

    @property
    def words(self) -> str:
        """Return the name of the quantity in a sentence."""
        return self.quantity.label

    @property
    def outputs(self) -> list[str]:
        """Return the names of the outputs from which the quantity is computed."""
        return [self.output] + ([self.per] if self.per else [])

    def front_axis(self) -> dict[str, Any]:
        """Return the arguments for a `results.trade.FrontQuantity` of this quantity."""
        return {"number": self.number, "words": self.words, "unit": self.quantity.suffix, "sense": self.sense}


def _of_purpose(purpose: str) -> TradeQuantity:
    return TradeQuantity(*PURPOSES[purpose])


TRADED = {
    "range": _of_purpose("distance"),
    "out_and_home": _of_purpose("out_and_home"),
    "usual_flight": _of_purpose("usual_flight"),
    "cruise_speed": TradeQuantity("cruise_speed", 10.0, VARIABLES["cruise_speed"].key),
    "failure_load_factor": TradeQuantity("failure_load_factor", 10.0, "failure_load_factor", condition="pull_up"),
    "climb": TradeQuantity("climb_speed", 5.0, "climb_ms"),
    "flying_weight": TradeQuantity("all_up_mass", 1.0, "auw_g"),
    "span": TradeQuantity("span", 1.0, "span_mm"),
    "wing_loading": TradeQuantity("all_up_mass", 5.0, "wing_loading_g_dm2", per="area"),
    "stall_speed": TradeQuantity("stall_speed", 10.0, "stall_speed_kmh"),
    "endurance": TradeQuantity("endurance", 1e4, "endurance_min"),
    "pack_energy": TradeQuantity("pack_mass", 0.5, "pack_energy_wh", is_proxy=True, in_steps=True),
    "price": TradeQuantity("build_price", 100.0, "build_price", in_steps=True),
    "payload": TradeQuantity("payload", 0.2, "payload_g", is_carried=True),
}
OPTIMISED = tuple(
    name for name, each in TRADED.items() if not (each.in_steps or each.is_carried)
)  # those that a front can optimise
WEIGHT, PRICE, PAYLOAD = "flying_weight", "price", "payload"
# The price without rods, which are bought in whole lengths. It is smooth, so that searches can bound it.
WITHOUT_RODS = "price_without_rods"
SEARCHED = {**TRADED, WITHOUT_RODS: TradeQuantity(WITHOUT_RODS, 100.0, "build_price")}
PRICED = ("build_price", WITHOUT_RODS)  # quantities that follow from shape and parts, without the model
_MOST_AGAINST = 2


def purpose_quantity(purpose: str) -> str:
    """Return the name of the quantity that a purpose maximises, as a key of `TRADED`."""
    return next(name for name, each in TRADED.items() if each.output == PURPOSES[purpose].output)


def traded_pair(of: str, against: str) -> tuple[str, str]:
    """Return both names as keys of `TRADED`.

    Raise CommandError if a name is unknown, or if the two quantities cannot be traded against each other.
    """
    names = []
    for option, text, known in (("--of", of, OPTIMISED), ("--against", against, tuple(TRADED))):
        name = text.strip().replace("-", "_").replace(" ", "_")
        if name == PAYLOAD and name not in known:
            raise CommandError(f"{option} {name}: give it as --against; its front ends at the largest payload.")
        if name in TRADED and name not in known:
            raise CommandError(f"{option} {name}: this quantity changes in steps; give it as --against.")
        if name not in known:
            raise CommandError(
                f"{option} {text} is no quantity to trade.{near_match(name, list(known))} "
                f"Quantities: {', '.join(known)}."
            )
        names.append(name)
    if names[0] == names[1]:
        raise CommandError(f"--of and --against are both {names[0]}; give two different quantities.")
    return names[0], names[1]


def traded_names(of: str, against: Sequence[str]) -> tuple[str, tuple[str, ...]]:
    """Return the names of one quantity and of the one or two that it is traded against, as keys of `TRADED`.

    Raise CommandError as `traded_pair`, and for more quantities, or the same one twice.
    """
    pairs = [traded_pair(of, each) for each in against]
    names = tuple(name for _, name in pairs)
    if not 1 <= len(names) <= _MOST_AGAINST:
        raise CommandError(f"--against is given {len(names)} times; give it once or twice.")
    if PAYLOAD in names and len(names) > 1:
        raise CommandError("--against payload: give it alone; tradestudy payload tells the parts that win with it.")
    if len(set(names)) < len(names):
        raise CommandError(f"--against {names[0]} is given twice; give two different quantities.")
    return pairs[0][0], names
