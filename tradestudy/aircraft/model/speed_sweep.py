"""One design: evaluated, and over a range of speeds: drag, power, stall and top speed, from one lattice solution."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq, minimize_scalar

from tradestudy.errors import RunFailed
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.endurance import cruise_range, mission
from tradestudy.physics.flight import strength, trimmed_flight
from tradestudy.physics.flight.power import CruisePower
from tradestudy.physics.propulsion import drive_train
from tradestudy.quantities.objectives import PURPOSES

from . import evaluation as chain
from .choices import Choice
from .evaluation import Evaluation, LevelFlight, Wings
from .model_data import ModelData

SPEED_POINTS = 60
LOOKED_AT = 12  # speeds at once, on the way to a stall or top speed
LOOKED_AT_AGAIN = 8
FASTEST = 150.0  # m/s; no top speed is looked for beyond
OUTER = 0.7  # of the half span: from here on out lie the tips
NEAR = np.linspace(0.75, 1.35, 21)  # of the speed that is likely best: where `best_speed_near` looks


class NeverFlies(RunFailed):
    """No speed leaves every strip of a trimmed wing below its stall."""


class Stall(NamedTuple):
    """The slowest trimmed flight: the first strip reaches the largest lift of its section."""

    speed: float  # [m/s]
    station: float  # of that strip, from the centre line [m]
    lift_coefficient: float  # of the trimmed wing, its largest [-]
    elevon: float  # [rad]
    tips_left: float  # least share of a section's largest lift that the outer strips still have in hand [-]


@dataclass(frozen=True)
class SpeedCard:
    """Arrays over speed (n_speed,), SI, and the two ends of the usable range."""

    speed: np.ndarray
    columns: dict[str, np.ndarray]
    stall: Stall
    top_speed: float

    @property
    def stall_speed(self) -> float:
        """Slowest trimmed speed. [m/s]"""
        return self.stall.speed

    @cached_property
    def _smooth(self) -> CubicSpline:
        return CubicSpline(self.speed, np.stack(list(self.columns.values()), axis=-1))

    def at(self, name: str, speed: Any) -> np.ndarray:
        """Return one column at speeds (...) [m/s], by a cubic spline between the points."""
        return self._smooth(speed)[..., list(self.columns).index(name)]


class SpeedSweep:
    """A design with its data, choice and variables (SI), its lattice solved once, to be asked at any speed.

    The cruise speed may be left out of ``variables`` where it is still to be found; ``evaluation`` wants it.
    """

    def __init__(self, data: ModelData, choice: Choice, variables: dict[str, float], wings: Wings | None = None):
        self.data, self.choice, self.variables = data, choice, variables
        self.design = chain.one_design(choice, variables)
        self.wings = wings or chain.wings_of(data, self.design)
        self.static_margin, self.shape = self.design.static_margin, self.wings.shape
        self.solution, self.powertrain = self.wings.solution, self.wings.powertrain

    def cruising_at(self, speed: float) -> SpeedSweep:
        """Return the same wing at another cruise speed. [m/s]"""
        return SpeedSweep(self.data, self.choice, self.variables | {"cruise_speed": speed}, self.wings)

    @cached_property
    def evaluation(self) -> Evaluation:
        """Everything that the model tells of the design."""
        return chain.evaluate(self.data, self.design, self.wings)

    @property
    def built(self) -> strength.HalfWing:
        """The half wing as a beam with its masses."""
        return self.wings.half

    def built_as(self, structure: strength.StrengthData) -> strength.HalfWing:
        """Return what ``built`` is, of other materials."""
        return strength.half_wing(structure, self.design.wing)

    def structure_as(self, structure: strength.StrengthData) -> strength.DesignStructure:
        """Return what the wing does under the same loads, built of other materials."""
        return chain.structure_with(structure, self.design, self.evaluation.flow)

    def level(self, speed: Any, static_margin: Any = None, load_factor: Any = 1.0) -> LevelFlight:
        """Return the LevelFlight at speeds (n,) [m/s].

        ``static_margin`` (n,) [of the mean chord] asks for other balance points than the design's own,
        ``load_factor`` (n,) [-] for a steady turn.
        """
        speed = np.atleast_1d(np.asarray(speed, float))
        margin = self.static_margin if static_margin is None else np.asarray(static_margin, float)
        return chain.level_flight(self.wings, speed, margin, load_factor)

    def drag(self, speed: Any) -> np.ndarray:
        """Return drag (n,) [N] at speeds (n,) [m/s]."""
        return self.level(speed).drag

    def stall(self, static_margin: float | None = None) -> Stall:
        """Return the slowest trimmed flight, at the design's own ``static_margin`` [of the mean chord] or another.

        Raises NeverFlies where some strip stalls at any speed.
        """

        def state(speed):
            speed = np.atleast_1d(speed)
            return self.level(speed, None if static_margin is None else np.full(len(speed), static_margin))

        def least(speed):
            return state(speed).stall_margin.min(axis=-1)

        weight = float(self.shape.all_up_mass) * GRAVITY
        guess = np.sqrt(2 * weight / (self.data.flight.air_density * float(self.shape.area) * 1.0))
        speed = _crossing(least, np.linspace(0.5 * guess, 2.0 * guess, LOOKED_AT))
        if speed is None:
            raise NeverFlies(
                "by these numbers there is no speed at which the wing flies without stalling somewhere: "
                "less washout, or another static margin."
            )
        found, mesh = state(speed), self.solution.mesh
        left, lift = found.stall_margin[0], found.lift_coefficient[0]
        station = mesh.middle[: mesh.n_wing, 1]
        outer = station > OUTER * float(self.solution.wing.semi_span)
        return Stall(
            speed,
            float(station[left.argmin()]),
            weight / float(found.dynamic_pressure[0] * self.shape.area),
            float(found.elevon[0]),
            float((left / (left + lift))[outer].min()),
        )

    def surplus_thrust(self, speed: Any, state_of_charge: float = 1.0) -> np.ndarray:
        """Return thrust less drag (n,) [N] at full throttle, at speeds (n,) [m/s]; on a full pack unless told."""
        speed = np.atleast_1d(np.asarray(speed, float))
        full = drive_train.full_throttle(
            self.powertrain, speed, self.data.power.air_density, state_of_charge, self.data.power.avionics_power
        )
        return full.shaft.thrust - self.drag(speed)

    def top_speed(self, slowest: float, state_of_charge: float = 1.0) -> float:
        """Return the full-throttle speed where thrust and drag meet, on a full pack unless told. [m/s]"""

        def short(speed):
            return -self.surplus_thrust(speed, state_of_charge)

        low = slowest
        while low < FASTEST:
            speeds = low * np.linspace(1.0, 4.0, LOOKED_AT)
            found = _crossing(short, speeds, looks=2)
            if found is not None:
                return found
            if low == slowest and short(low)[0] > 0:
                return slowest
            low = speeds[-1]
        return low

    def power_at(self, speed: Any) -> cruise_range.Cruise:
        """Return range, endurance and currents of steady cruise at speeds (n,) [m/s]."""
        return self._cruise(speed).cruise

    def radius_at(self, speed: Any) -> np.ndarray:
        """Return how far out and home on the charge alone, in the study's wind, at speeds (n,) [m/s]. [m]"""
        return self._cruise(speed).radius

    def usual_time_at(self, speed: Any) -> np.ndarray:
        """Return the time of a flight with its share of full throttle, cruising at speeds (n,) [m/s]. [s]"""
        return chain.usual_time(self.wings, self._cruise(speed))

    def gain_at(self, speed: Any, purpose: str = "distance") -> np.ndarray:
        """Return what ``fly.purpose`` wants most of, at speeds (n,) [m/s]: range [m], radius [m] or time [s]."""
        return chain.cruise_gain(self.wings, PURPOSES[purpose].output, self._cruise(speed))

    def _cruise(self, speed: Any) -> CruisePower:
        speed = np.atleast_1d(np.asarray(speed, float))
        return chain.cruise_power(self.wings, speed, self.drag(speed))

    def charge_left(self, speed: float, farthest_out: float | None) -> float:
        """Return the charge on landing [-] after out and home, turned at ``farthest_out`` [m] if that comes first."""
        data = self.data.power
        shaft = self.shaft_at(speed)

        def beyond(charge):
            flown = cruise_range.steady_cruise(self.powertrain, shaft, charge, data.avionics_power)
            return float(mission.radius_out_and_home(speed, flown.endurance[0], data.wind)) - (farthest_out or 0.0)

        if farthest_out is None or beyond(data.reserve) <= 0:
            return data.reserve
        return brentq(beyond, data.reserve, 1 - 1e-9, xtol=1e-6)

    def losses_at(self, speed: float, state_of_charge: float = 0.6) -> drive_train.Losses:
        """Return where the cells' power goes at one speed, in the middle of the flight. [W]"""
        point = drive_train.match(
            self.powertrain,
            np.atleast_1d(speed),
            self.drag(speed),
            self.data.power.air_density,
            state_of_charge,
            self.data.power.avionics_power,
        )
        return drive_train.losses(self.powertrain, point, state_of_charge, self.data.power.avionics_power)

    def losses_flat_out(self, top_speed: float) -> drive_train.Losses:
        """Return where the cells' power goes at full throttle in level flight on a full pack. [W]"""
        other = self.data.power.avionics_power
        point = drive_train.full_throttle(
            self.powertrain, np.atleast_1d(top_speed), self.data.power.air_density, 1.0, other
        )
        return drive_train.losses(self.powertrain, point, 1.0, other)

    def shaft_at(self, speed: Any, drag: Any = None) -> drive_train.ShaftPoint:
        """Return propeller and motor state in steady cruise at speeds (n,) [m/s], with their drag (n,) if known."""
        speed = np.atleast_1d(np.asarray(speed, float))
        return drive_train.shaft_demand(
            self.powertrain, speed, self.drag(speed) if drag is None else drag, self.data.power.air_density
        )

    def card(self) -> SpeedCard:
        """Return the whole speed card from stall to top speed."""
        stall = self.stall()
        top = self.top_speed(1.02 * stall.speed)
        speed = np.linspace(1.02 * stall.speed, max(top, 1.2 * stall.speed), SPEED_POINTS)
        state = self.level(speed)
        cruise = chain.cruise_power(self.wings, speed, state.drag)
        flown = cruise.cruise
        columns = {
            "drag": state.drag,
            "elevon": state.elevon,
            "range": flown.range,
            "endurance": flown.endurance,
            "radius": cruise.radius,
            "usual_time": chain.usual_time(self.wings, cruise),
            "energy_per_metre": flown.energy_per_metre,
            "charge_per_metre": flown.charge_per_metre,
            "current": flown.mean_current,
            "end_current": flown.end_current,
            "end_voltage": flown.end_voltage,
            "throttle": flown.end_throttle,
            "motor_current": flown.motor_current,
            "power": flown.energy_per_metre * speed,
            "stall_margin": state.stall_margin.min(axis=-1),
        }
        return SpeedCard(speed, columns, stall, top)


