"""The points of a grid at their best: all that is on no axis and not requested is searched, parts too."""

from __future__ import annotations

import math
import time
from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.pack_fit import pack_fault
from tradestudy.commands.assess import Shares
from tradestudy.commands.requested_wing import RequestedWing
from tradestudy.commands.study_session import StudySession
from tradestudy.errors import CommandError
from tradestudy.quantities import with_unit
from tradestudy.search.best_at_points import Contender, MapPoint, best_at_points
from tradestudy.search.parallel import run_tasks
from tradestudy.search.search_task import SearchResult, SearchTask, VariableValues

from .rows import GRID_PARTS, LEFT_OUT, PointFields, empty_row, limit_fields, made_fields, point_numbers

_HOUR = 3600.0
_SEARCHES_A_POINT = 3  # on average, with the parts of other choices


class GridDesign(NamedTuple):
    """One design of a grid, in SI units."""

    choice: Choice
    variables: VariableValues


def refuse_long(done: int, total: int, seconds: float, workers: int, longest: float, what: str) -> None:
    """Raise CommandError if the rest of a grid takes more than ``longest`` seconds at the pace so far.

    ``done`` of ``total`` tasks took ``seconds`` on some ``workers``; nothing is said before each had one. ``what`` are
    the tasks in words.
    """
    if done < min(workers, total):
        return
    left = seconds * (total - done) / done
    if left > longest:
        hours = left >= 2 * _HOUR
        time_left = f"{left / _HOUR:.0f} hours" if hours else with_unit(left, "min")
        raise CommandError(
            f"This grid takes about {time_left} more: {done} of {total} {what} took {seconds:.0f} s. Give --yes to go "
            "on; what is finished is kept. Or give fewer values."
        )


def searched_rows(
    session: StudySession,
    axes: dict[str, list[Any]],
    designs: list[GridDesign],
    wing: RequestedWing,
    shares: Shares,
    longest: float,
) -> list[PointFields]:
    """Return one row for each design. All variables and parts that are on no axis and not requested are searched.

    Lines run along the first axis that is a variable. The numbers are multiplied by ``shares``.
    """
    names = ("span", "sweep", "washout", "tip_chord", "static_margin", "cruise_speed")
    given = [name for name in names if name in axes or getattr(wing, name) is not None]
    held = [name for name in GRID_PARTS if name in axes or getattr(wing, name) is not None]
    fixed = ["extension" if name == "span" else name for name in given]
    points = [
        MapPoint({name: design.variables[name] for name in fixed}, _contenders(session, design, held, fixed))
        for design in designs
    ]
    lines = _lines([len(values) for values in axes.values()], [name in GRID_PARTS for name in axes])
    best = session.ranked()[0].variables
    if math.isfinite(longest) and len(designs) > session.engine.workers:  # the pace of one search tells that of all
        began, first = time.monotonic(), points[0]
        task = SearchTask("solve", first.contenders[0].choice, [best], first.fixed)
        run_tasks(session.space, [task], session.report_progress)
        share = _SEARCHES_A_POINT / min(session.engine.workers, len(lines))
        refuse_long(1, len(designs), (time.monotonic() - began) * share, 1, longest, "searches")
    searched = []
    for line in lines:
        apart = [sum(abs(value - best[name]) for name, value in points[index].fixed.items()) for index in line]
        searched.append(([points[index] for index in line], apart.index(min(apart))))
    rows: dict[int, PointFields] = {}
    for line, results in zip(lines, best_at_points(session.space, searched, session.report_progress), strict=True):
        for index, result in zip(line, results, strict=True):
            rows[index] = _searched_row(session, designs[index], result, shares)
    return [rows[index] for index in range(len(designs))]


def _lines(counts: list[int], are_parts: list[bool]) -> list[list[int]]:
    """Return the indices of the points on each line along the first axis that is a variable, of parts if none is."""
    along = are_parts.index(False) if False in are_parts else 0
    places = np.moveaxis(np.arange(math.prod(counts)).reshape(counts), along, -1)
    return places.reshape(-1, counts[along]).tolist()


def _contenders(session: StudySession, design: GridDesign, held: list[str], fixed: list[str]) -> list[Contender]:
    """Return the choices that may be best where some parts are ``held`` as on a design, best first.

    The gain of the best wing of a choice is a bound if the ``fixed`` variables lie between the bounds of the study.
    Parts that the study does not list are tried with all other parts as on the best wing.
    """
    bounds = session.space.bounds
    inside = all(bounds[name][0] - 1e-9 <= design.variables[name] <= bounds[name][1] + 1e-9 for name in fixed)

    def fits(choice: Choice) -> bool:
        own_cells = "parallel" not in held or not choice.pack
        return own_cells and all(getattr(choice, name) == getattr(design.choice, name) for name in held)

    ranked = [result for result in session.ranked() if fits(result.choice)]
    if not ranked:
        return [Contender(design.choice, math.inf, session.ranked()[0].variables)]
    feasible = [result for result in ranked if result.feasible] or ranked[:1]
    return [
        Contender(result.choice, result.gain if inside and result.feasible else math.inf, result.variables)
        for result in feasible
    ]


def _searched_row(
    session: StudySession, design: GridDesign, result: SearchResult | None, shares: Shares
) -> PointFields:
    fault = pack_fault(session.study, result.choice if result else design.choice)
    if fault:
        return empty_row("pack_bay", fault)
    if result is None:
        return empty_row("left_out", LEFT_OUT)
    worst = min(result.margins, key=lambda name: float(result.margins[name].min()))
    words = next(limit.words for limit in session.space.limits(result.choice) if limit.name == worst)
    speed = result.variables["cruise_speed"]
    numbers = point_numbers(session.space, result.range, result.gain, result.all_up_mass, speed, shares)
    return (
        numbers
        | made_fields(session.space, result.choice, result.variables)
        | limit_fields(worst, words, result.worst_margin)
    )
