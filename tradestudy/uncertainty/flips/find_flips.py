"""What flips the answer: every change examined on the workers of a study, the greatest loss first."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from tradestudy.search.engines.processes import InProcess, LostTask, completed_tasks
from tradestudy.search.engines.progress import Progress
from tradestudy.search.parallel import pace
from tradestudy.search.search_space import SearchSpace
from tradestudy.search.search_task import SearchResult

from .changed_answer import ChangedAnswer, FlipTask, answer_from_record, screened, settled
from .changes import FlipChange, changes_of

SETTLED = 5  # flips searched in full, of what somebody decides and of inputs each; the others have smaller losses


@dataclass(frozen=True)
class FoundFlip:
    """A change that flips the answer, with the answer that follows."""

    change: FlipChange
    answer: ChangedAnswer


@dataclass(frozen=True)
class FlipSearch:
    """The flips, greatest loss first, the number of changes examined, and of those that contradict the study."""

    flips: list[FoundFlip]
    examined: int
    impossible: int


def find_flips(
    space: SearchSpace, ranked: list[SearchResult], flat: tuple[float, float], report_progress: Progress
) -> FlipSearch:
    """Return the changes that flip the answer.

    Parameters
    ----------
    ranked
        The result of every choice, best first. The first is today's answer.
    flat
        Shortest and longest span of its flat band. [m]
    """
    best, others = ranked[0], ranked[1:]
    tasks = [FlipTask(change, best, others, flat) for change in changes_of(space, best, ranked)]
    screenings = _examined(space, "screened", screened, tasks, report_progress)
    flipped = [
        (task, answer) for task, answer in zip(tasks, screenings, strict=True) if answer is not None and answer.flips
    ]
    flipped.sort(key=lambda pair: -pair[1].loss(best))
    inputs = [pair for pair in flipped if pair[0].change.kind == "input"]
    decided = [pair for pair in flipped if pair[0].change.kind != "input"]
    chosen = [replace(task, screening=answer) for task, answer in (*decided[:SETTLED], *inputs[:SETTLED])]
    sure = _examined(space, "settled", settled, chosen, report_progress)
    found = [
        FoundFlip(task.change, answer)
        for task, answer in zip(chosen, sure, strict=True)
        if answer is not None and answer.flips
    ]
    found.sort(key=lambda each: -each.answer.loss(best))
    rest = [FoundFlip(task.change, answer) for task, answer in (*decided[SETTLED:], *inputs[SETTLED:])]
    impossible = sum(answer is None for answer in screenings)
    return FlipSearch([*found, *rest], len(tasks) - impossible, impossible)


def _examined(
    space: SearchSpace,
    step: str,
    examine: Callable[[SearchSpace, FlipTask], ChangedAnswer | None],
    tasks: Sequence[FlipTask],
    report_progress: Progress,
) -> list[ChangedAnswer | None]:
    """Return the answer to every task, from the record or from the workers. Each is recorded when it arrives."""
    answers: dict[int, ChangedAnswer | None] = {}
    record, new = space.record, []
    for index, task in enumerate(tasks):
        known = record.known((step, *task.key)) if record is not None else None
        if known is None:
            new.append(index)
        else:
            answers[index] = answer_from_record(known) if known else None
    engine = space.engine
    if engine is None:
        engine = InProcess()
        engine.send_shared_data(space.for_workers())
    words = {"screened": "what flips the answer", "settled": "searching each flip in full"}[step]
    began = time.monotonic()
    report_progress(f"{words}: {len(new)} of {len(tasks)} changes to examine")
    done = completed_tasks(engine, examine, [tasks[index] for index in new], lambda task: task.words)
    for count, (place, answer) in enumerate(done, start=1):
        report_progress(f"{words}: {pace(count, len(new), time.monotonic() - began)}")
        index = new[place]
        if isinstance(answer, LostTask):
            space.excluded.append(answer.words)
            continue
        answers[index] = answer
        if record is not None:
            record.keep([((step, *tasks[index].key), answer.to_record() if answer is not None else {})])
    return [answers.get(index) for index in range(len(tasks))]
