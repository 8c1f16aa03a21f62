"""Kill workers or the scheduler of a cluster in the middle of a search: python tests/bench/checks/cluster_kills.py

The search of a demo runs in the terminal on a cluster of this machine, whose workers have two threads of linear
algebra by their own settings. It is compared with the same search in one process, to the last digit. A search that ends
early must say so in one sentence, keep what is finished, and go on from there.
"""

import json
import os
import signal
import socket
import sqlite3
import subprocess
import sys
import tempfile
import time
from contextlib import closing
from pathlib import Path

ROOT = Path(__file__).parents[3]
STUDY = ROOT / "studies" / "dunlin.toml"
PLAIN = {name: value for name, value in os.environ.items() if not name.endswith("_NUM_THREADS")}
PLAIN |= {"PYTHONPATH": str(ROOT), "DASK_DISTRIBUTED__NANNY__PRE_SPAWN_ENVIRON": '{"OPENBLAS_NUM_THREADS": "2"}'}
KILLED_AFTER = 4  # results in the record


def started(*words, **options):
    return subprocess.Popen([sys.executable, "-m", *words], env=PLAIN, **options)


def quietly(*words):
    return started(*words, "--no-dashboard", stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


def children(process):
    """Return the process ids of all descendants of a process."""
    found, rows = [process], subprocess.run(["ps", "-eo", "pid,ppid"], capture_output=True, text=True).stdout
    pairs = [tuple(map(int, row.split())) for row in rows.splitlines()[1:]]
    for parent in found:
        found += [child for child, owner in pairs if owner == parent]
    return found[1:]


def kept(folder):
    """Return the number of results in a record."""
    file = folder / "record.sqlite"
    try:
        with closing(sqlite3.connect(f"{file.as_uri()}?mode=ro", uri=True)) as database:
            return database.execute("select count(*) from solved").fetchone()[0]
    except sqlite3.Error:
        return 0


def searched(folder, *options):
    """Start the search of the demo with its results in a folder."""
    words = ("optimise", str(STUDY), "--json", "--out", str(folder), *options)
    return started("tradestudy", *words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def numbers(value, place=""):
    """Yield place and value of every number of a document."""
    if isinstance(value, dict | list):
        for name, each in value.items() if isinstance(value, dict) else enumerate(value):
            yield from numbers(each, f"{place}/{name}")
    elif isinstance(value, int | float):
        yield place, value


def main():
    """Run the search once for each kind of kill."""
    here = Path(tempfile.mkdtemp())
    whole, _ = searched(here / "one", "--workers", "1").communicate()
    wanted = dict(numbers(json.loads(whole)))
    for kill in sys.argv[1:] or ("nothing", "one worker", "all workers", "the scheduler"):
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = str(free.getsockname()[1])
        address, folder = f"tcp://127.0.0.1:{port}", here / kill.replace(" ", "-")
        scheduler = quietly("distributed.cli.dask_scheduler", "--host", "127.0.0.1", "--port", port)
        time.sleep(4)
        nannies = quietly(
            "distributed.cli.dask_worker", address, "--nworkers", "2", "--nthreads", "1", "--local-directory", str(here)
        )
        time.sleep(8)
        search = searched(folder, "--cluster", address)
        while kept(folder) < KILLED_AFTER and search.poll() is None:
            time.sleep(0.05)
        at, began = kept(folder), time.monotonic()
        workers = children(nannies.pid)
        ended = {
            "nothing": [],
            "one worker": workers[-1:],
            "all workers": [nannies.pid, *workers],
            "the scheduler": [scheduler.pid],
        }[kill]
        for process in ended:
            os.kill(process, signal.SIGKILL)
        said, complaints = search.communicate()
        seconds = time.monotonic() - began
        print(f"{kill} killed after {at} results: exit {search.returncode} {seconds:.0f} s later, {kept(folder)} kept")
        print(*(f"    {line}" for line in complaints.splitlines() if not line.startswith("...")), sep="\n")
        scheduler.kill()
        nannies.terminate()
        if search.returncode != 0:
            said, _ = searched(folder, "--workers", "1").communicate()
        found = dict(numbers(json.loads(said)))
        other = [place for place in wanted if found.get(place) != wanted[place]]
        print(f"    {len(wanted)} numbers, {len(other)} differ from one process {other[:3]}", flush=True)


if __name__ == "__main__":
    main()
