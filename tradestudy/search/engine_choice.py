"""Which engine works on so many designs."""

from __future__ import annotations

import os

from .cluster import Cluster
from .engines import Engine, InProcess, LocalPool

MANY = 6  # searches, from which on starting two processes (about 3 s of a core each) is worth it


def cores() -> int:
    """Return how many workers this machine has room for."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def open_engine(tasks: int, workers: int | None = None, cluster: str | None = None, many: int = MANY) -> Engine:
    """Return the engine for so many tasks: a cluster if one is named, else as many ``workers`` as asked for.

    With None, as many as there are cores when there are at least ``many`` tasks, else this process.
    """
    if cluster is not None:
        return Cluster(cluster)
    count = workers if workers is not None else min(cores(), tasks) if tasks >= many else 1
    return LocalPool(count) if count > 1 else InProcess()
