"""Measure a grid of designs and a search, with one worker and with two.

Run alone on a quiet machine, from the root: python tests/bench/speed/grid.py [designs]. Nothing is asserted, since
clocks differ. Ratios are of one run. The last line is the same number of designs with one run of another library's
lattice (aerosandbox) for each, without finite differences.
"""

import os

# as the command line does: the matrices are small, and a process with more threads cannot be copied to start workers
os.environ |= dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")

import sys
import time
from pathlib import Path

import numpy as np

STUDY = Path(__file__).parents[3] / "studies" / "godwit.toml"


def gridded(study, workers, designs):
    """Return wall seconds from opening the study, wall seconds of the designs alone, the results, and processor
    seconds.

    Processor seconds are of this process and its workers. They do not depend on other load of the machine.
    """
    from tradestudy.commands import design_grid
    from tradestudy.commands.requested_wing import RequestedWing
    from tradestudy.commands.study_session import StudySession

    side = round(np.sqrt(designs))
    axes = {"span": np.linspace(1.32, 1.84, side).tolist(), "sweep": np.radians(np.linspace(16, 32, side)).tolist()}
    start = time.perf_counter()
    work = StudySession(study, "bench", workers=workers)
    try:
        used = -_processor_seconds(work, workers)  # time in which workers load is not counted in the ratio
        ready = time.perf_counter()
        result = design_grid.grid(work, axes, RequestedWing(parallel=3, rod_pairs=2), at_best=False)
        end = time.perf_counter()
        used += _processor_seconds(work, workers)
    finally:
        work.close()
    return end - start, end - ready, result.points, used


def _processor_seconds(work, workers):
    from tradestudy.search.engines.processes import completed_tasks

    of_workers = {process: used for _, (process, used) in completed_tasks(work.engine, _used, range(workers))}
    return sum({**of_workers, os.getpid(): time.process_time()}.values())


def _used(room, item):
    time.sleep(0.3)  # long enough that no worker takes two tasks
    return os.getpid(), time.process_time()


def searched(study, workers):
    """Return the seconds from opening the study to the best design of every set of parts, and the results.

    The start of workers is included.
    """
    from tradestudy.commands.study_session import StudySession

    start = time.perf_counter()
    work = StudySession(study, "bench", workers=workers)
    try:
        return (
            time.perf_counter() - start,
            [(a.choice, a.variables, a.gain) for a in work.ranked()],
            time.perf_counter() - start,
        )
    finally:
        work.close()


def main():
    sys.path.insert(0, str(Path(__file__).parent))
    from speed import best_of, other_lattice

    from tradestudy.__main__ import collect_seldom
    from tradestudy.aircraft.shape.stock_shape import stock_wing
    from tradestudy.study.reader import read_study

    collect_seldom()  # as the command line does
    designs = int(sys.argv[1]) if len(sys.argv) > 1 else 1600
    study = read_study(STUDY)
    grids = {workers: gridded(study, workers, designs) for workers in (2, 1)}
    for workers, (whole, alone, points, used) in grids.items():
        print(
            f"grid of {len(points)} designs, best speed of each, {workers} worker(s): {whole:.1f} s in all, "
            f"{len(points) / alone:.0f} a second, 10,000 in {1e4 * alone / len(points) + whole - alone:.0f} s; "
            f"{1e3 * used / len(points):.1f} ms of processor time each"
        )
    print(f"two workers {grids[1][1] / grids[2][1]:.2f} times one; same answers: {grids[1][2] == grids[2][2]}")
    found = {workers: searched(study, workers) for workers in (2, 1)}
    print(
        f"best of every choice, start of workers included: two workers {found[2][2]:.1f} s, one {found[1][2]:.1f} s, "
        f"{found[1][2] / found[2][2]:.2f} times; same answers: {found[1][1] == found[2][1]}"
    )
    other = best_of(3, other_lattice(stock_wing(study)))
    print(
        f"another lattice alone, once a design: {1e3 * other:.0f} ms, "
        f"{other * len(grids[1][2]) / grids[1][1]:.1f} times the whole model here, best speed included"
    )


if __name__ == "__main__":
    main()
