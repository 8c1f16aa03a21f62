"""The best design: continuous variables by SLSQP with exact slopes, choices enumerated."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from scipy.optimize import minimize

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.limit_bounds import ACTIVE_BELOW, MET_ABOVE, Limit, condition_place
from tradestudy.quantities.objectives import TRADED, WEIGHT, TradeQuantity, purpose_quantity
from tradestudy.quantities.variables import VARIABLES

from .search_space import Space
from .search_task import Answer, Asked, from_plain, merit, plain

MOST_ITERATIONS = 40
TOLERANCE = 1e-7  # of the scaled objective: under a metre of range, under a second in the air


class Spent(Exception):
    """Raised by an objective or a margin when a search has used up its evaluations."""


def minimised(
    objective: Callable[[Any], Any],
    slope: Callable[[Any], Any],
    start: np.ndarray,
    bounds: Sequence[tuple[float | None, float | None]],
    margins: Callable[[Any], Any] | None = None,
    margin_slopes: Callable[[Any], Any] | None = None,
    tolerance: float = TOLERANCE,
    iterations: int = MOST_ITERATIONS,
) -> np.ndarray:
    """Return where SLSQP ends (n,), or the last point it looked at when ``objective`` raises `Spent`.

    ``slope`` gives (n,), ``margins`` (m,) not negative where limits are met, ``margin_slopes`` (m, n). Variables,
    objective and margins are to be of order one. After D. Kraft, A Software Package for Sequential Quadratic
    Programming, DFVLR-FB 88-28, 1988 (from memory), as scipy has it.
    """
    last = [start]

    def watched(x):
        last[0] = np.array(x)
        return objective(x)

    limits = [] if margins is None else [{"type": "ineq", "fun": margins, "jac": margin_slopes}]
    try:
        return minimize(
            watched,
            start,
            jac=slope,
            method="SLSQP",
            bounds=bounds,
            constraints=limits,
            options={"maxiter": iterations, "ftol": tolerance},
        ).x
    except Spent:
        return last[0]


INSIDE = 0.02  # of the scaled box: a search for what is least broken does not start in a corner of it
ASKED = "asked_level"  # the margin of the level asked for by a front; no limit of the study
EQUALLY_GOOD = 1e-4  # share of a quantity: designs so near its best are taken for equally good in it
MOST_EVALUATIONS = 45  # of the model in one search; feasible ones end in 5 to 30, stuck ones would go on for hundreds


class Pose:
    """One choice posed to SLSQP: variables scaled to 0..1 between their bounds, margins positive when met.

    ``held`` fixes variables; ``level`` adds a limit on one quantity and ``aim`` seeks most of another (for a front).
    ``loose`` makes variables of numbers of the choice, each between two ends.
    """

    def __init__(
        self,
        space: Space,
        choice: Choice,
        held: dict[str, float] | None = None,
        level: tuple[str, float] | None = None,
        aim: str | None = None,
        loose: dict[str, tuple[float, float]] | None = None,
    ):
        self.aim = TRADED[aim or purpose_quantity(space.study.fly.purpose)]
        traded = [self.aim, *([TRADED[level[0]]] if level else [])]
        self.model = space.model(choice, any(each.output == "usual_time" for each in traded))
        self.space, self.held, self.choice, self.level = space, held or {}, choice, level
        self.limits = space.limits(choice)
        self.box = space.box(choice) | (loose or {})
        self.free = [name for name, (low, high) in self.box.items() if high - low > 1e-9 and name not in self.held]
        self.low = np.array([self.box[name][0] for name in self.free])
        self.width = np.array([self.box[name][1] - self.box[name][0] for name in self.free])
        self.outputs = sorted(
            {limit.output for limit in self.limits}
            | {"all_up_mass"}
            | {name for each in traded for name in each.outputs if name not in VARIABLES}
        )
        self.evaluations, self.allowed = 0, MOST_EVALUATIONS
        self._at: np.ndarray | None = None
        self._slopes_at: np.ndarray | None = None

    def variables(self, x: np.ndarray) -> dict[str, float]:
        """Return variables (SI) of a scaled point."""
        found = {name: low for name, (low, _) in self.box.items()} | self.held
        found.update(zip(self.free, (self.low + x * self.width).tolist(), strict=True))
        return found

    def scaled(self, variables: dict[str, float]) -> np.ndarray:
        """Return the scaled point (n,) of variables, held inside the bounds."""
        return np.clip((np.array([variables[name] for name in self.free]) - self.low) / self.width, 0, 1)

    def _run(self, x):
        if self._at is None or not np.array_equal(self._at, x):
            if self.evaluations >= self.allowed:
                raise Spent
            self.model.run(self.choice, self.variables(x), slopes_ahead=True)
            self._at, self._slopes_at = np.array(x), None
            self.evaluations += 1
            traded = {
                name
                for each in TRADED.values()
                for name in each.outputs
                if name not in VARIABLES and (name != "usual_time" or self.model.usual)
            }
            self._values = {name: self.model.value(name) for name in traded.union(self.outputs)}

    def _run_slopes(self, x):
        self._run(x)
        if self._slopes_at is None:
            totals = self.model.slopes(self.outputs, self.free)
            self._slopes = {
                name: np.stack([totals[name, free] for free in self.free], axis=-1) * self.width
                for name in self.outputs
            }
            self._slopes_at = self._at

    def objective(self, x):
        """Return minus what is wanted most of, scaled."""
        self._run(x)
        return -self.aim.sense * self.quantity(self.aim) / self.aim.scale

    def objective_slope(self, x):
        """Return the slope of the objective (n,)."""
        self._run_slopes(x)
        return -self.aim.sense * self._quantity_slope(self.aim) / self.aim.scale

    def quantity(self, traded: TradeQuantity) -> float:
        """Return a quantity [SI] at the point last looked at."""
        if traded.output in VARIABLES:
            assert self._at is not None
            return self.variables(self._at)[traded.output]
        whole = np.ravel(self._values[traded.output])[condition_place(traded.condition) or 0]
        return float(whole / self._values[traded.per] if traded.per else whole)

    def _quantity_slope(self, traded: TradeQuantity) -> np.ndarray:
        if traded.output in VARIABLES:
            return np.where(np.array(self.free) == traded.output, self.width, 0.0)
        slope = self._slopes[traded.output].reshape(-1, len(self.free))[condition_place(traded.condition) or 0]
        if traded.per is None:
            return slope
        below = self._values[traded.per]
        return (slope - self.quantity(traded) * self._slopes[traded.per].reshape(-1)) / below

    def margins(self, x):
        """Return every margin, one vector."""
        self._run(x)
        margins = [limit.margin(self._values[limit.output]) for limit in self.limits]
        return np.concatenate([*margins, *([self._level_margin()] if self.level else [])])

    def _level_margin(self) -> np.ndarray:
        assert self.level is not None
        traded, worst = TRADED[self.level[0]], self.level[1]
        return np.array([traded.sense * (self.quantity(traded) - worst) / traded.scale])

    def size(self, limit: Limit) -> int:
        """Return how many elements a limit's margin has, at the point last looked at."""
        return len(limit.margin(self._values[limit.output]))

    def margin_slopes(self, x):
        """Return slopes (n_margin, n)."""
        self._run_slopes(x)
        slopes = [
            np.stack([limit.margin_slope(column) for column in self._slopes[limit.output].T], axis=-1)
            for limit in self.limits
        ]
        if self.level:
            traded = TRADED[self.level[0]]
            slopes.append(traded.sense * self._quantity_slope(traded)[None] / traded.scale)
        return np.concatenate(slopes)

    def answer(self, x) -> Answer:
        """Return the design at a scaled point with all its margins."""
        self._run(x)
        margins = {limit.name: limit.margin(self._values[limit.output]) for limit in self.limits}
        at_bound = [name for name, value in zip(self.free, x, strict=True) if value < 1e-4 or value > 1 - 1e-4]
        if self.level:
            margins[ASKED] = self._level_margin()
        worst = min(float(value.min()) for value in margins.values())
        told = {
            name: self.quantity(each)
            for name, each in TRADED.items()
            if each.output != "usual_time" or self.model.usual
        }
        return Answer(
            self.choice,
            self.variables(x),
            told["range"],
            self.aim.sense * self.quantity(self.aim),
            margins,
            at_bound,
            worst > MET_ABOVE,
            self.evaluations,
            told[WEIGHT],
            told,
        )


