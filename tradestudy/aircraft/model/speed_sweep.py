"""One design over a range of speeds: drag, power, stall, top and best speed, all from one lattice solution.

A shape (...) means any batch axes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq, minimize_scalar

from tradestudy.errors import RunFailed
from tradestudy.physics.aeroelastic import elastic_wing
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.endurance import cruise_range, mission
from tradestudy.physics.flight import strength, trimmed_flight
from tradestudy.physics.flight.power import CruisePower
from tradestudy.physics.propulsion import drive_train
from tradestudy.quantities.objectives import PURPOSES

from . import evaluation as chain
from .choices import Choice
from .designs import one_design
from .evaluation import Evaluation, LevelFlight, Wings
from .model_data import ModelData

_SPEED_POINTS = 60  # number of speeds in a speed card
_SPEEDS_AT_ONCE = 12  # speeds evaluated in the first step of a search for a stall or top speed
_SPEEDS_AT_ONCE_AGAIN = 8  # speeds evaluated in each further step of that search
_FASTEST = 150.0  # m/s; no top speed is searched above this
_NEAR_LIKELY = np.linspace(0.75, 1.35, 21)  # speeds that `best_speed_near` evaluates, over the expected best speed


class NeverFlies(RunFailed):
    """Error: at every speed, some strip of the trimmed wing is stalled."""


class Stall(NamedTuple):
    """The slowest trimmed flight, at which the first strip reaches the largest lift of its section."""

    speed: float  # [m/s]
    station: float  # distance of that strip from the centre line [m]
    lift_coefficient: float  # largest lift coefficient of the trimmed wing [-]
    elevon: float  # elevon deflection, trailing edge down positive [rad]


@dataclass(frozen=True)
class SpeedCard:
    """Arrays of shape (n_speed,) over speed, SI, and the two ends of the usable range."""

    speed: np.ndarray
    columns: dict[str, np.ndarray]
    stall: Stall
    top_speed: float
    least_cruise: float  # lowest cruise speed that the study allows [m/s]

    @property
    def stall_speed(self) -> float:
        """The slowest trimmed speed. [m/s]"""
        return self.stall.speed

    @cached_property
    def _smooth(self) -> CubicSpline:
        return CubicSpline(self.speed, np.stack(list(self.columns.values()), axis=-1))

    def at(self, name: str, speed: Any) -> np.ndarray:
        """Return one column at speeds (...) [m/s], by a cubic spline through the points. The result is SI."""
        return self._smooth(speed)[..., list(self.columns).index(name)]


class SpeedSweep:
    """One design, given by model data, choice and variables (SI). It can be evaluated at any speed.

    The lattice is solved once. ``variables`` may lack the cruise speed if ``cruise_speed`` and ``evaluation`` are not
    used.
    """

    def __init__(self, data: ModelData, choice: Choice, variables: dict[str, float], wings: Wings | None = None):
        self.data, self.choice, self.variables = data, choice, variables
        self.design = one_design(choice, variables)
        self.wings = wings or chain.wings_of(data, self.design)
        self.static_margin, self.shape = self.design.static_margin, self.wings.shape
        self.solution, self.powertrain = self.wings.solution, self.wings.powertrain

    @property
    def cruise_speed(self) -> float:
        """The cruise speed of the design. [m/s]"""
        return float(self.variables["cruise_speed"])

    @property
    def air(self) -> elastic_wing.AirLoads:
        """Loads caused by one radian of incidence on each strip."""
        assert self.solution.air is not None, "wings are solved with strips"
        return self.solution.air

    def cruising_at(self, speed: float) -> SpeedSweep:
        """Return the same wing with another cruise speed. [m/s]"""
        return SpeedSweep(self.data, self.choice, self.variables | {"cruise_speed": speed}, self.wings)

    def with_losses(self, data: ModelData) -> SpeedSweep:
        """Return the same wing with model data that differ in the losses alone, so no lattice is solved."""
        return SpeedSweep(data, self.choice, self.variables, replace(self.wings, data=data))

    @cached_property
    def evaluation(self) -> Evaluation:
        """Every output of the model at the design's cruise speed."""
        return chain.evaluate(self.data, self.design, self.wings)

    @cached_property
    def own_stall(self) -> Stall:
        """The slowest trimmed flight at the design's own static margin."""
        return self.stall()

    @cached_property
    def stall_ahead(self) -> Stall:
        """The slowest trimmed flight with the balance ahead of its mark by the room that the study asks."""
        return self.stall(self.margin_ahead)

    @cached_property
    def fastest(self) -> float:
        """The top speed on a full pack, not below the stall. [m/s]"""
        return self.top_speed(1.02 * self.own_stall.speed)

    @cached_property
    def speed_card(self) -> SpeedCard:
        """The speed card: curves over speed, from stall to top speed."""
        stall, top = self.own_stall, self.fastest
        speed = np.linspace(1.02 * stall.speed, max(top, 1.2 * stall.speed), _SPEED_POINTS)
        state = self.level(speed)
        cruise_power = chain.cruise_power(self.wings, speed, state.drag)
        cruise = cruise_power.cruise
        columns = {
            "drag": state.drag,
            "elevon": state.elevon,
            "range": cruise.range,
            "endurance": cruise.endurance,
            "radius": cruise_power.radius,
            "usual_time": chain.usual_time(self.wings, cruise_power),
            "energy_per_metre": cruise.energy_per_metre,
            "charge_per_metre": cruise.charge_per_metre,
            "current": cruise.mean_current,
            "throttle": cruise.end_throttle,
            "power": cruise.energy_per_metre * speed,
        }
        return SpeedCard(speed, columns, stall, top, float(trimmed_flight.least_cruise(self.data.flight, stall.speed)))

    def half_wing_of(self, structure: strength.StrengthData) -> strength.HalfWing:
        """Return the half wing as a beam with its masses, with the materials of ``structure``."""
        return strength.half_wing(structure, self.design.wing)

    def structure_of(self, structure: strength.StrengthData) -> strength.DesignStructure:
        """Return the structure's results under the design's own loads, with the materials of ``structure``."""
        return chain.structure_with(structure, self.design, self.evaluation.flow)

    def level(self, speed: Any, static_margin: Any = None, load_factor: Any = 1.0) -> LevelFlight:
        """Return the LevelFlight at speeds (n,) [m/s].

        If ``static_margin`` (n,) [of the mean chord] is given, it replaces the design's own. A ``load_factor`` (n,) [-]
        above 1 means a steady turn.
        """
        speed = np.atleast_1d(np.asarray(speed, float))
        margin = self.static_margin if static_margin is None else np.asarray(static_margin, float)
        return chain.level_flight(self.wings, speed, margin, load_factor)

    def drag(self, speed: Any) -> np.ndarray:
        """Return drag (n,) [N] at speeds (n,) [m/s]."""
        return self.level(speed).drag

    @property
    def margin_ahead(self) -> float:
        """The static margin with the balance ahead of its mark by the room that the study asks. [-]"""
        return self.static_margin + self.data.flight.balance_room / float(self.solution.areas.mean_aerodynamic_chord)

    def stall(self, static_margin: float | None = None) -> Stall:
        """Return the slowest trimmed flight.

        If ``static_margin`` [of the mean chord] is None, the design's own is used.

        Raises NeverFlies if some strip is stalled at every speed.
        """

        margin = self.static_margin if static_margin is None else static_margin

        def state(speed):
            speed = np.atleast_1d(speed)
            return chain.stall_state(self.wings, speed, np.full(len(speed), margin))

        def least(speed):
            return state(speed).stall_margin.min(axis=-1)

        weight = float(self.shape.all_up_mass) * GRAVITY
        guess = np.sqrt(2 * weight / (self.data.flight.air_density * float(self.shape.area) * 1.0))
        speed = _crossing(least, np.linspace(0.5 * guess, 2.0 * guess, _SPEEDS_AT_ONCE))
        if speed is None:
            raise NeverFlies(
                "by these numbers there is no speed at which the wing flies without stalling somewhere: "
                "less washout, or another static margin."
            )
        flight, mesh = state(speed), self.solution.mesh
        station = mesh.middle[: mesh.n_wing, 1]
        return Stall(
            speed,
            float(station[flight.stall_margin[0].argmin()]),
            weight / float(flight.dynamic_pressure[0] * self.shape.area),
            float(flight.elevon[0]),
        )

    def full_throttle(self, speed: Any, state_of_charge: Any = 1.0) -> drive_train.OperatingPoint:
        """Return the drive at full throttle, or at its throttle cap, at speeds [m/s] and states of charge (...) [-]."""
        data = self.data.power
        return drive_train.full_throttle(
            self.powertrain, np.atleast_1d(speed), data.air_density, state_of_charge, data.avionics_power
        )

    def surplus_thrust(self, speed: Any, state_of_charge: float = 1.0) -> np.ndarray:
        """Return thrust minus drag (n,) [N] at full throttle, at speeds (n,) [m/s]. The default is a full pack."""
        speed = np.atleast_1d(np.asarray(speed, float))
        return self.full_throttle(speed, state_of_charge).shaft.thrust - self.drag(speed)

    def top_speed(self, slowest: float, state_of_charge: float = 1.0) -> float:
        """Return the speed at which full-throttle thrust equals drag. [m/s] The default is a full pack."""

        def missing_thrust(speed):
            return -self.surplus_thrust(speed, state_of_charge)

        low = slowest
        while low < _FASTEST:
            speeds = low * np.linspace(1.0, 4.0, _SPEEDS_AT_ONCE)
            top = _crossing(missing_thrust, speeds, looks=2)
            if top is not None:
                return top
            if low == slowest and missing_thrust(low)[0] > 0:
                return slowest
            low = speeds[-1]
        return low

    def power_at(self, speed: Any) -> cruise_range.Cruise:
        """Return range, endurance and currents of steady cruise at speeds (n,) [m/s]."""
        return self._cruise(speed).cruise

    def gain_at(self, speed: Any, purpose: str = "distance") -> np.ndarray:
        """Return the output that a purpose maximises, at speeds (n,) [m/s]: range [m], radius [m] or time [s]."""
        return chain.cruise_gain(self.wings, PURPOSES[purpose].output, self._cruise(speed))

    def _cruise(self, speed: Any) -> CruisePower:
        speed = np.atleast_1d(np.asarray(speed, float))
        return chain.cruise_power(self.wings, speed, self.drag(speed))

    def charge_left(self, speed: float, farthest_out: float | None) -> float:
        """Return the state of charge on landing [-] after a flight out and home.

        It turns at ``farthest_out`` [m], or earlier if the charge requires it.
        """
        data = self.data.power
        if farthest_out is None:
            return data.reserve
        shaft = self.shaft_at(speed)

        def excess_radius(charge):
            cruise = cruise_range.steady_cruise(self.powertrain, shaft, charge, data.avionics_power)
            return float(mission.radius_out_and_home(speed, cruise.endurance[0], data.wind)) - farthest_out

        if excess_radius(data.reserve) <= 0:
            return data.reserve
        return brentq(excess_radius, data.reserve, 1 - 1e-9, xtol=1e-6)

    def losses_at(self, speed: float, state_of_charge: float = 0.6) -> drive_train.Losses:
        """Return how the power of the cells divides into losses and use at one speed, by default in mid-flight. [W]"""
        data = self.data.power
        point = drive_train.match(
            self.powertrain,
            np.atleast_1d(speed),
            self.drag(speed),
            data.air_density,
            state_of_charge,
            data.avionics_power,
        )
        return drive_train.losses(self.powertrain, point, state_of_charge, data.avionics_power)

    def losses_at_full_throttle(self, speed: float) -> drive_train.Losses:
        """Return how the power of the cells divides at full throttle on a full pack. [W]"""
        return drive_train.losses(self.powertrain, self.full_throttle(speed), 1.0, self.data.power.avionics_power)

    def shaft_at(self, speed: Any, drag: Any = None) -> drive_train.ShaftPoint:
        """Return propeller and motor state in steady cruise at speeds (n,) [m/s].

        ``drag`` (n,) [N] is computed if it is None.
        """
        speed = np.atleast_1d(np.asarray(speed, float))
        return drive_train.shaft_demand(
            self.powertrain, speed, self.drag(speed) if drag is None else drag, self.data.power.air_density
        )


