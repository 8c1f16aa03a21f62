"""The interface of task engines, and the engines for this process and parallel processes. All give the same results.

An engine takes a task and returns a `concurrent.futures.Future`. Every task needs shared data, the search space of a
study. It is sent to each worker once. `WorkerPool` gives tasks to an engine, and repeats a task if its worker dies.
"""

from __future__ import annotations

import hashlib
import importlib
import multiprocessing
import os
import pickle
import signal
import threading
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from typing import Any, NamedTuple, Protocol

from tradestudy.errors import EngineLost

_LIBRARY = "tradestudy.search.optimum"  # the module that a worker needs to unpack a search space
Libraries = tuple[str, ...]  # names of modules that a worker loads before its first task
_ATTEMPTS = 2  # attempts at a task; each may end a worker
_WAIT_STEP = 0.2  # s; longest wait at a time, since some systems notice Ctrl-C only between waits
# matrices are small: threads within one product cost more than they save, and change the last digit
ONE_THREAD = {
    name: "1"
    for name in (
        "OPENBLAS_NUM_THREADS",
        "OMP_NUM_THREADS",
        "MKL_NUM_THREADS",
        "VECLIB_MAXIMUM_THREADS",
        "NUMEXPR_NUM_THREADS",
    )
}


class Packed(NamedTuple):
    """Shared data in the form in which it is sent."""

    content: bytes
    key: str  # hash of the data


class LostTask(NamedTuple):
    """The result of a task that ended a worker at each of its ``_ATTEMPTS``."""

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


def _start_worker(libraries: Libraries) -> None:
    """Prepare a worker, and import ``libraries``. That takes most of the start, so it is done before the first task."""
    follow_parent()
    for library in libraries:
        importlib.import_module(library)


