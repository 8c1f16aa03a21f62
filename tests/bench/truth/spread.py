"""Compare sums of single effects with all inputs varied at once.

Run alone: python tests/bench/truth/spread.py [STUDY] [DRAWS]

Each random draw sets every input to the low end of its band, its assumed value, or the high end. The fixed design is
evaluated with these inputs and compared with the sum of the single effects. Nothing is asserted.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # the matrices are small: more threads are slower

import sys
import time
from pathlib import Path

import numpy as np

STUDY = Path(__file__).parents[3] / "studies" / "godwit.toml"


def main(path=STUDY, draws=24):
    from tradestudy.aircraft.anchor.calibration import anchor_of
    from tradestudy.aircraft.anchor.full_throttle_defaults import with_full_throttle_defaults
    from tradestudy.study.reader import read_study
    from tradestudy.uncertainty import inputs_with_bands, variants
    from tradestudy.uncertainty.range_band import quantities_of, spread

    study = with_full_throttle_defaults(read_study(Path(path)))
    anchor = anchor_of(study)
    longer = {**anchor.variables, "extension": 0.4 * study.stretch.span[1] - 0.4 * study.stock.span}
    held, tables = variants.fixed_design(study, anchor, anchor.choice, longer), variants.given_tables(study)
    inputs = [
        one
        for one in inputs_with_bands.inputs_of(study, anchor, anchor.choice)
        if not one.used.key.startswith(variants.PILOTS_OWN)
    ]
    start = time.perf_counter()
    varied = variants.design_variants(study, tables, held, inputs, lambda words: None)
    effects = time.perf_counter() - start
    start = time.perf_counter()
    found = spread(varied)
    print(
        f"{len(inputs)} inputs at both ends: {effects:.1f} s; {found.draws} draws of sums: "
        f"{time.perf_counter() - start:.2f} s"
    )
    nominal, random = quantities_of(varied.nominal), np.random.default_rng(3)
    off, moved, lost, start = [], [], 0, time.perf_counter()
    for _ in range(draws):
        levels = random.integers(-1, 2, len(inputs))
        side, summed = {}, np.zeros(2)
        for one, level in zip(varied.inputs, levels, strict=True):
            end = one.sides[max(level, 0)]
            if level and end is not None:
                side |= one.input.sides[max(level, 0)]
                there = quantities_of(end)
                summed += [np.log(there[0] / nominal[0]), there[2] - nominal[2]]
        looked = variants.possible_variant(study, tables, side, held)
        if looked is None:
            lost += 1
            continue
        true = quantities_of(looked)
        moved.append([np.log(true[0] / nominal[0]), true[2] - nominal[2]])
        off.append(summed - moved[-1])
    each = (time.perf_counter() - start) / draws
    print(f"{draws} draws of everything at once, {each:.2f} s each, {lost} contradict themselves")
    if off:
        (range_off, mark_off), (range_moved, mark_moved) = np.std(off, axis=0), np.std(moved, axis=0)
        print(
            f"range moves by {100 * range_moved:.1f} % (one standard deviation), sums miss by {100 * range_off:.2f} "
            f"%; balance mark {mark_moved:.2f} mm, missed by {mark_off:.3f} mm"
        )


if __name__ == "__main__":
    main(*sys.argv[1:2], *map(int, sys.argv[2:3]))
