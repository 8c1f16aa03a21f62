"""More of the UIUC low-speed tests: S5010, E387, largest lift, zero-lift angles, and the section tables themselves.

M. S. Selig, C. A. Lyon et al., Summary of Low-Speed Airfoil Data vol. 2 (1996) and the volumes named in
data/uiuc_more_sections.csv and data/uiuc_section_drag.csv. All are compared at equal lift, since angles of attack of
model, data file and code differ by 0.3 to 0.6 degree. The tolerances are those of test_selig_1995.py: 15 % of drag from
Re 150 000 upwards, and 0.10 of largest lift. At 100 000, where two tunnels differ by 16 %, it is 20 %.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from tradestudy.physics.sections import airfoil, polar

DATA = Path(__file__).parents[1] / "data"
ALPHA = np.radians(np.arange(-6.0, 15.1, 0.25))
HINGE = 0.8
# Re 100 000, 200 000, 300 000 or the file's own; largest of the ascending sweep
LARGEST = {
    "mh45": {102e3: 1.104, 204e3: 1.146, 305e3: 1.177},
    "s5010": {100e3: 1.121, 200e3: 1.137, 301e3: 1.164},
    "sd7037": {101e3: 1.244, 202e3: 1.286, 305e3: 1.277},
    "e387": {100e3: 1.234, 200e3: 1.227, 300e3: 1.291},
}


def read(name):
    with open(DATA / name, encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def sets():
    """Return a dict of (section, model, Re) -> lift and drag of the points, of shape (n, 2), from both files."""
    found = {}
    for row in read("uiuc_section_drag.csv") + read("uiuc_more_sections.csv"):
        key = row["section"], row.get("model", ""), float(row["reynolds"])
        found.setdefault(key, []).append((float(row["lift"]), float(row["drag"])))
    return {key: np.array(points) for key, points in found.items()}


def label(key):
    return f"{key[0]} {key[1]} {key[2] / 1000:.0f}k"


# with a long separation bubble: 30 % more drag than models A and C of the same section and Re
MODEL_E = ("e387", "E", 100e3)
HELD = [key for key in sets() if key != MODEL_E]


def rising(section, reynolds):
    """Return uncorrected lift and drag of the surrogate, up to the angle of largest lift."""
    lift, drag, _ = polar.alpha_polars(airfoil.coordinates_by_name(section), ALPHA, reynolds)
    top = int(np.argmax(lift)) + 1
    return lift[:top], drag[:top]


@pytest.fixture(scope="module")
def tables():
    return {name: polar.section_table(airfoil.coordinates_by_name(name), HINGE, "smooth") for name in LARGEST}


def allowed(reynolds):
    return 0.15 if reynolds > 1.5e5 else 0.20


@pytest.mark.parametrize("key", [key for key in HELD if key[0] == "s5010" or key[1]], ids=label)
def test_drag(key):
    section, _, reynolds = key
    points = sets()[key]
    ratio = np.interp(points[:, 0], *rising(section, reynolds)) * polar.drag_bias(np.log(reynolds))[0] / points[:, 1]
    assert ratio == pytest.approx(np.ones_like(ratio), abs=allowed(reynolds))


@pytest.mark.parametrize("key", HELD, ids=label)
def test_table_drag(key, tables):
    """Compare the section table that designs use, with correction. Transition is free, since the models were clean."""
    section, _, reynolds = key
    points = sets()[key]
    found = polar.profile_drag(tables[section], points[:, 0], np.full(len(points), np.log(reynolds)), 0 * points[:, 0])
    ratio = found[0] / points[:, 1]
    assert ratio == pytest.approx(np.ones_like(ratio), abs=allowed(reynolds))


def test_models_of_one_section_differ():
    """Show why tolerances at Re 100 000 are wide: E387 models A and E at lift 0.6 differ by 30 %, more than we do."""
    model_a, model_e = (
        np.interp(0.6, *sets()["e387", model, reynolds].T) for model, reynolds in (("A", 101e3), ("E", 100e3))
    )
    ours = np.interp(0.6, *rising("e387", 1e5)) * polar.drag_bias(np.log(1e5))[0]
    assert model_e / model_a - 1 > 0.25
    assert model_e > model_a > 0.85 * ours and ours < model_e


@pytest.mark.parametrize(
    ("key", "error"),
    [
        (("mh45", "", 101e3), 0.112),
        (("mh45", "", 202e3), 0.130),
        (("mh45", "", 303e3), 0.078),
        (("s5010", "", 100e3), 0.119),
        (("e387", "", 200e3), 0.094),
        (("e387", "", 300e3), 0.068),
        (MODEL_E, 0.34),
    ],
    ids=lambda value: label(value) if isinstance(value, tuple) else "",
)
def test_optimism_behind_the_correction(key, error):
    """Compare the median error of drag before correction with that of another script for the same surrogate.

    All errors are too low. Medians are over four to six points, interpolated on another grid of angles. The tolerance
    is 0.01, or 0.03 for the error of a third due to the bubble.
    """
    section, _, reynolds = key
    points = sets()[key]
    ratio = np.interp(points[:, 0], *rising(section, reynolds)) / points[:, 1] - 1
    assert np.median(np.abs(ratio)) == pytest.approx(error, abs=0.03 if error > 0.2 else 0.01)
    assert np.median(ratio) < 0


@pytest.mark.parametrize(("section", "reynolds"), [(name, re) for name, rows in LARGEST.items() for re in rows])
def test_largest_lift(section, reynolds, tables):
    measured = LARGEST[section][reynolds]
    assert rising(section, reynolds)[0].max() + polar.LIFT_MAXIMUM_BIAS == pytest.approx(measured, abs=0.10)
    # The bounds of the table are fitted over the complete range of Re. With free transition those of S5010 are so
    # curved that the fit adds up to 0.10 to the difference between surrogate and tunnel (0.06).
    table, _ = polar.lift_limits(tables[section], np.log(reynolds), 0.0)
    assert table[0] == pytest.approx(measured, abs=0.16 if section == "s5010" else 0.10)


@pytest.mark.parametrize(("section", "measured", "surrogate"), [("mh45", -1.25, -0.9), ("s5010", -0.56, -1.15)])
def test_zero_lift_angle(section, measured, surrogate):
    """Compare zero-lift angles at Re 300 000 within 0.6 degree of the tunnel, the accuracy of angles of attack."""
    lift, _ = rising(section, 3e5)
    found = np.degrees(np.interp(0.0, lift, ALPHA[: len(lift)]))
    assert found == pytest.approx(measured, abs=0.6)
    assert found == pytest.approx(surrogate, abs=0.06)  # tolerance: known to 0.05


def moments(section):
    """Return the surrogate's moment at lift 0 and 0.3, at Re 250 000."""
    lift, _, moment = polar.alpha_polars(airfoil.coordinates_by_name(section), ALPHA, 2.5e5)
    part = slice(0, int(np.argmax(lift)) + 1)
    return np.interp([0.0, 0.3], lift[part], moment[part])


@pytest.mark.parametrize("row", read("reflexed_moments.csv"), ids=lambda row: row["section"])
def test_moments_of_tailless_sections(row):
    outline = airfoil.coordinates_by_name(row["section"])
    assert airfoil.section_shape(outline).thickness == pytest.approx(float(row["thickness"]), abs=1e-3)
    # tolerance 0.0025: three digits, and wider steps of angle in the other script on a curved moment
    assert moments(row["section"]) == pytest.approx([float(row["moment_at_0"]), float(row["moment_at_3"])], abs=2.5e-3)


def test_moment_falls_with_lift():
    """Check that the moment falls by about 0.01 from lift 0 to 0.3 for most sections.

    This is why a design uses the moment at its own lift.
    """
    falls = [-np.subtract(*moments(row["section"])[::-1]) for row in read("reflexed_moments.csv")]
    assert np.median(falls) == pytest.approx(0.01, abs=0.002)
    assert np.mean(np.array(falls) > 0) > 0.9
