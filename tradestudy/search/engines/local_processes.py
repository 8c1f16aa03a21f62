"""Worker processes on this machine: their start, what they do, and the engine that gives them tasks."""

from __future__ import annotations

import gc
import importlib
import multiprocessing
import os
import pickle
import signal
import sys
import threading
import traceback
from collections.abc import Callable, Iterator
from concurrent.futures import BrokenExecutor, Future, ThreadPoolExecutor, wait
from contextlib import contextmanager, nullcontext, suppress
from dataclasses import dataclass, field
from functools import partial
from multiprocessing.connection import Connection
from typing import Any

from tradestudy.errors import EngineLost

from .processes import ATTEMPTS, WAIT_STEP, Engine, Libraries, Packed, packed, receive_shared_data, run_task

_LIBRARY = "tradestudy.search.optimum"  # the module that a worker needs to unpack a search space
_THREADS_HERE = "/proc/self/task"  # a folder with an entry for each thread of this process
_ENDS = [getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name)]
_READ_AT_LOADING = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")  # the command line sets them first
# matrices are small: threads within one product cost more than they save, and change the last digit
ONE_THREAD = dict.fromkeys((*_READ_AT_LOADING, "VECLIB_MAXIMUM_THREADS", "NUMEXPR_NUM_THREADS"), "1")


# --- the start ---------------------------------------------------------------------------------------------


@contextmanager
def process_start() -> Iterator[None]:
    """Context in which new processes get one thread each, and no Ctrl-C until they ignore it (`follow_parent`).

    A Ctrl-C that comes meanwhile reaches this process afterwards. On Windows it is lost.
    """
    before = {name: os.environ.get(name) for name in ONE_THREAD}
    os.environ.update(ONE_THREAD)
    try:
        with _without_ctrl_c() if sys.platform == "win32" else _held_back([signal.SIGINT]):
            yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


@contextmanager
def _held_back(signals: list[signal.Signals]) -> Iterator[None]:
    """Context in which signals wait, for this process and for those that it starts."""
    before = signal.pthread_sigmask(signal.SIG_BLOCK, signals)
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


@contextmanager
def _without_ctrl_c() -> Iterator[None]:
    """Context in which this process and those that it starts ignore Ctrl-C."""
    main = threading.current_thread() is threading.main_thread()
    handler = signal.signal(signal.SIGINT, signal.SIG_IGN) if main else None
    try:
        yield
    finally:
        if main:
            signal.signal(signal.SIGINT, handler)


def start_method() -> str:
    """Return how worker processes start: ``fork`` where that is safe and changes no digit, or else ``spawn``.

    A copy of this process (fork) has all libraries loaded, and is ready a second earlier. On macOS libraries of the
    system do not allow it. Where this process has other threads, a copy may wait for one of them for ever. Where
    linear algebra here may use more threads than one, a copy may find other last digits.
    """
    if sys.platform != "linux" or any(os.environ.get(name) != "1" for name in _READ_AT_LOADING):
        return "spawn"
    try:
        return "fork" if len(os.listdir(_THREADS_HERE)) == 1 else "spawn"
    except OSError:
        return "spawn"


# --- in a worker -------------------------------------------------------------------------------------------


