"""Worker processes: equal results, workers that die, Ctrl-C, a killed main process, and both ways to start."""

import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path
from types import SimpleNamespace

import pytest
from helpers import cheap_tasks
from helpers.cheap_tasks import answers
from helpers.places import IMPORTING

from tradestudy.errors import EngineLost
from tradestudy.search.engines.local_processes import ONE_THREAD, LocalProcesses, start_method, started
from tradestudy.search.engines.processes import InProcess, LostTask
from tradestudy.search.engines.record import Record

no_windows = pytest.mark.skipif(sys.platform == "win32", reason="Windows sends no such signals to one process")
only_linux = pytest.mark.skipif(sys.platform != "linux", reason="other systems start every worker with spawn")
# linear algebra with one thread, as the command line sets it: workers are copies of such a process
COPIED = os.environ | IMPORTING | ONE_THREAD
SPAWNED = {name: value for name, value in COPIED.items() if name not in ONE_THREAD}


def test_pool_agrees_to_the_last_bit_and_shared_data_is_sent_once(tmp_path, monkeypatch):
    monkeypatch.delenv("OMP_NUM_THREADS", raising=False)
    notes = tmp_path / "arrived"
    room = cheap_tasks.Room(84, str(notes))
    pool = answers(LocalProcesses(2, "helpers.cheap_tasks"), cheap_tasks.solved, range(30), room)
    assert pool == answers(InProcess(), cheap_tasks.solved, range(30), room)
    arrived = notes.read_text().split()
    assert len(arrived) == 2 == len(set(arrived)) and str(os.getpid()) not in arrived
    assert "OMP_NUM_THREADS" not in os.environ  # set for the workers only


def test_workers_have_one_thread_and_are_two():
    told = answers(LocalProcesses(2, "helpers.cheap_tasks"), cheap_tasks.surroundings, range(40), None)
    assert {threads for threads, _ in told} == {"1"} and len({worker for _, worker in told}) == 2


def test_a_call_runs_beside_this_process_where_it_can():
    here, pool = os.getpid(), LocalProcesses(1, "helpers.cheap_tasks")
    pool.send_shared_data(None)
    try:
        beside = started(pool, os.getpid)
        assert beside() != here
        busy, meanwhile = started(pool, time.sleep, 0.3), started(pool, os.getpid)
        assert meanwhile() == here and busy() is None  # no worker was idle
        with pytest.raises(ValueError, match="no 7"):
            started(pool, cheap_tasks.wrong, None, 7)()
        assert started(pool, cheap_tasks.only_in, here)() == "here"  # its worker ended
    finally:
        pool.close()
    assert started(InProcess(), os.getpid)() == here


def test_a_task_that_ends_two_workers_is_named_and_left_out():
    found = answers(LocalProcesses(2, "helpers.cheap_tasks"), cheap_tasks.ends_its_worker, [1, 2, 3, 4, 6, 7], None)
    assert [each for each in found if not isinstance(each, LostTask)] == [10, 20, 40, 60, 70]
    assert found[2].words == "3: left out, every worker that tried it ended"


def test_a_task_that_ends_one_worker_is_tried_again(tmp_path):
    mark = tmp_path / "died"
    found = answers(
        LocalProcesses(2, "helpers.cheap_tasks"), cheap_tasks.ends_once, [(item, str(mark)) for item in range(8)], None
    )
    assert found == [0, 10, 20, 30, 40, 50, 60, 70] and mark.exists()


def test_workers_that_never_start_are_reported():
    with pytest.raises(EngineLost, match="--workers 1 does without them"):
        answers(LocalProcesses(1, "no_such_library"), cheap_tasks.slow, [1], None)


