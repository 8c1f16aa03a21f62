"""Chains of searches run in parallel, on whatever engine the space has; the results do not depend on the engine.

A chain is a generator: it yields a search task, is sent its result, and goes on from there. Its tasks may depend on its
own earlier results, never on those of another chain, so the order in which chains advance is free.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Generator, Sequence
from typing import Any, TypeVar

from tradestudy.quantities import with_unit

from .engines.processes import Engine, InProcess, LostTask, WorkerPool
from .engines.progress import Progress, no_progress
from .optimum import run_search, search_result
from .search_space import SearchSpace
from .search_task import SearchResult, SearchTask, from_json, to_json

End = TypeVar("End")
SearchChain = Generator[SearchTask, SearchResult, End]


class LostSearch(Exception):
    """Thrown into a chain in place of a result, when every worker that tried the search ended."""


def run_chains(
    space: SearchSpace, chains: Sequence[SearchChain[End]], report_progress: Progress = no_progress
) -> list[End | None]:
    """Return what each chain returns; None for one that was left out, which the space's ``excluded`` names."""
    if space.engine is None or isinstance(space.engine, InProcess):
        return [_run_here(space, chain, report_progress) for chain in chains]
    return _ParallelChains(space, space.engine, chains, report_progress).run()


def _run_here(space: SearchSpace, chain: SearchChain[End], report_progress: Progress) -> End:
    try:
        task = next(chain)
        while True:
            report_progress(task.words)
            task = chain.send(search_result(space, task))
    except StopIteration as end:
        return end.value


class _ParallelChains:
    """Chains on the workers of an engine: whichever has a result goes on; those that began first are served first."""

    def __init__(self, space: SearchSpace, engine: Engine, chains: Sequence[SearchChain], report_progress: Progress):
        self.space, self.report_progress, self.pool = space, report_progress, WorkerPool(engine)
        self.chains, self.ends = chains, [None] * len(chains)
        self.waiting: list[tuple[int, SearchTask]] = []
        self.began, self.done = time.monotonic(), 0

    def run(self) -> list[Any]:
        for index, chain in enumerate(self.chains):
            self._advance(index, lambda chain=chain: next(chain))  # type: ignore[misc]
        while self.waiting or not self.pool.idle:
            while self.waiting and not self.pool.full:
                index, task = self.waiting.pop(0)
                self.pool.give((index, task), task.words, run_search, task)
                self.report_progress(f"{task.words}  ({pace(self.done, None, time.monotonic() - self.began)})")
            (index, task), result = self.pool.take()
            self.done += 1
            if isinstance(result, LostTask):
                self._leave_out(index, result)
                continue
            if self.space.record is not None:
                self.space.record.keep([(self.space.key(task), to_json(result))])
            self._advance(index, lambda index=index, result=result: self.chains[index].send(result))  # type: ignore[misc]
        return self.ends

    def _leave_out(self, index: int, lost: LostTask) -> None:
        if lost.words not in self.space.excluded:
            self.space.excluded.append(lost.words)
        self._advance(index, lambda: self.chains[index].throw(LostSearch(lost.words)))

    def _advance(self, index: int, step: Callable[[], SearchTask]) -> None:
        """Let a chain go on as far as the record has its results; then it waits for a worker."""
        while True:
            try:
                task = step()
            except StopIteration as end:
                self.ends[index] = end.value
                return
            except LostSearch:
                return
            known = self.space.record.known(self.space.key(task)) if self.space.record is not None else None
            if known is None:
                self.waiting.append((index, task))
                return
            step = lambda known=known: self.chains[index].send(from_json(known))  # type: ignore[misc]  # noqa: E731


def pace(done: int, total: int | None, seconds: float) -> str:
    """Return how far work has come: how many of how many, how fast, and how long it will still take."""
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
