"""Measure the search of the demo. Run alone on a quiet machine: python tests/bench/speed/search.py [part ...]

The parts are optimise (every combination, two processes), front (25 wings), other, grid and corners. "other" compares
one optimum with scipy's finite differences around another library's lattice. "grid" computes 20 x 20 x 20 designs,
which the optimum must beat. "corners" searches from every corner of the box of bounds. Nothing is asserted; expected
results are printed beside the actual ones.
"""

import os

# as the command line does: the matrices are small, and a process with more threads cannot be copied to start workers
os.environ |= dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")

import itertools
import sys
import time
from pathlib import Path

import numpy as np
from clock import timed

STUDY = Path(__file__).parents[3] / "studies" / "godwit.toml"
SIDE = 20  # designs along each axis of the grid


def work(workers=1):
    """Return the demo's study, ready for a search."""
    from tradestudy.commands.study_session import StudySession
    from tradestudy.study.reader import read_study

    return StudySession(read_study(STUDY), "bench", workers=workers)


def optimise():
    """Search every combination of parts, and then without those that a bound excludes."""
    from tradestudy.commands.study_session import StudySession
    from tradestudy.search.search_space import all_choices

    for words, search in (("all", StudySession.ranked), ("with bounds", StudySession.best_results)):
        made = work(workers=2)
        answers, seconds = timed(lambda made=made, search=search: search(made))
        print(
            f"optimise, {words}: {seconds:.1f} s for {len(all_choices(made.study))} combinations ({len(answers)} "
            f"searched, the rest overloaded or behind), two processes; {1e-3 * answers[0].gain:.3f} km"
        )
        made.close()


def front():
    """Compute a front of 25 wings, including the results of all sets of parts."""
    from tradestudy.search.front import front_of

    made = work(workers=2)
    line, seconds = timed(lambda: front_of(made.space, made.ranked(), points=25))
    print(f"front: {seconds:.1f} s for {len(line)} wings, two processes")
    made.close()


def other():
    """Search the optimum of one set of parts with exact derivatives, and a simpler one with aerosandbox's lattice.

    The simpler one uses finite differences. It has four variables (span, sweep, washout, speed) and no limits except
    the box of bounds, and no structure, balance, trim or propulsion. It computes drag at the weight of our result, with
    constant profile drag. All these omissions make it faster.
    """
    import aerosandbox as asb
    from scipy.optimize import minimize

    from tradestudy.search.optimum import ScaledProblem, run_search
    from tradestudy.search.search_space import starting_points
    from tradestudy.search.search_task import SearchTask

    made = work()
    choice = made.ranked()[0].choice
    start = starting_points(made.space)[0]
    ScaledProblem(made.space, choice).objective(
        ScaledProblem(made.space, choice).scaled(start)
    )  # build the model before the clock starts
    answer, ours = timed(lambda: run_search(made.space, SearchTask("solve", choice, [start])))  # not from the record
    stock, flat, runs = made.anchor.data.layout.stock, asb.Airfoil("naca0010"), [0]
    weight, density, profile = 9.81 * answer.all_up_mass, 1.225, 0.012

    def drag(x):
        extension, sweep, washout, speed = x
        half = stock.semi_span + extension
        sections = [(0.0, 0.0, stock.root_chord, 0.0), (half * np.tan(sweep), half, stock.tip_chord, -washout)]
        wing = asb.Wing(
            symmetric=True,
            xsecs=[
                asb.WingXSec(xyz_le=[back, y, 0], chord=chord, twist=np.degrees(twist), airfoil=flat)
                for back, y, chord, twist in sections
            ],
        )
        lifts = []
        for alpha in (0.0, 4.0):  # lift is nearly linear: two runs give the angle of attack, and a third the drag there
            runs[0] += 1
            lifts.append(vlm(wing, speed, alpha)["L"])
        runs[0] += 1
        alpha = 4.0 * (weight - lifts[0]) / (lifts[1] - lifts[0])
        return vlm(wing, speed, alpha)["D"] + 0.5 * density * speed**2 * wing.area() * profile

    def vlm(wing, speed, alpha):
        return asb.VortexLatticeMethod(
            asb.Airplane(wings=[wing]),
            asb.OperatingPoint(velocity=speed, alpha=alpha),
            spanwise_resolution=8,
            chordwise_resolution=4,
        ).run()

    box = [made.space.bounds[name] for name in ("extension", "sweep", "washout", "cruise_speed")]
    begin = np.array([start[name] for name in ("extension", "sweep", "washout", "cruise_speed")])
    low, width = np.array([(low, high - low) for low, high in box]).T
    first = drag(begin)
    found, theirs = timed(
        lambda: minimize(
            lambda z: drag(low + z * width) / first,
            (begin - low) / width,
            bounds=[(0, 1)] * 4,
            method="SLSQP",
            options={"ftol": 1e-7, "eps": 1e-4},
        )
    )
    print(
        f"one optimum: ours {ours:.2f} s ({answer.evaluations} evaluations of the whole model, six variables, "
        f"{sum(map(len, answer.margins.values()))} limits); finite differences around the other lattice "
        f"{theirs:.1f} s ({found.nit} steps, {runs[0]} lattice runs, four variables, no limits): "
        f"{theirs / ours:.0f} times"
    )


