"""A queue of jobs for one process: one at a time, others wait. All of it lives in the thread of the event loop."""

from __future__ import annotations

import asyncio
import secrets
import threading
import time
from collections import OrderedDict
from collections.abc import Hashable
from dataclasses import dataclass, field
from typing import Any

from tradestudy.errors import CommandError

from ..live.one_thread import Superseded
from .job_process import Failure, Job, JobFailed, JobProcess, Message

QUEUED, RUNNING, DONE, STOPPED, FAILED = "queued", "running", "done", "stopped", "failed"
_MOST_KEPT = 50  # jobs whose results are remembered
_MOST_SHARE = 0.97  # shown of a job that takes longer than expected
_FROM_RECORD = 0.2  # share of the expected time below which a job must have found its results in a record
_UNTIL_FORCE = 1.2  # s; time in which a job may stop by itself and give what it has found so far
_PATIENCE = 1.0  # s; time that a process gets to end


@dataclass
class QueuedJob:
    """One job, its state and what it has said so far. Times are those of the monotonic clock. [s]"""

    name: str
    kind: str
    job: Job
    expected: float  # [s]
    may_stop: bool
    state: str = QUEUED
    words: str = ""
    warnings: list[str] = field(default_factory=list)
    result: Any = None
    failure: Failure | None = None
    slot: Hashable = None
    started: float | None = None
    ended: float | None = None
    stopping: bool = False
    over: asyncio.Event = field(default_factory=asyncio.Event)

    @property
    def seconds(self) -> float:
        """The time for which it has run."""
        return 0.0 if self.started is None else (self.ended or time.monotonic()) - self.started

    @property
    def share(self) -> float:
        """The share that is done, as far as the expected time tells."""
        if self.state == DONE:
            return 1.0
        return min(_MOST_SHARE, self.seconds / self.expected) if self.expected > 0 else 0.0


class JobQueue:
    """Jobs that wait for one process, which is started for the first of them.

    A job that is stopped gives what it has found so far. If it does not do so at once, its process is ended, and the
    next job gets a new one.
    """

    def __init__(self) -> None:
        self._jobs: OrderedDict[str, QueuedJob] = OrderedDict()
        self._running: QueuedJob | None = None
        self._process: JobProcess | None = None
        self._closed = False
        self._pace: dict[str, float] = {}  # kind -> time over expected time of the last such job

    def add(self, kind: str, job: Job, expected: float, may_stop: bool = True, slot: Hashable = None) -> QueuedJob:
        """Put a job at the end of the queue. It starts at once if nothing runs.

        An older job that waits in the same ``slot`` never starts. A slot that is None is that of this job alone.
        """
        name = secrets.token_urlsafe(9)
        for old in self._jobs.values():
            if slot is not None and old.slot == slot and old.state == QUEUED:
                self._finish(old, STOPPED)
        queued = QueuedJob(name, kind, job, expected * self._pace.get(kind, 1.0), may_stop, slot=slot)
        self._jobs[name] = queued
        for old in [each for each in self._jobs.values() if each.ended is not None][:-_MOST_KEPT]:
            del self._jobs[old.name]
        self._next()
        return queued

    async def result(self, job: QueuedJob) -> Any:
        """Wait for a job and return its result. Raise Superseded if it was stopped, and JobFailed if it failed."""
        await job.over.wait()
        if job.state == STOPPED:
            raise Superseded()
        if job.failure is not None:
            raise JobFailed(job.failure)
        return job.result

    def find(self, name: str) -> QueuedJob | None:
        """Return the job of that name, or None."""
        return self._jobs.get(name)

    def ahead(self, job: QueuedJob) -> int:
        """Return how many jobs come before one that waits."""
        if job.state != QUEUED:
            return 0
        names = list(self._jobs)
        before = [self._jobs[name] for name in names[: names.index(job.name)]]
        return sum(each.state in (QUEUED, RUNNING) for each in before)

    def stop(self, job: QueuedJob) -> None:
        """Stop a job, whether it waits or runs. Raise CommandError for one that is not left half done."""
        if job.state == RUNNING and not job.may_stop:
            raise CommandError("This takes a few seconds and is not stopped half way.")
        if job.state == QUEUED:
            self._finish(job, STOPPED)
        elif job.state == RUNNING and not job.stopping and self._process is not None:
            job.stopping, job.words = True, "stopping"
            self._process.send(None)
            asyncio.get_running_loop().call_later(_UNTIL_FORCE, self._force, job)

    def _force(self, job: QueuedJob) -> None:
        """End the process of a job that does not stop by itself. What it has put into a record stays."""
        if job is self._running:
            self._finish(job, STOPPED)
            self._running = None
            self._end_process()
            self._next()

    def close(self) -> None:
        """Stop all jobs and end the process."""
        self._closed = True
        for job in self._jobs.values():
            if job.state in (QUEUED, RUNNING):
                self._finish(job, STOPPED)
        process = self._process
        self._end_process()
        if process is not None:
            process.wait(_PATIENCE)

    def _next(self) -> None:
        """Start the job that waits longest, if nothing runs."""
        if self._running is not None or self._closed:
            return
        job = next((each for each in self._jobs.values() if each.state == QUEUED), None)
        if job is None:
            return
        if self._process is None:
            self._process = JobProcess()
            loop = asyncio.get_running_loop()
            threading.Thread(target=_read, args=(self._process, loop, self._take), daemon=True).start()
        self._running, job.state, job.started = job, RUNNING, time.monotonic()
        self._process.send(job.job)

    def _take(self, process: JobProcess, message: Message | None) -> None:
        """Take a message of a process. None means that it has ended."""
        if process is not self._process:  # of a process that was ended here
            return
        job = self._running
        if message is None:
            self._process = self._running = None
            if job is not None:
                sentence = "The process of this job has ended by itself. What was finished is kept: start it again."
                job.failure = None if job.stopping else Failure(sentence, [])
                self._finish(job, STOPPED if job.stopping else FAILED)
            self._next()
            return
        if job is None:
            return
        if message.kind == "progress":
            job.words = message.content
        elif message.kind == "warning":
            job.warnings.append(message.content)
        else:
            self._running = None
            if message.kind == "done":
                job.result = message.content
                self._finish(job, STOPPED if job.stopping else DONE)
                self._learn(job)
            else:
                job.failure = message.content
                self._finish(job, FAILED)
            self._next()

    def _learn(self, job: QueuedJob) -> None:
        """Let the time of a job correct what is expected of the next of its kind, unless a record shortened it."""
        if job.state == DONE and job.expected > 0 and job.seconds > _FROM_RECORD * job.expected:
            self._pace[job.kind] = self._pace.get(job.kind, 1.0) * job.seconds / job.expected

    def _finish(self, job: QueuedJob, state: str) -> None:
        job.state, job.ended = state, time.monotonic()
        job.over.set()

    def _end_process(self) -> None:
        process, self._process = self._process, None
        if process is not None:
            process.end()


def _read(process: JobProcess, loop: asyncio.AbstractEventLoop, take: Any) -> None:
    """Pass the messages of a process to the event loop until the process ends."""
    while True:
        message = process.received()
        try:
            loop.call_soon_threadsafe(take, process, message)
        except RuntimeError:  # the server has ended
            return
        if message is None:
            process.wait(_PATIENCE)
            return
