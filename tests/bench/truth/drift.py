"""False alarms and power of drift over simulated logbooks: ``python tests/bench/truth/drift.py [books]``.

A logbook is looked at after every flight. Each row: what is simulated, share of logbooks in which a change is ever
reported, and the flight at which half of these report it.
"""

import sys

import numpy as np

from tradestudy.uncertainty.logbook import drift


def ever_reported(flights, books, noise, awaited, *, stated=0.1, creep=0.0, step=0.0, at=0, freedom=None, seed=1):
    """Return (share of logbooks in which a change is ever reported, median flight of the report).

    ``noise`` is the true scatter of a reading and ``stated`` the one that is told. ``creep`` is the change up to the
    last flight, and ``step`` the one before flight ``at``. With ``freedom`` the scatter has the tails of Student's t.
    """
    random, number = np.random.default_rng(seed), np.arange(1, flights + 1)
    errors = random.standard_normal((flights, books))
    if freedom:
        errors = random.standard_t(freedom, (flights, books)) * np.sqrt((freedom - 2) / freedom)
    change = awaited.sign * (creep * (number - 1) / (flights - 1) + step * (number >= at))
    values = noise * errors + change[:, None]
    first = np.full(books, flights + 1)
    for count in range(3, flights + 1):
        series = drift.Series(number[:count], values[:count, 0], np.full(count, stated))
        model = drift._Model(series, awaited)
        reported = model.mean_of(model.of(values[:count])[0]) >= 1 / drift.ALARM
        first = np.where(reported & (first > flights), count, first)
    seen = first <= flights
    return float(seen.mean()), float(np.median(first[seen])) if seen.any() else None


def main(books):
    for name, awaited in (("drag", drift.NEED), ("charge", drift.PACK_CHARGE), ("resistance", drift.PACK_RESISTANCE)):
        for noise in (0.05, 0.10, 0.20):
            for freedom in (None, 4):
                share, _ = ever_reported(50, books, noise, awaited, freedom=freedom)
                print(f"{name:11s} no change, 50 flights, scatter {noise:.2f} of 0.10, tails {freedom}: {share:.2%}")
    for flights in (10, 25, 50):
        for size in (0.1, 0.2, 0.3, 0.4):
            creep, when = ever_reported(flights, books, 0.1, drift.NEED, creep=size)
            step, then = ever_reported(flights, books, 0.1, drift.NEED, step=size, at=flights // 3)
            print(f"drag +{size:.0%}, {flights} flights: creep {creep:.0%} (flight {when}), step {step:.0%} ({then})")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
