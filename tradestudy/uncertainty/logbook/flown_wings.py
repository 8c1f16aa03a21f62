"""The wings that flew by a logbook: the stock wing and the built ones, each with its factors in the common fit.

One fit holds all flights of all wings of a study. They share the pilot and what the stock wing's measurements say.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import erfc
from pathlib import Path
from statistics import NormalDist
from typing import NamedTuple

import numpy as np

from tradestudy.aircraft.anchor.drag_calibration import CHARGE_SLACK, SPEED_SLACK
from tradestudy.aircraft.model.choices import Choice
from tradestudy.quantities import in_unit, with_unit
from tradestudy.study.logbook.flights import STOCK, Flight
from tradestudy.study.schema.study import Study
from tradestudy.uncertainty.fit.factored_wing import FitWing
from tradestudy.uncertainty.fit.hand_readings import ReadingGroup, known_flight_readings
from tradestudy.uncertainty.fit.least_squares import (
    MOST_LOGS,
    Fit,
    by_name,
    fit_factors,
    log_slopes,
    predicted,
    slopes_of,
)
from tradestudy.uncertainty.fit.mixed_flight import MixedFlights, WingFactors, mixed_known_flight, wing_factors
from tradestudy.uncertainty.fit.next_measurement import RangeBand

from .logged_flights import logged_readings

HARD_TO_BELIEVE = 4.0  # standard deviations from what is expected, beyond which a flight is set aside
_EIGHT_OF_TEN = NormalDist().inv_cdf(0.9)  # standard deviations from the middle to the ends of a printed band


class WingDesign(NamedTuple):
    """The design of a built wing: its parts, its variables (SI), and its mass on the scale [kg] or None."""

    choice: Choice
    variables: dict[str, float]
    mass: float | None = None


class Expected(NamedTuple):
    """One quantity of a flight as expected before it, and as noted. SI; ``spread`` is that of the logarithm."""

    unit: str
    middle: float
    spread: float
    measured: float

    @property
    def deviations(self) -> float:
        """How far the note is from the middle, in standard deviations."""
        return float(np.log(self.measured / self.middle) / self.spread)

    @property
    def ends(self) -> tuple[float, float]:
        """The ends between which eight of ten such flights lie."""
        low, high = (self.middle * float(np.exp(side * _EIGHT_OF_TEN * self.spread)) for side in (-1, 1))
        return low, high

    @property
    def share_as_far(self) -> float:
        """The share of such flights that are as far off, or farther. [-]"""
        return float(erfc(abs(self.deviations) / np.sqrt(2)))


class FlownWings:
    """The stock wing of a study and its built wings, for fits to flights of a logbook."""

    def __init__(self, study: Study, designs: dict[str, WingDesign]):
        self.stock, self.designs = FitWing(study), designs
        self._folder = study.path.parent
        self._logs: dict[tuple[str, Path], list[ReadingGroup]] = {}  # readings by wing and log
        self._known: dict[str, tuple[FitWing, WingFactors]] = {STOCK: (self.stock, WingFactors())}

    def wing(self, name: str) -> tuple[FitWing, WingFactors]:
        """Return a wing by its name in the logbook, and its factors."""
        if name not in self._known:
            choice, variables, mass = self.designs[name]
            wing = self.stock.of_design(choice, variables, mass)
            self._known[name] = wing, wing_factors(self.stock, name, choice)
        return self._known[name]

    def like(self, design: WingDesign) -> tuple[FitWing, WingFactors]:
        """Return the wing of a design, and its factors: of the built wing of that design, or of one yet to build."""
        for name, (choice, variables, _) in self.designs.items():
            if choice == design.choice and all(
                np.isclose(variables[each], design.variables[each], rtol=1e-4, atol=1e-6)
                for each in _SHAPE & set(variables)
            ):
                return self.wing(name)
        made = self.stock.of_design(design.choice, design.variables, design.mass)
        return made, wing_factors(self.stock, "a wing to build", design.choice)

    def flights_of(self, name: str, flights: Sequence[Flight]) -> MixedFlights:
        """Return flights of one wing, for predictions."""
        wing, factors = self.wing(name)
        return MixedFlights(wing, flights, factors)

    def groups(self, flights: Sequence[Flight]) -> list[ReadingGroup]:
        """Return all readings: the flights of every wing, and the known flight of the study."""
        names = dict.fromkeys(one.wing for one in flights)
        found = [*known_flight_readings(self.stock), *mixed_known_flight(self.stock)]
        logged = {id(one): readings for one in flights if one.log and (readings := self._logged(one.wing, one.log))}
        for readings in logged.values():
            found += readings
        for name in names:
            mixed = [one for one in flights if one.wing == name and id(one) not in logged]
            found += self.flights_of(name, mixed).groups()
        return found

    def _logged(self, name: str, log: Path) -> list[ReadingGroup]:
        """Return the readings of a log; none where its airspeeds are unknown, or beyond the most logs of a fit."""
        key = name, log
        if key not in self._logs and len(self._logs) < MOST_LOGS:
            number = len(self._logs) + 1
            self._logs[key] = logged_readings(*self.wing(name), self._folder / log, number)
        return self._logs.get(key, [])

    def fit(self, flights: Sequence[Flight]) -> Fit:
        """Return the fit to the flights. Without any, it holds the priors and the known flight."""
        return fit_factors(self.stock, self.groups(flights))

    def believed(self, flights: Sequence[Flight]) -> tuple[list[Flight], list[tuple[Flight, str]]]:
        """Return the flights that a fit may use, and those that it may not, each with a reason.

        A flight may not be used if this wing cannot have flown it, or if it contradicts all others.
        """
        refused = [(one, " ".join(faults)) for one in flights if (faults := self.impossible(one))]
        kept = [one for one in flights if one not in [flight for flight, _ in refused]]
        while kept:
            fit = self.fit(kept)
            expected = self.all_expected(fit, kept)
            off = [max((abs(one.deviations) for one in each), default=0.0) for each in expected]
            worst = int(np.argmax(off))
            if off[worst] <= HARD_TO_BELIEVE:
                break
            flight = kept.pop(worst)
            refused.append((flight, self.doubt(self.expected(self.fit(kept), flight))))
        return kept, refused

    def impossible(self, flight: Flight) -> list[str]:
        """Return a sentence for each value that this wing cannot have flown with."""
        flights = self.flights_of(flight.wing, [flight])
        capacity, top = flights.capacity, flights.top_speed
        faults = []
        if flight.charge is not None and flight.charge > (1 + CHARGE_SLACK) * capacity:
            faults.append(
                f"{with_unit(flight.charge, 'mAh')} were used, but the pack holds {with_unit(capacity, 'mAh')}."
            )
        if flight.distance is not None:
            ground, wind = flight.distance / flight.time, flight.wind or 0.0
            stall = flights.wing.speed_sweep.stall().speed
            if ground > (1 + SPEED_SLACK) * top:
                faults.append(
                    f"Distance over time is {with_unit(ground, 'km/h')}, but the wing reaches {with_unit(top, 'km/h')}."
                )
            if ground + wind < (1 - SPEED_SLACK) * stall:
                faults.append(
                    f"Distance over time is {with_unit(ground, 'km/h')}, but the wing stalls at "
                    f"{with_unit(stall, 'km/h')}."
                )
        return faults

    def expected(self, fit: Fit, flight: Flight) -> list[Expected]:
        """Return what a fit expects of a flight: charge, and speed if a distance was noted."""
        return self.all_expected(fit, [flight])[0]

    def all_expected(self, fit: Fit, flights: Sequence[Flight]) -> list[list[Expected]]:
        """Return what a fit expects of each flight, as `expected` does. All flights of a wing are predicted at once."""
        found: list[list[Expected]] = [[] for _ in flights]
        for name in dict.fromkeys(one.wing for one in flights):
            places = [place for place, one in enumerate(flights) if one.wing == name]
            mixed = self.flights_of(name, [flights[place] for place in places])
            for group, noted in mixed.noted_groups():
                names, logs, covariance = _with_own(fit, group.own_priors)
                steep = slopes_of(group, names, logs)
                spreads = np.sqrt(np.einsum("ij,jk,ik->i", steep, covariance, steep) + group.spread**2)
                middles = predicted(group, names, logs)
                for row, at in enumerate(np.flatnonzero(noted)):
                    values = middles[row], spreads[row], group.measured[row]
                    found[places[at]].append(Expected(group.unit, *map(float, values)))
        return found

    @staticmethod
    def doubt(expected: Sequence[Expected]) -> str:
        """Return why a flight is hard to believe, in words."""
        worst = max(expected, key=lambda one: abs(one.deviations))
        low, high = (f"{in_unit(end, worst.unit):.0f}" for end in worst.ends)
        return (
            f"hard to believe: {with_unit(worst.measured, worst.unit)}, where {low} to {high} {worst.unit} were "
            f"expected, is {abs(worst.deviations):.1f} standard deviations off"
        )

    def range_band(self, fit: Fit, wing: FitWing, factors: WingFactors) -> RangeBand:
        """Return the band of a wing's range in still air after a fit. [m]

        Factors of its own without a flight have their deviations before any flight.
        """
        names, logs, covariance = _with_own(fit, factors.own_priors)

        def ranges(at: np.ndarray) -> np.ndarray:
            return np.array([wing.range_of(factors.of_fit(by_name(names, at)))])

        middle = float(ranges(logs)[0])
        used = {name for factor in _RANGE_FACTORS for name in factors.powers(factor)}
        steep = log_slopes(ranges, logs, [place for place, name in enumerate(names) if name in used])[0]
        off = _EIGHT_OF_TEN * float(np.sqrt(steep @ covariance @ steep))
        return RangeBand(middle * float(np.exp(-off)), middle, middle * float(np.exp(off)))


def factor_bands(fit: Fit, factors: WingFactors) -> dict[str, RangeBand]:
    """Return the factors of one wing that flights tell, over those of usual built wings: name -> band. [-]

    Flights cannot tell losses of the propeller from other losses of the drive, so the power of the drive is both.
    """
    names, logs, covariance = _with_own(fit, factors.own_priors)
    found = {}
    for name, parts in _REPORTED.items():
        way = np.zeros(len(names))
        for part in parts:
            for free, power in factors.powers(part).items():
                way[names.index(free)] += power
        off = _EIGHT_OF_TEN * float(np.sqrt(way @ covariance @ way))
        low, middle, high = (float(np.exp(way @ logs + side * off)) for side in (-1, 0, 1))
        found[name] = RangeBand(low, middle, high)
    return found


_SHAPE = {"extension", "sweep", "washout", "tip_chord"}  # variables that are cut and cannot be set again
_REPORTED = {"drag": ("drag",), "induced": ("induced",), "drive_power": ("drive_power", "propeller_power")}


def _with_own(fit: Fit, own: Mapping[str, float]) -> tuple[tuple[str, ...], np.ndarray, np.ndarray]:
    """Return names (n,), ln(factor) (n,) and covariance (n, n) of a fit, with factors that no flight has reached."""
    extra = {name: spread for name, spread in own.items() if name not in fit.names}
    count = len(fit.names)
    covariance = np.diag([*np.zeros(count), *(one**2 for one in extra.values())])
    covariance[:count, :count] = fit.covariance
    return (*fit.names, *extra), np.concatenate([fit.mean, np.zeros(len(extra))]), covariance


_RANGE_FACTORS = (
    "drag",
    "induced",
    "drive_power",
    "propeller_power",
    "motor_resistance",
    "pack_capacity",
    "pack_resistance",
)