def solve(
    space: Space,
    choice: Choice,
    starts: list[dict[str, float]],
    held: dict[str, float] | None = None,
    level: tuple[str, float] | None = None,
) -> Answer:
    """Return the best answer of one choice from several starts (not feasible when none was).

    ``held`` and ``level`` as in `Asked`. The space's record remembers answers.
    """
    return answered(space, Asked("solve", choice, starts, held, level))


def answered(space: Space, asked: Asked) -> Answer:
    """Return the answer to a search: from the record, or searched for here and recorded."""
    if space.record is None:
        return search_for(space, asked)
    return from_plain(space.record.remembered(space.key(asked), lambda: plain(search_for(space, asked))))


def search_for(space: Space, asked: Asked) -> Answer:
    """Return the answer to a search, made here and now."""
    if asked.kind == "utmost":
        return _utmost(space, asked)
    pose = Pose(space, asked.choice, asked.held, asked.level, asked.aim, asked.loose)
    starts = [pose.scaled(start) for start in asked.starts]
    if asked.kind == "relaxed":
        return least_broken(pose, np.clip(starts[0], INSIDE, 1 - INSIDE))
    return max((_from(pose, start) for start in starts), key=merit)


def _minimised(pose: Pose, objective, start: np.ndarray, slope, bounds, margins, margin_slopes) -> np.ndarray:
    """Return where SLSQP ends, or the last point it looked at when its evaluations run out."""
    pose.evaluations, pose.allowed = 0, MOST_EVALUATIONS
    end = minimised(objective, slope, start, bounds, margins, margin_slopes)
    pose.allowed += 1
    return end


