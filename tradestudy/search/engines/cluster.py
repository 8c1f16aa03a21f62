"""Workers on a Dask cluster: the optional extra ``tradestudy[cluster]``. Interface of `engines.Engine`."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import Future
from typing import Any

from tradestudy.errors import CommandError, RunFailed

from .processes import Engine, GivenUp, InProcess, LocalPool, Packed, packed, unpack, work_out
from .record import code_fingerprint

PATIENCE = 10  # s for a scheduler to answer
INSTALL = 'pip install "tradestudy[cluster]"'


class Cluster:
    """Tasks for the workers of a scheduler at an address such as ``tcp://192.168.1.10:8786``."""

    def __init__(self, address: str):
        try:
            from distributed import Client
        except ImportError:
            raise CommandError(f"--cluster needs a library that is not here. Install it: {INSTALL}") from None
        try:
            self._client = Client(address, timeout=PATIENCE, set_as_default=False)
        except (OSError, ValueError, TypeError) as error:
            reason = str(error).splitlines()[0] if str(error) else "no answer"
            raise CommandError(
                f"--cluster {address}: no scheduler answers there ({reason}). An address looks like "
                "tcp://192.168.1.10:8786; start one with: dask scheduler"
            ) from None
        try:
            self._check(address)
            self.lanes = sum(self._client.nthreads().values())
        except BaseException:
            self._client.close()
            raise
        self._key, self._executor = "", self._client.get_executor(pure=False)

    def _check(self, address: str) -> None:
        codes = self._client.run(code_of_worker)
        if not codes:
            raise CommandError(f"--cluster {address}: the scheduler has no workers. Start one: dask worker {address}")
        other = sorted(worker for worker, code in codes.items() if code != code_fingerprint())
        if other:
            raise CommandError(
                f"--cluster {address}: another version of tradestudy on {', '.join(other)}. "
                "Install the same one everywhere."
            )

    def furnish(self, room: Any) -> None:
        """Send the room to every worker, and to those that join later."""
        travelling = packed(room)
        self._key = travelling.key
        self._client.register_plugin(_plugin(travelling), name=f"tradestudy {travelling.key}")

    def submit(self, function: Callable[[Any, Any], Any], item: Any) -> Future:
        """Give a task to the cluster."""
        future: Future = Future()
        self._executor.submit(work_out, self._key, function, item).add_done_callback(
            lambda done: _pass_on(done, future)
        )
        return future

    def bury(self, future: Future) -> None:
        """The cluster sees to its workers itself; it has tried such a task on several."""
        try:
            self._client.wait_for_workers(1, timeout=PATIENCE)
        except TimeoutError:
            raise RunFailed("The cluster has no workers left.") from None

    def close(self) -> None:
        """Drop what is under way and let the cluster go."""
        self._executor.shutdown(wait=False)
        self._client.close()


def code_of_worker() -> str:
    """Return the fingerprint of the code that a worker runs."""
    return code_fingerprint()


def _pass_on(done: Any, future: Future) -> None:
    error = done.exception() if not done.cancelled() else GivenUp("dropped")
    if error is None:
        future.set_result(done.result())
    elif type(error).__name__ == "KilledWorker":
        future.set_exception(GivenUp(str(error)))
    else:
        future.set_exception(error)


def _plugin(room: Packed) -> Any:
    """What gives every worker of a cluster its room, those that join later as well."""
    from distributed import WorkerPlugin

    class Furnished(WorkerPlugin):
        def setup(self, worker: Any) -> None:
            from threadpoolctl import threadpool_limits

            threadpool_limits(1, "blas")  # as in a process of our own: threads move the last digit
            unpack(room)

    return Furnished()


MANY = 6  # searches, from which on starting two processes (about 3 s of a core each) is worth it


def cores() -> int:
    """Return how many workers this machine has room for."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def open_engine(tasks: int, workers: int | None = None, cluster: str | None = None) -> Engine:
    """Return the engine for so many tasks: a cluster if one is named, else as many ``workers`` as asked for.

    With None, as many as there are cores when there are at least MANY tasks, else this process.
    """
    if cluster is not None:
        return Cluster(cluster)
    count = workers if workers is not None else min(cores(), tasks) if tasks >= MANY else 1
    return LocalPool(count) if count > 1 else InProcess()
