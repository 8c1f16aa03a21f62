"""The price of each limit: the gain of the best design if an active limit is relaxed by a small step.

At an optimum, the gradient of the objective is a weighted sum of the gradients of the active margins and bounds. The
weights, called multipliers, are not negative (Kuhn and Tucker 1951). A multiplier is the gain of the optimum for each
unit by which its margin or bound is relaxed, with all variables optimised again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from scipy.optimize import linprog, nnls

from tradestudy.aircraft.model.choices import SCHEME_WORDS, Choice
from tradestudy.aircraft.model.limit_bounds import Limit
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.quantities import format_in_unit, trade_size, with_unit
from tradestudy.quantities.variables import VARIABLES
from tradestudy.results.trade import Price, Prices

from .scaled_problem import ScaledProblem
from .search_space import SearchSpace
from .search_task import SearchResult

_ACTIVE = 1e-4  # scaled margin, or distance of a scaled variable from its bound, below which it counts as active
_SPEED_STEP = 0.01  # m/s to either side, for the derivative of a margin by speed
_DIGITS = 6  # decimal places of kilometres or minutes
_OWN = "the wing's own"
_AS_IT_IS = "all equipment where it is"
_LEAST_GAIN = 1e-5  # share of the gain; smaller prices are not reported


class ActiveElement(NamedTuple):
    """One element of a limit's margin, or one bound of a variable, that is active at an optimum."""

    name: str  # name of the limit or variable
    element: int  # index in the margin; for a variable, 0 means its low and 1 its high bound
    limit: Limit | None


class FirstOrder(NamedTuple):
    """The first-order conditions at an optimum: active elements, their gradients (n, n_active) and multipliers."""

    active: list[ActiveElement]
    slopes: np.ndarray
    multipliers: np.ndarray
    slope: float  # norm of the objective's gradient by the scaled variables
    left_over: float  # norm of the part that active gradients do not explain


def first_order(problem: ScaledProblem, x: np.ndarray) -> FirstOrder:
    """Return the Kuhn-Tucker conditions at a scaled point (n,), with multipliers from nonnegative least squares."""
    slope, margins, slopes = problem.objective_slope(x), problem.margins(x), problem.margin_slopes(x)
    owners = [(limit, element) for limit in problem.limits for element in range(problem.size(limit))]
    active = [
        ActiveElement(limit.name, element, limit)
        for (limit, element), margin in zip(owners, margins, strict=True)
        if margin < _ACTIVE
    ]
    columns = [*slopes[margins < _ACTIVE]]
    for index, name in enumerate(problem.free):
        for end, distance in enumerate((x[index], 1 - x[index])):
            if distance < _ACTIVE:
                active.append(ActiveElement(name, end, None))
                columns.append(np.eye(len(x))[index] * (1 - 2 * end))
    stacked, length = np.array(columns).reshape(-1, len(x)).T, float(np.linalg.norm(slope))
    if not active:
        return FirstOrder([], stacked, np.zeros(0), length, length)
    multipliers, left_over = nnls(stacked, slope)
    return FirstOrder(active, stacked, multipliers, length, float(left_over))


def prices(
    space: SearchSpace, best: SearchResult, results_of: Callable[[list[Choice]], dict[Choice, SearchResult]]
) -> Prices:
    """Return the price of every limit that is active at the best result, and the gain from other parts.

    ``results_of`` is called with the choices that are one step from the best, and returns their results.
    """
    problem = ScaledProblem(space, best.choice)
    x = problem.scaled(best.variables)
    conditions = first_order(problem, x)
    rows = sorted((Price(*row) for row in _limit_prices(problem, best, conditions)), key=lambda row: -(row.gain or 0.0))
    others = _next_parts(space, best.choice)
    solved = results_of([choice for _, choice in others])
    steps = [
        Price("", words, edge_gain(space, solved[choice].gain - best.gain) if solved[choice].feasible else None)
        for words, choice in others
        if choice in solved
    ]
    slope, left_over = (
        edge_gain(space, space.purpose.scale * length) for length in (conditions.slope, conditions.left_over)
    )
    return Prices(rows, steps, slope, left_over)


def edge_gain(space: SearchSpace, gain: float) -> float:
    """Return a gain (SI) in kilometres or minutes."""
    return round(space.purpose.quantity.in_unit(gain), _DIGITS)


def _limit_prices(
    problem: ScaledProblem, best: SearchResult, conditions: FirstOrder
) -> Iterator[tuple[str, str, float]]:
    """Yield (limit or bound, step in words, gain in km or min) for every active limit or bound that can be relaxed."""
    for name, limit in {element.name: element.limit for element in conditions.active}.items():
        own = [element.name == name for element in conditions.active]
        elements = [element.element for element in conditions.active if element.name == name]
        if limit is None:
            variable, high = VARIABLES[name], bool(elements[0])
            if name == "extension" and not high and problem.space.bounds[name][0] <= 0:
                continue  # no wing is shorter than the stock wing
            words = variable.bound(high).step
            widening = np.array([variable.step / problem.width[problem.free.index(name)]])
            name = variable.bound_name(high)
        else:
            words, every = step_of(problem, limit, best)
            widening = every[elements]
        weights = np.zeros(len(own))
        weights[own] = widening
        gain = least_price(conditions, weights) * problem.space.purpose.scale
        if gain > _LEAST_GAIN * abs(best.gain):
            yield name, words, edge_gain(problem.space, gain)


def least_price(conditions: FirstOrder, weights: np.ndarray) -> float:
    """Return the least gain from relaxing the active elements by ``weights`` (n_active,). It has the objective's scale.

    If several elements have the same effect, multipliers are not unique, and relaxing one element gains nothing. Of all
    multipliers that give the same gradient, those with the least weighted sum are used (Gauvin and Dubeau 1982).
    """
    least = linprog(weights, A_eq=conditions.slopes, b_eq=conditions.slopes @ conditions.multipliers)
    return float(least.fun) if least.success else float(weights @ conditions.multipliers)


