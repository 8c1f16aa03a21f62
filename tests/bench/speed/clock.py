"""Timing functions that the benchmarks share."""

import time


def best_of(repeats, function):
    """Return the shortest time of several runs of a function. [s]"""
    return min(timed(function)[1] for _ in range(repeats))


def timed(function):
    """Return the result of a function and the time that it took. [s]"""
    start = time.perf_counter()
    found = function()
    return found, time.perf_counter() - start


def least_processor_time(repeats, function):
    """Return the shortest processor time of several runs of a function: other work counts less than in a time. [s]"""
    times = []
    for _ in range(repeats):
        start = time.process_time()
        function()
        times.append(time.process_time() - start)
    return min(times)
