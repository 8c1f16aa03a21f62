"""The largest payload of one wing as it is built, and that wing with any payload.

Shape and parts stay. What a builder still sets is set anew for each payload: the cruise speed, the balance mark, and
the equipment that may move; the pack moves so that the mark is met. None of these changes the lattice, so it is solved
once. The payload itself is one more variable with exact slopes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.designs import one_design
from tradestudy.aircraft.model.evaluation import Wings, balance_marks, evaluate, reweighed, wings_of
from tradestudy.aircraft.model.limit_bounds import MET_ABOVE, Limit
from tradestudy.aircraft.model.model_data import with_mass_added
from tradestudy.physics.flight.records import STEP
from tradestudy.quantities.objectives import SEARCHED, purpose_quantity
from tradestudy.search.scaled_problem import MOST_EVALUATIONS, EvaluationsSpent, slsqp_minimum
from tradestudy.search.search_space import SearchSpace
from tradestudy.search.search_task import VariableValues

from .payload_on_board import Payload, payload_place, study_with_payload

SET_IN_FLIGHT = ("cruise_speed", "static_margin", "equipment_position")  # what a built wing still leaves open
MASS = "payload"  # name of the payload's mass among the variables
GRAM = 1e-3  # kg; payloads are found to a whole gram
MOST = 6.4  # kg; heavier payloads are not looked at
JUST_BEYOND = 0.05  # share of the largest payload by which one just beyond it is heavier; it names what ends it
LEAST_BEYOND = 5 * GRAM
_TOLERATED = -0.9 * MET_ABOVE  # scaled margin by which a limit may be missed and still counts as met
_NEARER = 2  # payloads a gram lighter that are tried if the largest misses a limit by a rounding


class Loaded(NamedTuple):
    """One wing with one payload, SI. ``margins`` are the least scaled margins of its limits by name."""

    mass: float
    variables: VariableValues
    outputs: dict[str, Any]
    margins: dict[str, float]

    @property
    def met(self) -> bool:
        """Whether every limit is met."""
        return min(self.margins.values(), default=0.0) > MET_ABOVE

    @property
    def worst(self) -> str:
        """Return the name of the limit that is nearest, or violated most."""
        return min(self.margins, key=lambda name: self.margins[name], default="")


class Largest(NamedTuple):
    """The wing with its largest payload, and the limit that ends it.

    ``wing`` is None if a limit is broken without payload. ``end`` is the limit that is violated most by a payload just
    beyond. It is empty if no more was looked at.
    """

    wing: Loaded | None
    end: str


@dataclass(frozen=True)
class Carrier:
    """One built wing of a search space, and what may lie on board. ``let_go`` names limits that do not count.

    The payload lies at the wing's own balance mark, unless it says where else. Raises CommandError if it has no room.
    """

    space: SearchSpace
    choice: Choice
    variables: VariableValues
    payload: Payload = Payload()
    let_go: tuple[str, ...] = ()

    @cached_property
    def mark(self) -> float:
        """The balance mark of the wing without payload. [m]"""
        return float(balance_marks(wings_of(self.space.data(self.choice), self._design)))

    @cached_property
    def loaded_space(self) -> SearchSpace:
        """The search space with room and power for the payload, but without its mass."""
        if self.payload == Payload():
            return self.space
        return self.space.of_study(study_with_payload(self.space.study, self.payload, 0.0, self.mark))

    def empty(self) -> Loaded:
        """Return the wing without any payload, as it is."""
        outputs = evaluate(self.space.data(self.choice), self._design).by_name()
        return Loaded(0.0, dict(self.variables), outputs, self._least(outputs))

    def broken(self) -> tuple[str, ...]:
        """Return the names of the limits that the wing breaks without payload."""
        return tuple(name for name, margin in self.empty().margins.items() if not margin > MET_ABOVE)

    def words(self, limit: str) -> str:
        """Return the words for a limit, or none for no limit."""
        return next((each.words for each in self.limits if each.name == limit), "")

    def at(self, mass: float) -> Loaded:
        """Return the wing with a payload [kg], flown as well as it can within the limits, or the least violation."""
        if mass <= 0 and self.payload.power <= 0:
            return self.empty()
        flown = self._loaded(mass, self._found("gain", self.variables, mass))
        if flown.met:
            return flown
        nearest = self._loaded(mass, self._found("room", self.variables, mass))
        if not nearest.met:
            return nearest
        again = self._loaded(mass, self._found("gain", nearest.variables, mass))
        return again if again.met else nearest

    def largest(self, most: float = MOST) -> Largest:
        """Return the largest payload up to ``most`` [kg], to a whole gram, with the wing flown as well as it can."""
        empty = self.at(0.0)
        if not empty.met:
            return Largest(None, empty.worst)
        end = self._found("mass", empty.variables | {MASS: 0.0}, most=most)
        wing = next((one for one in self._just_below(end) if one.met), empty)
        if wing.mass > most - GRAM:
            return Largest(wing, "")
        beyond = max((1 + JUST_BEYOND) * wing.mass, wing.mass + LEAST_BEYOND)
        return Largest(wing, self._loaded(beyond, wing.variables).worst)

    def _just_below(self, end: VariableValues) -> Iterator[Loaded]:
        """Yield wings with the payload of ``end`` in whole grams, flown as well as they can, then as ``end`` has them.

        At the largest payload hardly any balance is left to choose, so the speed is searched by itself too.
        """
        grams = int(end[MASS] / GRAM + 1e-3)
        for whole in range(grams, max(grams - _NEARER, 0), -1):
            mass = whole * GRAM
            yield self._loaded(mass, self._found("gain", end, mass))
            yield self._loaded(mass, self._found("gain", end, mass, held=SET_IN_FLIGHT[1:]))
            yield self._loaded(mass, end)

    # --- searches ------------------------------------------------------------------------------------------

    def _found(
        self,
        aim: str,
        start: VariableValues,
        mass: float | None = None,
        most: float = MOST,
        held: tuple[str, ...] = (),
    ) -> VariableValues:
        """Return the variables at the end of a search: of the greatest "gain", "mass" or "room" to the limits.

        It begins at ``start``, where what is ``held`` stays. Without a ``mass`` [kg] it is free, up to ``most``.
        """
        return _Problem(self, aim, start, mass, most, held).end()

    @cached_property
    def bounds(self) -> dict[str, tuple[float, float]]:
        """Bounds of what is set anew, as wide as the wing's own values need."""
        every = self.space.bounds_of(self.choice)
        own = {name: self.variables[name] for name in SET_IN_FLIGHT}
        return {name: (min(every[name][0], value), max(every[name][1], value)) for name, value in own.items()}

    # --- evaluations ---------------------------------------------------------------------------------------

    @cached_property
    def _design(self) -> Any:
        return one_design(self.choice, self.variables)

    @cached_property
    def limits(self) -> list[Limit]:
        """The limits that count."""
        return [limit for limit in self.loaded_space.limits(self.choice) if limit.name not in self.let_go]

    @cached_property
    def _wings(self) -> Wings:
        """The wing with room and power for the payload, but without its mass."""
        return wings_of(self.loaded_space.data(self.choice), self._design)

    @cached_property
    def sizes(self) -> dict[str, tuple[int, ...]]:
        """The shape of each output of one design, by name."""
        return {name: np.shape(value) for name, value in self.empty().outputs.items()}

    @cached_property
    def own_mass(self) -> float:
        """All-up mass without payload. [kg]"""
        return float(self._wings.shape.all_up_mass)

    def outputs(self, mass: Any, designs: Any, usual: bool = True) -> dict[str, Any]:
        """Return the outputs (...) of the wing with payloads (...) [kg], by name. The lattice is not solved again."""
        data = with_mass_added(self._wings.data, mass, payload_place(self.space.study, self.payload, self.mark))
        return evaluate(data, designs, reweighed(self._wings, data, designs), usual=usual).by_name()

    def _loaded(self, mass: float, variables: VariableValues) -> Loaded:
        own = {name: value for name, value in variables.items() if name != MASS}
        outputs = self.outputs(mass, one_design(self.choice, own))
        return Loaded(mass, own, outputs, self._least(outputs))

    def _least(self, outputs: dict[str, Any]) -> dict[str, float]:
        return {limit.name: float(np.min(limit.margin(outputs[limit.output]))) for limit in self.limits}


