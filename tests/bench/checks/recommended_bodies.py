"""Bodies of the wings that the demos lead to, checked by libraries for meshes.

python tests/bench/checks/recommended_bodies.py [studies]

Every demo is searched at several spans, or the studies named. It prints every fault of stock, best and recommended
wing, and the difference between the foam stated and the foam cut.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2])]

import numpy as np  # noqa: E402
from helpers.references.body_checks import BodyChecks  # noqa: E402

from tradestudy.commands.trade import stretch  # noqa: E402

STUDIES = Path(__file__).parents[3] / "studies"


def main(files: list[Path]) -> None:
    for file in files:
        result = stretch(file)
        for name in ("stock", "best", "recommended"):
            wing = getattr(result, name)
            if wing is None:
                continue
            checks = BodyChecks(wing.body)
            faults = [*checks.mesh_faults(), *checks.crossings(), *checks.what_sticks_out()]
            volume, middle = checks.foam()
            print(
                f"{file.stem:14} {name:12} {wing.numbers.span_mm:5.0f} mm  {faults or 'no fault'}; foam within "
                f"{1e2 * abs(volume / (1e3 * wing.body.foam_cm3) - 1):.3f} % and "
                f"{np.abs(middle - wing.body.foam_centroid_mm).max():.2f} mm"
            )


if __name__ == "__main__":
    main([Path(name) for name in sys.argv[1:]] or sorted(STUDIES.glob("*.toml")))
