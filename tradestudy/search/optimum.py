"""The best design: continuous variables by SLSQP with exact slopes, choices enumerated."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from scipy.optimize import minimize

from tradestudy.physics import flight, planform
from tradestudy.study.schema import Study

from .anchor import Anchor, stock_choice, study_data
from .asked import Answer, Asked, from_plain, merit, plain
from .engines import Engine
from .inputs import ModelData, movable_range
from .limits import ACTIVE_BELOW, MET_ABOVE, Limit, limits_of, pack_fault, slowest_speed
from .problem import VARIABLES, Choice, Model
from .purpose import PURPOSES, Purpose
from .record import Record

MOST_MARGIN = 0.15  # static margin, where neither study nor stock wing asks for more; common practice, no source
INSIDE = 0.02  # of the scaled box: a search for what is least broken does not start in a corner of it
# Limits that hang on what is bought alone: a choice that breaks one is set aside before any search.
CHOICE_ONLY = ("full_throttle_motor", "full_throttle_controller", "full_throttle_cells")
MOST_ITERATIONS = 40
MOST_EVALUATIONS = 45  # of the model in one search; feasible ones end in 5 to 30, stuck ones would go on for hundreds
TOLERANCE = 1e-7  # of the scaled objective: under a metre of range, under a second in the air


@dataclass
class Space:
    """A study made ready for searching: bounds, limits and one model per propeller."""

    study: Study
    anchor: Anchor
    bounds: dict[str, tuple[float, float]]
    choices: list[Choice]
    set_aside: list[str]
    slowest: float
    record: Record | None = None  # of what was solved earlier
    engine: Engine | None = None  # where many searches are made; None: in this process
    _data: dict[str, ModelData] = field(default_factory=dict)
    _models: dict[str, Model] = field(default_factory=dict)

    def data(self, propeller: str) -> ModelData:
        """Return the stretched wing's data with one propeller, made when first asked for."""
        if propeller not in self._data:
            self._data[propeller] = study_data(self.study, self.anchor, propeller, self.slowest)
        return self._data[propeller]

    def model(self, propeller: str) -> Model:
        """Return the model of one propeller, made when first asked for."""
        if propeller not in self._models:
            self._models[propeller] = Model(self.data(propeller), usual=self.purpose.output == "usual_time")
        return self._models[propeller]

    def travelling(self) -> Space:
        """Return the space as workers get it: with its data, without what cannot travel."""
        return replace(self, record=None, engine=None, _models={})

    @property
    def purpose(self) -> Purpose:
        """What the study wants most of."""
        return PURPOSES[self.study.fly.purpose]

    def limits(self, choice: Choice) -> list[Limit]:
        """Return the limits of one choice."""
        data = self.data(choice.propeller)
        return limits_of(self.study, self.anchor.reference, choice, strips(data))

    @property
    def free(self) -> list[str]:
        """Names of the variables that may move."""
        return [name for name in VARIABLES if self.bounds[name][1] - self.bounds[name][0] > 1e-9]


def strips(data) -> int:
    from tradestudy.components.flow import strip_count

    return strip_count(data.flight)


def search_space(study: Study, anchor: Anchor) -> Space:
    """Return what may vary and what must hold. Choices that cannot be built are set aside with the reason."""
    stock, stretch = anchor.data.layout.stock, study.stretch
    stock_margin = anchor.reference.static_margin
    low_margin, high_margin = study.limits.static_margin or (stock_margin, max(stock_margin, MOST_MARGIN))
    slowest, _ = slowest_speed(study, anchor.reference)
    extension = tuple(0.5 * (span - stock.span) for span in stretch.span)
    sweep = stretch.sweep or (float(stock.sweep), float(stock.sweep))
    washout = stretch.washout or (stock.washout, stock.washout)
    if stretch.scheme == "tip" and stretch.washout is None:
        carried = planform.tip_washout_carried_on(stock, 0.5 * (extension[0] + extension[1]))
        washout = (float(carried), float(carried))
    place, front, back = movable_range(study)
    full = study.fly.never_exceed_speed * flight.FULL_SPEED_SHARE
    bounds = {
        "extension": (max(extension[0], 0.0), extension[1]), "sweep": sweep, "washout": washout,
        "static_margin": (low_margin, high_margin), "cruise_speed": (0.9 * slowest, 0.95 * full),
        "equipment_position": (front, back) if back > front else (place, place)}
    choices, set_aside = [], []
    for choice in combinations(study):
        fault = pack_fault(study, choice)
        if fault and fault not in set_aside:
            set_aside.append(fault)
        elif not fault:
            choices.append(choice)
    space = Space(study, anchor, bounds, choices, set_aside, slowest)
    _set_aside_overloaded(space)
    return space


