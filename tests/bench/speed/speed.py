"""Measure the times that the README and DEVELOPERS.md quote.

Run alone on a quiet machine: python tests/bench/speed/speed.py

Nothing is asserted, since clocks differ. Times are those of the processor, except for the start and `check`. The last
lines compare one gradient with finite differences around another library's lattice (aerosandbox). The wing is the same,
with about as many panels. They give the ratio in the same run.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # the matrices are small: more threads are slower

import itertools
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
from clock import best_of, least_processor_time

STUDY = Path(__file__).parents[3] / "studies" / "godwit.toml"


def other_lattice(stock):
    """Return a function that runs aerosandbox's lattice once on the stock wing."""
    import aerosandbox as asb

    flat = asb.Airfoil("naca0010")
    sections = [
        (0.0, 0.0, stock.root_chord + stock.elevon_root_chord),
        (0.0, stock.panel_start, stock.root_chord + stock.elevon_root_chord),
        (stock.tip_set_back, stock.semi_span, stock.tip_chord + stock.elevon_tip_chord),
    ]
    wing = asb.Wing(
        symmetric=True, xsecs=[asb.WingXSec(xyz_le=[x, y, 0], chord=c, airfoil=flat) for x, y, c in sections]
    )
    airplane = asb.Airplane(wings=[wing])
    point = asb.OperatingPoint(velocity=14.0, alpha=4.0)
    return lambda: asb.VortexLatticeMethod(
        airplane, point, spanwise_resolution=8, chordwise_resolution=4, verbose=False
    ).run()


def main():
    from tradestudy.aircraft.components.problem import aircraft_problem, set_parts
    from tradestudy.aircraft.model.designs import many_designs
    from tradestudy.aircraft.model.evaluation import evaluate
    from tradestudy.commands.study_session import StudySession
    from tradestudy.search.optimum import ScaledProblem
    from tradestudy.study.reader import read_study

    start = time.perf_counter()
    work = StudySession(read_study(STUDY), "bench")
    print(f"study read, model tied to the stock wing, first import: {time.perf_counter() - start:.2f} s")
    pose = ScaledProblem(work.space, work.space.choices[0])
    model, point = pose.model, pose.variables(np.full(len(pose.free), 0.4))
    model.run(pose.choice, point)
    value = least_processor_time(50, lambda: model.run(pose.choice, point))
    places = itertools.cycle([pose.variables(np.full(len(pose.free), share)) for share in (0.4, 0.41)])

    def value_and_gradient():
        model.run(pose.choice, next(places), along=pose.free)
        model.slopes(pose.outputs)

    both = least_processor_time(50, value_and_gradient)
    print(f"one design evaluation: {1e3 * value:.1f} ms")
    print(f"value and gradient, {len(pose.free)} variables, {len(pose.outputs)} outputs: {1e3 * both:.1f} ms")
    model.run(pose.choice, point)
    choice, data = pose.choice, work.space.data(pose.choice)
    rows = [pose.variables(np.full(len(pose.free), share)) for share in np.linspace(0.3, 0.5, 20)]
    many = many_designs([choice] * 20, rows)
    batch = least_processor_time(20, lambda: evaluate(data, many)) / 20
    print(f"each of twenty designs at once: {1e3 * batch:.2f} ms")
    group = aircraft_problem(data)
    group.setup(mode="fwd", check=False)
    set_parts(group, choice)
    for name, number in rows[0].items():
        group.set_val(name, number)
    group.run_model()
    for name in ("shape", "flow", "section", "structure", "balance", "power"):
        door = getattr(group.model, name)
        print(f"    {name:10} {1e3 * least_processor_time(30, door.run_solve_nonlinear):5.2f} ms")
    other = least_processor_time(3, other_lattice(work.anchor.data.layout.stock))
    print(
        f"finite differences around another lattice, {len(pose.free)} variables: {1 + len(pose.free)} runs of "
        f"{1e3 * other:.0f} ms, {(1 + len(pose.free)) * other / both:.0f} times one gradient here"
    )
    print(
        f"in runs of that lattice: value and gradient {both / other:.2f}, one design {value / other:.2f}, "
        f"each of twenty at once {batch / other:.2f}"
    )
    command = [sys.executable, "-m", "tradestudy", "check", str(STUDY)]
    print(
        f"check, a process of its own: "
        f"{best_of(3, lambda: subprocess.run(command, check=True, capture_output=True)):.2f} s"
    )


if __name__ == "__main__":
    main()
