"""Measure the time that a flexible wing adds to one design evaluation.

Run alone on a quiet machine: python tests/bench/speed/flexible_wing.py. Nothing is asserted, since clocks differ.
Measured are the values of one design, then values with derivatives along eight directions. The wing has two
stiffnesses: film bond as given, and 0.4 of it. All conditions are trimmed with the first, and control at the
never-exceed speed is computed with both.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # the matrices are small: more threads are slower

import sys
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[3]
sys.path[:0] = [str(ROOT), str(Path(__file__).parent)]
from speed import best_of  # noqa: E402

BONDS = (1.0, 0.4)


def main():
    from tradestudy.aircraft.anchor.calibration import anchor_of
    from tradestudy.physics.aeroelastic import divergence_reversal, elastic_wing
    from tradestudy.physics.flight import strength, trimmed_flight
    from tradestudy.study.reader import read_study

    data = anchor_of(read_study(ROOT / "studies" / "godwit.toml")).data
    pressure = 0.5 * data.flight.air_density * data.flight.never_exceed_speed**2
    place = np.array([0.11, 0.4, 0.04, 0.003, 1.0, 1.6, 0.08, 15.0])

    def rigid(extension, sweep, washout, diameter, pairs, mass, margin, speed):
        solution = trimmed_flight.unit_solution(data.flight, extension, sweep, washout)
        trimmed_flight.trim_conditions(data.flight, solution, mass, margin, speed)

    def soft(extension, sweep, washout, diameter, pairs, mass, margin, speed):
        solution = trimmed_flight.unit_solution(data.flight, extension, sweep, washout, strips=True)
        built = strength.half_wing(data.strength, strength.WingChoice(extension, sweep, washout, diameter, pairs))
        stiff, loose = elastic_wing.compliances(BONDS, *built)
        trimmed_flight.trim_conditions(data.flight, solution, mass, margin, speed, stiff)
        for compliance in (stiff, loose):
            pressures = pressure + np.zeros((*np.shape(extension), 1))
            divergence_reversal.elastic_effects(solution.air, compliance, pressures)

    for name, point in (("values", list(place)), ("8 slopes", list((place + 1e-30j * np.eye(8)).T))):
        point = [np.asarray(value) for value in point]
        of_rigid, of_soft = (1e3 * best_of(60, lambda run=run: run(*point)) for run in (rigid, soft))  # noqa: B023
        beam = 1e3 * best_of(60, lambda: strength.half_wing(data.strength, strength.WingChoice(*point[:5])))  # noqa: B023
        print(
            f"{name}: rigid lattice and trim {of_rigid:.1f} ms, beam (the structure wants it too) {beam:.1f} ms, "
            f"flexible on top {of_soft - of_rigid - beam:.1f} ms"
        )


if __name__ == "__main__":
    main()
