"""Where designs are worked out: in this process, in processes beside it, or on a cluster. The answers are the same.

An engine takes a task and gives a `concurrent.futures.Future`. What every task needs (a study made ready for
searching: the room) is given to an engine once and travels to each worker once; after that only designs do. `Crew`
keeps an engine busy and bears with workers that die.
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
from typing import Any, NamedTuple, Protocol

from tradestudy.errors import RunFailed

LIBRARY = "tradestudy.search.optimum"  # what a worker needs to unpack a study made ready
LIVES = 2  # workers that one task may end before it is given up
LOOK_UP = 0.2  # s between two looks at the keyboard while waiting: some systems tell of Ctrl-C only then
# small matrices: threads inside one product cost more than they give, and move the last digit
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
    """A room as it travels."""

    content: bytes
    key: str  # two rooms of one key are the same


class Lost(NamedTuple):
    """Stands for the answer to a task that ended ``LIVES`` workers."""

    words: str


class GivenUp(BrokenExecutor):
    """An engine has tried a task on several workers itself, and all of them ended."""


class Engine(Protocol):
    """One interface for all: at most ``lanes`` tasks at a time."""

    lanes: int

    def furnish(self, room: Any) -> None:
        """Give every worker what its tasks need, before the first of them."""

    def submit(self, function: Callable[[Any, Any], Any], item: Any) -> Future:
        """Work out ``function(room, item)``, both picklable."""

    def bury(self, future: Future) -> None:
        """Replace the worker that ended over a task. Raises RunFailed when workers cannot be had at all."""

    def close(self) -> None:
        """Stop at once; what is under way is dropped."""


def packed(room: Any) -> Packed:
    """Return a room (picklable) as it travels."""
    content = pickle.dumps(room)
    return Packed(content, hashlib.sha256(content).hexdigest())


# --- on the worker's side ----------------------------------------------------------------------------------

_rooms: dict[str, Any] = {}
_one_at_a_time = threading.Lock()  # a cluster may give one process several tasks at once; a model serves one


def unpack(room: Packed) -> None:
    """Keep what tasks will need; what is there already stays."""
    with _one_at_a_time:
        if room.key not in _rooms:
            _rooms[room.key] = pickle.loads(room.content)


def work_out(key: str, function: Callable[[Any, Any], Any], item: Any) -> Any:
    """Answer one task in a worker that has the room of that key."""
    with _one_at_a_time:
        return function(_rooms[key], item)


def _begin(library: str) -> None:
    """Start a worker: leave Ctrl-C to the process that started it, and end when that one ends, however it does.

    ``library`` is loaded, which takes the longest: so it is done before there is anything to do.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()

    def follow() -> None:
        if parent is not None:
            parent.join()
            os._exit(1)

    threading.Thread(target=follow, daemon=True).start()
    importlib.import_module(library)


def _here() -> None:
    """The first task of a worker."""


# --- in this process ---------------------------------------------------------------------------------------


class InProcess:
    """Every task at once, here; for few designs, and to compare others with."""

    lanes = 1
    room: Any = None

    def furnish(self, room: Any) -> None:
        """Keep the room as it is."""
        self.room = room

    def submit(self, function: Callable[[Any, Any], Any], item: Any) -> Future:
        """Work out a task before returning."""
        future: Future = Future()
        try:
            future.set_result(function(self.room, item))
        except Exception as error:
            future.set_exception(error)
        return future

    def bury(self, future: Future) -> None:
        """No worker here to replace."""

    def close(self) -> None:
        """Nothing to stop."""


# --- in processes beside this one --------------------------------------------------------------------------


@dataclass
class _Lane:
    """One worker process, in an executor of its own: when it ends, it is known over which task."""

    executor: ProcessPoolExecutor
    process: Any
    ready: Future
    at_work: Future | None = None


@contextmanager
def _calm_start() -> Iterator[None]:
    """While processes start: one thread for each, and no Ctrl-C before they can hear it."""
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


