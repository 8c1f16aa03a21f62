"""The queue of jobs: one at a time in a process of its own, stopped at once, and an end that leaves nothing behind."""

import asyncio
import errno
import os
import time

import pytest
from helpers.readers import page_jobs
from helpers.readers.asgi_browser import AsgiBrowser

from tradestudy.errors import CommandError
from tradestudy.page_server.jobs import job_process
from tradestudy.page_server.jobs.job_process import Job, JobFailed
from tradestudy.page_server.jobs.job_queue import JobQueue
from tradestudy.page_server.live.one_thread import Superseded


class Queue:
    """A queue in an event loop of its own, and how long each job takes."""

    def __init__(self):
        self.browser, self.queue = AsgiBrowser(None, None), JobQueue()

    def add(self, function, *arguments, expected=1.0, may_stop=True, slot=None):
        job = Job(function, arguments)
        return self.browser.in_loop(self.queue.add, function.__name__, job, expected, may_stop, slot)

    def wait(self, job):
        return asyncio.run_coroutine_threadsafe(self.queue.result(job), self.browser.loop).result(20)

    def pid(self, file):
        """Return the number of the process that has written a file."""
        self.until(lambda: file.exists() and file.read_text(encoding="utf-8"))
        return int(file.read_text(encoding="utf-8"))

    def stop(self, job):
        self.browser.in_loop(self.queue.stop, job)

    def until(self, condition, seconds=20.0):
        end = time.monotonic() + seconds
        while not condition():
            assert time.monotonic() < end
            time.sleep(0.01)


@pytest.fixture(scope="module")
def queue():
    made = Queue()
    yield made
    made.browser.close(made.queue)


def is_alive(pid):
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    with open(f"/proc/{pid}/stat", encoding="utf-8") as file:
        return file.read().rpartition(")")[2].split()[0] != "Z"


def test_jobs_are_done_one_after_another_in_one_process(queue):
    jobs = [queue.add(page_jobs.doubled, number) for number in range(4)]
    assert [queue.queue.ahead(job) for job in jobs] == [0, 1, 2, 3]
    queue.until(lambda: jobs[-1].state == "done")
    assert [job.result for job in jobs] == [0, 2, 4, 6]
    assert jobs[0].words == "doubling 0"
    assert jobs[0].share == 1.0
    assert jobs[0].ended <= jobs[1].started


def test_errors_are_sentences(queue):
    jobs = [queue.add(page_jobs.refused, "No."), queue.add(page_jobs.contradicted), queue.add(page_jobs.broken)]
    queue.until(lambda: jobs[-1].state == "failed")
    assert [job.state for job in jobs] == ["failed"] * 3
    assert jobs[0].failure.sentence == "No." and jobs[0].warnings == ["a warning"]
    assert jobs[1].failure.faults == [{"key": "stock.span", "line": 3, "message": "stock.span is too long."}]
    assert jobs[2].failure.sentence == "Something went wrong inside tradestudy: ZeroDivisionError: first"


def test_a_file_that_cannot_be_written_is_named_in_plain_words():
    def on_a_full_disk(report, *place):
        raise OSError(errno.ENOSPC, "No space left on device", *place)

    said = [job_process._done(Job(on_a_full_disk, place), None).content for place in ((), ("results/a.pdf",))]
    assert said[0].sentence == "A file could not be written or read: No space left on device."
    assert said[1].sentence == "A file could not be written or read: results/a.pdf: No space left on device."


def test_a_process_that_ends_fails_its_job_and_the_next_gets_another(queue):
    lost, after = queue.add(page_jobs.ended), queue.add(page_jobs.doubled, 5)
    queue.until(lambda: after.state == "done")
    assert lost.state == "failed" and "ended by itself" in lost.failure.sentence
    assert after.result == 10


@pytest.mark.skipif(not os.path.isdir("/proc/self"), reason="no list of processes in /proc")
def test_a_stop_ends_the_process_at_once_and_the_next_job_starts(queue, tmp_path):
    running = queue.add(page_jobs.endless, tmp_path / "pid")
    waiting, after = queue.add(page_jobs.doubled, 1), queue.add(page_jobs.doubled, 3)
    pid = queue.pid(tmp_path / "pid")
    assert is_alive(pid)
    queue.stop(waiting)  # one that waits never starts
    began = time.monotonic()
    queue.stop(running)
    queue.until(lambda: not is_alive(pid), 2.0)
    assert time.monotonic() - began < 2.0
    assert (running.state, waiting.state) == ("stopped", "stopped") and waiting.started is None
    queue.until(lambda: after.state == "done")
    assert after.result == 6
    queue.stop(after)  # too late: nothing changes
    assert after.state == "done"


@pytest.mark.skipif(not os.path.isdir("/proc/self"), reason="no list of processes in /proc")
def test_a_job_that_listens_gives_what_it_has_found_and_its_process_stays(queue, tmp_path):
    counting = queue.add(page_jobs.counting, tmp_path / "one")
    pid = queue.pid(tmp_path / "one")
    queue.stop(counting)
    queue.stop(counting)  # a second press changes nothing
    queue.until(lambda: counting.state == "stopped", 1.0)
    assert counting.result > 0
    talking = queue.add(page_jobs.talking, tmp_path / "two")
    assert queue.pid(tmp_path / "two") == pid
    queue.stop(talking)
    queue.until(lambda: talking.state == "stopped", 1.0)
    assert talking.result is None and talking.failure is None and is_alive(pid)


def test_the_newest_of_a_slot_waits_and_older_ones_are_superseded(queue, tmp_path):
    first = queue.add(page_jobs.counting, tmp_path / "pid")
    older, other = queue.add(page_jobs.doubled, 1, slot="a"), queue.add(page_jobs.doubled, 2, slot="b")
    newer = queue.add(page_jobs.doubled, 3, slot="a")
    queue.stop(first)
    assert queue.wait(newer) == 6 and queue.wait(other) == 4
    with pytest.raises(Superseded):
        queue.wait(older)
    with pytest.raises(JobFailed, match="No."):
        queue.wait(queue.add(page_jobs.refused, "No."))


def test_what_writes_is_not_stopped_half_way(queue, tmp_path):
    running = queue.add(page_jobs.endless, tmp_path / "pid", may_stop=False)
    queue.until(lambda: running.state == "running")
    with pytest.raises(CommandError, match="not stopped"):
        queue.stop(running)
    running.may_stop = True
    queue.stop(running)


def test_the_share_follows_the_expected_time_and_learns_from_the_last_one():
    queue = Queue()
    try:
        first = queue.add(page_jobs.doubled, 1, expected=1e-3)
        assert first.share <= 0.97
        queue.until(lambda: first.state == "done")
        second = queue.add(page_jobs.doubled, 1, expected=1e-3)
        assert second.expected == pytest.approx(first.seconds)
        queue.until(lambda: second.state == "done")
        assert first.seconds > second.seconds  # the process was there already
    finally:
        began = time.monotonic()
        queue.browser.close(queue.queue)
        assert time.monotonic() - began < 2.0
