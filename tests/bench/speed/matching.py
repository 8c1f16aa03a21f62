"""Measure the time to match propeller, motor, controller and pack. Run alone: python tests/bench/speed/matching.py

Nothing is asserted, since clocks differ. The same points are also solved one at a time, and with derivatives along six
directions. Ratios are of one run.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # the arrays are small: more threads are slower

import time

import numpy as np
from clock import best_of

from tradestudy.physics.propulsion.drive_train import Powertrain, full_throttle, losses, match
from tradestudy.physics.propulsion.motor import Controller, Motor
from tradestudy.physics.propulsion.pack import LITHIUM_ION, Pack
from tradestudy.physics.propulsion.propeller_blade import section_polars, table_from_label

RPM = 2 * np.pi / 60
DENSITY, OTHER = 1.2, 8.0
STEP = 1e-20j


def main():
    start = time.perf_counter()
    polars = section_polars()
    print(f"section polars of the blade, first import: {time.perf_counter() - start:.2f} s")
    table = table_from_label(0.2286, 0.1524, polars)
    print(f"table of a generic propeller: {1e3 * best_of(3, lambda: table_from_label(0.2286, 0.1524, polars)):.0f} ms")
    train = Powertrain(table, Motor(1000 * RPM, 0.085, 1.0), Controller(), Pack(LITHIUM_ION, 4.0, 2.0, 18000.0, 0.03))
    airspeed, charge = np.linspace(8, 25, 40)[:, None], np.linspace(0.1, 1, 25)
    thrust = 0.8 + 0.006 * airspeed**2
    for words, ask in (
        ("match", lambda v, t: match(train, v, t, DENSITY, charge, OTHER)),
        ("full throttle", lambda v, t: full_throttle(train, v, DENSITY, charge, OTHER)),
    ):
        once = best_of(20, lambda ask=ask: ask(airspeed, thrust))
        directions = STEP * np.eye(2, 6)[:, :, None, None]
        slopes = best_of(10, lambda ask=ask, d=directions: ask(airspeed + d[0], thrust + d[1]))
        print(
            f"{words}: 1000 (speed, charge) points in {1e3 * once:.1f} ms; with six directions {slopes / once:.1f} "
            "times that"
        )

    def one_by_one():
        for speed, pull in zip(airspeed[:, 0], thrust[:, 0], strict=True):
            match(train, speed, pull, DENSITY, 0.5, OTHER)

    batch = best_of(20, lambda: match(train, airspeed[:, 0], thrust[:, 0], DENSITY, 0.5, OTHER))
    print(f"match of 40 points: {1e3 * batch:.1f} ms; one at a time {best_of(5, one_by_one) / batch:.0f} times that")
    point = match(train, airspeed, thrust, DENSITY, charge, OTHER)
    parts = losses(train, point, charge, OTHER)
    print(f"energy left over, largest of the 1000: {np.max(np.abs(sum(parts[1:]) / parts.cells - 1)):.0e}")


if __name__ == "__main__":
    main()
