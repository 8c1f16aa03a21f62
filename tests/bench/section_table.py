"""Measure how long a section table takes to build: python tests/bench/section_table.py. Nothing is asserted."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import time

from tradestudy.physics import airfoil, polar

if __name__ == "__main__":
    for name in ("mh60", "s5010", "e222", "e387", "naca23112"):
        outline = airfoil.coordinates_by_name(name)
        for finish in polar.TRANSITION_BY_FINISH:
            start = time.perf_counter()
            polar.section_table(outline, 0.8, finish)
            print(f"{name:10} {finish:8} {time.perf_counter() - start:.2f} s")
