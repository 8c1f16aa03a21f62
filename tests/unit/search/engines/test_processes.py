"""Task engines: equal results from all of them, workers that die, Ctrl-C, and a killed parent process."""

import os
import signal
import subprocess
import sys
import time
from concurrent.futures import Future
from pathlib import Path
from types import SimpleNamespace

import pytest
from helpers import cheap_tasks
from helpers.places import ROOT, TESTS

from tradestudy.errors import CommandError, EngineLost
from tradestudy.search.engines.cluster import open_engine
from tradestudy.search.engines.processes import (
    InProcess,
    LocalProcesses,
    LostTask,
    WorkerPool,
    completed_tasks,
    started,
)
from tradestudy.search.engines.record import Record

ENVIRONMENT = os.environ | {"PYTHONPATH": os.pathsep.join([str(TESTS), str(ROOT)])}
no_windows = pytest.mark.skipif(sys.platform == "win32", reason="Windows sends no such signals to one process")


def answers(engine, function, items, room):
    """Return the results in the order of the items, and close the engine."""
    try:
        engine.send_shared_data(room)
        return [found for _, found in sorted(completed_tasks(engine, function, items), key=lambda pair: pair[0])]
    finally:
        engine.close()


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


def test_a_fault_in_a_task_comes_back_as_it_is():
    for engine in (InProcess(), LocalProcesses(2, "helpers.cheap_tasks")):
        with pytest.raises(ValueError, match="no 4"):
            answers(engine, cheap_tasks.wrong, [4], None)


def test_workers_that_never_start_are_reported():
    with pytest.raises(EngineLost, match="--workers 1 does without them"):
        answers(LocalProcesses(1, "no_such_library"), cheap_tasks.slow, [1], None)


def test_engine_by_the_number_of_tasks(monkeypatch):
    monkeypatch.setattr("tradestudy.search.engines.cluster.LocalProcesses", lambda count: ("pool", count))
    monkeypatch.setattr("tradestudy.search.engines.cluster.cores", lambda: 4)
    assert isinstance(open_engine(3), InProcess) and isinstance(open_engine(500, workers=1), InProcess)
    assert open_engine(20) == ("pool", 4) and open_engine(2, workers=3) == ("pool", 3)


