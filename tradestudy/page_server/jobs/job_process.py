"""The process that does jobs: its start, its loop, and what it sends.

It starts with ``spawn``, which every system supports, and opens a record itself, since SQLite belongs to one process.
It ignores Ctrl-C, since the server ends it, and ends by itself with the server.
"""

from __future__ import annotations

import multiprocessing
import os
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.connection import Connection
from typing import Any, NamedTuple

from tradestudy.errors import StudyFileError, TradestudyError
from tradestudy.search.engines.local_processes import follow_parent, process_start

from ..safety.named_files import without_quotes

_LESS_URGENT = 5  # added to the priority number of a process on systems that have one: the page goes first
_BETWEEN = 0.1  # s; shortest time between two sentences on progress


class Job(NamedTuple):
    """A job to do: a function of a module, with its arguments. It is called with a callback for progress first."""

    function: Callable[..., Any]
    arguments: tuple[Any, ...]


class JobStopped(KeyboardInterrupt):
    """Error: the server asks for the end of the job, as Ctrl-C does in a terminal. `report` raises it."""


class Message(NamedTuple):
    """What a process says of its job: progress, warning, done or failed, with a sentence or a result."""

    kind: str
    content: Any


class Failure(NamedTuple):
    """Why a job failed: a sentence, and for errors in a study each of them (key, line, message)."""

    sentence: str
    faults: list[dict[str, Any]]


class JobFailed(TradestudyError):
    """Error: a job failed, for the reason in ``failure``."""

    def __init__(self, failure: Failure):
        self.failure = failure
        super().__init__(failure.sentence)


class JobProcess:
    """A process that does one job after another. `start` is called in the main thread."""

    def __init__(self) -> None:
        context = multiprocessing.get_context("spawn")
        self.pipe, child = context.Pipe()
        self._process = context.Process(target=_do_jobs, args=(child,), name="tradestudy page jobs", daemon=True)
        with process_start():
            self._process.start()
        child.close()

    def send(self, job: Job | None) -> None:
        """Give the process a job, or None to stop the one that it does.

        This does not wait for the process; if it has ended, `received` says so.
        """
        threading.Thread(target=self._sent, args=(job,), daemon=True).start()

    def _sent(self, job: Job | None) -> None:
        with suppress(OSError):
            self.pipe.send(job)

    def received(self) -> Message | None:
        """Wait for a message and return it, or None if the process has ended."""
        try:
            return self.pipe.recv()
        except (EOFError, OSError):
            return None

    def end(self) -> None:
        """End the process at once. What it has put into a record stays."""
        self._process.terminate()

    def wait(self, seconds: float) -> None:
        """Wait until the process has ended, and end it by force if it takes too long."""
        self._process.join(seconds)
        if self._process.is_alive():
            self._process.kill()
            self._process.join()


class _Reporter:
    """A callback for progress that sends sentences to the server, not too many of them. It raises JobStopped."""

    def __init__(self, pipe: Connection):
        self._pipe, self._last = pipe, 0.0

    def __call__(self, words: str) -> None:
        if self._pipe.poll():
            self._pipe.recv()  # nothing but a stop comes while a job is under way
            raise JobStopped
        now = time.monotonic()
        if now - self._last >= _BETWEEN:
            self._last = now
            self._pipe.send(Message("progress", words))

    def warn(self, words: str) -> None:
        """Send a warning, always."""
        self._pipe.send(Message("warning", words))


def _do_jobs(pipe: Connection) -> None:
    follow_parent()
    if hasattr(os, "nice"):
        os.nice(_LESS_URGENT)
    report = _Reporter(pipe)
    while True:
        try:
            job = pipe.recv()
        except (EOFError, OSError):
            return
        if job is not None:  # a stop that came when its job had ended
            pipe.send(_done(job, report))


def _done(job: Job, report: _Reporter) -> Message:
    """Do a job and return what came of it."""
    try:
        return Message("done", job.function(report, *job.arguments))
    except JobStopped:
        return Message("done", None)
    except TradestudyError as error:
        return Message("failed", failure_of(error))
    except OSError as error:  # as of a full disk
        place = f"{error.filename}: " if isinstance(error.filename, str) else ""
        sentence = f"A file could not be written or read: {place}{error.strerror or error}."
        return Message("failed", Failure(sentence, []))
    except Exception as error:
        sentence = f"Something went wrong inside tradestudy: {type(error).__name__}: {error}".splitlines()[0]
        return Message("failed", Failure(sentence, []))


def failure_of(error: TradestudyError) -> Failure:
    """Return an error for a person as values that JSON can store."""
    if isinstance(error, JobFailed):
        return error.failure
    if isinstance(error, StudyFileError):
        error = without_quotes(error)
    faults = error.faults if isinstance(error, StudyFileError) else []
    return Failure(str(error), [{"key": each.key, "line": each.line, "message": each.message} for each in faults])
