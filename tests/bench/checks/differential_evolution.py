"""The search's optimum of one choice of the Godwit beside scipy's differential evolution, which needs no derivative.

Run: python tests/bench/checks/differential_evolution.py. Both have the same variables, bounds and limits: the parts of
the stock wing, limits by a penalty on the sum of what is missed. Nothing is asserted; 0.1 % is wanted.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import time
from pathlib import Path

import numpy as np
from scipy.optimize import differential_evolution

from tradestudy.aircraft.model.designs import many_designs
from tradestudy.aircraft.model.evaluation import evaluate
from tradestudy.aircraft.model.limit_bounds import MET_ABOVE
from tradestudy.commands.study_session import StudySession
from tradestudy.search.optimum import ScaledProblem, solve
from tradestudy.search.search_space import starting_points
from tradestudy.study.reader import read_study

STUDY = Path(__file__).parents[3] / "studies" / "godwit.toml"
SEED, GENERATIONS, POPULATION = 7, 250, 12  # population: members for each variable
MISSED = 10.0  # penalty for a missed margin of 1, over the objective's scale


def main():
    work = StudySession(read_study(STUDY), "bench", workers=1)
    space, choice = work.space, work.space.laid(work.anchor.choice)
    begin = time.perf_counter()
    best = solve(space, choice, starting_points(space))
    searched = time.perf_counter() - begin
    posed, data = ScaledProblem(space, choice), space.data(choice)
    print(
        f"search: {1e-3 * best.gain:.4f} km, {'feasible' if best.feasible else 'INFEASIBLE'}, {searched:.1f} s; "
        f"active: {', '.join(name for name, margin in best.margins.items() if margin.min() < 0.005)}",
        flush=True,
    )

    counted = [0]

    def cost(points):
        """Return the cost (s,) of points (n, s) of scaled variables."""
        counted[0] += points.size // len(posed.free)
        rows = [posed.variables(point) for point in np.atleast_2d(points.T)]
        found = evaluate(data, many_designs([choice] * len(rows), rows), usual=False).by_name()
        missed = np.zeros(len(rows))
        for limit in posed.limits:
            margins = np.array([limit.margin(np.asarray(found[limit.output])[index]) for index in range(len(rows))])
            missed += np.maximum(MET_ABOVE - margins.reshape(len(rows), -1), 0.0).sum(axis=1)
        return -found["range"] / posed.aim.scale + MISSED * missed

    begin = time.perf_counter()
    answer = differential_evolution(
        cost,
        [(0.0, 1.0)] * len(posed.free),
        rng=SEED,
        maxiter=GENERATIONS,
        popsize=POPULATION,
        tol=1e-7,
        polish=False,
        vectorized=True,
        updating="deferred",
    )
    took = time.perf_counter() - begin
    reached = posed.result(answer.x)
    worst = min(float(margin.min()) for margin in reached.margins.values())
    print(
        f"differential evolution: {1e-3 * reached.gain:.4f} km, worst margin {worst:.1e}, {counted[0]} designs, "
        f"{answer.nit} generations, {took:.0f} s"
    )
    print(f"differs by {100 * (reached.gain / best.gain - 1):+.4f} %, 0.1 % wanted")
    for name, one, other in zip(posed.free, posed.scaled(best.variables), answer.x, strict=True):
        print(f"    {name}: {one:.4f} by the search, {other:.4f}, of its bounds")
    work.close()


if __name__ == "__main__":
    main()