def running(path, count):
    script = f"from helpers import cheap_tasks\nif __name__ == '__main__': cheap_tasks.pooled({str(path)!r}, {count})"
    file = path.with_name("script.py")
    file.write_text(script)
    process = subprocess.Popen(
        [sys.executable, str(file)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=ENVIRONMENT
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
@pytest.mark.parametrize("how", ["SIGINT", "SIGKILL"])
def test_stopped_or_killed_keeps_what_is_finished_and_leaves_no_worker(tmp_path, how):
    path = tmp_path / "record.sqlite"
    process, workers = running(path, 2)
    process.send_signal(getattr(signal, how))
    printed, complaints = process.communicate(timeout=20)
    assert gone(workers)
    if how == "SIGINT":
        assert printed == "interrupted\n" and complaints == "" and process.returncode == 0
    record = Record(path, "study", pytest.fail)
    assert [record.known(("design", index)) for index in range(19)] == list(range(19))
    record.close()


# --- the cluster -------------------------------------------------------------------------------------------

CLUSTER = """
import contextlib, os, signal, socket, subprocess, sys, time
WORKERS = dict(os.environ)
os.environ["OPENBLAS_NUM_THREADS"] = "1"  # here, not where the workers start
from helpers import cheap_tasks
from tradestudy.errors import CommandError, EngineLost
from tradestudy.search.engines.cluster import open_engine
from tradestudy.search.engines.processes import InProcess, completed_tasks


def started(*words):
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    return subprocess.Popen([sys.executable, "-m", *words, "--no-dashboard"], env=WORKERS, **quiet)


def opened():
    for _ in range(200):
        with contextlib.suppress(CommandError):
            engine = open_engine(0, cluster=ADDRESS)
            if engine.workers == 2:
                engine.send_shared_data(ROOM)
                return engine
            engine.close()
        time.sleep(0.1)
    sys.exit("no cluster")


def answers(engine, function, items, after=None):
    # ``after`` is called in the middle of the work
    found = {}
    try:
        for index, answer in completed_tasks(engine, function, items):
            found[index] = answer
            if len(found) == 5 and after is not None:
                after()
    except EngineLost as error:
        print(len(found) >= 5, all(found[index] == index for index in found), str(error).replace(ADDRESS, "HERE"))
    return [found[index] for index in sorted(found)]


if __name__ == "__main__":
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = str(free.getsockname()[1])
    ADDRESS, ROOM = f"tcp://127.0.0.1:{port}", cheap_tasks.Room(400)
    scheduler = started("distributed.cli.dask_scheduler", "--host", "127.0.0.1", "--port", port)
    nannies = started("distributed.cli.dask_worker", ADDRESS, "--nworkers", "2", "--nthreads", "1",
                      "--local-directory", "here")
    try:
        here, engine = InProcess(), opened()
        here.send_shared_data(ROOM)
        same = [answers(each, cheap_tasks.solved_by_both, range(4)) for each in (engine, here)]
        print(same[0] == same[1], len({worker for _, worker in answers(engine, cheap_tasks.surroundings, range(20))}))
        found = answers(engine, cheap_tasks.ends_its_worker, [1, 3, 4])
        print(found[0], found[2], found[1].words)
        answers(engine, cheap_tasks.slow, range(10_000), scheduler.kill)
        engine.close()
    finally:
        scheduler.kill()
        nannies.terminate()
"""
# a user may have set more threads for the workers than the one that is usual there
FRESH = {name: value for name, value in ENVIRONMENT.items() if not name.endswith("_NUM_THREADS")} | {
    "DASK_DISTRIBUTED__NANNY__PRE_SPAWN_ENVIRON": '{"OPENBLAS_NUM_THREADS": "2"}',
    "DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES": "1",
}


def test_cluster_is_bit_equal_from_the_first_task_on_and_tells_what_it_loses(tmp_path):
    """Check results, and what is told where workers and then the scheduler are killed in the middle of the work."""
    pytest.importorskip("distributed", reason="distributed is not installed: pip install tradestudy[cluster]")
    file = tmp_path / "script.py"
    file.write_text(CLUSTER)
    done = subprocess.run(
        [sys.executable, "-W", "ignore", str(file)],
        env=FRESH,
        capture_output=True,
        text=True,
        timeout=120,
        cwd=tmp_path,
    )
    assert done.stdout.splitlines() == [
        "True 2",
        "10 40 3: left out, every worker that tried it ended",
        "True True The scheduler of the cluster HERE does not answer any more.",
    ], done.stderr
    assert done.stderr == ""


def test_cluster_without_workers_ends_the_work(monkeypatch):
    """Check that a task that waits for workers ends with a sentence after a while, and not before."""
    pytest.importorskip("distributed", reason="distributed is not installed: pip install tradestudy[cluster]")
    clock, looks = [0.0], []

    class Client:
        def __init__(self, *given, **options):
            pass

        def run(self, function, on_error):
            return {"tcp://a": function()}

        def nthreads(self):
            looks.append(clock[0])
            return {} if clock[0] >= 5 else {"tcp://a": 1}

        def submit(self, *given, **options):
            return self

        def result(self, timeout):
            clock[0] += timeout
            raise TimeoutError

    monkeypatch.setattr("distributed.Client", Client)
    monkeypatch.setattr("tradestudy.search.engines.cluster.time", SimpleNamespace(monotonic=lambda: clock[0]))
    engine = open_engine(0, cluster="tcp://a:1")
    with pytest.raises(EngineLost, match="^The cluster tcp://a:1 has no workers left.$"):
        engine.submit(cheap_tasks.slow, 1).result(timeout=5)
    assert looks[-1] == 65  # seen last at 4 s, given 60 s


def test_results_that_are_there_come_before_an_error(monkeypatch):
    """Check that what is finished can be kept where another task ends the work."""
    first, second = Future(), Future()
    first.set_exception(EngineLost("no workers"))
    second.set_result(7)
    futures = iter((first, second))
    pool = WorkerPool(SimpleNamespace(workers=2, submit=lambda *given: next(futures)))
    for tag in ("lost", "found"):
        pool.give(tag, tag, cheap_tasks.slow, 1)
    assert pool.take() == ("found", 7)
    with pytest.raises(EngineLost):
        pool.take()


def test_a_worker_has_its_next_task_while_a_result_is_kept():
    """Check that an engine with workers is ahead of what is kept, and that nothing finished is lost if it ends."""
    sent = []

    def submit(function, item):
        if item == 2:
            raise EngineLost("no workers")
        sent.append(item)
        future = Future()
        future.set_result(10 * item)
        return future

    results = completed_tasks(SimpleNamespace(workers=1, submit=submit), cheap_tasks.slow, range(3))
    assert next(results) == (0, 0) and sent == [0, 1]
    assert next(results) == (1, 10)
    with pytest.raises(EngineLost):
        next(results)


def test_this_process_computes_nothing_ahead_of_what_is_kept():
    made, engine = [], InProcess()
    results = completed_tasks(engine, lambda _, item: made.append(item), range(3))
    next(results)
    assert made == [0]


def test_missing_cluster_is_reported(monkeypatch):
    pytest.importorskip("distributed", reason="distributed is not installed: pip install tradestudy[cluster]")
    monkeypatch.setattr("tradestudy.search.engines.cluster._PATIENCE", 0.3)
    with pytest.raises(CommandError, match=r"--cluster tcp://127.0.0.1:9: no scheduler answers there"):
        open_engine(9, cluster="tcp://127.0.0.1:9")
    with pytest.raises(CommandError, match=r"--cluster somewhere::: an address looks like"):
        open_engine(9, cluster="somewhere::")


def test_cluster_without_its_library_is_reported(monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(CommandError) as told:
        open_engine(9, cluster="tcp://127.0.0.1:8786")
    assert str(told.value) == (
        '--cluster needs a library that is not here. Install it: pip install "tradestudy[cluster]"'
    )


def test_a_worker_that_runs_its_script_again_ends_without_a_traceback(monkeypatch):
    """Check a script without main guard: its workers run it while they start, and would start workers themselves."""

    def ended(code):
        raise SystemExit(code)

    monkeypatch.setattr("multiprocessing.current_process", lambda: SimpleNamespace(_inheriting=True))
    monkeypatch.setattr(os, "_exit", ended)
    with pytest.raises(SystemExit):
        LocalProcesses(1)
