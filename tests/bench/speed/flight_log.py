"""Measure the time to read and analyse a log of two hours at 20 Hz, and how often one circuit gives the right wind.

Run alone on a quiet machine: python tests/bench/speed/flight_log.py [circuits]. Nothing is asserted, since clocks
differ. Times are processor times.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # the matrices are small: more threads are slower

import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from helpers.invented.invented_log import COLUMNS, Disturbance, Leg, circuit, invented_log

from tradestudy.errors import RunFailed
from tradestudy.physics.flight_log.wind_estimate import wind_at
from tradestudy.study.flight_logs.read_log import parse_log
from tradestudy.study.measurements import read_measurements
from tradestudy.uncertainty.fit.prepared_log import prepared_log_of


def amps_of(airspeed, climb):
    """Return the current of an invented wing. [A]"""
    return 4 + 0.06 * (airspeed - 11) ** 2 + 1.5 * np.maximum(climb, 0)


def timed(said, function):
    """Print the shortest time of three runs, and return what the function returns."""
    times = []
    for _ in range(3):
        start = time.process_time()
        result = function()
        times.append(time.process_time() - start)
    print(f"{said}: {min(times):.2f} s")
    return result


def circuits(measurements, count, rate, noise, wander):
    """Print how often one closed circuit gives the wind within 0.5 m/s and 10 degrees, and within its own band."""
    good, inside, refused = 0, 0, 0
    for number in range(count):
        random = np.random.default_rng(number)
        speed, origin = random.uniform(2, 8), random.uniform(0, 2 * np.pi)
        true = speed * np.array([np.cos(origin), np.sin(origin)])
        log = invented_log(
            [Leg(5, 14), *circuit(14), Leg(5, 14)],
            amps_of,
            Disturbance(wind=tuple(true), speed_noise=noise, airspeed_wander=wander),
            rate=rate,
            seed=number,
            heading=random.uniform(0, 6.3),
        )
        try:
            fit = prepared_log_of(parse_log(log.text.encode(), Path("log"), measurements), measurements).wind
        except RunFailed:
            refused += 1
            continue
        wind, covariance = wind_at(fit, np.array([70.0]))
        off = wind[:, 0] - true
        turned = (np.arctan2(wind[1, 0], wind[0, 0]) - origin + np.pi) % (2 * np.pi) - np.pi
        good += bool(np.hypot(*off) < 0.5 and abs(np.degrees(turned)) < 10)
        # 90 % point of chi square with two degrees of freedom
        inside += bool(off @ np.linalg.solve(covariance[0], off) < 4.605)
    print(
        f"{count} circuits at {rate:g} Hz, noise {noise:g} m/s, airspeed of legs off by {wander:g} m/s: "
        f"{100 * good / count:.0f} % within 0.5 m/s and 10 degrees, {100 * inside / count:.0f} % inside the 90 % "
        f"band, {refused} refused"
    )


def main():
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "flown.toml"
        path.write_text(COLUMNS, encoding="utf-8")
        measurements = read_measurements(path)
    made = invented_log(circuit(14, rounds=58), amps_of, Disturbance(wind=(3, -2), gaps=3), rate=20, seed=1)
    content = made.text.encode()
    print(f"{len(made.time)} rows, {len(content) / 1e6:.1f} MB")
    log = timed("read", lambda: parse_log(content, Path("log"), measurements))
    comma = made.text.replace(",", ";").replace(".", ",").encode()
    timed("the same with semicolons and decimal commas", lambda: parse_log(comma, Path("log"), measurements))
    holes = made.text.replace(",0.4", ",").encode()
    timed("the same with values missing", lambda: parse_log(holes, Path("log"), measurements))
    flight = timed("stretches and wind", lambda: prepared_log_of(log, measurements))
    print(f"{len(flight.segments)} stretches; {flight.notes[-1]}")
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    for rate, noise, wander in ((1.0, 0.5, 0.2), (1.0, 0.5, 0.4), (5.0, 0.5, 0.4), (1.0, 0.5, 0.0)):
        circuits(measurements, count, rate, noise, wander)


if __name__ == "__main__":
    main()
