"""The answer to every row of a table of variants, in its order, computed in batches on a task engine.

Rows that set no key share the study's own model, so they are evaluated in batches. Rows with the same values of keys
share an edited study, which is calibrated against the stock wing again.
"""

from __future__ import annotations

import hashlib
import itertools
import json
import math
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import asdict
from typing import Any, NamedTuple

from tradestudy.commands import design_grid
from tradestudy.commands.assess import MEDIANS
from tradestudy.commands.design_grid import CHUNK, Chunk
from tradestudy.commands.grid_points.rows import empty_row
from tradestudy.commands.grid_points.searched import GridDesign
from tradestudy.commands.kept_results import inputs_text
from tradestudy.commands.requested_wing import RequestedWing
from tradestudy.commands.study_session import StudySession
from tradestudy.errors import CommandError, StudyFileError, TradestudyError
from tradestudy.search.engines.processes import LostTask, completed_tasks
from tradestudy.search.parallel import pace
from tradestudy.search.search_space import SearchSpace
from tradestudy.study.edits.edit_study import edited_study
from tradestudy.study.schema.study import Study

from .variant_table import TypedRow, VariantRows, VariantSample, VariantTable, wing_values

_REFUSED = "refused"  # stands for the limit of a row that the study refuses
_CHUNKS_AT_ONCE = 8  # batches that are read ahead; rows are written when all of them are answered
_KEYS_AT_ONCE = 16  # the same for rows that need a study or a search of their own
ANSWER_NUMBERS = ("cruise_speed_kmh", "range_km", "gain", "auw_g")
RowAnswer = dict[str, Any]  # fields of a `GridPoint` without its values
WriteRows = Callable[[list[tuple[TypedRow, RowAnswer]]], None]


def is_refused(answer: RowAnswer) -> bool:
    """Return whether there is no wing to a row, so that its words on a limit are a reason."""
    return answer["range_km"] is None and answer["margin"] is None


class VariantsTask(NamedTuple):
    """Rows that share one study: a batch of its designs, or an edited study with SI values of options in each row."""

    chunk: Chunk | None
    study: Study | None
    wings: list[dict[str, Any]]
    search: bool

    @property
    def key(self) -> tuple:
        """The key of the rows in the record, whose own key holds the study that is not edited."""
        edited = inputs_text(self.study) if self.study else ""
        chunk = None
        if self.chunk:
            designs = [[asdict(choice), variables] for choice, variables in self.chunk.designs]
            chunk = [self.chunk.best_speed, designs]
        text = json.dumps([edited, chunk, self.wings, self.search], sort_keys=True)
        return "variants", hashlib.sha256(text.encode()).hexdigest()


def answer_all(
    session: StudySession, source: VariantTable | VariantRows | VariantSample, search: bool, write: WriteRows
) -> None:
    """Answer every row of a table or sample, and pass them in their order to ``write``, some at a time.

    With ``search``, all that a row leaves open is at its best; otherwise it is as on the stock wing. Answers that the
    record holds are not computed again.
    """
    _Answering(session, source, search, write).run()


