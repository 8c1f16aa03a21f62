"""Chains of searches worked out side by side, in whatever engine the space has; the answers do not depend on it.

A chain is a generator: it yields a search asked for, is sent its answer, and goes on from there. What one chain asks
for may hang on its own earlier answers, never on those of another, so the order in which chains advance is free.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Generator
from typing import Any, TypeVar

from tradestudy.search.engines.processes import Crew, InProcess, Lost

from .optimum import answered, search_for
from .search_space import Space
from .search_task import Answer, Asked, from_plain, plain

Found = TypeVar("Found")
Chain = Generator[Asked, Answer, Found]
Tell = Callable[[str], None]


class LostSearch(Exception):
    """Thrown into a chain in place of an answer that no worker lived to give."""


def together(space: Space, chains: list[Chain[Found]], tell: Tell = lambda words: None) -> list[Found | None]:
    """Return what every chain ends with; None for one that was left out, which the space's ``set_aside`` names."""
    if space.engine is None or isinstance(space.engine, InProcess):
        return [_alone(space, chain, tell) for chain in chains]
    return _Side(space, chains, tell).run()


def _alone(space: Space, chain: Chain[Found], tell: Tell) -> Found:
    try:
        asked = next(chain)
        while True:
            tell(asked.words)
            asked = chain.send(answered(space, asked))
    except StopIteration as end:
        return end.value


class _Side:
    """Chains side by side: whichever has an answer goes on; those that began first are served first."""

    def __init__(self, space: Space, chains: list[Chain], tell: Tell):
        self.space, self.tell, self.crew = space, tell, Crew(space.engine)  # type: ignore[arg-type]
        self.chains, self.ends = chains, [None] * len(chains)
        self.waiting: list[tuple[int, Asked]] = []
        self.began, self.done = time.monotonic(), 0

    def run(self) -> list[Any]:
        for index, chain in enumerate(self.chains):
            self._step(index, lambda chain=chain: next(chain))  # type: ignore[misc]
        while self.waiting or not self.crew.idle:
            while self.waiting and not self.crew.full:
                index, asked = self.waiting.pop(0)
                self.crew.give((index, asked), asked.words, search_for, asked)
                self.tell(f"{asked.words}  ({pace(self.done, None, time.monotonic() - self.began)})")
            (index, asked), answer = self.crew.take()
            self.done += 1
            if isinstance(answer, Lost):
                self._leave_out(index, answer)
                continue
            if self.space.record is not None:
                self.space.record.keep([(self.space.key(asked), plain(answer))])
            self._send(index, answer)
        return self.ends

    def _send(self, index: int, answer: Answer) -> None:
        self._step(index, lambda: self.chains[index].send(answer))

    def _leave_out(self, index: int, lost: Lost) -> None:
        if lost.words not in self.space.set_aside:
            self.space.set_aside.append(lost.words)
        self._step(index, lambda: self.chains[index].throw(LostSearch(lost.words)))

    def _step(self, index: int, advance: Callable[[], Asked]) -> None:
        """Let a chain go on as far as the record has its answers; then it waits for a worker."""
        while True:
            try:
                asked = advance()
            except StopIteration as end:
                self.ends[index] = end.value
                return
            except LostSearch:
                return
            known = self.space.record.known(self.space.key(asked)) if self.space.record is not None else None
            if known is None:
                self.waiting.append((index, asked))
                return
            advance = lambda known=known: self.chains[index].send(from_plain(known))  # type: ignore[misc]  # noqa: E731


def pace(done: int, whole: int | None, seconds: float) -> str:
    """Return how far work has come: how many of how many, how fast, and how long it will still take."""
    told = f"{done} done" if whole is None else f"{done} of {whole} done"
    if not done or seconds <= 0:
        return told
    rate = done / seconds
    told += (
        f", {rate:.0f} a second"
        if rate >= 10
        else f", {rate:.1f} a second"
        if rate >= 1
        else (f", {1 / rate:.0f} s each")
    )
    if whole is not None:
        left = (whole - done) / rate
        told += f", {left:.0f} s left" if left < 100 else f", {left / 60:.0f} min left"
    return told
