"""The task engine on a Dask cluster (optional extra ``tradestudy[cluster]``), and the selection of an engine."""

from __future__ import annotations

import logging
import os
import re
import threading
import time
from collections.abc import Callable
from concurrent.futures import CancelledError, Future, ThreadPoolExecutor
from typing import Any

from tradestudy.errors import CommandError, EngineLost

from .local_processes import ONE_THREAD, LocalProcesses, start_method
from .processes import (
    Engine,
    InProcess,
    Libraries,
    Packed,
    WorkersExhausted,
    packed,
    receive_shared_data,
    run_task,
)
from .record import code_fingerprint

_ADDRESS = re.compile(r"(tcp|tls|ws|wss|ucx)://\S+:\d{1,5}")  # the library prints tracebacks for other addresses
_PATIENCE = 10  # s; time to wait for the scheduler
_WITHOUT_WORKERS = 60  # s; time to wait for workers where there are none: a busy machine needs some to start one anew
_LOOK = 1.0  # s; time between two looks at the workers while a task runs
_INSTALL = 'pip install "tradestudy[cluster]"'
_MANY_TASKS = {"fork": 2, "spawn": 6}  # least number of tasks for which starting processes saves time


class Cluster:
    """An `Engine` on the workers of a scheduler at an address such as ``tcp://192.168.1.10:8786``."""

    def __init__(self, address: str):
        try:
            from distributed import Client
        except ImportError:
            raise CommandError(f"--cluster needs a library that is not here. Install it: {_INSTALL}") from None
        if not _ADDRESS.fullmatch(address):
            raise CommandError(f"--cluster {address}: an address looks like tcp://192.168.1.10:8786.")
        _silence()
        try:
            self._client = Client(address, timeout=_PATIENCE, set_as_default=False)
        except (OSError, ValueError, TypeError) as error:
            reason = str(error).splitlines()[0] if str(error) else "no answer"
            raise CommandError(
                f"--cluster {address}: no scheduler answers there ({reason}). An address looks like "
                "tcp://192.168.1.10:8786; start one with: dask scheduler"
            ) from None
        try:
            self._check(address)
            self.workers = sum(self._client.nthreads().values())
        except BaseException:
            self._client.close()
            raise
        self._address, self._key = address, ""
        self._looking, self._seen, self._lost = threading.Lock(), time.monotonic(), ""
        # One thread waits for each task. The client's own executor reads a result and the state of its task one
        # after the other, so that a worker lost in between becomes an error of another kind.
        self._waiting = ThreadPoolExecutor(self.workers)

    def _check(self, address: str) -> None:
        codes = self._client.run(_code_of_worker, on_error="return")
        if not codes:
            raise CommandError(f"--cluster {address}: the scheduler has no workers. Start one: dask worker {address}")
        other = sorted(worker for worker, code in codes.items() if code != code_fingerprint())
        if other:
            raise CommandError(
                f"--cluster {address}: another version of tradestudy, or none, on {', '.join(other)}. "
                "Install the same one everywhere."
            )

    def send_shared_data(self, shared: Any) -> None:
        """Send shared data to every worker, including workers that join later."""
        data = packed(shared)
        self._key = data.key
        try:
            self._client.register_plugin(_plugin(data), name=f"tradestudy {data.key}")
        except (OSError, CancelledError) as error:
            raise self._ended() from error

    def submit(self, function: Callable[[Any, Any], Any], item: Any) -> Future:
        """Send a task to the cluster."""
        try:
            task = self._client.submit(_run_same_code, code_fingerprint(), self._key, function, item, pure=False)
        except (OSError, RuntimeError, ValueError) as error:  # the client is closed, since the scheduler is lost
            raise self._ended() from error
        return self._waiting.submit(self._result, task)

    def _result(self, task: Any) -> Any:
        while True:
            try:
                return task.result(timeout=_LOOK)
            except TimeoutError:
                self._look()
            except CancelledError:
                raise self._ended() from None
            except Exception as error:
                if type(error).__name__ == "CommClosedError":  # the scheduler was lost while the result was on its way
                    raise self._ended() from None
                if type(error).__name__ != "KilledWorker":
                    raise
                raise WorkersExhausted(str(error)) from None

    def _look(self) -> None:
        """Raise EngineLost if the cluster has had no workers for a while. One thread looks at a time."""
        with self._looking:
            now = time.monotonic()
            try:
                if not self._lost and self._client.nthreads():
                    self._seen = now
            except (OSError, CancelledError, RuntimeError, ValueError):
                raise self._ended() from None
            if now - self._seen > _WITHOUT_WORKERS:
                self._lost = f"The cluster {self._address} has no workers left."
            if self._lost:
                raise EngineLost(self._lost)

    def _ended(self) -> EngineLost:
        return EngineLost(self._lost or f"The scheduler of the cluster {self._address} does not answer any more.")

    def replace_worker(self, future: Future) -> None:
        """Wait for a worker. The cluster replaces its workers itself, and has already tried the task on several."""
        try:
            self._client.wait_for_workers(1, timeout=_WITHOUT_WORKERS)
        except TimeoutError:
            raise EngineLost(f"The cluster {self._address} has no workers left.") from None
        except (OSError, CancelledError, RuntimeError, ValueError):
            raise self._ended() from None

    def close(self) -> None:
        """Cancel unfinished tasks and disconnect from the cluster."""
        self._waiting.shutdown(wait=False, cancel_futures=True)
        self._client.close()


def _silence() -> None:
    """Keep the client from printing what it loses, which is told in one sentence of ours."""
    for name in logging.root.manager.loggerDict:
        if name.partition(".")[0] == "distributed":
            logging.getLogger(name).setLevel(logging.CRITICAL + 1)


def _code_of_worker() -> str:
    """Return the fingerprint of the code that a worker runs."""
    return code_fingerprint()


def _run_same_code(code: str, key: str, function: Callable[[Any, Any], Any], item: Any) -> Any:
    """Return the result of one task. Raise EngineLost on a worker that joined with other code than the client's."""
    if code_fingerprint() != code:
        raise EngineLost("A worker with another version of tradestudy joined the cluster. Install the same everywhere.")
    return run_task(key, function, item)


def _plugin(data: Packed) -> Any:
    """Return the plugin that gives shared data to every worker of a cluster, including workers that join later."""
    from distributed import WorkerPlugin

    class SharedData(WorkerPlugin):
        def setup(self, worker: Any) -> None:
            from threadpoolctl import threadpool_limits

            # One thread as in local processes: the number of threads changes the last digit. The environment is read
            # by libraries of linear algebra when they are loaded, and the others are loaded already.
            os.environ.update(ONE_THREAD)
            receive_shared_data(data)
            threadpool_limits(1, "blas")

    return SharedData()


def cores() -> int:
    """Return the number of cores that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def open_engine(
    tasks: int, workers: int | None = None, cluster: str | None = None, libraries: Libraries = ()
) -> Engine:
    """Return the engine for a number of tasks: the named cluster, or else ``workers`` processes.

    If ``workers`` is None, many tasks use as many workers as cores, and few tasks use only this process. How many are
    many depends on how long a worker takes to start. Processes load the modules ``libraries`` before their first task.
    """
    if cluster is not None:
        return Cluster(cluster)
    if workers is None:
        workers = min(cores(), tasks) if tasks >= _MANY_TASKS[start_method()] else 1
    return LocalProcesses(workers, *libraries) if workers > 1 else InProcess()