def _crossing(rising: Callable[[np.ndarray], np.ndarray], speeds: np.ndarray, looks: int = 3) -> float | None:
    """Return where a function of many speeds at once first rises through zero among speeds (n,); None if nowhere.

    Each look takes all speeds together, which costs little more than one: the step it rises in is looked at anew.
    After three looks a step is some hundredths of a metre per second, and a straight line ends it whatever kinks the
    function has; after two, a parabola of the speed over the values of a smooth one does.
    """
    for _ in range(looks):
        values = rising(speeds)
        steps = np.flatnonzero((values[:-1] <= 0) & (values[1:] > 0))
        if not len(steps):
            return None
        step = steps[0]
        last, last_values, bracket = speeds, values, speeds[step : step + 2]
        speeds = np.linspace(bracket[0], bracket[1], LOOKED_AT_AGAIN)
    few = slice(step, step + 2) if looks > 2 else slice(max(0, step - 1), step + 2)
    return float(_through(last_values[few], last[few], 0.0))


def _through(along: np.ndarray, values: np.ndarray, wanted: float) -> float:
    """Return the polynomial through two or three points (n,) at one place, by Lagrange's rule."""
    others = [np.delete(along, index) for index in range(len(along))]
    return sum(
        value * np.prod((wanted - other) / (here - other))
        for here, value, other in zip(along, values, others, strict=True)
    )


