"""Clubs of six hidden wings of one type: the band of the seventh member before a first flight.

Run: python tests/bench/truth/club.py [number of clubs, 400] [shift of logit(share) ...]. Factors of each type and build
are drawn with the stated shares, as far as these are in doubt. Pilots of their own fly and note carelessly
(`hidden_flights`). With a shift, all shares are off by so much. tests/unit/uncertainty/logbook has a small one. Nothing
is asserted: eight in ten bands should hold the truth, and be narrower than the prior.
"""

import os
import sys
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).parents[2]))

import numpy as np  # noqa: E402
from helpers.invented.hidden_clubs import seventh  # noqa: E402
from helpers.places import GODWIT  # noqa: E402

from tradestudy.study.reader import read_study  # noqa: E402
from tradestudy.uncertainty.logbook.flown_wings import FlownWings  # noqa: E402

_SHOWN_EVERY = 50


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 400
    wings = FlownWings(read_study(GODWIT), {})
    shifts = [float(each) for each in sys.argv[2:]]
    ways = [(f"logit {each:+g}", each) for each in shifts] or [("as stated", None)]
    print("drawn with        prior holds  width   club holds  width   median error before and after")
    for words, shift in ways:
        tries = []
        for seed in range(count):
            tries.append(seventh(wings, seed, shift))
            if (seed + 1) % _SHOWN_EVERY == 0 or seed + 1 == count:
                print(_row(f"{words}, {seed + 1}", tries), flush=True)


def _row(words, tries):
    shown = [words.ljust(16)]
    for name in ("before", "after"):
        holds = np.mean([one.holds(name) for one in tries])
        width = np.median([one.width(name) for one in tries])
        shown.append(f"{holds:11.1%}  {width:5.1%}")
    errors = [
        np.median([abs(getattr(one, name).middle / one.true - 1) for one in tries]) for name in ("before", "after")
    ]
    return " ".join(shown) + "  " + " ".join(f"{error:.1%}" for error in errors)


if __name__ == "__main__":
    main()
