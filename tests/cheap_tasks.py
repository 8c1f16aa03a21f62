"""Tasks of a few milliseconds for engines and records: importable by worker processes and scripts of tests."""

import os
import time
from pathlib import Path

import numpy as np


class Room:
    """A matrix; notes in a file each time it arrives somewhere."""

    def __init__(self, size, notes=None):
        self.matrix = np.eye(size) * size + np.sin(np.arange(size * size)).reshape(size, size)
        self.notes = notes

    def __setstate__(self, state):
        self.__dict__.update(state)
        note(self.notes, os.getpid())


def note(file, words):
    """Add a line to a file, whole."""
    if file:
        with open(file, "ab", buffering=0) as lines:
            lines.write(f"{words}\n".encode())


def solved(room, item):
    """A linear system, whose last digit tells how it was computed."""
    return np.linalg.solve(room.matrix, np.cos(item + np.arange(len(room.matrix)))).tolist()


def slow(room, item):
    """An answer after a while."""
    time.sleep(0.02)
    return item


def ends_its_worker(room, item):
    """Item 3 ends every worker that tries it."""
    if item == 3:
        os._exit(7)
    return 10 * item


def ends_once(room, item):
    """Item 5 ends the first worker that tries it, which it notes in a file."""
    number, mark = item
    if number == 5 and not Path(mark).exists():
        note(mark, "once")
        os._exit(9)
    return 10 * number


def wrong(room, item):
    """A fault in the task itself."""
    raise ValueError(f"no {item}")


def surroundings(room, item):
    """What a worker may know of threads."""
    return os.environ.get("OPENBLAS_NUM_THREADS"), os.getpid()


def recorded(path, log, count):
    """Work through designs with a record, each noted once it is kept: what a killed run does."""
    from tradestudy.search.engines.record import Record

    record = Record(Path(path), "study")
    for index in range(count):
        before = record.reused
        answer = record.remembered(("design", index), lambda index=index: expensive(index))
        if record.reused == before:
            note(log, index)
        assert answer == expensive(index)
    record.close()


def expensive(index):
    """The answer to a design, some milliseconds of work."""
    time.sleep(0.003)
    return [index, index / 3]


def pooled(path, workers):
    """Work with a pool until interrupted; what is finished is kept. Prints the workers' ids first."""
    from tradestudy.search.engines.processes import LocalProcesses, completed_tasks
    from tradestudy.search.engines.record import Record

    record, pool = Record(Path(path), "study"), LocalProcesses(workers, "cheap_tasks")
    try:
        pool.send_shared_data(None)
        print(*(worker.process.pid for worker in pool._pool), flush=True)
        for index, found in completed_tasks(pool, slow, range(100_000)):
            record.keep([(("design", index), found)])
            if index == 20:
                print("going", flush=True)
    except KeyboardInterrupt:
        print("interrupted", flush=True)
    finally:
        pool.close()
        record.close()
