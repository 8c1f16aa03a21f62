"""How often the band after 1, 3 and 10 careless notes holds the true range of a hidden wing, and how wide it is.

Run: python tests/bench/truth/logbook.py [number of wings, 400]. tests/unit/uncertainty/logbook has a small one.
"""

import os
import sys
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).parents[2]))

import numpy as np  # noqa: E402
from helpers.invented.hidden_flights import season  # noqa: E402
from helpers.places import GODWIT  # noqa: E402

from tradestudy.study.reader import read_study  # noqa: E402
from tradestudy.uncertainty.logbook.flown_wings import FlownWings  # noqa: E402


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 400
    study = sys.argv[2] if len(sys.argv) > 2 else GODWIT
    wings = FlownWings(read_study(study), {})
    seasons = [season(wings, seed) for seed in range(count)]
    print(f"{count} hidden wings")
    print("flights  band holds truth  median width  below  above  median error  set aside")
    for flights in seasons[0]:
        now = [one[flights] for one in seasons]
        width = np.median([(one.high - one.low) / one.middle for one in now])
        error = np.median([abs(one.middle / one.true - 1) for one in now])
        below, above = (np.mean([test(one) for one in now]) for test in (_below, _above))
        aside = sum(one.set_aside for one in now)
        holds = np.mean([one.holds for one in now])
        print(f"{flights:7d}  {holds:16.1%}  {width:12.1%}  {below:5.1%}  {above:5.1%}  {error:12.1%}  {aside:9d}")


def _below(one):
    return one.true < one.low


def _above(one):
    return one.true > one.high


if __name__ == "__main__":
    main()
