"""Rod in a foam bed: A. B. Vesic, J. Engineering Mechanics Division ASCE 87 (1961), and M. Hetenyi,
Beams on Elastic Foundation (1946).

Both formulas are from memory. The critical stresses for comparison were computed for this project, Vesic's by hand and
the others by finite elements of the foam. These are a Fourier series along the rod and quadratic across. They model a
rigid round rod flush with the surface of a half-space, or a flush pair in a slab of 25 mm. Poisson's ratio is 0.25.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from tradestudy.physics.structure.failure_modes import foundation_modulus, rod_buckling_load
from tradestudy.physics.structure.rods import RodSets
from tradestudy.physics.structure.wing_parts import Foam

DATA = Path(__file__).parents[1] / "data"


def rows():
    with open(DATA / "rod_buckling_stress.csv", encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


@pytest.mark.parametrize("row", rows(), ids=lambda row: f"{row['rod_gpa']} GPa in {row['foam_mpa']} MPa")
def test_critical_stress(row):
    foam = Foam(1e6 * float(row["foam_mpa"]), 0.4e6 * float(row["foam_mpa"]), 0.25e6, 0.11e6, 0.25)
    nothing = np.zeros(1)
    rods = RodSets(
        np.array([1e9 * float(row["rod_gpa"])]), nothing, nothing, nothing, np.array([0.003]), *[nothing] * 7
    )
    load = rod_buckling_load(foundation_modulus(foam, rods), rods)[0]
    stress = load / (np.pi * 0.003**2 / 4) / 1e6
    assert stress == pytest.approx(float(row["vesic"]), rel=5e-3)  # tolerance: three digits
    # The formula is below the finite elements, by 22 to 24 % (rounded to one per cent) in a half-space, and by 12 to
    # 21 % in a slab with the weakest diameter.
    assert 0.755 <= stress / float(row["half_space"]) <= 0.785
    assert 0.785 <= stress / float(row["slab_low"]) <= 0.885
    assert stress < float(row["embedded"])  # a rod bonded all round is stiffer than one in a surface slot
    assert stress > 3.0 * float(row["wide_face"])  # the formula for wrinkling of wide faces must not be used for rods
