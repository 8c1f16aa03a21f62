"""The engine on a cluster: results equal to the last bit, what is told where it loses workers, and its selection."""

import os
import subprocess
import sys
from types import SimpleNamespace

import pytest
from helpers import cheap_tasks
from helpers.places import IMPORTING

from tradestudy.errors import CommandError, EngineLost
from tradestudy.search.engines.cluster import open_engine
from tradestudy.search.engines.processes import InProcess


def test_engine_by_the_number_of_tasks(monkeypatch):
    monkeypatch.setattr("tradestudy.search.engines.cluster.LocalProcesses", lambda count: ("pool", count))
    monkeypatch.setattr("tradestudy.search.engines.cluster.cores", lambda: 4)
    monkeypatch.setattr("tradestudy.search.engines.cluster.start_method", lambda: "spawn")
    assert isinstance(open_engine(3), InProcess) and isinstance(open_engine(500, workers=1), InProcess)
    assert open_engine(20) == ("pool", 4) and open_engine(2, workers=3) == ("pool", 3)
    monkeypatch.setattr("tradestudy.search.engines.cluster.start_method", lambda: "fork")  # ready at once
    assert open_engine(3) == ("pool", 3) and isinstance(open_engine(1), InProcess)


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
FRESH = {name: value for name, value in (os.environ | IMPORTING).items() if not name.endswith("_NUM_THREADS")} | {
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