class _Problem:
    """A search for what is set anew, scaled, with exact slopes. Aims are "gain", "mass" and "room".

    The room is the least margin, up to none: a search for it ends where every limit is met.
    """

    def __init__(
        self,
        carrier: Carrier,
        aim: str,
        start: VariableValues,
        mass: float | None,
        most: float,
        held: tuple[str, ...],
    ):
        self.carrier, self.aim, self.mass = carrier, aim, mass
        self.start = {name: start[name] for name in carrier.variables}
        bounds = {name: ends for name, ends in carrier.bounds.items() if ends[1] > ends[0] and name not in held}
        scales = {name: high - low for name, (low, high) in bounds.items()}
        if mass is None:
            bounds[MASS], scales[MASS] = (0.0, most), carrier.own_mass
        self.free, self.low = list(bounds), np.array([low for low, _ in bounds.values()])
        self.width = np.array(list(scales.values()))
        self.top = np.array([(high - low) / scales[name] for name, (low, high) in bounds.items()])
        self.first = np.array([start.get(name, 0.0) for name in self.free])
        self.measure = SEARCHED[purpose_quantity(carrier.space.study.fly.purpose)]
        self.evaluations = 0
        self._at: tuple[np.ndarray, dict[str, Any], dict[str, np.ndarray]] | None = None

    def end(self) -> VariableValues:
        """Return the variables at the end of the search."""
        x = np.clip((self.first - self.low) / self.width, 0, self.top)
        bounds: list[tuple[float | None, float | None]] = [(0.0, float(top)) for top in self.top]
        if self.aim == "room":
            x, bounds = np.append(x, min(0.0, float(self._margins(x).min()))), [*bounds, (None, 0.0)]
        end = slsqp_minimum(self._objective, self._slope, x, bounds, self._limits, self._limit_slopes)
        end = np.clip(end[: len(self.free)], 0, self.top)
        return self.start | dict(zip(self.free, (self.low + end * self.width).tolist(), strict=True))

    def _objective(self, x: np.ndarray) -> float:
        return self._aim(x)[0]

    def _slope(self, x: np.ndarray) -> np.ndarray:
        return self._aim(x)[1]

    def _aim(self, x: np.ndarray) -> tuple[float, np.ndarray]:
        """Return what is minimised and its gradient (n,)."""
        if self.aim != "gain":  # the last variable itself: the payload, or the room
            return -float(x[-1]), -np.eye(len(x))[-1]
        values, slopes = self._evaluated(x)
        name, scale = self.measure.output, self.measure.scale
        return -float(values[name]) / scale, -np.ravel(slopes[name]) / scale

    def _limits(self, x: np.ndarray) -> np.ndarray:
        room = x[-1] if self.aim == "room" else 0.0
        return self._margins(x) - room + _TOLERATED

    def _margins(self, x: np.ndarray) -> np.ndarray:
        values, _ = self._evaluated(x)
        return np.concatenate([limit.margin(values[limit.output]) for limit in self.carrier.limits])

    def _limit_slopes(self, x: np.ndarray) -> np.ndarray:
        _, slopes = self._evaluated(x)
        rows = [
            np.stack([limit.margin_slope(column) for column in slopes[limit.output]], axis=-1)
            for limit in self.carrier.limits
        ]
        every = np.concatenate(rows)
        return np.column_stack([every, -np.ones(len(every))]) if self.aim == "room" else every

    def _evaluated(self, x: np.ndarray) -> tuple[dict[str, Any], dict[str, np.ndarray]]:
        """Return the outputs at a scaled point, and their slopes (n_free, ...) along the scaled variables."""
        x = np.array(x[: len(self.free)])
        if self._at is None or not np.array_equal(self._at[0], x):
            if self.evaluations >= MOST_EVALUATIONS:
                raise EvaluationsSpent
            self.evaluations += 1
            self._at = x, *self._stepped(x)
        return self._at[1], self._at[2]

    def _stepped(self, x: np.ndarray) -> tuple[dict[str, Any], dict[str, np.ndarray]]:
        carrier, count = self.carrier, len(self.free)
        steps = 1j * STEP * np.eye(count)
        found = dict(zip(self.free, (self.low + x * self.width)[:, None] + steps, strict=True))
        mass = found.pop(MASS, self.mass)
        designs = one_design(carrier.choice, self.start)._replace(**found)  # what stays has no batch axis
        outputs = carrier.outputs(mass, designs, usual=self.measure.output == "usual_time")
        values, slopes = {}, {}
        for name in {limit.output for limit in carrier.limits} | {self.measure.output}:
            stepped = np.broadcast_to(outputs[name], (count, *carrier.sizes[name]))  # some are the same in all steps
            values[name] = stepped[0].real
            slopes[name] = stepped.imag.reshape(count, -1) / STEP * self.width[:, None]
        return values, slopes
