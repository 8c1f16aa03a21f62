"""Mixed flights of one wing as readings: their charge, and their speed where a distance was noted.

The flights of a wing are predicted in one call. What is the same in all flights of one pilot is a free factor of the
fit: the usual speed, how shares are guessed, how the wing is flown. So a hundred flights do not average it out.

Another build of the same design has its own scatter of dents, seams and gaps, and other parts have their own factors.
`WingFactors` says which free factor of the fit stands for each factor of a wing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np

from tradestudy.aircraft.anchor import mixed_flight
from tradestudy.aircraft.anchor.mixed_flight import Habits, WingInFlight
from tradestudy.aircraft.model.choices import Choice
from tradestudy.physics.propulsion import pack
from tradestudy.study.logbook.flights import STOCK, Flight

from .factored_wing import ONES, Factors, FitWing
from .hand_readings import AIR, CHARGER, ReadingGroup
from .least_squares import priors

SPEED_HABIT, SHARE_HABIT, AIR_HABIT = "pilot's usual speed", "pilot's shares", "pilot's way of flying"
HABITS = {
    SPEED_HABIT: mixed_flight.SPEED_HABIT,
    SHARE_HABIT: mixed_flight.SHARE_HABIT,
    AIR_HABIT: mixed_flight.AIR_HABIT,
}
# Of the variance of ln(drag) before a flight, the part that another build by the same hands has for itself; no source
_OWN_BUILD = 0.25
_DISPLAY = 0.06  # error of a charge state that is read from a display, as a share of the pack; common practice
_USES = (*AIR, "pack_resistance", "pack_capacity")


@dataclass(frozen=True)
class WingFactors:
    """The factors of one wing. ``other_parts`` has parts of its own, whose factors are not those of the stock wing's.

    ``name`` is empty for the stock wing.
    """

    name: str = ""
    other_parts: Mapping[str, float] = field(default_factory=dict)  # factor -> its deviation before any flight [-]
    own_drag: float = 0.0  # deviation of ln(drag) that this build does not share with the stock wing [-]

    def powers(self, factor: str) -> dict[str, float]:
        """Return a dict of free factor -> power, whose product stands for one factor of this wing.

        A build has the same deviation before a flight as the stock wing, and shares a part of it.
        """
        if factor in self.other_parts:
            return {f"{factor} of {self.name}": 1.0}
        if factor == "drag" and self.own_drag:
            return {factor: float(np.sqrt(1 - _OWN_BUILD)), f"drag of {self.name}": 1.0}
        return {factor: 1.0}

    @property
    def own_priors(self) -> dict[str, float]:
        """The free factors that belong to this wing alone, with their deviations before any flight."""
        own = {f"{factor} of {self.name}": spread for factor, spread in self.other_parts.items()}
        return own | ({f"drag of {self.name}": self.own_drag} if self.own_drag else {})

    def of_fit(self, free: Factors) -> dict[str, Any]:
        """Return the factors of this wing from the free factors of a fit. A factor that is not free there is 1."""
        found: dict[str, Any] = {}
        for factor in ONES:
            value: Any = 1.0
            for name, power in self.powers(factor).items():
                one = free.get(name, 1.0)
                value = value * (one if power == 1.0 else one**power)
            found[factor] = value
        return found


def wing_factors(stock: FitWing, name: str, choice: Choice) -> WingFactors:
    """Return the factors of a built wing. Parts that were not on the stock wing have factors of their own."""
    before = priors(stock.study)
    other = {
        "motor_resistance": bool(choice.motor),
        "drive_power": bool(choice.motor),
        "propeller_power": choice.propeller != stock.study.propeller.size,
        "pack_capacity": bool(choice.pack),
        "pack_resistance": bool(choice.pack),
    }
    return WingFactors(
        name,
        {factor: before[factor] for factor, differs in other.items() if differs},
        float(np.sqrt(_OWN_BUILD)) * before["drag"],
    )


class MixedFlights:
    """The mixed flights of one wing, SI."""

    def __init__(self, wing: FitWing, flights: Sequence[Flight], factors: WingFactors = WingFactors()):
        self.wing, self.factors, self.flights = wing, factors, tuple(flights)
        self.capacity = float(pack.pack_capacity(wing.train.pack))
        self.notes = mixed_flight.flight_notes([self._with_charge(one) for one in flights])
        self.by_share = np.array([one.charge is None for one in flights])

    def _with_charge(self, flight: Flight) -> Flight:
        share = flight.used_share
        return flight if flight.charge or share is None else replace(flight, charge=share * self.capacity)

    @cached_property
    def top_speed(self) -> float:
        """The top speed of the wing at factors of 1. [m/s]"""
        return self.wing.speed_sweep.top_speed(self.wing.best_cruise_speed)

    def flown(self, factors: Factors) -> WingInFlight:
        """Return the wing with the factors of a fit (...)."""
        own, wing = self.factors.of_fit(factors), self.wing
        turning = {**own, "induced": own["induced"] * mixed_flight.TURNING}
        return WingInFlight(
            train=wing.powertrain(own),
            drag=lambda speed: wing.drag_at(turning, speed),
            density=wing.density,
            avionics=wing.avionics,
            best_speed=wing.best_cruise_speed,
            top_speed=self.top_speed,
            label_capacity=self.capacity,
            usual_share=wing.study.fly.full_throttle_share,
        )

    def charges(self, factors: Factors) -> Any:
        """Return what the charger or the display would show (..., n) with the factors of a fit (...). [C]"""
        used = mixed_flight.charges(self.flown(factors), self.notes, _habits(factors))
        capacity = self.factors.of_fit(factors)["pack_capacity"]
        return used / np.where(self.by_share, capacity, 1.0)

    def air_speeds(self, factors: Factors) -> Any:
        """Return the mean airspeeds (..., n) that are expected without the noted distance. [m/s]"""
        return mixed_flight.expected_air_speed(self.flown(ONES), self.notes, _habits(factors))

    @cached_property
    def spreads(self) -> np.ndarray:
        """Standard deviations (n,) of ln(charge) of single flights, besides factors and habits. [-]"""
        display = np.where(self.by_share, _DISPLAY * self.capacity / self.notes.charge, CHARGER)
        return np.hypot(mixed_flight.charge_spreads(self.flown(ONES), self.notes), np.nan_to_num(display))

    def groups(self) -> list[ReadingGroup]:
        """Return the readings of all flights."""
        return [group for group, _ in self.noted_groups()]

    def noted_groups(self) -> list[tuple[ReadingGroup, np.ndarray]]:
        """Return the readings of all flights, each with an array (n,) that says which flights noted it."""
        charged, far = np.isfinite(self.notes.charge), np.isfinite(self.notes.ground_speed)
        names = [str(one.date or one.id or "flight") for one in self.flights]
        free = dict.fromkeys(name for factor in _USES for name in self.factors.powers(factor))
        found = []
        if charged.any():
            of_charge = ReadingGroup(
                kind=f"mixed flights{f' of {self.factors.name}' if self.factors.name else ''}",
                labels=tuple(name for name, given in zip(names, charged, strict=True) if given),
                unit="mAh",
                measured=self.notes.charge[charged],
                spread=self.spreads[charged],
                uses=(*free, *HABITS),
                predict=lambda factors: self.charges(factors)[..., charged],
                own_priors=self.factors.own_priors | HABITS,
                is_complex_safe=True,
            )
            found.append((of_charge, charged))
        if far.any():
            of_speed = ReadingGroup(
                kind="mixed flights",
                labels=tuple(name for name, given in zip(names, far, strict=True) if given),
                unit="km/h",
                measured=mixed_flight.mean_air_speed(self.notes)[far],
                spread=mixed_flight.air_speed_spreads(self.flown(ONES), self.notes)[far],
                uses=(SPEED_HABIT, SHARE_HABIT),
                predict=lambda factors: self.air_speeds(factors)[..., far],
                own_priors=HABITS,
                is_complex_safe=True,
            )
            found.append((of_speed, far))
        return found


def mixed_known_flight(wing: FitWing) -> list[ReadingGroup]:
    """Return the readings of the study's own known flight, if it has one that is mixed."""
    known = wing.study.known_flight
    if known is None or not known.is_mixed:
        return []
    flight = Flight(
        id="known flight",
        date=None,
        wing=STOCK,
        pack="",
        time=known.time,
        charge=known.charge_used,
        distance=known.distance,
        full_throttle=known.full_throttle,
    )
    return MixedFlights(wing, [flight]).groups()


def _habits(factors: Factors) -> Habits:
    return Habits(*(factors.get(name, 1.0) for name in (SPEED_HABIT, SHARE_HABIT, AIR_HABIT)))