def _from(pose: Pose, x: np.ndarray) -> Answer:
    end = _minimised(pose, pose.objective, x, pose.objective_slope, [(0, 1)] * len(x), pose.margins, pose.margin_slopes)
    return pose.answer(np.clip(end, 0, 1))


def _utmost(space: Space, asked: Asked) -> Answer:
    """Return the design best in one quantity; of those equally good in it, the one best in what is aimed at."""
    assert asked.utmost is not None
    pose = Pose(space, asked.choice, asked.held, None, asked.utmost)
    first = _from(pose, pose.scaled(asked.starts[0]))
    end = first.traded[asked.utmost]
    level = asked.utmost, end - EQUALLY_GOOD * pose.aim.sense * max(abs(end), 0.1 * pose.aim.scale)
    refined = search_for(space, Asked("solve", asked.choice, [first.variables], asked.held, level, asked.aim))
    if refined.feasible:
        return refined
    pose = Pose(space, asked.choice, asked.held, None, asked.aim)
    return pose.answer(pose.scaled(first.variables))


def least_broken(pose: Pose, x: np.ndarray, giving: str | None = None) -> Answer:
    """Return the design whose worst scaled margin is best: how far an infeasible study is from feasible.

    ``giving`` names the one limit that may give; the others are held.
    """
    n, pose.evaluations = len(x), 0
    margins = pose.margins(x)
    gives = np.concatenate([np.full(pose.size(limit), float(giving in (None, limit.name))) for limit in pose.limits])
    give = max(0.0, -float(margins[gives > 0].min())) + 0.01

    def extended(slopes):
        return np.column_stack([slopes, gives])

    end = _minimised(
        pose,
        lambda z: z[n],
        np.append(x, give),
        lambda z: np.append(np.zeros(n), 1.0),
        [(0, 1)] * n + [(0, None)],
        lambda z: pose.margins(z[:n]) + z[n] * gives,
        lambda z: extended(pose.margin_slopes(z[:n])),
    )
    return pose.answer(np.clip(end[:n], 0, 1))


def relaxed(space: Space, answer: Answer, held: dict[str, float] | None = None) -> Answer:
    """Return the least broken design of an answer's choice, searched from near that answer."""
    return answered(space, Asked("relaxed", answer.choice, [answer.variables], held))


def active_limits(space: Space, answer: Answer) -> list[str]:
    """Return names of the limits and bounds that stop a design, most pressing first."""
    pressing = sorted((float(value.min()), name) for name, value in answer.margins.items())
    names = [name for margin, name in pressing if margin < ACTIVE_BELOW and name != ASKED]
    for name in answer.at_bound:
        low, high = space.box(answer.choice)[name]
        names.append(
            VARIABLES[name].bound_name(high=abs(answer.variables[name] - low) >= abs(answer.variables[name] - high))
        )
    return names
