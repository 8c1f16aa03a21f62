"""The clock that benches share."""

import time


def best_of(repeats, function):
    """Return the shortest of several runs. [s]"""
    return min(timed(function)[1] for _ in range(repeats))


def timed(function):
    """Return a result and how long it took. [s]"""
    start = time.perf_counter()
    found = function()
    return found, time.perf_counter() - start