def _set_aside_overloaded(space: Space) -> None:
    """Drop choices whose full-throttle currents are beyond a rating; the reason is kept."""
    point, kept = starting_points(space)[0], []
    for choice in space.choices:
        model = space.model(choice.propeller)
        model.run(choice, point)
        broken = [(limit, model.value(limit.output)) for limit in space.limits(choice)
                  if limit.name in CHOICE_ONLY and limit.margin(model.value(limit.output)).min() < MET_ABOVE]
        if broken:
            limit, value = broken[0]
            reason = (f"{choice.propeller} on {choice.series}S{choice.parallel}P: {limit.words} is {value:.1f} A, "
                      f"the rating {limit.bound:.1f} A")
            if reason not in space.set_aside:
                space.set_aside.append(reason)
        else:
            kept.append(choice)
    if kept:  # with none left the search shows how far the least broken one is off
        space.choices = kept


def combinations(study: Study) -> list[Choice]:
    """Return every combination of what is bought in steps; an absent list holds the stock part."""
    stock = stock_choice(study)
    lists = study.choices
    return [Choice(stock.series, parallel, diameter, pairs, propeller)
            for propeller in lists.propeller or (stock.propeller,)
            for parallel in lists.parallel or (stock.parallel,)
            for pairs in lists.rod_pairs or (stock.rod_pairs,)
            for diameter in lists.rod_diameter or (stock.rod_diameter,)]


def starting_points(space: Space) -> list[dict[str, float]]:
    """Return where a search begins: near the stock wing, and well out towards the longest span."""
    inside = {name: 0.5 * (low + high) for name, (low, high) in space.bounds.items()}
    stock = space.anchor.variables
    points = []
    for share in (0.2, 0.8):
        point = {name: float(np.clip(stock[name], *space.bounds[name])) for name in VARIABLES}
        low, high = space.bounds["extension"]
        point["extension"] = low + share * (high - low)
        point["static_margin"] = inside["static_margin"]
        point["cruise_speed"] = float(np.clip(stock["cruise_speed"], *space.bounds["cruise_speed"]))
        points.append(point)
    return points


class _Enough(Exception):
    """A search has used up its evaluations."""


class Pose:
    """One choice posed to SLSQP: variables scaled to 0..1 between their bounds, margins positive when met.

    ``held`` fixes variables; ``most_mass`` adds a limit on the flying weight (for the front).
    """

    def __init__(self, space: Space, choice: Choice, held: dict[str, float] | None = None,
                 most_mass: float | None = None):
        self.model, self.choice = space.model(choice.propeller), choice
        self.space, self.held = space, held or {}
        self.limits = space.limits(choice)
        if most_mass is not None:
            self.limits = [*self.limits, Limit("asked_weight", "flying weight asked for", "all_up_mass", most_mass,
                                               most_mass, -1)]
        self.free = [name for name in space.free if name not in self.held]
        self.low = np.array([space.bounds[name][0] for name in self.free])
        self.width = np.array([space.bounds[name][1] - space.bounds[name][0] for name in self.free])
        self.outputs = sorted({limit.output for limit in self.limits} | {self.space.purpose.output, "all_up_mass"})
        self.evaluations, self.allowed = 0, MOST_EVALUATIONS
        self._at: np.ndarray | None = None
        self._slopes_at: np.ndarray | None = None

    def variables(self, x: np.ndarray) -> dict[str, float]:
        """Return variables (SI) of a scaled point."""
        found = {name: self.space.bounds[name][0] for name in VARIABLES} | self.held
        found.update(zip(self.free, (self.low + x * self.width).tolist(), strict=True))
        return found

    def scaled(self, variables: dict[str, float]) -> np.ndarray:
        """Return the scaled point (n,) of variables, held inside the bounds."""
        return np.clip((np.array([variables[name] for name in self.free]) - self.low) / self.width, 0, 1)

    def _run(self, x):
        if self._at is None or not np.array_equal(self._at, x):
            if self.evaluations >= self.allowed:
                raise _Enough
            self.model.run(self.choice, self.variables(x), slopes_ahead=True)
            self._at, self._slopes_at = np.array(x), None
            self.evaluations += 1
            self._values = {name: self.model.value(name) for name in self.outputs}

    def _run_slopes(self, x):
        self._run(x)
        if self._slopes_at is None:
            totals = self.model.slopes(self.outputs, self.free)
            self._slopes = {name: np.stack([totals[name, free] for free in self.free], axis=-1) * self.width
                            for name in self.outputs}
            self._slopes_at = self._at

    def objective(self, x):
        """Return minus what the study wants most of, scaled."""
        self._run(x)
        return -self._values[self.space.purpose.output] / self.space.purpose.scale

    def objective_slope(self, x):
        """Return the slope of the objective (n,)."""
        return -self.model_slope(self.space.purpose.output, x) / self.space.purpose.scale

    def model_slope(self, output: str, x):
        """Return the slope (n,) of a scalar output of the model."""
        self._run_slopes(x)
        return self._slopes[output].reshape(-1)

    def margins(self, x):
        """Return every margin, one vector."""
        self._run(x)
        return np.concatenate([limit.margin(self._values[limit.output]) for limit in self.limits])

    def margin_slopes(self, x):
        """Return slopes (n_margin, n)."""
        self._run_slopes(x)
        return np.concatenate([
            np.stack([limit.margin_slope(column) for column in self._slopes[limit.output].T], axis=-1)
            for limit in self.limits])

    def answer(self, x) -> Answer:
        """Return the design at a scaled point with all its margins."""
        self._run(x)
        margins = {limit.name: limit.margin(self._values[limit.output]) for limit in self.limits}
        at_bound = [name for name, value in zip(self.free, x, strict=True) if value < 1e-4 or value > 1 - 1e-4]
        worst = min(float(value.min()) for value in margins.values())
        gain = float(self._values[self.space.purpose.output])
        return Answer(self.choice, self.variables(x), float(self.model.value("range")), gain, margins, at_bound,
                      worst > MET_ABOVE, self.evaluations, float(self.model.value("all_up_mass")))


