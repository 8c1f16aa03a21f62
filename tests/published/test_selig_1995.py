"""Section drag and largest lift of the surrogate, with its visible correction, against tunnel measurements.

Sources in data/uiuc_section_drag.csv. Compared at equal lift, free transition, as the tunnel models were
clean. Each point within 15 % where Re is 150 000 or more: repeat runs of one model differ 3-4 %, three models
of one section 5 %, two tunnels 7-9 %, and the surrogate itself scatters by some 9 % (median) before the
correction. At Re 100 000 two tunnels differ by 16 %: points are held to 20 % there. Below that nothing is
held. Largest lift within 0.10, as the correction's own scatter (0.00 to 0.12) demands.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from tradestudy.physics.sections import airfoil, polar

DATA = Path(__file__).parent / "data"
ALPHA = np.radians(np.arange(-6.0, 15.1, 0.25))


def sets():
    with open(DATA / "uiuc_section_drag.csv", encoding="utf-8") as file:
        found = {}
        for row in csv.DictReader(line for line in file if not line.startswith("#")):
            points = found.setdefault((row["section"], float(row["reynolds"])), [])
            points.append((float(row["lift"]), float(row["drag"])))
        return found


def attached(section, reynolds):
    """Return lift, corrected drag and moment of the rising branch."""
    lift, drag, moment = polar.alpha_polars(airfoil.coordinates_by_name(section), ALPHA, reynolds)
    top = int(np.argmax(lift)) + 1
    return lift[:top], polar.drag_bias(np.log(reynolds))[0] * drag[:top], moment[:top]


@pytest.mark.parametrize("key", sets(), ids=lambda key: f"{key[0]} {key[1] / 1000:.0f}k")
def test_drag(key):
    section, reynolds = key
    lift, drag, _ = attached(section, reynolds)
    measured_lift, measured_drag = np.array(sets()[key]).T
    ratio = np.interp(measured_lift, lift, drag) / measured_drag
    assert ratio == pytest.approx(np.ones_like(ratio), abs=0.15 if reynolds > 1.5e5 else 0.20)


def test_correction_is_not_one_sided():
    # after the correction the mean over all points must be near nothing: the mean error of 25 points of 5 %
    # is 1 %
    errors = []
    for (section, reynolds), points in sets().items():
        if reynolds > 1.5e5:
            lift, drag, _ = attached(section, reynolds)
            errors += [np.interp(cl, lift, drag) / cd - 1 for cl, cd in points]
    assert abs(np.mean(errors)) < 0.03


@pytest.mark.parametrize(
    ("section", "reynolds", "largest"),
    [
        ("mh45", 102e3, 1.104),
        ("mh45", 204e3, 1.146),
        ("mh45", 305e3, 1.177),
        ("s5010", 200e3, 1.137),
        ("sd7037", 101e3, 1.244),
        ("sd7037", 202e3, 1.286),
        ("e387", 200e3, 1.227),
        ("e387", 300e3, 1.291),
    ],
)
def test_largest_lift(section, reynolds, largest):
    lift = attached(section, reynolds)[0].max() + polar.LIFT_MAXIMUM_BIAS
    assert lift == pytest.approx(largest, abs=0.10)


@pytest.mark.parametrize(("alpha", "moment"), [(0.0, -0.0852), (3.0, -0.0837), (6.15, -0.0797)])
def test_measured_moment(alpha, moment):
    """E387(E) at Re 200 000 (Selig and McGranahan 2004); the surrogate's known error there is below 0.008."""
    outline = airfoil.coordinates_by_name("e387")
    found = polar.alpha_polars(outline, np.radians(alpha), 2e5)[2]
    assert found == pytest.approx(moment, abs=0.010)
