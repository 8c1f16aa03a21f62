"""What each limit costs: the best wing once more, searched with one active limit let go.

The price of a limit (`limit_prices`) holds for a small step. This answers the larger question: how far the wing would
go without the limit at all. Limits on strength are let go together, since they share one structure. A bound of a
variable is moved by half the range of that variable, and a static margin to the least one of common practice.
"""

from __future__ import annotations

from itertools import islice
from typing import Any, NamedTuple

from tradestudy.aircraft.model.choices import Choice
from tradestudy.quantities.balance_practice import LEAST_STATIC_MARGIN
from tradestudy.quantities.limits import LIMITS, OF_PRACTICE, STOCK_WINGS, YOURS
from tradestudy.quantities.variables import BOUNDED
from tradestudy.study.schema.study import Study

from .engines.progress import Progress
from .optimum import active_limits
from .parallel import run_tasks
from .search_space import SearchSpace
from .search_task import SearchResult, SearchTask, merit

_TRIED = 3  # sets of parts searched for each limit: the best, and the most promising of those that this limit stops
_PROMISING = 0.97  # share of the best gain below which another set of parts is not searched again
# variable -> key of the study that sets its bounds, and whose they are if the study leaves that key out
_BOUND_KEYS = {
    "sweep": ("stretch.sweep", STOCK_WINGS),
    "washout": ("stretch.washout", STOCK_WINGS),
    "tip_chord": ("stretch.tip_chord", OF_PRACTICE),
    "static_margin": ("limits.static_margin", STOCK_WINGS),
    "cruise_speed": ("fly.cruise_at_least", OF_PRACTICE),
}


class WithoutLimit(NamedTuple):
    """The best result with one limit let go.

    ``names`` are the limits, or the one bound of a variable. ``moved_to`` is the bound's new place [SI], or None if the
    limit was let go altogether.
    """

    names: tuple[str, ...]
    moved_to: float | None
    result: SearchResult


def without_limits(
    space: SearchSpace, best: SearchResult, ranked: list[SearchResult], report_progress: Progress
) -> list[WithoutLimit]:
    """Return the best result without each active limit, largest gain first.

    ``ranked`` holds the results of other choices. A choice is searched again if the limit stops it.
    """
    released = {}
    for names in _groups(active_limits(space, best)):
        if change := _released(space, best.choice, names):
            stopped = _stopped(space, best, ranked, names)
            released[names] = [SearchTask("solve", each.choice, [each.variables], **change) for each in stopped]
    every = iter(run_tasks(space, [task for tasks in released.values() for task in tasks], report_progress))
    found = []
    for names, tasks in released.items():
        results = [result for result in islice(every, len(tasks)) if result is not None]
        moved_to = tasks[0].moved_bounds[0][1][BOUNDED[names[0]][1]] if names[0] in BOUNDED else None
        if results:
            found.append(WithoutLimit(names, moved_to, max(results, key=merit)))
    return sorted(found, key=lambda each: -each.result.gain)


def whose_bound(study: Study, stock_margin: float, names: tuple[str, ...]) -> str:
    """Return whose rule a bound of a variable is. The text is empty for limits, which say it themselves.

    ``stock_margin`` is the stock wing's static margin [-]; below that of common practice, the bound is of practice.
    """
    if names[0] not in BOUNDED:
        return ""
    variable, high = BOUNDED[names[0]]
    key, whose = _BOUND_KEYS.get(variable.name, ("", YOURS))
    if not any(used.key == key for used in study.defaults_used):
        return YOURS
    of_stock = not high and stock_margin >= LEAST_STATIC_MARGIN
    return OF_PRACTICE if variable.name == "static_margin" and not of_stock else whose


def _groups(names: list[str]) -> list[tuple[str, ...]]:
    """Return the limits to let go together."""
    strength = tuple(filter(_is_strength, names))
    others = [(name,) for name in dict.fromkeys(names) if name not in strength]
    return [*([strength] if strength else []), *others]


def _released(space: SearchSpace, choice: Choice, names: tuple[str, ...]) -> dict[str, Any]:
    """Return the fields of tasks with limits let go, or with a bound moved. There are none if it cannot be moved."""
    if names[0] in BOUNDED:
        variable, high = BOUNDED[names[0]]
        moved = _moved(space, choice, variable.name, high)
        return {} if moved is None else {"moved_bounds": ((variable.name, moved),)}
    if _is_strength(names[0]):
        names = tuple(name for name in LIMITS if _is_strength(name))
    return {"let_go": names}


def _is_strength(name: str) -> bool:
    return name == "failure_load_factor" or name.startswith("strength_")


def _moved(space: SearchSpace, choice: Choice, name: str, high: bool) -> tuple[float, float] | None:
    """Return the bounds of a variable with one of them moved outward, or None if it can move no farther."""
    low, most = space.bounds_of(choice)[name]
    step = 0.5 * (most - low)
    if name == "static_margin":
        return (min(low, LEAST_STATIC_MARGIN), most) if not high and low > LEAST_STATIC_MARGIN else None
    if step <= 0.0 or (name == "extension" and not high):
        return None  # a fixed variable is the builder's decision; no wing is shorter than the stock wing
    return (low, most + step) if high else (low - step, most)


def _stopped(
    space: SearchSpace, best: SearchResult, ranked: list[SearchResult], names: tuple[str, ...]
) -> list[SearchResult]:
    """Return the results to search again: the best, and the most promising of those that the limits stop."""
    stopped = [
        each
        for each in ranked
        if each.choice != best.choice
        and each.gain > best.gain - (1.0 - _PROMISING) * abs(best.gain)
        and set(names) & set(active_limits(space, each))
    ]
    return [best, *sorted(stopped, key=lambda each: -each.gain)[: _TRIED - 1]]
