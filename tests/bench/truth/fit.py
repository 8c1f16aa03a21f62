"""A benchmark of the fit on hidden wings: how often factors are inside their 90 % band, and range within 5 %.

Run alone on a quiet machine: python tests/bench/truth/fit.py [wings]. Each wing has factors sampled from their priors.
It is weighed, loaded, charged and flown once at 1 Hz. The flight has wind up to 8 m/s, thermals of 0.1 m/s, turns,
gaps, and a current sensor off by 3 %. All measurements have the noise that the fit assumes. Nothing is asserted here.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import sys
import tempfile
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from helpers.invented.hidden_wings import tried  # noqa: E402
from helpers.invented.invented_log import COLUMNS  # noqa: E402

from tradestudy.aircraft.anchor.full_throttle_defaults import with_full_throttle_defaults  # noqa: E402
from tradestudy.errors import RunFailed  # noqa: E402
from tradestudy.study.reader import read_study  # noqa: E402
from tradestudy.study.schema.fitted import FACTOR_NAMES  # noqa: E402
from tradestudy.uncertainty.fit.factored_wing import FitWing  # noqa: E402
from tradestudy.uncertainty.fitted_inputs import BAND_END  # noqa: E402

STUDIES = ("godwit", "lapwing", "dunlin")


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    folder = Path(__file__).parents[3] / "studies"
    wings = [FitWing(with_full_throttle_defaults(read_study(folder / f"{name}.toml"))) for name in STUDIES]
    inside, ratio, before, refused, told = [], [], [], 0, []
    start = time.process_time()
    with tempfile.TemporaryDirectory() as place:
        for seed in range(count):
            try:
                one = tried(wings[seed % len(wings)], seed, place, COLUMNS)
            except RunFailed as error:
                refused += 1
                print(f"wing {seed}: {str(error).splitlines()[-1].strip()}")
                continue
            inside.append(one.inside(BAND_END))
            ratio.append(one.range_ratio)
            before.append(one.range_ratio_before)
            told.append(one.fit.deviation[: len(FACTOR_NAMES)] / one.fit.prior[: len(FACTOR_NAMES)])
    seconds = (time.process_time() - start) / count
    inside, off, off_before = np.array(inside), abs(np.array(ratio) - 1), abs(np.array(before) - 1)
    print(f"{count} hidden wings of {', '.join(STUDIES)}; {refused} refused; {seconds:.2f} s each")
    print(f"inside the 90 % band, all factors: {100 * inside.mean():.1f} %")
    for name, share, left in zip(FACTOR_NAMES, inside.mean(axis=0), np.mean(told, axis=0), strict=True):
        print(f"  {name:18} {100 * share:5.1f} %   deviation {100 * left:3.0f} % of that before")
    print(
        f"range within 5 %: {100 * (off < 0.05).mean():.1f} % after, {100 * (off_before < 0.05).mean():.1f} % before"
        f"; root mean square {100 * np.sqrt(np.mean(off**2)):.1f} % after, "
        f"{100 * np.sqrt(np.mean(off_before**2)):.1f} % before; mean {100 * (np.mean(ratio) - 1):+.1f} %"
    )


if __name__ == "__main__":
    main()