def grid():
    """Compare the optimum with the best of a grid of span, sweep and washout, at best speeds.

    All other variables are those of the optimum.
    """
    from tradestudy.aircraft.model.best_speeds import at_best_speed
    from tradestudy.aircraft.model.designs import many_designs
    from tradestudy.aircraft.model.limit_bounds import MET_ABOVE

    made = work()
    best = made.ranked()[0]
    space, box = made.space, made.space.bounds_of(best.choice)
    axes = [np.linspace(*box[name], SIDE) for name in ("extension", "sweep", "washout")]
    start, most, met = time.perf_counter(), -np.inf, 0
    limits = space.limits(best.choice)
    for extension in axes[0]:
        rows = [
            best.variables | {"extension": float(extension), "sweep": float(sweep), "washout": float(washout)}
            for sweep, washout in itertools.product(*axes[1:])
        ]
        _, evaluation = at_best_speed(
            space.data(best.choice),
            many_designs([best.choice] * len(rows), rows),
            made.study.fly.purpose,
            box["cruise_speed"][1],
            False,
        )
        found = evaluation.by_name()
        for index in range(len(rows)):
            if all(limit.margin(found[limit.output][index]).min() > MET_ABOVE for limit in limits):
                most, met = max(most, float(found["range"][index])), met + 1
    print(
        f"grid of {SIDE**3} designs: {time.perf_counter() - start:.0f} s, {met} within every limit; best "
        f"{1e-3 * most:.3f} km, the optimum {1e-3 * best.gain:.3f} km ({'not ' if most > best.gain else ''}beaten "
        "by none)"
    )


def corners():
    """Search the best set of parts from every corner of its box of bounds."""
    from tradestudy.search.optimum import ScaledProblem, solve

    made = work()
    best = made.ranked()[0]
    pose = ScaledProblem(made.space, best.choice)
    gains = []
    for corner in itertools.product((0.02, 0.98), repeat=len(pose.free)):
        answer = solve(made.space, best.choice, [pose.variables(np.array(corner))])
        gains.append(answer.gain if answer.feasible else 0.0)
    short = 1 - np.array(gains) / best.gain
    print(
        f"corners: {len(gains)} starts, {(short < 1e-3).sum()} end within 0.1 % of the optimum, worst "
        f"{100 * short.max():.4f} % short"
    )


PARTS = {each.__name__: each for each in (optimise, front, other, grid, corners)}

if __name__ == "__main__":
    for name in sys.argv[1:] or PARTS:
        PARTS[name]()
