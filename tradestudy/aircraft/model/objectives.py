"""What a builder may trade against each other: quantities of the model, which way is better, how they are told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

from tradestudy.errors import CommandError, near_match

from .limits import PULL_UP


class Purpose(NamedTuple):
    """An output of the model to be made greatest, SI, and its size on these wings: objectives of order one."""

    output: str
    scale: float
    number: str  # its name among the numbers of a design
    words: str
    unit: str
    si: float  # of one of that unit


PURPOSES = {"distance": Purpose("range", 1e5, "range_km", "range", "km", 1e3),
            "out_and_home": Purpose("radius", 5e4, "radius_by_charge_km", "out and home", "km", 1e3),
            "usual_flight": Purpose("usual_time", 1e4, "usual_flight_min", "usual flight", "min", 60.0)}


@dataclass(frozen=True)
class Traded:
    """One quantity: an ``output`` of the model, or a variable (its element ``index``), divided by output ``per``.

    ``sense``: +1 where more is better, -1 where less is. ``scale`` is its size on these wings, SI. ``number`` is its
    name among the numbers of a design, in ``unit``.
    """

    output: str
    sense: int
    scale: float
    number: str
    words: str
    unit: str
    si: float | None  # of one of that unit; None where the output is something else that goes with it
    index: int = 0
    per: str | None = None
    in_steps: bool = False  # hangs on what is bought alone

    @property
    def outputs(self) -> list[str]:
        """Names of what it is made of."""
        return [self.output] + ([self.per] if self.per else [])

    def told(self) -> dict[str, Any]:
        """Return how a report names it."""
        return {"number": self.number, "words": self.words, "unit": self.unit, "sense": self.sense}


def _wanted(purpose: str) -> Traded:
    known = PURPOSES[purpose]
    return Traded(known.output, +1, known.scale, known.number, known.words, known.unit, known.si)


TRADED = {
    "range": _wanted("distance"),
    "radius": _wanted("out_and_home"),
    "usual_flight": _wanted("usual_flight"),
    "cruise_speed": Traded("cruise_speed", +1, 10.0, "cruise_speed_kmh", "cruise speed", "km/h", 1 / 3.6),
    "failure_load_factor": Traded("failure_load_factor", +1, 10.0, "failure_load_factor", "failure load factor", "g",
                                  1.0, index=PULL_UP),
    "climb": Traded("climb_speed", +1, 5.0, "climb_ms", "climb at full throttle", "m/s", 1.0),
    "flying_weight": Traded("all_up_mass", -1, 1.0, "auw_g", "flying weight", "g", 1e-3),
    "span": Traded("span", -1, 1.0, "span_mm", "span", "mm", 1e-3),
    "wing_loading": Traded("all_up_mass", -1, 5.0, "wing_loading_g_dm2", "wing loading", "g/dm²", 0.1, per="area"),
    "pack_energy": Traded("pack_mass", -1, 0.5, "pack_energy_wh", "pack energy", "Wh", None, in_steps=True),
}
WEIGHT = "flying_weight"


def of_purpose(purpose: str) -> str:
    """Return the name of the quantity that a study's purpose wants most of."""
    return next(name for name, each in TRADED.items() if each.output == PURPOSES[purpose].output)


def pair(of: str, against: str) -> tuple[str, str]:
    """Return both names as they stand in `TRADED`. Raises CommandError for names that are not there, or are no pair."""
    found = []
    for option, asked in (("--of", of), ("--against", against)):
        name = asked.strip().replace("-", "_").replace(" ", "_")
        if name not in TRADED:
            raise CommandError(f"{option} {asked} is no quantity to trade.{near_match(name, list(TRADED))} "
                               f"Quantities: {', '.join(TRADED)}.")
        found.append(name)
    if found[0] == found[1]:
        raise CommandError(f"--of and --against are both {found[0]}: two different quantities are wanted.")
    if TRADED[found[0]].in_steps:
        raise CommandError(f"--of {found[0]}: it comes in steps; give it as --against.")
    return found[0], found[1]
