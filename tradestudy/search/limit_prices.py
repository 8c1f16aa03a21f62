"""What a little slack would buy: how far the best design would go if one of the limits that stop it gave a little.

At an optimum the slope of what is wanted is a sum of the slopes of the active margins and bounds, each with a
multiplier that is not negative (Kuhn and Tucker 1951); the multiplier is what the optimum gains for each unit by which
that margin or bound gives, all else chosen anew.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from scipy.optimize import linprog, nnls

from tradestudy.aircraft.model.choices import SCHEME_WORDS, Choice
from tradestudy.aircraft.model.limit_bounds import Limit
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.physics.flight.trimmed_flight import CRUISE_OVER_SLOW
from tradestudy.quantities import format_in_unit, in_unit, short_with_unit, with_unit
from tradestudy.quantities.variables import VARIABLES
from tradestudy.results.trade import Price, Prices

from .optimum import Pose
from .search_space import Space
from .search_task import Answer

ACTIVE = 1e-4  # scaled margin, or share of the box: nearer than this a limit or bound is at work
DIFFERENCE = 0.01  # m/s either side, for what a speed does to a margin
DIGITS = 6  # of kilometres or minutes
OWN = "the wing's own"
LEAST_GAIN = 1e-5  # of what is gained already; less is not worth a line


class Stop(NamedTuple):
    """One element of a limit's margin, or one end of a variable, that is active at an optimum."""

    name: str  # of the limit or variable
    element: int  # of the margin; of a variable 0 for its low and 1 for its high end
    limit: Limit | None


class FirstOrder(NamedTuple):
    """How an optimum stands: what stops it, the slopes (n, n_stop) of that, multipliers, and two lengths of slope."""

    stops: list[Stop]
    columns: np.ndarray
    multipliers: np.ndarray
    slope: float  # of the objective, across the whole width of every variable
    left_over: float  # what no sum of active slopes explains


def first_order(pose: Pose, x: np.ndarray) -> FirstOrder:
    """Return how well the conditions of Kuhn and Tucker hold at a scaled point (n,), by nonnegative least squares."""
    slope, margins, slopes = pose.objective_slope(x), pose.margins(x), pose.margin_slopes(x)
    owners = [(limit, element) for limit in pose.limits for element in range(pose.size(limit))]
    stops = [
        Stop(limit.name, element, limit)
        for (limit, element), margin in zip(owners, margins, strict=True)
        if margin < ACTIVE
    ]
    columns = [*slopes[margins < ACTIVE]]
    for index, name in enumerate(pose.free):
        for end, distance in enumerate((x[index], 1 - x[index])):
            if distance < ACTIVE:
                stops.append(Stop(name, end, None))
                columns.append(np.eye(len(x))[index] * (1 - 2 * end))
    stacked = np.array(columns).reshape(-1, len(x)).T
    if not stops:
        return FirstOrder([], stacked, np.zeros(0), *[float(np.linalg.norm(slope))] * 2)
    multipliers, left_over = nnls(stacked, slope)
    return FirstOrder(stops, stacked, multipliers, float(np.linalg.norm(slope)), float(left_over))


def prices(space: Space, best: Answer, answers: Callable[[list[Choice]], dict[Choice, Answer]]) -> Prices:
    """Return what a little slack would buy at the best answer.

    ``answers`` solves choices: those that are one step from the best.
    """
    pose = Pose(space, best.choice)
    x = pose.scaled(best.variables)
    found = first_order(pose, x)
    rows = sorted((Price(*row) for row in _slack(pose, x, best, found)), key=lambda row: -(row.gain or 0.0))
    others = next_parts(space, best.choice)
    solved = answers([choice for _, choice in others])
    steps = [
        Price("", words, edge_gain(space, solved[choice].gain - best.gain) if solved[choice].feasible else None)
        for words, choice in others
        if choice in solved
    ]
    slope, left_over = (edge_gain(space, space.purpose.scale * length) for length in (found.slope, found.left_over))
    return Prices(rows, steps, slope, left_over)


def edge_gain(space: Space, gain: float) -> float:
    """Return a gain (SI) in kilometres or minutes."""
    return round(space.purpose.quantity.in_unit(gain), DIGITS)


def _slack(pose: Pose, x: np.ndarray, best: Answer, found: FirstOrder):
    """Yield (limit or bound, words of the step, gain in km or min) for all that stops a design and may give."""
    for name, limit in {stop.name: stop.limit for stop in found.stops}.items():
        own = [stop.name == name for stop in found.stops]
        elements = [stop.element for stop, is_own in zip(found.stops, own, strict=True) if is_own]
        if limit is None:
            variable, high = VARIABLES[name], bool(elements[0])
            if name == "extension" and not high and pose.space.bounds[name][0] <= 0:
                continue  # a wing is only stretched
            told = variable.bound(high).step
            gives = np.array([variable.step / pose.width[pose.free.index(name)]])
            name = variable.bound_name(high)
        else:
            told, whole = step_of(pose, limit, best)
            gives = whole[elements]
        weights = np.zeros(len(found.stops))
        weights[own] = gives
        gain = least_price(found, weights) * pose.space.purpose.scale
        if gain > LEAST_GAIN * abs(best.gain):
            yield name, told, edge_gain(pose.space, gain)