class _Answering:
    def __init__(
        self, session: StudySession, source: VariantTable | VariantRows | VariantSample, search: bool, write: WriteRows
    ):
        self.session, self.source, self.search, self.write = session, source, search, write
        self.alone = search or any("." in name for name in source.columns)
        # rows that wait for answers, by number
        self.windows: dict[int, tuple[list[TypedRow], dict[int, RowAnswer]]] = {}
        self.places: list[tuple[int, list[int]]] = []  # window and rows of each task that was sent
        self.written = self.computed = self.known = 0

    def run(self) -> None:
        began = time.monotonic()
        sent: list[VariantsTask] = []
        for index, result in completed_tasks(self.session.engine, task_answers, self._tasks(sent)):
            window, places = self.places[index]
            if isinstance(result, LostTask):
                result = [empty_row("left_out", result.words)] * len(places)
            else:
                self.session.record.keep([(sent[index].key, result)])
            sent[index] = VariantsTask(None, None, [], False)  # no longer needed
            self.windows[window][1].update(zip(places, result, strict=True))
            self.computed += len(places)
            left = self.source.count - self.known
            self.session.report_progress(f"rows: {pace(self.computed, left, time.monotonic() - began)}")
            self._release()
        self._release()

    def _tasks(self, sent: list[VariantsTask]) -> Iterator[VariantsTask]:
        """Yield the tasks of all rows that the record does not hold."""
        size = _KEYS_AT_ONCE if self.alone else _CHUNKS_AT_ONCE * CHUNK
        rows = self.source.rows()
        for number in itertools.count():
            window = list(itertools.islice(rows, size))
            if not window:
                return
            answers, tasks = self._divided(window)
            self.windows[number] = window, answers
            self.known += len(answers)
            pending = []
            for places, task in tasks:
                known = self.session.record.known(task.key)
                if known is None:
                    pending.append((places, task))
                else:
                    answers.update(zip(places, known, strict=True))
                    self.known += len(places)
            self._release()
            for places, task in pending:
                self.places.append((number, places))
                sent.append(task)
                yield task

    def _divided(self, window: list[TypedRow]) -> tuple[dict[int, RowAnswer], list[tuple[list[int], VariantsTask]]]:
        """Return answers to rows that are refused, and the tasks of the others with the places of their rows."""
        refused: dict[int, RowAnswer] = {}
        groups: dict[tuple, list[int]] = {}
        wings: dict[int, dict[str, Any]] = {}
        for place, row in enumerate(window):
            try:
                wings[place] = wing_values(row)
            except CommandError as error:
                refused[place] = _refusal(error)
                continue
            keys = tuple(sorted((name, text) for name, text in row.items() if "." in name))
            groups.setdefault((keys, place if self.search else 0), []).append(place)
        tasks: list[tuple[list[int], VariantsTask]] = []
        for (keys, _), places in groups.items():
            same = [wings[place] for place in places]
            if not keys and not self.search:
                lost, chunks = chunked(self.session, same)
                refused |= {places[at]: answer for at, answer in lost.items()}
                tasks += [([places[at] for at in ats], VariantsTask(chunk, None, [], False)) for ats, chunk in chunks]
                continue
            try:
                study = edited_study(self.session.study, dict(keys))
            except StudyFileError as error:
                refused |= dict.fromkeys(places, _refusal(error))
                continue
            tasks.append((places, VariantsTask(None, study, same, self.search)))
        return refused, tasks

    def _release(self) -> None:
        """WriteRows the rows of every window that is answered, up to the first that is not."""
        while self.written in self.windows and len(self.windows[self.written][1]) == len(self.windows[self.written][0]):
            window, answers = self.windows.pop(self.written)
            self.write([(row, answers[place]) for place, row in enumerate(window)])
            self.written += 1


def chunked(
    session: StudySession, wings: Iterable[dict[str, Any]]
) -> tuple[dict[int, RowAnswer], list[tuple[list[int], Chunk]]]:
    """Return answers to wings that the study refuses, and batches of the others, with their places."""
    start = GridDesign(session.requested_choice(RequestedWing()), session.requested_variables(RequestedWing()))
    refused: dict[int, RowAnswer] = {}
    groups: dict[tuple, list[tuple[int, GridDesign]]] = {}
    for place, values in enumerate(wings):
        try:
            design_grid.refuse_axes(session, {name: [value] for name, value in values.items()}, 1)
            design = design_grid.moved(session, start, values)
        except CommandError as error:
            refused[place] = _refusal(error)
            continue
        make = tuple(map(str, design.choice.model_key)), "cruise_speed" not in values
        groups.setdefault(make, []).append((place, design))
    chunks = []
    for (_, best_speed), members in groups.items():
        for batch in design_grid.batches(members):
            places, designs = zip(*batch, strict=True)
            chunks.append((list(places), Chunk(list(designs), best_speed)))
    return refused, chunks


def task_answers(space: SearchSpace, task: VariantsTask) -> list[RowAnswer]:
    """Return the answers to the rows of a task. This is a task for an engine whose shared data is a SearchSpace."""
    if task.chunk is not None:
        return design_grid.chunk_rows(space, task.chunk)
    assert task.study is not None
    try:
        session = StudySession(task.study, "")
    except TradestudyError as error:
        return [_refusal(error)] * len(task.wings)
    try:
        if task.search:
            return [_searched(session, values) for values in task.wings]
        answers, chunks = chunked(session, task.wings)
        for places, chunk in chunks:
            answers |= zip(places, design_grid.chunk_rows(session.space, chunk), strict=True)
        return [answers[place] for place in range(len(task.wings))]
    except TradestudyError as error:
        return [_refusal(error)] * len(task.wings)
    finally:
        session.close()


def _searched(session: StudySession, values: dict[str, Any]) -> RowAnswer:
    """Return the best wing of a study with the SI values of some options held."""
    axes = {name: [value] for name, value in values.items()}
    if not axes:
        longer = session.ranked()[0].variables["extension"]
        axes = {"span": [session.anchor.data.layout.stock.span + 2 * longer]}
    (row,) = design_grid.grid_rows(session, axes, RequestedWing(), True, math.inf, MEDIANS)
    return row


def _refusal(error: TradestudyError) -> RowAnswer:
    words = error.faults[0].message if isinstance(error, StudyFileError) else str(error)
    return empty_row(_REFUSED, " ".join(words.split()).rstrip("."))
