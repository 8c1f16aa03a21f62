"""Check a front of range, weight and price against random designs of all builds, and against pymoo's sorting.

Run from the root: python tests/bench/checks/builds.py [study] [designs] [levels]. It prints how many designs meet every
limit, and how many points of the front one of them beats. The front is searched without a record.
"""

import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[3]
sys.path.insert(0, str(ROOT / "tests"))

from helpers.wings.random_builds import beaten, random_feasible  # noqa: E402


def main(name="ruff", designs="20000", levels="25"):
    from pymoo.util.nds.non_dominated_sorting import NonDominatedSorting

    from tradestudy.commands.study_session import StudySession
    from tradestudy.search.builds.build_front import build_front
    from tradestudy.search.builds.build_keys import kept_builds, new_builds
    from tradestudy.search.engines.progress import no_progress
    from tradestudy.study.reader import read_study

    work = StudySession(read_study(ROOT / "studies" / f"{name}.toml"), "bench", no_progress)
    ranked = work.ranked()
    start = time.process_time()
    line, knee = build_front(work.space, ranked, "range", ("flying_weight", "price"), points=int(levels))
    print(f"front of {len(line)} builds in {time.process_time() - start:.0f} s of processor time; knee {knee}")
    for one in line:
        mark = f"{one.traded['range'] / 1e3:.2f} km, {1e3 * one.all_up_mass:.0f} g, {one.traded['price']:.2f}"
        print(f"  {mark}, {one.traded['span']:.3f} m, {one.choice.words}")
    values = np.array([(-one.traded["range"], one.all_up_mass, one.traded["price"]) for one in line])
    first = NonDominatedSorting().do(values, only_non_dominated_front=True)
    print(f"non-dominated by pymoo: {len(first)} of {len(line)}")
    builds = [*new_builds(work.space, [each.choice for each in ranked]), *kept_builds(work.space)]
    builds = list(dict.fromkeys(replace(build, longest=None, rods=0.0) for build in builds))  # each choice once
    start = time.process_time()
    found = random_feasible(work.space, builds, line, int(designs), np.random.default_rng(20240229))
    print(f"{len(found)} of {designs} random designs meet every limit ({time.process_time() - start:.0f} s)")
    print(f"points of the front that one of them beats: {beaten(line, found)}")


if __name__ == "__main__":
    main(*sys.argv[1:])