def follow_parent() -> None:
    """Let this process ignore Ctrl-C, and end when its parent ends for any reason."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()

    def follow() -> None:
        if parent is not None:
            parent.join()
            os._exit(1)

    threading.Thread(target=follow, daemon=True).start()


def _first_task() -> None:
    """Do nothing. When this task is done, the worker is ready."""


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


# --- parallel processes ------------------------------------------------------------------------------------


@dataclass
class _Worker:
    """One worker process in its own executor. If it ends, its task is known."""

    executor: ProcessPoolExecutor
    process: Any
    ready: Future
    current: Future | None = None


@contextmanager
def process_start() -> Iterator[None]:
    """Context in which new processes get one thread each and ignore Ctrl-C until they can handle it."""
    before = {name: os.environ.get(name) for name in ONE_THREAD}
    os.environ.update(ONE_THREAD)
    main = threading.current_thread() is threading.main_thread()
    handler = signal.signal(signal.SIGINT, signal.SIG_IGN) if main else None
    try:
        yield
    finally:
        if main:
            signal.signal(signal.SIGINT, handler)
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


class LocalProcesses:
    """The engine of worker processes on this machine. They start with ``spawn``, which every system supports."""

    def __init__(self, workers: int, *libraries: str):
        self.workers, self._libraries, self._failed_starts = workers, libraries or (_LIBRARY,), 0
        self._shared: Packed | None = None
        self._pool = [self._started() for _ in range(workers)]

    def _started(self) -> _Worker:
        if getattr(multiprocessing.current_process(), "_inheriting", False):
            os._exit(1)  # a worker that runs a script without main guard: the main process explains it
        executor = ProcessPoolExecutor(1, multiprocessing.get_context("spawn"), _start_worker, (self._libraries,))
        others = set(multiprocessing.active_children())
        with process_start():
            ready = executor.submit(_first_task)
        process = next(child for child in multiprocessing.active_children() if child not in others)
        return _Worker(executor, process, executor.submit(receive_shared_data, self._shared) if self._shared else ready)

    def send_shared_data(self, shared: Any) -> None:
        """Send shared data to every worker."""
        self._shared = packed(shared)
        for index, worker in enumerate(self._pool):
            try:
                worker.ready = worker.executor.submit(receive_shared_data, self._shared)
            except BrokenExecutor:
                self._replace(index)

    @property
    def has_idle_worker(self) -> bool:
        """True if a worker has no task."""
        return any(worker.current is None or worker.current.done() for worker in self._pool)

    def submit(self, function: Callable[[Any, Any], Any], item: Any) -> Future:
        """Send a task to an idle worker."""
        worker = next(worker for worker in self._pool if worker.current is None or worker.current.done())
        assert self._shared is not None, "send_shared_data comes first"
        try:
            worker.current = worker.executor.submit(run_task, self._shared.key, function, item)
        except BrokenExecutor as error:  # the worker ended while it was idle
            worker.current = Future()
            worker.current.set_exception(error)
        return worker.current

    def replace_worker(self, future: Future) -> None:
        """Start a worker to replace the one that ended while it ran a task."""
        self._replace(next(index for index, worker in enumerate(self._pool) if worker.current is future))

    def _replace(self, index: int) -> None:
        dead = self._pool[index]
        if dead.ready.exception() is not None:  # the worker ended before it was ready
            self._failed_starts += 1
            if self._failed_starts >= _ATTEMPTS:
                raise EngineLost(
                    "Worker processes end while they are being made ready: too little memory, or a script "
                    "that starts work without asking whether it is the main one "
                    '(if __name__ == "__main__"). --workers 1 does without them.'
                )
        dead.executor.shutdown(wait=False)
        self._pool[index] = self._started()

    def close(self) -> None:
        """Stop all workers."""
        for worker in self._pool:
            worker.executor.shutdown(wait=False, cancel_futures=True)
            worker.process.terminate()
        for worker in self._pool:
            worker.process.join()


# --- on any engine -----------------------------------------------------------------------------------------


@dataclass
class _Task:
    """A task that was sent to an engine."""

    tag: Any
    words: str
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

    def give(self, tag: Any, words: str, function: Callable[[Any, Any], Any], item: Any) -> None:
        """Start ``function(shared, item)``. ``words`` describes the task to the user."""
        self._start(_Task(tag, words, function, item))

    def take(self) -> tuple[Any, Any]:
        """Return tag and result of a task that is done. The result is `LostTask` if the task ends its workers."""
        while True:
            done, _ = wait(self._running, _WAIT_STEP, FIRST_COMPLETED)
            # results first: an error may end the search, and what is finished is to be kept
            for future in sorted(done, key=lambda each: each.exception() is not None):
                task = self._running.pop(future)
                error = future.exception()
                if error is None:
                    return task.tag, future.result()
                if not isinstance(error, BrokenExecutor):
                    raise error
                self.engine.replace_worker(future)
                task.ended_workers += _ATTEMPTS if isinstance(error, WorkersExhausted) else 1
                if task.ended_workers >= _ATTEMPTS:
                    return task.tag, LostTask(f"{task.words}: left out, every worker that tried it ended")
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
            pool.give(index, words(item), function, item)

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


def started(engine: Engine, function: Callable[..., Any], *arguments: Any) -> Callable[[], Any]:
    """Start ``function(*arguments)`` on an idle worker process of this machine, and return a call that waits for it.

    Without such a worker, the function runs in this process when the result is asked for. So it does if the worker
    ends, or cannot send its result or error.
    """
    if not isinstance(engine, LocalProcesses) or not engine.has_idle_worker:
        return partial(function, *arguments)
    future = engine.submit(_without_shared_data, (function, arguments))

    def result() -> Any:
        while not wait([future], _WAIT_STEP).done:
            pass
        return function(*arguments) if future.exception() else future.result()

    return result


def _without_shared_data(shared: Any, call: tuple[Callable[..., Any], tuple]) -> Any:
    function, arguments = call
    return function(*arguments)
