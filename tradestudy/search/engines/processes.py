"""The interface of task engines, the engine for this process, and what works on any engine. All give the same results.

An engine takes a task and returns a `concurrent.futures.Future`. Every task needs shared data, the search space of a
study. It is sent to each worker once. `WorkerPool` gives tasks to an engine, and repeats a task if its worker dies.
"""

from __future__ import annotations

import hashlib
import pickle
import threading
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Future, wait
from dataclasses import dataclass, field
from typing import Any, NamedTuple, Protocol

from tradestudy.errors import EngineLost

Libraries = tuple[str, ...]  # names of modules that a worker loads before its first task
ATTEMPTS = 2  # attempts at a task; each may end a worker
WAIT_STEP = 0.2  # s; longest wait at a time, since some systems notice Ctrl-C only between waits


class Packed(NamedTuple):
    """Shared data in the form in which it is sent."""

    content: bytes
    key: str  # hash of the data


class LostTask(NamedTuple):
    """The result of a task that ended a worker at each of its ``ATTEMPTS``."""

    words: str


class WorkersExhausted(BrokenExecutor):
    """Error: an engine has tried a task on several workers, and all of them ended."""


class Engine(Protocol):
    """The interface of all task engines. An engine runs at most ``workers`` tasks at a time."""

    workers: int

    def send_shared_data(self, shared: Any) -> None:
        """Send every worker the data that its tasks need. Call this before the first task."""

    def submit(self, function: Callable[[Any, Any], Any], item: Any) -> Future:
        """Start ``function(shared, item)``. Both must be picklable."""

    def replace_worker(self, future: Future) -> None:
        """Replace the worker that ended while it ran a task. Raises EngineLost if no worker can be started."""

    def close(self) -> None:
        """Stop at once and cancel unfinished tasks."""


def packed(shared: Any) -> Packed:
    """Return picklable shared data in the form in which it is sent."""
    content = pickle.dumps(shared)
    return Packed(content, hashlib.sha256(content).hexdigest())


# --- in a worker -------------------------------------------------------------------------------------------

_shared_data: dict[str, Any] = {}
_one_at_a_time = threading.Lock()  # a cluster may give a process several tasks at once, but a model can run only one


def receive_shared_data(data: Packed) -> None:
    """Unpack shared data, unless the worker already has it."""
    with _one_at_a_time:
        if data.key not in _shared_data:
            _shared_data[data.key] = pickle.loads(data.content)


def run_task(key: str, function: Callable[[Any, Any], Any], item: Any) -> Any:
    """Return the result of one task, run with the shared data that has this key."""
    with _one_at_a_time:
        return function(_shared_data[key], item)


# --- this process ------------------------------------------------------------------------------------------


class InProcess:
    """The engine that runs every task in this process, on submission.

    It is for few designs, and the reference in tests.
    """

    workers = 1
    shared: Any = None

    def send_shared_data(self, shared: Any) -> None:
        """Store the shared data without packing it."""
        self.shared = shared

    def submit(self, function: Callable[[Any, Any], Any], item: Any) -> Future:
        """Run a task at once and return its finished future."""
        future: Future = Future()
        try:
            future.set_result(function(self.shared, item))
        except Exception as error:
            future.set_exception(error)
        return future

    def replace_worker(self, future: Future) -> None:
        """Do nothing: there is no worker to replace."""

    def close(self) -> None:
        """Do nothing: there is nothing to stop."""


# --- on any engine -----------------------------------------------------------------------------------------


@dataclass
class _Task:
    """A task that was sent to an engine."""

    tag: Any
    words: Callable[[Any], str]  # of the item
    function: Callable[[Any, Any], Any]
    item: Any
    ended_workers: int = 0


@dataclass
class WorkerPool:
    """The running tasks of an engine. `give` starts a task and `take` returns one that is done."""

    engine: Engine
    _running: dict[Future, _Task] = field(default_factory=dict)

    @property
    def full(self) -> bool:
        """True if every worker has a task."""
        return len(self._running) >= self.engine.workers

    @property
    def idle(self) -> bool:
        """True if no worker has a task."""
        return not self._running

    def give(self, tag: Any, words: Callable[[Any], str], function: Callable[[Any, Any], Any], item: Any) -> None:
        """Start ``function(shared, item)``. ``words(item)`` describes the task to the user, if it is left out."""
        self._start(_Task(tag, words, function, item))

    def take(self) -> tuple[Any, Any]:
        """Return tag and result of a task that is done. The result is `LostTask` if the task ends its workers."""
        while True:
            done, _ = wait(self._running, WAIT_STEP, FIRST_COMPLETED)
            # results first: an error may end the search, and what is finished is to be kept
            for future in sorted(done, key=lambda each: each.exception() is not None):
                task = self._running.pop(future)
                error = future.exception()
                if error is None:
                    return task.tag, future.result()
                if not isinstance(error, BrokenExecutor):
                    raise error
                self.engine.replace_worker(future)
                task.ended_workers += ATTEMPTS if isinstance(error, WorkersExhausted) else 1
                if task.ended_workers >= ATTEMPTS:
                    return task.tag, LostTask(f"{task.words(task.item)}: left out, every worker that tried it ended")
                self._start(task)

    def _start(self, task: _Task) -> None:
        self._running[self.engine.submit(task.function, task.item)] = task


def completed_tasks(
    engine: Engine, function: Callable[[Any, Any], Any], items: Iterable[Any], words: Callable[[Any], str] = str
) -> Iterator[tuple[int, Any]]:
    """Yield index and result of every item when it is done. The result is `LostTask` if the task ends its workers.

    A worker gets its next item before a result is yielded, so that it works while the result is written.
    """
    pool, coming = WorkerPool(engine), enumerate(items)

    def fill() -> None:
        while not pool.full and (following := next(coming, None)) is not None:
            index, item = following
            pool.give(index, words, function, item)

    fill()
    while not pool.idle:
        done = pool.take()
        try:
            if not isinstance(engine, InProcess):  # it would run the next task before this result is kept
                fill()
        except EngineLost:
            yield done  # what is finished is to be kept
            raise
        yield done
        fill()
