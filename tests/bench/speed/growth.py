"""Measure how time grows with designs, strips, speeds, choices and workers, and the peak memory of every command.

From the root: python tests/bench/speed/growth.py [part ...]. The parts are designs, strips, speeds, choices, workers,
commands and variants (minutes; all others by default). Times are seconds of processor, so that other load on the
machine changes them little. A slope is that of the logarithm of time over the logarithm of size between two lines: 1
is linear. Nothing is asserted.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # the matrices are small: more threads are slower

import contextlib
import io
import math
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

STUDIES = Path(__file__).parents[3] / "studies"
STUDY = STUDIES / "godwit.toml"
COMMANDS = {
    "check": [],
    "assess": [],
    "cruise": [],
    "bands": [],
    "buildsheet": ["--anyway"],
    "optimise": [],
    "stretch": [],
    "front": [],
    "grid": ["span=1300,1400,1500 mm", "sweep=20,23,26 deg", "--as-stock"],
    "payload": [],
    "variants": ["span=1240:1540 mm", "sweep=20:26 deg", "--sample", "200"],
    "run": [],
}


def processor_seconds(function, repeats=1):
    """Return the least processor time of several runs of a function. [s]"""

    def once():
        start = time.process_time()
        function()
        return time.process_time() - start

    return min(once() for _ in range(repeats))


def print_growth(name, sizes, seconds):
    """Print size, time and slope, a line for each size."""
    for at, (size, used) in enumerate(zip(sizes, seconds, strict=True)):
        slope = math.log(used / seconds[at - 1]) / math.log(size / sizes[at - 1]) if at else math.nan
        print(
            f"{name} {size:7d}: {1e3 * used:10.2f} ms, {1e3 * used / size:8.3f} ms each, slope {slope:5.2f}", flush=True
        )


def opened(workers=1):
    """Return the demo's study, ready for a search."""
    from tradestudy.commands.study_session import StudySession
    from tradestudy.study.reader import read_study

    return StudySession(read_study(STUDY), "bench", workers=workers)


def designs():
    """Evaluate batches of designs of one set of parts."""
    from tradestudy.aircraft.model.designs import many_designs
    from tradestudy.aircraft.model.evaluation import evaluate
    from tradestudy.search.optimum import ScaledProblem

    work = opened()
    pose = ScaledProblem(work.space, work.space.choices[0])
    data = work.space.data(pose.choice)
    sizes = (1, 3, 10, 30, 100, 300, 1000, 3000)
    seconds = []
    for size in sizes:
        rows = [pose.variables(np.full(len(pose.free), share)) for share in np.linspace(0.3, 0.5, size)]
        many = many_designs([pose.choice] * size, rows)
        seconds.append(processor_seconds(lambda many=many: evaluate(data, many), 3))
    print_growth("designs", sizes, seconds)


def strips():
    """Solve the lattice of the stock wing with more strips on the panel."""
    from tradestudy.physics.flight.trimmed_flight import unit_solution
    from tradestudy.physics.geometry import mesh

    flight = opened().anchor.data.flight
    stock = flight.layout.stock
    usual, sizes, seconds = mesh.STRIPS["panel"], (12, 24, 48, 96, 192), []
    for size in sizes:
        mesh.STRIPS["panel"] = size
        seconds.append(
            processor_seconds(lambda: unit_solution(flight, 0.1, stock.sweep, stock.washout, strips=True), 5)
        )
    mesh.STRIPS["panel"] = usual
    print_growth("strips of the panel", sizes, seconds)


def speeds():
    """Compute level flight at more speeds of one wing."""
    from tradestudy.aircraft.model.speed_sweep import SpeedSweep

    work = opened()
    anchor = work.anchor
    sweep = SpeedSweep(anchor.data, anchor.choice, anchor.variables)
    sizes = (1, 3, 10, 30, 100, 300, 1000)
    places = [np.linspace(14.0, 22.0, size) for size in sizes]
    print_growth("speeds", sizes, [processor_seconds(lambda at=at: sweep.power_at(at), 5) for at in places])


def choices():
    """Search the best wing of more and more sets of parts, one process."""
    from tradestudy.search.optimum import solve

    work = opened()
    sizes, seconds, used = [], [], 0.0
    for at, choice in enumerate(work.space.choices, 1):
        used += processor_seconds(lambda choice=choice: solve(work.space, choice, [work.anchor.variables]))
        if at in (1, 2, 4, 8, 16, 24):
            sizes.append(at)
            seconds.append(used)
    print_growth("choices", sizes, seconds)


def workers():
    """Search every set of parts with one worker and with two: wall seconds."""
    for count in (1, 2):
        work = opened(count)
        start = time.perf_counter()
        work.ranked()
        print(f"workers {count}: {time.perf_counter() - start:.1f} s on the clock, with their start", flush=True)
        work.close()


def commands():
    """Run every command in a process of its own."""
    with tempfile.TemporaryDirectory() as folder:
        for name, more in COMMANDS.items():
            words = [sys.executable, "-m", "tradestudy", name, str(STUDY), *more]
            if name != "check":
                words += ["--out", f"{folder}/{name}"]
            code, used, memory = peak_of(words)
            print(
                f"{name:10}: {used:6.1f} s of processor, {memory:5.0f} MB at most in one process, code {code}",
                flush=True,
            )


def peak_of(words):
    """Return exit code, processor seconds of all processes and the most memory of one of them. [-, s, MB]"""
    lines = (
        "import resource, subprocess, sys\n"
        "code = subprocess.call(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)\n"
        "used = resource.getrusage(resource.RUSAGE_CHILDREN)\n"
        "print(code, used.ru_utime + used.ru_stime, used.ru_maxrss)"
    )
    told = subprocess.run(
        [sys.executable, "-c", lines, *words], capture_output=True, text=True, check=True
    ).stdout.split()
    unit = 1e6 if sys.platform == "darwin" else 1e3  # bytes there, kilobytes elsewhere
    return int(told[0]), float(told[1]), float(told[2]) / unit


def variants():
    """Write many variants of the best wing's shape to a file."""
    from tradestudy.__main__ import main as program

    with tempfile.TemporaryDirectory() as folder:
        for size in (100, 1000, 10000, 100000):
            start = time.perf_counter()
            with contextlib.redirect_stdout(io.StringIO()):
                program(
                    [
                        "variants",
                        str(STUDY),
                        "span=1240:1540 mm",
                        "sweep=20:26 deg",
                        "--sample",
                        str(size),
                        "--out",
                        f"{folder}/{size}",
                    ]
                )
            print(f"variants {size}: {time.perf_counter() - start:.0f} s on the clock", flush=True)


PARTS = (designs, strips, speeds, choices, workers, commands, variants)


def main():
    named = {part.__name__: part for part in PARTS}
    for name in sys.argv[1:] or [name for name in named if name != "variants"]:
        named[name]()


if __name__ == "__main__":
    main()
