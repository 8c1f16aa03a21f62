"""Divergence of uniform wings after D. H. Hodges and G. A. Pierce, Introduction to Structural Dynamics and
Aeroelasticity, Cambridge University Press, chapter on static aeroelasticity.

In strip theory, a straight wing diverges at the dynamic pressure q = (pi/2)^2 GJ / (e c a L^2). GJ is the torsional
stiffness, and e the distance from the quarter chord to the elastic axis. The chord is c, the lift slope a and the
length L. The same formula is in R. L. Bisplinghoff, H. Ashley, R. L. Halfman, Aeroelasticity, and in T. H. G. Megson,
Aircraft Structures for Engineering Students, equation 29.11 (equation numbers from memory).

For a swept wing, tau = q cos^2(sweep) e c a L^2 / GJ depends on r = (L/e) (GJ/EI) tan(sweep). Here L is along the
elastic axis, and c and e are square to it.

Two roots meet at a value of r called the fold, and beyond it the first root is gone. The book's approximation has no
fold, so the exact eigenvalue is found here by a matrix exponential. The coupled wing must reach both results with strip
theory instead of the lattice, and with a lattice of large aspect ratio.

Tolerances: the second-order sums of a beam with 20 even strips have an error of 0.1 %, and 40 strips have a quarter of
that. Near the fold, where a small change of r causes a large change of the root, it is 2 %.
"""

import csv
from pathlib import Path

import numpy as np
import pytest
from helpers.wings.soft_wings import EvenWing, by_lattice, by_strips
from scipy.linalg import expm
from scipy.optimize import brentq

from tradestudy.physics.aeroelastic import divergence_reversal, elastic_wing

DATA = Path(__file__).parents[1] / "data"
DENSITY, TWO_PI = 1.225, 2 * np.pi


def rows(name):
    with open(DATA / name, encoding="utf-8") as file:
        return [
            {key: float(value) for key, value in row.items()}
            for row in csv.DictReader(line for line in file if not line.startswith("#"))
        ]


def twist_off_pressure(wing, count):
    found = elastic_wing.coupling(*by_strips(wing, count))
    return divergence_reversal.twist_off_pressure(found.feedback)


def swept_tip_condition(tau, r):
    """Return the incidence at the clamp, integrated from a free tip with incidence 1. It is zero at divergence.

    The incidence a satisfies a''' + tau a' + tau r a = 0, with a' = 0 and a'' = -tau a at the tip. This follows from
    GJ theta'' = -q e c cl and EI w'''' = q c cl, with section lift cl = slope times a, and a = theta - w' tan(sweep).
    """
    matrix = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [-tau * r, -tau, 0.0]])
    return (expm(-matrix) @ [1.0, 0.0, -tau])[0]


def swept_wing(r, length=1.0, axis_behind=0.05):
    """Return a uniform wing with the requested r and GJ = 1, swept 25 degrees."""
    angle = np.radians(25.0) * np.sign(r)
    bending = length * np.tan(angle) / (axis_behind * r) if r else 1.0
    return EvenWing(length, 0.2, axis_behind, bending, 1.0, angle)


def swept_tau(r, count):
    wing = swept_wing(r)
    pressure = twist_off_pressure(wing, count) * np.cos(wing.sweep) ** 2
    return pressure * wing.axis_behind * wing.chord * TWO_PI * wing.length**2


@pytest.mark.parametrize("count,tolerance", [(10, 5e-3), (20, 2e-3), (40, 5e-4)])
def test_straight_wing(count, tolerance):
    wing = EvenWing(0.75, 0.25, 0.115 * 0.25, 69.4, 9.81)
    closed = (np.pi / 2) ** 2 * wing.torsion / (wing.axis_behind * wing.chord * TWO_PI * wing.length**2)
    # the error is of second order in the strips
    assert twist_off_pressure(wing, count) == pytest.approx(closed, rel=tolerance)


def test_goland_wing():
    # M. Goland's wing, J. Appl. Mech. 12 (1945) A197, has e = (0.33 - 0.25) chord; numbers are from the closed form
    wing = EvenWing(6.096, 1.8288, 0.08 * 1.8288, 9.773e6, 0.9876e6)
    pressure = twist_off_pressure(wing, 20)
    assert pressure == pytest.approx(39006, rel=2e-3)
    assert np.sqrt(2 * pressure / DENSITY) == pytest.approx(252.35, rel=1e-3)


