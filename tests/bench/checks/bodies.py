"""Bodies of 200 wings by chance, checked by libraries for meshes: python tests/bench/checks/bodies.py [count].

It prints every fault, the greatest difference between the foam stated and the foam cut, and the time of a wing. Where
rods of the stretched wing run over a bay, the program says so; these wings are counted apart. With "laid" as second
word, bays are cut to packs by chance.
"""

import sys
import tempfile
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2])]

import numpy as np  # noqa: E402
from helpers.references.body_checks import BodyChecks  # noqa: E402
from helpers.wings.fitting_wings import random_designs, random_laid_designs  # noqa: E402

from tradestudy.aircraft.body.assembly import design_body  # noqa: E402
from tradestudy.aircraft.shape.rod_clashes import rod_clashes  # noqa: E402

SEED = 1


def main(count: int, laid: bool) -> None:
    designs = random_laid_designs if laid else random_designs
    faulty, told, worst, away, seconds = 0, 0, 0.0, 0.0, 0.0
    with tempfile.TemporaryDirectory() as folder:
        for number, design in enumerate(designs(SEED, count, Path(folder))):
            start = time.perf_counter()
            body = design_body(design)
            seconds += time.perf_counter() - start
            checks = BodyChecks(body)
            faults = [*checks.mesh_faults(), *checks.crossings(), *checks.what_sticks_out()]
            choice = design.choice
            clashes = rod_clashes(
                design.study, design.data.layout, design.solution.wing, choice.rod_diameter, choice.rod_pairs
            )
            if faults and clashes:
                told += 1
                print(f"wing {number}: {'; '.join(clashes)}")
            elif faults:
                faulty += 1
                print(f"wing {number}: {faults}")
            volume, middle = checks.foam()
            worst = max(worst, abs(volume / (1e3 * body.foam_cm3) - 1))
            away = max(away, float(np.abs(middle - body.foam_centroid_mm).max()))
    print(f"{count} wings, {faulty} with faults, and {told} with faults that the program tells of")
    print(f"foam within {1e2 * worst:.3f} % and {away:.2f} mm")
    print(f"{1e3 * seconds / count:.0f} ms for a body")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200, "laid" in sys.argv)
