"""Chains of searches that run in parallel on a task engine. The results are the same on every engine.

A task engine is this process, local processes, or a cluster. A chain is a generator that yields a search task and is
sent its result. Its tasks may depend on its own earlier results, never on those of another chain. So chains may advance
in any order.
"""

from __future__ import annotations

import time
from collections.abc import Generator, Iterator, Sequence
from contextlib import contextmanager
from operator import attrgetter
from typing import Any, TypeVar

from tradestudy.quantities import with_unit

from .engines.processes import Engine, InProcess, LostTask, WorkerPool
from .engines.progress import Progress, no_progress
from .optimum import run_search, search_result
from .search_space import SearchSpace
from .search_task import SearchResult, SearchTask, from_json, to_json

End = TypeVar("End")
SearchChain = Generator[SearchTask, SearchResult, End]


def run_tasks(
    space: SearchSpace, tasks: Sequence[SearchTask], report_progress: Progress = no_progress
) -> list[SearchResult | None]:
    """Return the result of each independent task; see `run_chains`."""
    return run_chains(space, list(map(chain_of_one, tasks)), report_progress)


def chain_of_one(task: SearchTask) -> SearchChain[SearchResult]:
    """Return the chain of a single task. It returns the result."""
    return (yield task)


def run_chains(
    space: SearchSpace, chains: Sequence[SearchChain[End]], report_progress: Progress = no_progress
) -> list[End | None]:
    """Return the value that each chain returns.

    It is None for a chain that lost a task; ``space.excluded`` names that task.
    """
    if space.engine is None or isinstance(space.engine, InProcess):
        return [_run_here(space, chain, report_progress) for chain in chains]
    return _ParallelChains(space, space.engine, chains, report_progress).run()


def _run_here(space: SearchSpace, chain: SearchChain[End], report_progress: Progress) -> End:
    result: Any = None  # a generator starts when None is sent
    try:
        while True:
            task = chain.send(result)
            report_progress(task.words)
            result = search_result(space, task)
    except StopIteration as end:
        return end.value


class _ParallelChains:
    """Chains on the workers of an engine.

    A chain advances when its result arrives; waiting tasks start in order of arrival.
    """

    def __init__(self, space: SearchSpace, engine: Engine, chains: Sequence[SearchChain], report_progress: Progress):
        self.space, self.report_progress, self.pool = space, report_progress, WorkerPool(engine)
        self.chains, self.ends = chains, [None] * len(chains)
        self.waiting: list[tuple[int, SearchTask]] = []
        self.began, self.done = time.monotonic(), 0

    def run(self) -> list[Any]:
        for index in range(len(self.chains)):
            self._advance(index, None)
        self._hand_out()
        while not self.pool.idle:
            (index, task), result = self.pool.take()
            self.done += 1
            try:
                self._hand_out()  # before the result is written, so that its worker goes on meanwhile
            finally:
                if self.space.record is not None and not isinstance(result, LostTask):
                    self.space.record.keep([(self.space.key(task), to_json(result))])
            if isinstance(result, LostTask):
                self.chains[index].close()
                if result.words not in self.space.excluded:
                    self.space.excluded.append(result.words)
            else:
                self._advance(index, result)
            self._hand_out()
        return self.ends

    def _hand_out(self) -> None:
        """Give waiting tasks to idle workers."""
        while self.waiting and not self.pool.full:
            index, task = self.waiting.pop(0)
            self.pool.give((index, task), attrgetter("words"), run_search, task)
            self.report_progress(f"{task.words}  ({pace(self.done, None, time.monotonic() - self.began)})")

    def _advance(self, index: int, result: Any) -> None:
        """Send a result to a chain, and repeat while the record has the next result.

        Then the chain waits for a worker.
        """
        try:
            while True:
                task = self.chains[index].send(result)
                known = self.space.record.known(self.space.key(task)) if self.space.record is not None else None
                if known is None:
                    self.waiting.append((index, task))
                    return
                result = from_json(known)
        except StopIteration as end:
            self.ends[index] = end.value


@contextmanager
def sent_to_workers(space: SearchSpace, changed: SearchSpace) -> Iterator[None]:
    """Let the workers of a search space work on a changed one for a while."""
    if space.engine is None:
        yield
        return
    space.engine.send_shared_data(changed.for_workers())
    try:
        yield
    finally:
        space.engine.send_shared_data(space.for_workers())


def pace(done: int, total: int | None, seconds: float) -> str:
    """Return the progress of work in words: tasks done, rate, and time left."""
    words = f"{done} done" if total is None else f"{done} of {total} done"
    if not done or seconds <= 0:
        return words
    rate = done / seconds
    if rate >= 10:
        words += f", {rate:.0f} a second"
    elif rate >= 1:
        words += f", {rate:.1f} a second"
    else:
        words += f", {1 / rate:.0f} s each"
    if total is None:
        return words
    left = (total - done) / rate
    return words + (f", {left:.0f} s left" if left < 100 else f", {with_unit(left, 'min')} left")