class LocalPool:
    """Worker processes on this machine, each started afresh (``spawn``, which every system has)."""

    def __init__(self, workers: int, library: str = LIBRARY):
        self.lanes, self._library, self._unready = workers, library, 0
        self._room: Packed | None = None
        self._lanes = [self._lane() for _ in range(workers)]

    def _lane(self) -> _Lane:
        executor = ProcessPoolExecutor(1, multiprocessing.get_context("spawn"), _begin, (self._library,))
        others = set(multiprocessing.active_children())
        with _calm_start():
            ready = executor.submit(_here)
        process = next(child for child in multiprocessing.active_children() if child not in others)
        return _Lane(executor, process, executor.submit(unpack, self._room) if self._room else ready)

    def furnish(self, room: Any) -> None:
        """Send the room to every worker."""
        self._room = packed(room)
        for index, lane in enumerate(self._lanes):
            try:
                lane.ready = lane.executor.submit(unpack, self._room)
            except BrokenExecutor:
                self._replace(index)

    def submit(self, function: Callable[[Any, Any], Any], item: Any) -> Future:
        """Give a task to an idle worker."""
        lane = next(lane for lane in self._lanes if lane.at_work is None or lane.at_work.done())
        assert self._room is not None, "furnish comes first"
        try:
            lane.at_work = lane.executor.submit(work_out, self._room.key, function, item)
        except BrokenExecutor as error:  # it ended while it had nothing to do
            lane.at_work = Future()
            lane.at_work.set_exception(error)
        return lane.at_work

    def bury(self, future: Future) -> None:
        """Start a worker in place of the one that ended over a task."""
        self._replace(next(index for index, lane in enumerate(self._lanes) if lane.at_work is future))

    def _replace(self, index: int) -> None:
        dead = self._lanes[index]
        if dead.ready.exception() is not None:  # it never came to work
            self._unready += 1
            if self._unready >= LIVES:
                raise RunFailed(
                    "Worker processes end while they are being made ready: too little memory, or a script "
                    "that starts work without asking whether it is the main one "
                    '(if __name__ == "__main__"). --workers 1 does without them.'
                )
        dead.executor.shutdown(wait=False)
        self._lanes[index] = self._lane()

    def close(self) -> None:
        """End the workers."""
        for lane in self._lanes:
            lane.executor.shutdown(wait=False, cancel_futures=True)
            lane.process.terminate()
        for lane in self._lanes:
            lane.process.join()


# --- what uses any of them ---------------------------------------------------------------------------------


@dataclass
class _Held:
    """A task under way."""

    tag: Any
    words: str
    function: Callable[[Any, Any], Any]
    item: Any
    ended: int = 0  # workers


@dataclass
class Crew:
    """Tasks given to an engine, taken back as they are done."""

    engine: Engine
    _under_way: dict[Future, _Held] = field(default_factory=dict)

    @property
    def full(self) -> bool:
        """Whether every worker has something to do."""
        return len(self._under_way) >= self.engine.lanes

    @property
    def idle(self) -> bool:
        """Whether nothing is under way."""
        return not self._under_way

    def give(self, tag: Any, words: str, function: Callable[[Any, Any], Any], item: Any) -> None:
        """Have ``function(room, item)`` worked out; ``words`` name the task to a person."""
        self._start(_Held(tag, words, function, item))

    def take(self) -> tuple[Any, Any]:
        """Return tag and answer of a task that is done; the answer of one that ends its workers is `Lost`."""
        while True:
            done, _ = wait(self._under_way, LOOK_UP, FIRST_COMPLETED)
            for future in done:
                held = self._under_way.pop(future)
                error = future.exception()
                if error is None:
                    return held.tag, future.result()
                if not isinstance(error, BrokenExecutor):
                    raise error
                self.engine.bury(future)
                held.ended += LIVES if isinstance(error, GivenUp) else 1
                if held.ended >= LIVES:
                    return held.tag, Lost(f"{held.words}: left out, every worker that tried it ended")
                self._start(held)

    def _start(self, held: _Held) -> None:
        self._under_way[self.engine.submit(held.function, held.item)] = held


def completed(
    engine: Engine, function: Callable[[Any, Any], Any], items: Iterable[Any], words: Callable[[Any], str] = str
) -> Iterator[tuple[int, Any]]:
    """Yield index and answer of every item, as they are done; the answer of one that ends its workers is `Lost`."""
    crew = Crew(engine)
    for index, item in enumerate(items):
        if crew.full:
            yield crew.take()
        crew.give(index, words(item), function, item)
    while not crew.idle:
        yield crew.take()