# Computed for a 1.5 m foam wing with a chord of 0.25 m and EI 69.4 N m2.
# Columns: e over chord, GJ [N m2], sweep [deg], divergence speed [m/s].
WORKED = [
    (0.0613, 9.81, 0, 54.02),
    (0.0507, 0.965, 0, 18.63),
    (0.115, 9.81, 0, 39.44),
    (0.115, 0.965, 0, 12.37),
    (0.25, 9.81, 0, 26.75),
    (0.0507, 0.965, 15, 20.3),
    (0.0507, 0.965, 20, 21.4),
    (0.0507, 0.965, 25, 22.9),
    (0.0507, 0.965, 30, 25.0),
    (0.115, 9.81, 15, 54.8),
    (0.115, 9.81, 20, 74.3),
    (0.115, 0.965, 15, 13.1),
    (0.115, 0.965, 20, 13.6),
    (0.115, 0.965, 25, 14.3),
    (0.115, 0.965, 30, 15.2),
]


def foam_wing(behind, torsion, degrees):
    cosine = np.cos(np.radians(degrees))
    return EvenWing(0.75 / cosine, 0.25 * cosine, behind * 0.25 * cosine, 69.4, torsion, np.radians(degrees))


@pytest.mark.parametrize("behind,torsion,degrees,speed", WORKED)
def test_worked_speeds(behind, torsion, degrees, speed):
    found = np.sqrt(2 * twist_off_pressure(foam_wing(behind, torsion, degrees), 40) / DENSITY)
    assert found == pytest.approx(speed, rel=4e-3)  # tolerance: three digits


@pytest.mark.parametrize("behind,degrees", [(0.0613, 15), (0.0613, 25), (0.115, 25), (0.115, 30)])
def test_filmed_wings_that_sweep_keeps_from_twisting_off(behind, degrees):
    pressure = twist_off_pressure(foam_wing(behind, 9.81, degrees), 40)
    assert np.sqrt(2 * pressure / DENSITY) > 150  # a second root far above may remain
    assert divergence_reversal.critical_speed(pressure, DENSITY) == np.inf


@pytest.mark.parametrize("row", rows("swept_divergence.csv"), ids=lambda row: f"r {row['r']:g}")
def test_swept_wing(row):
    r, exact = row["r"], row["exact"]
    assert brentq(swept_tip_condition, 0.95 * exact, 1.05 * exact, args=(r,)) == pytest.approx(exact, rel=1e-5)
    # at r = 1.59 the root almost meets the next one (at 1.598), and 1 % of r changes it by 12 %
    assert swept_tau(r, 40) == pytest.approx(exact, rel=5e-3 if r > 1.55 else 1e-3)
    assert swept_tau(r, 20) == pytest.approx(exact, rel=2e-2 if r > 1.55 else 2e-3)
    approximate = (np.pi / 2) ** 2 / (1 - 3 * np.pi**2 / 76 * r)
    assert approximate == pytest.approx(row["approximate"], rel=1e-5)
    if abs(r) <= 1:
        assert swept_tau(r, 40) == pytest.approx(approximate, rel=0.05)  # tolerance: the error of the approximation


def test_no_twist_off_beyond_the_fold():
    assert swept_tau(1.59768 * 0.99, 80) < 10.9  # the fold is at tau = 10.8
    for r in (1.59768 * 1.01, 1.8, 2.4):  # the approximation still has a root at 2.4
        assert swept_tau(r, 80) > 50  # the next root is near 67


def test_great_aspect_ratio_is_strip_theory():
    """Check that the lattice tends to strip theory: doubling the aspect ratio halves the difference.

    The downwash is proportional to one over the aspect ratio A.
    """
    torsion, behind = 1.0, 0.15
    over = []
    for ratio in (100, 200, 400):
        closed = (np.pi / 2) ** 2 * torsion / (behind * TWO_PI * (0.5 * ratio) ** 2)
        over.append(divergence_reversal.twist_off_pressure(by_lattice(ratio, behind, torsion)[0].feedback) / closed)
    assert 1 < over[2] < over[1] < over[0] < 1.08
    # extrapolated in 1/A; tolerance half a per cent for terms in log(A)/A and for 40 strips
    assert 2 * over[2] - over[1] == pytest.approx(1.0, abs=5e-3)