def least_price(found: FirstOrder, weights: np.ndarray) -> float:
    """Return the least that stops giving way by ``weights`` (n_stop,) would buy, scaled as the objective.

    Where several stops do the same work, multipliers are not unique and one of them alone buys nothing: of all sets of
    multipliers that explain the same slope, the least sum counts (Gauvin and Dubeau 1982).
    """
    least = linprog(weights, A_eq=found.columns, b_eq=found.columns @ found.multipliers)
    return float(least.fun) if least.success else float(weights @ found.multipliers)


def step_of(pose: Pose, limit: Limit, best: Answer) -> tuple[str, np.ndarray]:
    """Return a step of a limit in words, and by how much it widens every element of the margin."""
    step, speeds = limit.declared.step, limit.declared.speeds
    if speeds:
        widened = BY_SPEED[speeds.value]
        return step.words, widened(pose.space, limit, best.choice, _variables(pose, best), step.size)
    return step.words, np.full(pose.size(limit), step.size if step.of_scale else step.size / limit.scale)


def _variables(pose: Pose, best: Answer) -> dict[str, float]:
    return pose.variables(pose.scaled(best.variables))


def _closer_to_stall(space: Space, _: Limit, choice: Choice, variables: dict[str, float], step: float) -> np.ndarray:
    """Return what cruise at a lower multiple of stall speed does to every strip's stall margin (n_strip,)."""
    slow = variables["cruise_speed"] / CRUISE_OVER_SLOW
    faster = variables["cruise_speed"] / (CRUISE_OVER_SLOW - step) - slow
    return faster * _by_speed(SpeedSweep(space.data(choice), choice, variables), slow)


def _faster_stall(space: Space, _: Limit, choice: Choice, variables: dict[str, float], step: float) -> np.ndarray:
    """Return what a higher stall speed does to every strip's stall margin (n_strip,)."""
    return step * _by_speed(SpeedSweep(space.data(choice), choice, variables), space.slowest)


def _by_speed(flown: SpeedSweep, speed: float) -> np.ndarray:
    """Return what 1 m/s more of slow flight does to every strip's stall margin (n_strip,)."""
    low, high = flown.level([speed - DIFFERENCE, speed + DIFFERENCE]).stall_margin
    return (high - low) / (2 * DIFFERENCE)


def _faster_full_speed(
    space: Space, limit: Limit, choice: Choice, variables: dict[str, float], step: float
) -> np.ndarray:
    """Return what more speed at full throttle does to the margin (1,)."""
    data, found = space.data(choice), []
    for sign in (-1, 1):
        share = 1 + sign * DIFFERENCE / data.power.full_speed
        flown = data.flight._replace(never_exceed_speed=share * data.flight.never_exceed_speed)
        moved = replace(
            data,
            level=data.level._replace(flight=flown),
            power=data.power._replace(full_speed=share * data.power.full_speed),
        )
        outputs = SpeedSweep(moved, choice, variables).evaluation.by_name()
        found.append(limit.margin(outputs[limit.output]))
    return step * ((found[1] - found[0]) / (2 * DIFFERENCE))


# speed that a limit compares (`quantities.limits.SpeedPair.value`) -> what a step of it does to the limit's margin
BY_SPEED: dict[str, Callable[[Space, Limit, Choice, dict[str, float], float], np.ndarray]] = {
    "cruise": _closer_to_stall,
    "stall": _faster_stall,
    "top": _faster_full_speed,
}


def next_parts(space: Space, own: Choice) -> list[tuple[str, Choice]]:
    """Return (words, choice) for the next step up in each thing bought, and for every other part or scheme."""
    steps = {
        "rod_pairs": lambda to: f"rod pairs: {to} instead of {own.rod_pairs}",
        "rod_diameter": lambda to: f"rods of {short_with_unit(to, 'mm')} instead of {in_unit(own.rod_diameter, 'mm'):g}",
        "parallel": lambda to: f"cells in parallel: {to} instead of {own.parallel}",
    }
    found = []
    for name, words in steps.items():
        others = [
            choice
            for choice in space.choices
            if replace(choice, **{name: getattr(own, name)}) == own and getattr(choice, name) > getattr(own, name)
        ]
        if others:
            following = min(others, key=lambda choice: getattr(choice, name))
            found.append((words(getattr(following, name)), following))
    for other in space.choices:
        if other == own:
            continue
        if replace(other, propeller=own.propeller) == own:
            found.append((f"a {other.propeller} propeller instead of {own.propeller}", other))
        elif replace(other, motor=own.motor) == own:
            found.append((f"motor: {other.motor or OWN} instead of {own.motor or OWN}", other))
        elif other.pack != own.pack and replace(other, pack=own.pack, series=own.series, parallel=own.parallel) == own:
            found.append((f"pack: {_cells(other)} instead of {_cells(own)}", other))
        elif replace(other, scheme=own.scheme) == own:
            found.append((f"stretched by {_scheme(space, other)} instead of {_scheme(space, own)}", other))
        elif replace(other, throttle_cap=own.throttle_cap) == own:
            caps = with_unit(_cap(space, other), "%"), format_in_unit(_cap(space, own), "%")
            found.append((f"throttle to {caps[0]} instead of {caps[1]}", other))
    return found


def _cells(choice: Choice) -> str:
    return f"{choice.series}S{choice.parallel}P {choice.pack or OWN}"


def _scheme(space: Space, choice: Choice) -> str:
    return SCHEME_WORDS[choice.scheme or space.study.stretch.scheme]


def _cap(space: Space, choice: Choice) -> float:
    """Largest share of throttle."""
    return space.study.controller.throttle_cap if choice.throttle_cap is None else choice.throttle_cap
