"""Try thousands of inputs that may be wrong in any way: ``hostile_inputs_at_length.py 10000 [seed]``.

Six of ten are studies, held against the model too. The rest are measurements, propeller tables and logs. It prints how
they ended, and every input that ended neither as an error with file and line nor as a finite answer.
"""

import collections
import os
import sys
import tempfile
import time
import traceback
import warnings
from functools import partial
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # the matrices are small: more threads are slower
sys.path.insert(0, str(Path(__file__).parents[2]))

from helpers.references import hostile_inputs  # noqa: E402
from hypothesis import HealthCheck, Phase, given, seed, settings  # noqa: E402

SHARES = {"study": 0.6, "measurements": 0.15, "propeller": 0.15, "log": 0.1}
_SHOWN = 10  # most inputs that are printed whole


def tried(name, strategy, outcome, count, of):
    """Try ``count`` inputs. Return how many ended in each way, and (input, report) for those that broke the rule."""
    ends, broken = collections.Counter(), []

    @seed(of)
    @settings(
        max_examples=count,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(text=strategy)
    def one(text):
        try:
            ends[outcome(text)] += 1
        except Exception:
            ends["BROKEN"] += 1
            broken.append((text, traceback.format_exc()))

    one()
    return ends, broken


def main(count, of):
    """Try inputs of every kind and print how they ended."""
    with tempfile.TemporaryDirectory() as name, warnings.catch_warnings():
        warnings.simplefilter("error")  # a warning of numpy is a fault
        warnings.filterwarnings("ignore", category=DeprecationWarning)
        folder = Path(name)
        kinds = {
            "study": (
                hostile_inputs.studies(),
                partial(hostile_inputs.outcome_of_study, folder=folder, with_model=True),
            ),
            "measurements": (
                hostile_inputs.measurements(),
                partial(hostile_inputs.outcome_of_measurements, folder=folder),
            ),
            "propeller": (
                hostile_inputs.propeller_tables(),
                partial(hostile_inputs.outcome_of_propeller, folder=folder),
            ),
            "log": (hostile_inputs.logs(), partial(hostile_inputs.outcome_of_log, folder=folder)),
        }
        for kind, (strategy, outcome) in kinds.items():
            start = time.perf_counter()
            ends, broken = tried(kind, strategy, outcome, round(SHARES[kind] * count), of)
            words = ", ".join(f"{number} {end}" for end, number in ends.most_common())
            print(f"{kind}: {words} ({time.perf_counter() - start:.0f} s)", flush=True)
            for text, report in broken[:_SHOWN]:
                print(f"--- {report.splitlines()[-1]}\n{report}\n{text[:6000]}\n", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000, int(sys.argv[2]) if len(sys.argv) > 2 else 1)
