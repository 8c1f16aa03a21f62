"""Measure the time of a speed card, part by part, and of 1,000 matched points of propeller, motor and pack.

Nothing is asserted, since clocks differ. The printed ratio is to the same thousand points solved one by one in the same
run. Run alone on a quiet machine: python tests/bench/speed/speed_card.py
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # the matrices are small: more threads are slower

from pathlib import Path

import numpy as np
from clock import best_of

STUDY = Path(__file__).parents[3] / "studies" / "godwit.toml"
POINTS = 40, 25  # numbers of speeds and of states of charge


def milliseconds(repeats, function):
    """Return the shortest time of several runs. [ms]"""
    return 1e3 * best_of(repeats, function)


def main():
    from tradestudy.aircraft.anchor.calibration import calibrated_wing
    from tradestudy.aircraft.assessment.mission import simulate_mission
    from tradestudy.aircraft.assessment.pilot_card import pilot_card
    from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
    from tradestudy.aircraft.model.speed_sweep import SpeedSweep, best_speed
    from tradestudy.physics.propulsion.drive_train import match
    from tradestudy.study.reader import read_study

    study = read_study(STUDY)
    stock = calibrated_wing(study).speed_sweep
    cruise = best_speed(stock)

    def design():
        variables = stock.variables | {"cruise_speed": cruise}
        return EvaluatedDesign(study, stock.data, stock.choice, variables, stock.wings)

    flown = design()
    card = flown.speed_card
    speed = np.repeat(np.linspace(11, 30, POINTS[0]), POINTS[1])
    charge = np.tile(np.linspace(0.2, 1, POINTS[1]), POINTS[0])
    drag = card.at("drag", speed)

    def matched(some):
        return match(flown.powertrain, speed[some], drag[some], 1.2, charge[some], 9.0)

    together = milliseconds(20, lambda: matched(slice(None)))
    alone = milliseconds(3, lambda: [matched(slice(index, index + 1)) for index in range(len(speed))])
    print(f"{len(speed)} points matched: {together:.1f} ms (20 asked), one by one {alone / together:.0f} times that")
    whole = milliseconds(20, lambda: pilot_card(design()))
    print(f"whole speed card from a solved lattice: {whole:.1f} ms (50 asked)")
    for what, function in (
        ("the lattice itself", lambda: SpeedSweep(flown.data, flown.choice, flown.variables)),
        ("stall", flown.stall),
        ("top speed", lambda: flown.top_speed(1.02 * card.stall_speed)),
        ("columns over speed", lambda: design().speed_card),
        ("best speeds, turns, band", lambda: pilot_card(flown)),
        ("the mission", lambda: simulate_mission(flown)),
    ):
        print(f"  {what}: {milliseconds(20, function):.1f} ms")


if __name__ == "__main__":
    main()