def _crossing(rising: Callable[[np.ndarray], np.ndarray], speeds: np.ndarray, looks: int = 3) -> float | None:
    """Return the speed at which a function of speeds (n,) first rises through zero, or None if it never does.

    Each round evaluates all speeds in one call, which costs little more than one speed. The next round divides the step
    in which the function first crosses zero. After three rounds a step is some hundredths of a metre per second. A
    straight line is then exact enough, even across a kink. After two rounds, a parabola is exact enough for a smooth
    function.
    """
    for _ in range(looks):
        values = rising(speeds)
        steps = np.flatnonzero((values[:-1] <= 0) & (values[1:] > 0))
        if not len(steps):
            return None
        step = steps[0]
        last, last_values, bracket = speeds, values, speeds[step : step + 2]
        speeds = np.linspace(bracket[0], bracket[1], _SPEEDS_AT_ONCE_AGAIN)
    few = slice(step, step + 2) if looks > 2 else slice(max(0, step - 1), step + 2)
    return float(_through(last_values[few], last[few], 0.0))


def _through(along: np.ndarray, values: np.ndarray, place: float) -> float:
    """Return the value at ``place`` of the polynomial through two or three points (n,), by Lagrange's rule."""
    others = [np.delete(along, index) for index in range(len(along))]
    return sum(
        value * np.prod((place - other) / (here - other))
        for here, value, other in zip(along, values, others, strict=True)
    )


