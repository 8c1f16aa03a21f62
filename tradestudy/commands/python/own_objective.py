"""The best wing for an objective and limits of the user's own: `best_for`."""

from __future__ import annotations

import pickle
from collections.abc import Callable, Sequence
from contextlib import nullcontext
from dataclasses import dataclass, replace
from typing import Any

from tradestudy.commands.study_session import StudySession
from tradestudy.errors import CommandError
from tradestudy.notebook import data_frame
from tradestudy.quantities import at_edge
from tradestudy.results.design import Design
from tradestudy.search.branch_and_bound import Ranking
from tradestudy.search.own.functions import EvaluatedWing, OwnFunctions, OwnLimit
from tradestudy.search.parallel import sent_to_workers
from tradestudy.search.scaled_problem import ScaledProblem
from tradestudy.search.search_space import starting_points
from tradestudy.search.search_task import SearchResult

AT_MEDIANS = "numbers are at the medians of all inputs, as own functions see them; assess tells what to expect"


@dataclass(frozen=True)
class OwnOptimum:
    """The best wing for an objective of the user's own.

    Attributes
    ----------
    best
        The wing in full. Where no wing meets every limit, it is the one that misses them least. Its numbers are those
        that the functions see, at the medians of all inputs; its flags say so. `assess` tells what to expect.
    objective
        The value of the own objective, or of the study's (SI) where only limits were given.
    own_limits
        The value of the function of each own limit, by name.
    feasible
        Whether every limit is met, those of the study and the own ones.
    by_differences
        The own functions that do not take complex numbers, so that their slopes are differences.
    choices
        One dict for each set of parts, best first: its words, objective, span and weight, range at the medians, and
        whether limits are met.
    """

    best: Design
    objective: float
    own_limits: dict[str, float]
    feasible: bool
    by_differences: list[str]
    choices: list[dict[str, Any]]

    def to_dataframe(self) -> Any:
        """Return a pandas DataFrame with a row for every set of parts, best first."""
        return data_frame(self.choices)


def best_for(
    session: StudySession,
    objective: Callable[[EvaluatedWing], Any] | None,
    limits: Sequence[OwnLimit] = (),
) -> OwnOptimum:
    """Return the best wing for a function, within the study's limits and some more; all sets of parts are searched.

    Functions run in worker processes if they can be sent there, so if they are defined in a module. A lambda runs in
    this process. Raises CommandError if a function fails, or if two limits have one name.
    """
    names = [limit.name for limit in limits]
    reserved = {"objective", *(limit.name for limit in session.space.limits(session.anchor.choice))}
    for name in names:
        if names.count(name) > 1 or name in reserved:
            raise CommandError(f'The name "{name}" of an own limit is taken; choose another one.')
    own = OwnFunctions(objective, tuple(limits))
    space = replace(session.space, own=own, record=None, _models={})
    alone = session.engine.workers > 1 and not _is_sent(own)
    if alone:
        session.report_progress("own functions cannot be sent to workers, so this process searches alone")
        space.engine = None
    if not space.choices:
        session.ranked()  # says why nothing can be built
    first = ScaledProblem(space, space.choices[0])
    first.objective(first.scaled(starting_points(space)[0]))  # gives each function its scale, before workers get them
    with nullcontext() if space.engine is None else sent_to_workers(session.space, space):
        ranked = Ranking(space, session.report_progress).complete()
    best = ranked[0]
    plain = replace(best, margins={name: value for name, value in best.margins.items() if name not in names})
    found = session.design(plain, "best")
    return OwnOptimum(
        best=replace(found, flags=[AT_MEDIANS, *found.flags]),
        objective=_objective(own, best),
        own_limits={
            limit.name: limit.bound + limit.sense * own.scales[limit.name] * float(best.margins[limit.name][0])
            for limit in limits
        },
        feasible=best.feasible,
        by_differences=sorted(own.by_differences),
        choices=[_row(own, each) for each in ranked],
    )


def _is_sent(own: OwnFunctions) -> bool:
    try:
        pickle.dumps(own)
    except (pickle.PicklingError, AttributeError, TypeError):
        return False
    return True


def _objective(own: OwnFunctions, result: SearchResult) -> float:
    return result.gain * (own.scales["objective"] if own.objective else 1.0)


def _row(own: OwnFunctions, result: SearchResult) -> dict[str, Any]:
    return {
        "built_with": result.choice.words,
        "objective": _objective(own, result),
        **at_edge(span_mm=result.traded["span"], auw_g=result.all_up_mass),
        "range_at_medians_km": at_edge(range_km=result.range)["range_km"],
        "feasible": result.feasible,
    }
