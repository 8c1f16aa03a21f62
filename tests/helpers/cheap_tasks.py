"""Tasks of a few milliseconds for tests of task engines and records. Worker processes and scripts can import them."""

import os
import time
from pathlib import Path

import numpy as np


class Room:
    """Shared data with a matrix. Each time a process receives it, a line is added to a file."""

    def __init__(self, size, notes=None):
        self.matrix = np.eye(size) * size + np.sin(np.arange(size * size)).reshape(size, size)
        self.notes = notes

    def __setstate__(self, state):
        self.__dict__.update(state)
        note(self.notes, os.getpid())


def note(file, words):
    """Add a line to a file with one write."""
    if file:
        with open(file, "ab", buffering=0) as lines:
            lines.write(f"{words}\n".encode())


def solved(room, item):
    """Return the solution of a linear system. Its last digit would show a different way of computing it."""
    return np.linalg.solve(room.matrix, np.cos(item + np.arange(len(room.matrix)))).tolist()


def solved_by_both(room, item):
    """Return solutions by numpy and by scipy, which have a library of linear algebra each.

    More threads than one would change the last digits of a matrix of this size.
    """
    import scipy.linalg

    side = np.cos(item + np.arange(len(room.matrix)))
    return np.linalg.solve(room.matrix, side).tolist(), scipy.linalg.solve(room.matrix, side).tolist()


def slow(room, item):
    """Return the item after a short delay."""
    time.sleep(0.02)
    return item


def ends_its_worker(room, item):
    """Return 10 times the item. Item 3 ends every worker that tries it."""
    if item == 3:
        os._exit(7)
    return 10 * item


def ends_once(room, item):
    """Return 10 times the number. Number 5 ends the first worker that tries it, after a note in a file."""
    number, mark = item
    if number == 5 and not Path(mark).exists():
        note(mark, "once")
        os._exit(9)
    return 10 * number


def wrong(room, item):
    """Raise ValueError, as a task with a mistake would."""
    raise ValueError(f"no {item}")


def only_in(process):
    """Return "here" in the process with an id. Any other process ends."""
    if os.getpid() != process:
        os._exit(9)
    return "here"


def surroundings(room, item):
    """Return the worker's setting for threads and its process id."""
    return os.environ.get("OPENBLAS_NUM_THREADS"), os.getpid()


def recorded(path, log, count):
    """Compute designs with a record, and note each in a log once it is kept. Tests stop this run."""
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
    """Return the result of a design after some milliseconds of work."""
    time.sleep(0.003)
    return [index, index / 3]


def answers(engine, function, items, room):
    """Return the results in the order of the items, and close the engine."""
    from tradestudy.search.engines.processes import completed_tasks

    try:
        engine.send_shared_data(room)
        return [found for _, found in sorted(completed_tasks(engine, function, items), key=lambda pair: pair[0])]
    finally:
        engine.close()


def pooled(path, workers):
    """Run tasks in a pool until interrupted, and keep the finished ones. The ids of the workers are printed first."""
    from tradestudy.search.engines.local_processes import LocalProcesses
    from tradestudy.search.engines.processes import completed_tasks
    from tradestudy.search.engines.record import Record

    record, pool = Record(Path(path), "study"), LocalProcesses(workers, "helpers.cheap_tasks")
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