def best_speed(sweep: SpeedSweep, purpose: str = "distance") -> float:
    """Return the best cruise speed for a purpose, never below the least cruise of the study. [m/s]"""
    stall = sweep.own_stall.speed
    slowest = float(trimmed_flight.least_cruise(sweep.data.flight, stall))
    fastest = max(1.01 * slowest, min(3.5 * stall, sweep.fastest))  # at most the top speed
    best = minimize_scalar(
        lambda speed: -float(sweep.gain_at(speed, purpose)[0]),
        bounds=(slowest, fastest),
        method="bounded",
        options={"xatol": 1e-3},
    )
    return float(best.x)


def best_speed_near(sweep: SpeedSweep, purpose: str, likely: float) -> float:
    """Return the same as `best_speed`, faster if the result lies near the expected speed ``likely``. [m/s]"""
    flight, speed = sweep.data.flight, likely * _NEAR_LIKELY
    margin = sweep.level(speed / flight.cruise_over_stall).stall_margin.min(axis=-1)
    gain = sweep.gain_at(speed, purpose)
    top = int(np.argmax(gain))
    if not 0 < top < len(speed) - 1 or margin[-1] <= 0:
        return best_speed(sweep, purpose)
    before, peak, after = gain[top - 1 : top + 2]
    best = speed[top] + 0.5 * (speed[1] - speed[0]) * (before - after) / (before - 2 * peak + after)
    best = max(best, flight.least_cruise_speed)
    if margin[0] > 0:
        return float(best)
    first = int(np.argmax(margin > 0))
    slowest = np.interp(0.0, margin[first - 1 : first + 1], speed[first - 1 : first + 1])
    return float(max(best, slowest))
