"""What to change in a study without a feasible design: the smallest changes of its keys that make it feasible.

Keys come first. If no change of keys helps, parts besides those of the study are tried: one more pair of rods, thicker
rods, one more row of cells, a lower throttle cap. A change counts only if the changed study, searched again as the
command ``optimise`` would, has a feasible design.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.anchor.calibration import anchor_of
from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.limit_bounds import MET_ABOVE, Limit, launch_way
from tradestudy.aircraft.shape.stock_fit import refuse_what_does_not_fit
from tradestudy.errors import StudyFileError
from tradestudy.quantities.limit_remedies import REMEDIES
from tradestudy.quantities.variables import BOUNDED
from tradestudy.study.schema.study import Study

from ..branch_and_bound import Ranking
from ..engines.progress import Progress, no_progress
from ..search_space import SearchSpace, choice_fault
from ..search_task import SearchResult
from .conflicts import LimitRelaxation, sufficient_bound
from .least_change import change_group, change_problem, least_change, least_values, no_key_moves
from .limit_keys import (
    Change,
    PartChange,
    WayChange,
    key_changes,
    moves_bay,
    range_change,
    with_changes,
)

_TRIED = 3  # choices from which changes are sought, least violation first
_ROUNDS = 4  # times that values are rounded farther outward until a search finds a design
_PART_COST = 0.1  # of one more part, beside changes of keys in scaled margins
_CAP_STEP, _LEAST_CAP = 0.05, 0.5  # throttle caps that are tried
_DIAMETER_STEP = 0.001  # m
_HELD = 3  # searches for one change, each with the keys held that would need a value that is not allowed
_MORE = 2  # most steps of a part that are tried


class LimitChanges(NamedTuple):
    """A limit and the changes that move it to a bound that would do. Without changes, no key and no part helps.

    ``bound`` is SI, as in `conflicts.sufficient_bound`.
    """

    limit: Limit
    bound: float
    changes: Sequence[Change]


class Advice(NamedTuple):
    """Changes that together make a study feasible, with the choice of parts with which they do.

    ``proven`` is False if no search of the changed study found a design.
    """

    choice: Choice
    changes: list[LimitChanges]
    cost: float
    proven: bool = False


def advice(space: SearchSpace, ranked: list[SearchResult], report_progress: Progress = no_progress) -> Advice | None:
    """Return the smallest changes with which some choice is feasible. ``ranked`` has the least violation first."""
    near = ranked[:_TRIED]
    for ways in (_by_keys_of, _by_parts):
        report_progress(f"looking for changes of {'keys' if ways is _by_keys_of else 'parts'} that would do")
        found = [each for result in near for each in ways(space, result)]
        for each in sorted(found, key=lambda each: each.cost):
            proof = _proven(space, each)
            if proof is not None:
                return proof
    return min((without_proof(space, result) for result in near), key=lambda each: each.cost, default=None)


def of_one_limit(space: SearchSpace, relaxed: LimitRelaxation) -> LimitChanges:
    """Return the keys that relax one limit as far as suffices alone; none if no key moves it so far."""
    limit, bound, choice = relaxed
    changes = key_changes(space.study, space.anchor.reference, choice, limit, bound)
    return LimitChanges(limit, bound, changes if _fits(with_changes(space.study, changes)) else [])


# --- changes of keys ---------------------------------------------------------------------------------------


def _by_keys_of(space: SearchSpace, near: SearchResult) -> Iterator[Advice]:
    """Yield the least change of keys with which a choice is feasible, and one without a longer bay."""
    found = _by_keys(space, near)
    if found is not None:
        yield found
        if moves_bay([change for row in found.changes for change in row.changes]):  # there may be no foam for it
            without = _by_keys(space, near, ("bay",))
            if without is not None:
                yield without


def _by_keys(space: SearchSpace, near: SearchResult, leave: Sequence[str] = ()) -> Advice | None:
    """Return the least change of keys, but for those to leave, with which a choice is feasible, or None."""
    held = list(leave)
    for _ in range(_HELD):  # a key whose value would not be allowed is held, and the search made again
        problem = change_problem(space, near.choice)
        design = least_change(problem, problem.scaled(near.variables), held)
        if _misses_what_stays(space, design, held):
            design = least_change(problem, np.full(len(problem.free), 0.5), held)
        if _misses_what_stays(space, design, held):
            return None
        rows = _rows(space, design)
        if all(row.changes for row in rows):
            return Advice(near.choice, rows, _cost(space, design))
        held += [change_group(row.limit, near.choice)[0] for row in rows if not row.changes]
    return None


def _rows(space: SearchSpace, design: SearchResult) -> list[LimitChanges]:
    """Return the limits and least values that a design misses, worst first, with the changes that would do."""
    rows = []
    for limit in _missed(space, design):
        if limit.name in BOUNDED:
            least = design.variables[limit.output]
            rows.append(LimitChanges(limit, least, [range_change(space.study, limit.output, least)]))
        else:
            bound = sufficient_bound(space, design, limit)
            changes = key_changes(space.study, space.anchor.reference, design.choice, limit, bound)
            rows.append(LimitChanges(limit, bound, changes))
    return rows


def _missed(space: SearchSpace, design: SearchResult) -> list[Limit]:
    """Return the limits and least values that a design misses, worst first."""
    rows = [(_margin(design, limit), limit) for limit in _every_limit(space, design.choice)]
    return [limit for margin, limit in sorted(rows, key=lambda row: row[0]) if margin < MET_ABOVE]


def _every_limit(space: SearchSpace, choice: Choice) -> list[Limit]:
    return [*space.limits(choice), *least_values(space, choice).values()]


def _margin(design: SearchResult, limit: Limit) -> float:
    if limit.name in BOUNDED:
        return float(limit.margin(design.variables[limit.output]).min())
    return float(design.margins[limit.name].min())


def _misses_what_stays(space: SearchSpace, design: SearchResult, held: Sequence[str] = ()) -> bool:
    """Return whether a design misses a limit that no key moves."""
    return any(no_key_moves(limit, design.choice, held) for limit in _missed(space, design))


def let_in(space: SearchSpace, design: SearchResult) -> list[LimitChanges] | None:
    """Return the changes of keys that a design needs, worst miss first, or None if keys do not suffice."""
    rows = _rows(space, design)
    return rows if all(row.changes for row in rows) else None


def _cost(space: SearchSpace, design: SearchResult) -> float:
    costs: dict[str, float] = {}
    for limit in _missed(space, design):
        group, weight = change_group(limit, design.choice)
        costs[group] = max(costs.get(group, 0.0), -weight * _margin(design, limit))
    return sum(costs.values())


def without_proof(space: SearchSpace, near: SearchResult) -> Advice:
    """Return what a choice would need, whether or not a key gives it."""
    design = _nearest(space, near)
    return Advice(near.choice, _rows(space, design), _cost(space, design))


def _nearest(space: SearchSpace, near: SearchResult) -> SearchResult:
    """Return the design of least change if every limit may be missed, those that no key moves at a high cost."""
    problem = change_problem(space, near.choice)
    return least_change(problem, problem.scaled(near.variables), any_limit=True)


# --- parts besides those of the study ----------------------------------------------------------------------


def _by_parts(space: SearchSpace, result: SearchResult) -> Iterator[Advice]:
    """Yield the least change for each part that would help a choice meet the limits that no key moves."""
    design = _nearest(space, result)
    missed = [limit for limit in _missed(space, design) if limit.name in REMEDIES]
    for field in dict.fromkeys(field for limit in missed for field in REMEDIES[limit.name].parts):
        limit = next(limit for limit in missed if field in REMEDIES[limit.name].parts)
        for change, choice in _other_parts(space, result.choice, field):
            changed = space.of_study(with_changes(space.study, [change]))
            choice = changed.laid(choice) if field == "parallel" and result.choice.layout else choice
            if choice_fault(changed, choice):
                continue
            some = False
            for found in _by_keys_of(changed, replace(design, choice=choice)):
                part, some = LimitChanges(limit, limit.bound, [change]), True
                yield found._replace(changes=[part, *found.changes], cost=found.cost + _PART_COST)
            if some:
                break


def _other_parts(space: SearchSpace, choice: Choice, field: str) -> Iterator[tuple[PartChange | WayChange, Choice]]:
    """Yield the next values of a part besides those of the study, the nearest first."""
    if field == "launch":
        yield WayChange("fly.launch", "bungee", launch_way(space.study, space.anchor.reference)), choice
        return
    given = getattr(space.study.choices, field)
    own = getattr(choice, field)
    if field == "throttle_cap":
        cap = space.study.controller.throttle_cap if own is None else own
        steps = range(1, int((cap - _LEAST_CAP) / _CAP_STEP + 1e-6) + 1)
        values = [round(_CAP_STEP * int(cap / _CAP_STEP + 1e-6) - _CAP_STEP * (step - 1), 4) for step in steps]
        values = [value for value in values if value < cap - 1e-6]
        listed = given or ()
    else:
        step = _DIAMETER_STEP if field == "rod_diameter" else 1
        values = [own + step * more for more in range(1, _MORE + 1)] if own else []
        listed = given or (own,)
    for value in values:
        value = round(value, 6)
        if value not in listed:
            other: dict[str, Any] = {field: value}
            yield PartChange(field, (*listed, value), given or ()), replace(choice, **other)


# --- proof -------------------------------------------------------------------------------------------------


def _proven(space: SearchSpace, found: Advice) -> Advice | None:
    """Return advice with values with which a search of the changed study finds a design, or None."""
    for beyond in range(_ROUNDS):
        rows = [row._replace(changes=_again(space, found.choice, row, beyond)) for row in found.changes]
        changes = [change for row in rows for change in row.changes]
        study = with_changes(space.study, changes)
        if not _fits(study):
            return None
        changed = space.of_study(study, anchor_of(study) if moves_bay(changes) else None)
        changed.choices = [found.choice]
        if Ranking(changed).best(1)[0].feasible:
            return found._replace(changes=rows, proven=True)
    return None


def _fits(study: Study) -> bool:
    """Return whether everything inside the stock wing still has foam around it."""
    try:
        refuse_what_does_not_fit(study)
    except StudyFileError:
        return False
    return True


def _again(space: SearchSpace, choice: Choice, row: LimitChanges, beyond: int) -> Sequence[Change]:
    """Return the changes of one limit, rounded farther outward. Parts stay."""
    if row.limit.name in BOUNDED:
        return [range_change(space.study, row.limit.output, row.bound, beyond)]
    if any(isinstance(change, PartChange | WayChange) for change in row.changes):
        return row.changes
    changes = key_changes(space.study, space.anchor.reference, choice, row.limit, row.bound, beyond)
    return changes or row.changes