def best_speed(flown: SpeedSweep, purpose: str = "distance") -> float:
    """Return the cruise speed that serves ``fly.purpose`` best, never below 1.3 times stall. [m/s]"""
    stall = flown.stall().speed
    slowest = trimmed_flight.CRUISE_OVER_SLOW * stall
    fastest = max(1.01 * slowest, min(3.5 * stall, flown.top_speed(1.02 * stall)))  # no faster than the motor can
    best = minimize_scalar(
        lambda speed: -float(flown.gain_at(speed, purpose)[0]),
        bounds=(slowest, fastest),
        method="bounded",
        options={"xatol": 1e-3},
    )
    return float(best.x)


def best_speed_near(flown: SpeedSweep, purpose: str, likely: float) -> float:
    """Return the best cruise speed as `best_speed` does, in one look where it lies near a likely one. [m/s]"""
    speed = likely * NEAR
    margin = flown.level(speed / trimmed_flight.CRUISE_OVER_SLOW).stall_margin.min(axis=-1)
    gain = flown.gain_at(speed, purpose)
    top = int(np.argmax(gain))
    if not 0 < top < len(speed) - 1 or margin[-1] <= 0:
        return best_speed(flown, purpose)
    before, peak, after = gain[top - 1 : top + 2]
    best = speed[top] + 0.5 * (speed[1] - speed[0]) * (before - after) / (before - 2 * peak + after)
    if margin[0] > 0:
        return float(best)
    first = int(np.argmax(margin > 0))
    slowest = np.interp(0.0, margin[first - 1 : first + 1], speed[first - 1 : first + 1])
    return float(max(best, slowest))