def follow_parent() -> None:
    """Let this process ignore Ctrl-C, and end when its parent ends for any reason."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_UNBLOCK, [signal.SIGINT])  # see `process_start`
    parent = multiprocessing.parent_process()

    def follow() -> None:
        if parent is not None:
            parent.join()
            os._exit(1)

    threading.Thread(target=follow, daemon=True).start()


def _serve(pipe: Connection, libraries: Libraries) -> None:
    """Answer the questions of a pipe, each a pickled function with its arguments, until this process is ended."""
    follow_parent()
    for number in _ENDS:  # a copy has the handlers of its parent
        signal.signal(number, signal.SIG_DFL)
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_UNBLOCK, _ENDS)
    for library in libraries:
        importlib.import_module(library)
    gc.freeze()  # what a start leaves behind is not searched for garbage
    with suppress(EOFError, OSError):  # the main process has ended
        while True:
            pipe.send_bytes(_answer(pipe.recv_bytes()))


def _answer(question: bytes) -> bytes:
    """Return the pickled answer to a pickled question: whether it went well, and the result or error."""
    try:
        function, arguments = pickle.loads(question)
        return pickle.dumps((True, function(*arguments)))
    except Exception as error:
        where = traceback.format_exc()
        try:
            error.add_note(where)  # where it happened, for developers
            return pickle.dumps((False, error))
        except Exception:  # an error that cannot be pickled
            return pickle.dumps((False, RuntimeError(where)))


# --- in the main process -----------------------------------------------------------------------------------


@dataclass
class _Worker:
    """One worker process, and the thread of this process that waits for its answers."""

    process: Any
    pipe: Connection
    ready: bool = False  # it has answered
    current: Future | None = None
    thread: ThreadPoolExecutor = field(default_factory=lambda: ThreadPoolExecutor(1))  # starts with its first question

    @property
    def idle(self) -> bool:
        """True if the worker has no task."""
        return self.current is None or self.current.done()

    def asked(self, function: Callable[..., Any], *arguments: Any) -> Future:
        """Ask for ``function(*arguments)``. The worker answers one question after the other.

        The future raises BrokenExecutor if the worker ends first.
        """
        return self.thread.submit(self._answered, pickle.dumps((function, arguments)))

    def _answered(self, question: bytes) -> Any:
        try:
            self.pipe.send_bytes(question)
            answer = self.pipe.recv_bytes()
        except (EOFError, OSError):
            raise BrokenExecutor("a worker process has ended") from None
        self.ready = True
        well, found = pickle.loads(answer)
        if well:
            return found
        raise found


class LocalProcesses:
    """The engine of worker processes on this machine. They start as `start_method` says.

    The main process runs no task, so that a task that ends its process ends a worker only.
    """

    def __init__(self, workers: int, *libraries: str):
        self.workers, self._libraries, self._failed_starts = workers, libraries or (_LIBRARY,), 0
        self._shared: Packed | None = None
        self._pool = [self._started() for _ in range(workers)]  # all of them before the first thread starts

    def _started(self) -> _Worker:
        if getattr(multiprocessing.current_process(), "_inheriting", False):
            os._exit(1)  # a worker that runs a script without main guard: the main process explains it
        method = start_method()
        context: Any = multiprocessing.get_context(method)
        here, there = context.Pipe()
        process = context.Process(target=_serve, args=(there, self._libraries), name="tradestudy worker", daemon=True)
        # a copy must not meet a signal to end with the handlers of its parent
        with process_start(), _held_back(_ENDS) if method == "fork" else nullcontext():
            process.start()
        there.close()  # so that the end of the worker ends the pipe
        return _Worker(process, here)

    def send_shared_data(self, shared: Any) -> None:
        """Send shared data to every worker."""
        self._shared = packed(shared)
        for worker in self._pool:
            worker.asked(receive_shared_data, self._shared)

    @property
    def has_idle_worker(self) -> bool:
        """True if a worker has no task."""
        return any(worker.idle for worker in self._pool)

    def submit(self, function: Callable[[Any, Any], Any], item: Any) -> Future:
        """Send a task to an idle worker."""
        worker = next(worker for worker in self._pool if worker.idle)
        assert self._shared is not None, "send_shared_data comes first"
        worker.current = worker.asked(run_task, self._shared.key, function, item)
        return worker.current

    def replace_worker(self, future: Future) -> None:
        """Start a worker to replace the one that ended while it ran a task."""
        index = next(index for index, worker in enumerate(self._pool) if worker.current is future)
        dead = self._pool[index]
        if not dead.ready:
            self._failed_starts += 1
            if self._failed_starts >= ATTEMPTS:
                raise EngineLost(
                    "Worker processes end while they are being made ready: too little memory, or a script "
                    "that starts work without asking whether it is the main one "
                    '(if __name__ == "__main__"). --workers 1 does without them.'
                )
        _end(dead)
        self._pool[index] = self._started()
        if self._shared is not None:
            self._pool[index].asked(receive_shared_data, self._shared)

    def close(self) -> None:
        """Stop all workers."""
        for worker in self._pool:
            worker.process.terminate()
        for worker in self._pool:
            _end(worker)


def _end(worker: _Worker) -> None:
    """End a worker whose process is ending, and its thread."""
    worker.process.join()
    worker.thread.shutdown(cancel_futures=True)  # waits for its thread: workers are copies only where there is none
    worker.pipe.close()


def started(engine: Engine, function: Callable[..., Any], *arguments: Any) -> Callable[[], Any]:
    """Start ``function(*arguments)`` on an idle worker process of this machine, and return a call that waits for it.

    Without such a worker, the function runs in this process when the result is asked for. So it does if the worker
    ends, or cannot send its result or error.
    """
    if not isinstance(engine, LocalProcesses) or not engine.has_idle_worker:
        return partial(function, *arguments)
    future = engine.submit(_without_shared_data, (function, arguments))

    def result() -> Any:
        while not wait([future], WAIT_STEP).done:
            pass
        return function(*arguments) if future.exception() else future.result()

    return result


def _without_shared_data(shared: Any, call: tuple[Callable[..., Any], tuple]) -> Any:
    function, arguments = call
    return function(*arguments)
