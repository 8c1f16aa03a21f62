"""What to change where nothing fits, and what would let an excluded choice in, in the units and words of a result."""

from __future__ import annotations

import math

from tradestudy.aircraft.model.limit_bounds import Limit
from tradestudy.quantities.limit_remedies import REMEDIES
from tradestudy.quantities.variables import BOUNDED
from tradestudy.results.trade import AdvisedChange
from tradestudy.search.infeasible.advice import Advice, LimitChanges, let_in, of_one_limit, without_proof
from tradestudy.search.infeasible.conflicts import Conflict, bound_text, limit_name, required_bound
from tradestudy.search.parallel import run_tasks
from tradestudy.search.search_space import SearchSpace
from tradestudy.search.search_task import SearchResult, SearchTask

from .study_session import StudySession

_MOST_DIGITS = 4  # most decimals of a value beside its bound
_MOST_KEYS = 2  # most keys named in one sentence


def advised_changes(space: SearchSpace, found: Advice | None, conflict: Conflict) -> list[AdvisedChange]:
    """Return the changes that together make a study feasible, then those of single limits that suffice alone."""
    rows, joint = [], found.changes if found else []
    if found:
        for row in joint:
            rows += _rows(space, row, alone=False, proven=found.proven, words=found.choice.words)
    for each in conflict.relaxations:
        alone = of_one_limit(space, each)
        if alone.changes and not ([row.limit.name for row in joint] == [each.limit.name] and found and found.proven):
            rows += _rows(space, alone, alone=True, proven=False, words=each.choice.words)
    return rows


def _rows(space: SearchSpace, row: LimitChanges, alone: bool, proven: bool, words: str) -> list[AdvisedChange]:
    """Return a row for each key of one limit, or one row with what helps in words if no key moves it."""
    typed = [(change.key, change.text, change.now_text) for change in row.changes] or [("", _remedy(space, row), "")]
    return [
        AdvisedChange(
            key=key,
            value=value,
            now=now,
            limit=row.limit.name,
            limit_words=_name(row.limit),
            whose=row.limit.whose,
            from_bound=_bound_text(space, row.limit, None),
            to_bound=_bound_text(space, row.limit, row.bound),
            alone=alone,
            proven=proven,
            words=words,
        )
        for key, value, now in typed
    ]


def _name(limit: Limit) -> str:
    """Return the words for a limit, or for the least value of a variable."""
    return BOUNDED[limit.name][0].low.words if limit.name in BOUNDED else limit_name(limit)


def _bound_text(space: SearchSpace, limit: Limit, moved: float | None) -> str:
    if limit.name in BOUNDED:
        return BOUNDED[limit.name][0].text(limit.bound if moved is None else moved)
    return bound_text(space, limit, moved)


def excluded_sentences(session: StudySession, infeasible: list[SearchResult]) -> list[str]:
    """Return a sentence on each infeasible choice: its worst miss, and what would let it in."""
    space = session.space
    tasks = [SearchTask("least_change", each.choice, [each.variables]) for each in infeasible]
    designs = run_tasks(space, tasks, session.report_progress)
    return [
        f"{each.choice.words}: {_reason(space, each, design)}" for each, design in zip(infeasible, designs, strict=True)
    ]


def _reason(space: SearchSpace, near: SearchResult, design: SearchResult | None) -> str:
    rows = let_in(space, design) if design is not None else None
    if rows:
        keys = list(dict.fromkeys(f"{change.key} = {change.text}" for row in rows for change in row.changes))
        more = f" and {len(keys) - _MOST_KEYS} keys more" if len(keys) > _MOST_KEYS else ""
        return f"{_miss(space, rows[0])} ({' and '.join(keys[:_MOST_KEYS])}{more} would do)"
    rows = without_proof(space, near).changes
    worst = next((row for row in rows if not row.changes), rows[0] if rows else None)
    if worst is None:
        return "no wing was found that meets every limit"
    helps = _remedy(space, worst)
    return _miss(space, worst) + (f"; what helps: {helps}" if helps else "")


def _remedy(space: SearchSpace, row: LimitChanges) -> str:
    """Return what helps against a miss that no key mends, with its amount; empty if that is not known."""
    remedy, known = REMEDIES.get(row.limit.name), row.limit.declared.quantity
    missed = abs(known.in_unit(row.bound) - known.in_unit(required_bound(space, row.limit)))
    return remedy.filled(missed, bool(space.study.rods)) if remedy else ""


def _miss(space: SearchSpace, row: LimitChanges) -> str:
    """Return the value of a limit beside its bound, with as many digits as show the difference."""
    if row.limit.name in BOUNDED:
        return f"{_name(row.limit)} {_bound_text(space, row.limit, row.bound)}"
    return f"{_name(row.limit)} {value_and_bound(row.limit, row.bound, required_bound(space, row.limit))}"


def value_and_bound(limit: Limit, value: float, bound: float) -> str:
    """Return a value and the bound that it misses, both SI: ``36.0 km/h, at most 35.2``."""
    known = limit.declared.quantity
    first, second = (known.in_unit(each) * (-1 if limit.declared.reported_negated else 1) for each in (value, bound))
    difference = abs(first - second)
    digits = min(_MOST_DIGITS, max(0, -math.floor(math.log10(difference)))) if difference > 0 else 1
    return f"{first:.{digits}f} {known.unit}".strip() + f", {limit.declared.side} {second:.{digits}f}"