def step_of(problem: ScaledProblem, limit: Limit, best: SearchResult) -> tuple[str, np.ndarray]:
    """Return a step of a limit in words, and the increase of every element of its margin from that step."""
    step, speeds = limit.declared.step, limit.declared.speeds
    if speeds:
        variables = problem.variables(problem.scaled(best.variables))
        design = SpeedSweep(problem.space.data(best.choice), best.choice, variables)
        return step.words, BY_SPEED[speeds.value](design, limit, step.size)
    return step.words, np.full(problem.size(limit), step.size if step.of_scale else step.size / limit.scale)


def _closer_to_stall(design: SpeedSweep, _: Limit, step: float) -> np.ndarray:
    """Return the change of stall margins (n_strip,) if cruise at a lower multiple of the stall speed is allowed."""
    least = design.data.flight.cruise_over_stall
    slow = design.cruise_speed / least
    faster = design.cruise_speed / (least - step) - slow
    return faster * _stall_margin_slope(design, slow, design.static_margin)


def _faster_stall(design: SpeedSweep, _: Limit, step: float) -> np.ndarray:
    """Return the change of stall margins (n_strip,) if a higher stall speed is allowed."""
    return step * _stall_margin_slope(design, design.data.flight.slowest_speed, design.margin_ahead)


def _stall_margin_slope(design: SpeedSweep, speed: float, margin: float) -> np.ndarray:
    """Return the derivative of every strip's stall margin (n_strip,) by the speed of slow flight. [s/m]

    ``margin`` is the static margin. [-]
    """
    low, high = design.level([speed - _SPEED_STEP, speed + _SPEED_STEP], np.full(2, margin)).stall_margin
    return (high - low) / (2 * _SPEED_STEP)


def _faster_full_speed(design: SpeedSweep, limit: Limit, step: float) -> np.ndarray:
    """Return the change of the margin (1,) if a higher speed at full throttle is allowed."""
    data, margins = design.data, []
    for sign in (-1, 1):
        share = 1 + sign * _SPEED_STEP / data.power.full_speed
        flight = data.flight._replace(never_exceed_speed=share * data.flight.never_exceed_speed)
        moved = replace(
            data,
            level=data.level._replace(flight=flight),
            power=data.power._replace(full_speed=share * data.power.full_speed),
        )
        outputs = SpeedSweep(moved, design.choice, design.variables).evaluation.by_name()
        margins.append(limit.margin(outputs[limit.output]))
    return step * ((margins[1] - margins[0]) / (2 * _SPEED_STEP))


# speed in a limit (`quantities.limits.SpeedPair.value`) -> function that returns the margin's change for a step
BY_SPEED: dict[str, Callable[[SpeedSweep, Limit, float], np.ndarray]] = {
    "cruise": _closer_to_stall,
    "stall ahead": _faster_stall,
    "top": _faster_full_speed,
}


def _next_parts(space: SearchSpace, own: Choice) -> list[tuple[str, Choice]]:
    """Return pairs (words, choice). Each has the next larger size of one part, or another part or scheme."""
    sizes = {
        "rod_pairs": lambda to: f"rod pairs: {to} instead of {own.rod_pairs}",
        "rod_diameter": lambda to: f"rods of {trade_size(to)} instead of {trade_size(own.rod_diameter)}",
        "parallel": lambda to: f"cells in parallel: {to} instead of {own.parallel}",
    }
    steps = []
    for name, words in sizes.items():
        larger = [
            choice
            for choice in space.choices
            if _alike(choice, own, name) and getattr(choice, name) > getattr(own, name)
        ]
        if larger:
            following = min(larger, key=lambda choice: getattr(choice, name))
            steps.append((words(getattr(following, name)), following))
    for other in space.choices:
        if other == own:
            continue
        for fields, change in (
            (("propeller",), f"a {other.propeller} propeller instead of {own.propeller}"),
            (("motor",), f"motor: {other.motor or _OWN} instead of {own.motor or _OWN}"),
            (("pack", "series", "parallel"), f"pack: {_cells(other)} instead of {_cells(own)}"),
            (("scheme",), f"stretched by {_scheme(space, other)} instead of {_scheme(space, own)}"),
            (("bays",), f"{other.bays or _AS_IT_IS} instead of {own.bays or _AS_IT_IS}"),
            (
                ("throttle_cap",),
                f"throttle to {with_unit(_cap(space, other), '%')} instead of {format_in_unit(_cap(space, own), '%')}",
            ),
        ):
            if _alike(other, own, *fields) and getattr(other, fields[0]) != getattr(own, fields[0]):
                steps.append((change, other))
    return steps


def _alike(choice: Choice, own: Choice, *but_for: str) -> bool:
    """Return whether two choices differ in nothing but the named fields. Another pack is laid in another way."""
    names = {*but_for, *(("layout", "raised_lid") if {"pack", "parallel"} & {*but_for} else ())}
    return replace(choice, **{name: getattr(own, name) for name in names}) == own


def _cells(choice: Choice) -> str:
    return f"{choice.series}S{choice.parallel}P {choice.pack or _OWN}"


def _scheme(space: SearchSpace, choice: Choice) -> str:
    return SCHEME_WORDS[choice.scheme or space.study.stretch.scheme]


def _cap(space: SearchSpace, choice: Choice) -> float:
    """Return the throttle cap of a choice. [-]"""
    return space.study.controller.throttle_cap if choice.throttle_cap is None else choice.throttle_cap
