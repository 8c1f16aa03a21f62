"""A grid over keys of the study, alone or beside variables of the wing: `study_grid`.

Every combination of the values of keys is a study of its own. Its model is calibrated against the stock wing again, as
for a file in which a builder had typed these values. So a task is one such study, with all designs of the other axes.
"""

from __future__ import annotations

import hashlib
import itertools
import math
import time
from dataclasses import dataclass, replace
from typing import Any

from tradestudy.commands import design_grid
from tradestudy.commands.assess import Shares
from tradestudy.commands.grid_points.rows import empty_row
from tradestudy.commands.grid_points.searched import refuse_long
from tradestudy.commands.kept_results import inputs_text
from tradestudy.commands.requested_wing import RequestedWing
from tradestudy.commands.study_session import StudySession
from tradestudy.errors import StudyFileError, TradestudyError
from tradestudy.results.grid_result import GridAxis, GridPoint, GridResult, GridStock
from tradestudy.search.engines.processes import LostTask, completed_tasks
from tradestudy.search.parallel import pace
from tradestudy.search.search_space import SearchSpace
from tradestudy.study.edits.edit_study import EditRefused, edited_study
from tradestudy.study.edits.key_axis import KeyAxis
from tradestudy.study.edits.what_stays import notes_on_edits
from tradestudy.study.schema.study import Study

_STUDIES = "each combination of {} is a study of its own, whose model is calibrated against the stock wing again"
_IMPOSSIBLE = "this study contradicts itself"
Axes = dict[str, Any]  # name -> KeyAxis, or SI values of a variable of the wing


@dataclass(frozen=True)
class VariantTask:
    """One edited study, and the designs that are wanted of it."""

    study: Study
    axes: dict[str, list[Any]]
    wing: RequestedWing
    at_best: bool
    shares: Shares

    @property
    def words(self) -> str:
        """The task in words for the user."""
        return ", ".join(f"{edit.key} = {edit.value}" for edit in self.study.edits)

    @property
    def key(self) -> tuple:
        """The key of its rows in the record."""
        text = f"{inputs_text(self.study)}\n{self.axes!r}\n{self.wing!r}\n{self.at_best}\n{self.shares!r}"
        return "grid of keys", hashlib.sha256(text.encode()).hexdigest()


def study_grid(
    session: StudySession, axes: Axes, wing: RequestedWing, at_best: bool = True, longest: float = float("inf")
) -> GridResult:
    """Return every design of a grid, some of whose axes are keys of the study.

    Parameters
    ----------
    session
        The open study. Its record keeps the designs of each edited study.
    axes
        One to three names in the order of the axes: `KeyAxis`, or SI values of a variable, as in `design_grid.grid`.
    wing, at_best, longest
        As in `design_grid.grid`.

    Raises
    ------
    CommandError
        The grid is too large, or it would take too long.
    """
    keys = {name: axis for name, axis in axes.items() if isinstance(axis, KeyAxis)}
    others = {name: values for name, values in axes.items() if name not in keys}
    design_grid.refuse_axes(session, others, _count(axes))
    shares = design_grid.grid_shares(session, at_best)
    combinations = list(itertools.product(*(range(len(axis.values)) for axis in keys.values())))
    rows: dict[tuple[int, ...], list[dict[str, Any]]] = {}
    pending: list[tuple[tuple[int, ...], VariantTask]] = []
    size = _count(others)
    notes: list[str] = []
    for numbers in combinations:
        changes = {axis.key: axis.values[at] for axis, at in zip(keys.values(), numbers, strict=True)}
        try:
            variant = edited_study(session.study, changes)
        except EditRefused as error:
            rows[numbers] = [empty_row("left_out", error.faults[0].message.rstrip("."))] * size
            continue
        notes = notes_on_edits(variant)
        task = VariantTask(variant, others, wing, at_best, shares)
        known = session.record.known(task.key)
        if known is None:
            pending.append((numbers, task))
        else:
            rows[numbers] = known
    began, done = time.monotonic(), 0
    tasks = [task for _, task in pending]
    for index, result in completed_tasks(session.engine, variant_rows, tasks, lambda task: task.words):
        numbers, task = pending[index]
        if isinstance(result, LostTask):
            result = [empty_row("left_out", result.words)] * size
        else:
            session.record.keep([(task.key, result)])
        rows[numbers] = result
        done += 1
        seconds = time.monotonic() - began
        session.report_progress(f"studies of the grid: {pace(done, len(tasks), seconds)}")
        refuse_long(done, len(tasks), seconds, session.engine.workers, longest, "studies")
    return _result(session, axes, rows, at_best, notes)


def variant_rows(space: SearchSpace, task: VariantTask) -> list[dict[str, Any]]:
    """Return one row for each design of an edited study. This is a task for an engine; ``space`` is not used."""
    try:
        session = StudySession(task.study, "")
    except TradestudyError as error:
        return [empty_row("left_out", _reason(error))] * _count(task.axes)
    try:
        design_grid.refuse_axes(session, task.axes, _count(task.axes))
        return design_grid.grid_rows(session, task.axes, task.wing, task.at_best, math.inf, task.shares)
    except TradestudyError as error:
        return [empty_row("left_out", _reason(error))] * _count(task.axes)
    finally:
        session.close()


def _reason(error: TradestudyError) -> str:
    words = error.faults[0].message if isinstance(error, StudyFileError) else str(error)
    return words.rstrip(".") or _IMPOSSIBLE


def _count(axes: Axes) -> int:
    count = 1
    for axis in axes.values():
        count *= len(axis.values if isinstance(axis, KeyAxis) else axis)
    return count


def _result(
    session: StudySession,
    axes: Axes,
    rows: dict[tuple[int, ...], list[dict[str, Any]]],
    at_best: bool,
    notes: list[str],
) -> GridResult:
    """Return the result of a grid from the rows of each combination of keys."""
    keys = [name for name, axis in axes.items() if isinstance(axis, KeyAxis)]
    plain = {name: values for name, values in axes.items() if name not in keys}
    base = design_grid.empty_grid(session, plain, at_best)
    made = {axis.name: axis for axis in base.axes}
    stock, best = (dict(zip(made, wing.values, strict=True)) if wing else {} for wing in (base.stock, base.recommended))
    for name in keys:
        axis = axes[name]
        made[name] = GridAxis(name, name, axis.unit, axis.shown, not axis.is_number)
        stock[name] = best[name] = axis.stock
    edge_axes = [made[name] for name in axes]
    points = []
    for numbers in itertools.product(*(range(len(axis.values)) for axis in edge_axes)):
        at = dict(zip(axes, numbers, strict=True))
        within = 0
        for name, values in plain.items():
            within = within * len(values) + at[name]
        row = rows[tuple(at[name] for name in keys)][within]
        points.append(GridPoint([made[name].values[at[name]] for name in axes], **row))
    return replace(
        base,
        axes=edge_axes,
        points=points,
        others="; ".join([base.others, _STUDIES.format(" and ".join(keys)), *notes]),
        stock=GridStock([stock[name] for name in axes], *base.stock[1:]),
        recommended=base.recommended and GridStock([best[name] for name in axes], *base.recommended[1:]),
    )