def running(path, count, environment):
    script = f"from helpers import cheap_tasks\nif __name__ == '__main__': cheap_tasks.pooled({str(path)!r}, {count})"
    file = path.with_name("script.py")
    file.write_text(script)
    process = subprocess.Popen(
        [sys.executable, str(file)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment
    )
    workers = [int(word) for word in process.stdout.readline().split()]
    assert process.stdout.readline() == "going\n" and len(workers) == count
    return process, workers


def gone(workers, patience=5.0):
    """Return whether processes end within some seconds."""
    end = time.monotonic() + patience
    while time.monotonic() < end:
        if not any(alive(worker) for worker in workers):
            return True
        time.sleep(0.05)
    return False


def alive(process):
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    # a process that ended, but whose parent has not read its exit code, counts as ended
    state = Path(f"/proc/{process}/stat")
    return not (state.exists() and state.read_text().rpartition(")")[2].split()[0] == "Z")


@no_windows
@pytest.mark.parametrize("surroundings", [COPIED, SPAWNED], ids=["copied", "spawned"])
@pytest.mark.parametrize("how", ["SIGINT", "SIGKILL", "SIGTERM"])
def test_stopped_or_killed_keeps_what_is_finished_and_leaves_no_worker(tmp_path, how, surroundings):
    path = tmp_path / "record.sqlite"
    process, workers = running(path, 2, surroundings)
    if sys.platform == "linux":  # a copy has the command line of its parent
        command = Path(f"/proc/{workers[0]}/cmdline").read_bytes()
        assert (b"spawn" in command) is (surroundings is SPAWNED)
    process.send_signal(getattr(signal, how))
    try:
        printed, complaints = process.communicate(timeout=20)
    finally:
        process.kill()
    assert gone(workers) and complaints == ""
    if how == "SIGINT":
        assert printed == "interrupted\n" and process.returncode == 0
    record = Record(path, "study", pytest.fail)
    assert [record.known(("design", index)) for index in range(19)] == list(range(19))
    record.close()


COPIES = """
import os, signal
from pathlib import Path
from helpers import cheap_tasks
from tradestudy.search.engines.local_processes import LocalProcesses, start_method
from tradestudy.search.engines.processes import InProcess

if __name__ == "__main__":
    signal.signal(signal.SIGTERM, lambda *given: print("the main process's own end", flush=True))
    room = cheap_tasks.Room(84, "arrived")
    print(start_method(), "still in the buffer")
    pool = LocalProcesses(2)
    print(start_method())
    found = cheap_tasks.answers(pool, cheap_tasks.solved, range(30), room)
    print(found == cheap_tasks.answers(InProcess(), cheap_tasks.solved, range(30), room), start_method())
    print(cheap_tasks.answers(LocalProcesses(2, "helpers.cheap_tasks"), cheap_tasks.ends_its_worker, [1, 3, 4], None))
    pool = LocalProcesses(1)
    pool.send_shared_data(None)
    os.kill(pool._pool[0].process.pid, signal.SIGTERM)
    pool._pool[0].process.join(10)
    print(pool._pool[0].process.exitcode == -signal.SIGTERM)
    pool.close()
    print(*sorted({int(line) == os.getpid() for line in Path("arrived").read_text().split()}))
"""


@only_linux
def test_copies_of_this_process_agree_to_the_last_bit(tmp_path):
    """Check copied workers: results, a worker that dies, and a signal to end, which the main process handles itself."""
    file = tmp_path / "script.py"
    file.write_text(COPIES)
    command = [sys.executable, "-W", "error", str(file)]
    done = subprocess.run(command, env=COPIED, capture_output=True, text=True, timeout=60, cwd=tmp_path)
    assert done.stdout.splitlines() == [
        "fork still in the buffer",
        "fork",  # no thread waits for workers without a task
        "True fork",  # threads end with their workers
        "[10, LostTask(words='3: left out, every worker that tried it ended'), 40]",
        "True",
        "False",  # this process used its own data, the workers what they were sent
    ], done.stderr
    assert done.stderr == ""


def test_a_process_with_threads_or_more_threads_in_its_products_is_not_copied(monkeypatch):
    for name in ONE_THREAD:
        monkeypatch.setenv(name, "1")
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setattr("os.listdir", lambda folder: ["1"])
    assert start_method() == "fork"
    monkeypatch.setattr("os.listdir", lambda folder: ["1", "2"])
    assert start_method() == "spawn"
    monkeypatch.setattr("os.listdir", lambda folder: ["1"])
    monkeypatch.setenv("OMP_NUM_THREADS", "2")
    assert start_method() == "spawn"
    monkeypatch.setenv("OMP_NUM_THREADS", "1")
    monkeypatch.setattr("sys.platform", "darwin")
    assert start_method() == "spawn"


PRESSED = """
import os, signal, time
from tradestudy.search.engines.local_processes import process_start

try:
    with process_start():
        os.kill(os.getpid(), signal.SIGINT)
        time.sleep(0.01)
        print("started")
    time.sleep(5)
except KeyboardInterrupt:
    print("stopped")
"""


@no_windows
def test_ctrl_c_while_a_process_starts_comes_afterwards():
    command = [sys.executable, "-c", PRESSED]  # this process may have more threads, which would take the signal
    done = subprocess.run(command, env=COPIED, capture_output=True, text=True, timeout=60)
    assert done.stdout.split() == ["started", "stopped"], done.stderr


@only_linux
def test_a_thread_of_this_process_is_seen(monkeypatch):
    for name in ONE_THREAD:
        monkeypatch.setenv(name, "1")
    end = threading.Event()
    thread = threading.Thread(target=end.wait)
    thread.start()
    try:
        assert start_method() == "spawn"
    finally:
        end.set()
        thread.join()


def test_a_worker_that_runs_its_script_again_ends_without_a_traceback(monkeypatch):
    """Check a script without main guard: its workers run it while they start, and would start workers themselves."""

    def ended(code):
        raise SystemExit(code)

    monkeypatch.setattr("multiprocessing.current_process", lambda: SimpleNamespace(_inheriting=True))
    monkeypatch.setattr(os, "_exit", ended)
    with pytest.raises(SystemExit):
        LocalProcesses(1)