def solve(space: Space, choice: Choice, starts: list[dict[str, float]], held: dict[str, float] | None = None,
          most_mass: float | None = None) -> Answer:
    """Return the best answer of one choice from several starts (not feasible when none was).

    ``held`` fixes variables, ``most_mass`` [kg] caps the flying weight. The space's record remembers answers.
    """
    return answered(space, Asked("solve", choice, starts, held, most_mass))


def answered(space: Space, asked: Asked) -> Answer:
    """Return the answer to a search: from the record, or searched for here and recorded."""
    if space.record is None:
        return search_for(space, asked)
    return from_plain(space.record.remembered(asked.key, lambda: plain(search_for(space, asked))))


def search_for(space: Space, asked: Asked) -> Answer:
    """Return the answer to a search, made here and now."""
    pose = Pose(space, asked.choice, asked.held, asked.most_mass)
    starts = [pose.scaled(start) for start in asked.starts]
    if asked.kind == "lightest":
        return _lightest(pose, starts[0])
    if asked.kind == "relaxed":
        return least_broken(pose, np.clip(starts[0], INSIDE, 1 - INSIDE))
    return max((_from(pose, start) for start in starts), key=merit)


def _minimised(pose: Pose, objective, start: np.ndarray, slope, bounds, margins, margin_slopes) -> np.ndarray:
    """Return where SLSQP ends, or the last point it looked at when its evaluations run out."""
    last = [start]

    def watched(x):
        last[0] = np.array(x)
        return objective(x)

    pose.evaluations, pose.allowed = 0, MOST_EVALUATIONS
    try:
        answer = minimize(watched, start, jac=slope, method="SLSQP", bounds=bounds,
                          constraints=[{"type": "ineq", "fun": margins, "jac": margin_slopes}],
                          options={"maxiter": MOST_ITERATIONS, "ftol": TOLERANCE})
        end = answer.x
    except _Enough:
        end = last[0]
    pose.allowed += 1
    return end


def _from(pose: Pose, x: np.ndarray) -> Answer:
    end = _minimised(pose, pose.objective, x, pose.objective_slope, [(0, 1)] * len(x), pose.margins, pose.margin_slopes)
    return pose.answer(np.clip(end, 0, 1))


def _lightest(pose: Pose, x: np.ndarray) -> Answer:
    """Return the lightest feasible design; of equally light ones, that which flies best."""
    def weight(point):
        pose.objective(point)
        return pose.model.value("all_up_mass")

    end = _minimised(pose, weight, x, lambda point: pose.model_slope("all_up_mass", point), [(0, 1)] * len(x),
                     pose.margins, pose.margin_slopes)
    light = pose.answer(np.clip(end, 0, 1))
    again = Asked("solve", pose.choice, [light.variables], None, light.all_up_mass * (1 + 1e-4))
    refined = search_for(pose.space, again)
    return refined if refined.feasible else light


def least_broken(pose: Pose, x: np.ndarray) -> Answer:
    """Return the design whose worst scaled margin is best: how far an infeasible study is from feasible."""
    n, pose.evaluations = len(x), 0
    give = max(0.0, -float(pose.margins(x).min())) + 0.01

    def extended(slopes):
        return np.column_stack([slopes, np.ones(len(slopes))])

    end = _minimised(pose, lambda z: z[n], np.append(x, give), lambda z: np.append(np.zeros(n), 1.0),
                     [(0, 1)] * n + [(0, None)], lambda z: pose.margins(z[:n]) + z[n],
                     lambda z: extended(pose.margin_slopes(z[:n])))
    return pose.answer(np.clip(end[:n], 0, 1))


def relaxed(space: Space, answer: Answer, held: dict[str, float] | None = None) -> Answer:
    """Return the least broken design of an answer's choice, searched from near that answer."""
    return answered(space, Asked("relaxed", answer.choice, [answer.variables], held))


def active_limits(space: Space, answer: Answer) -> list[str]:
    """Return names of the limits and bounds that stop a design, most pressing first."""
    pressing = sorted((float(value.min()), name) for name, value in answer.margins.items())
    names = [name for margin, name in pressing if margin < ACTIVE_BELOW and name != "asked_weight"]
    for name in answer.at_bound:
        low, high = space.bounds[name]
        side = "smallest" if abs(answer.variables[name] - low) < abs(answer.variables[name] - high) else "largest"
        names.append(f"{side}_{ 'span' if name == 'extension' else name}")
    return names
