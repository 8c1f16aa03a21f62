"""Measure how long it takes to find what flips the answer. Run alone: python tests/bench/speed/flips.py [study ...]

It uses two processes and no record. Nothing is asserted.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # the matrices are small: more threads are slower

import sys
from pathlib import Path

from clock import timed

STUDIES = Path(__file__).parents[3] / "studies"


def flips(name):
    """Find what flips the answer of one demo."""
    from tradestudy.commands.flips import flips as command

    before = sum(os.times()[:4])
    result, seconds = timed(lambda: command(STUDIES / f"{name}.toml", workers=2))
    found = result.flips
    print(
        f"{name}: {seconds:.0f} s, {sum(os.times()[:4]) - before:.0f} s of both cores, {found.examined} changes "
        f"examined, {len(found.rows)} flip the answer"
    )


if __name__ == "__main__":
    for each in sys.argv[1:] or ["godwit"]:
        flips(each)
