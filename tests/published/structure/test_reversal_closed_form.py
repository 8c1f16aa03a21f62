"""Elevon reversal in roll of a uniform straight wing with a flap over its complete span, by strip theory.

The wing is clamped at its root. The closed form was derived for this project from GJ theta'' = -q c (e a theta + (e
cl_d + c cm_d) d), which any text on aeroelasticity sets up (such as Bisplinghoff, Ashley and Halfman's chapter on
static problems).

GJ is the torsional stiffness, theta the twist and q the dynamic pressure. The chord is c, the length L, and e the
distance from the quarter chord to the elastic axis. The lift slope is a. The slopes of lift and quarter-chord moment by
flap deflection d are cl_d and cm_d. With x = L sqrt(q c e a / GJ), reversal is at

    2 (sec x - 1) / x^2 = 1 / (1 - k),   k = e cl_d / (c |cm_d|),

and q = 2.4 GJ cl_d / (a c^2 |cm_d| L^2) as e goes to zero. Section slopes are from Glauert's thin-aerofoil theory. The
numbers are for a 1.5 m foam wing with a chord of 0.25 m, GJ 9.81 N m2 and a flap of 20 %.

Tolerance: 20 even strips have an error of 0.1 %, 40 a quarter of that. A speed is given to four digits.
"""

import numpy as np
import pytest
from helpers.wings.soft_wings import EvenWing, by_lattice, by_strips
from scipy.optimize import brentq

from tradestudy.physics.aero import thin_airfoil
from tradestudy.physics.aeroelastic import divergence_reversal, elastic_wing

DENSITY, SLOPE = 1.225, 2 * np.pi
LIFT, MOMENT = thin_airfoil.flap_slopes(0.8)


def closed_form(wing):
    """Return the dynamic pressure of reversal [Pa], then x and k of the closed form."""
    kappa = wing.axis_behind * LIFT / (wing.chord * -MOMENT)
    x = brentq(lambda x: 2 * (1 / np.cos(x) - 1) / x**2 - 1 / (1 - kappa), 1e-3, 0.5 * np.pi - 1e-6)
    return x**2 * wing.torsion / (wing.length**2 * wing.chord * wing.axis_behind * SLOPE), x, kappa


def rolling(wing, count):
    """Return the coupling and the rolling moments of the strips.

    The load cases are roll rate (not needed, so zero), flap deflection, and incidence of each strip.
    """
    stiff, lift, moment = by_strips(wing, count, SLOPE, LIFT, MOMENT)
    lift, moment = (np.hstack([np.zeros((count, 1)), part]) for part in (lift, moment))
    middle = wing.length * (np.arange(count) + 0.5) / count
    return elastic_wing.coupling(stiff, lift, moment), middle @ lift


def foam_wing(behind):
    return EvenWing(0.75, 0.25, behind * 0.25, 69.4, 9.81)


def test_flap_slopes():
    given = {0.8: (3.4546, -0.6400), 0.75: (3.8264, -0.6495), 0.7: (4.1516, -0.6416)}
    for hinge, slopes in given.items():
        assert thin_airfoil.flap_slopes(hinge) == pytest.approx(slopes, abs=6e-5)  # tolerance: four decimals


def test_worked_numbers():
    for behind, pressure in ((0.115, 584.7), (0.0613, 580.1)):
        assert divergence_reversal.roll_reversal_pressure(*rolling(foam_wing(behind), 20)) == pytest.approx(
            pressure, rel=2e-3
        )
        assert divergence_reversal.roll_reversal_pressure(*rolling(foam_wing(behind), 40)) == pytest.approx(
            pressure, rel=5e-4
        )
    speed = np.sqrt(2 * divergence_reversal.roll_reversal_pressure(*rolling(foam_wing(0.115), 40)) / DENSITY)
    assert speed == pytest.approx(30.90, rel=1e-3)


@pytest.mark.parametrize("behind", [0.02, 0.06, 0.10, 0.14, 0.17])
def test_any_place_of_the_axis(behind):
    wing = foam_wing(behind)
    assert divergence_reversal.roll_reversal_pressure(*rolling(wing, 40)) == pytest.approx(
        closed_form(wing)[0], rel=1e-3
    )


def test_axis_under_the_lift():
    wing = foam_wing(1e-6)
    simple = 2.4 * wing.torsion * LIFT / (SLOPE * wing.chord**2 * -MOMENT * wing.length**2)
    assert simple == pytest.approx(575.3, rel=1e-4)
    assert divergence_reversal.roll_reversal_pressure(*rolling(wing, 40)) == pytest.approx(simple, rel=1e-3)


def test_no_reversal_when_the_flap_lifts_behind_the_axis_no_more():
    # k = 1 at e = 0.185 chord: the centre of the flap's lift is on the axis, and the wing diverges first
    assert closed_form(foam_wing(0.115))[2] < 1 < 0.20 * LIFT / -MOMENT
    pair, volume = rolling(foam_wing(0.20), 40)
    assert divergence_reversal.roll_reversal_pressure(pair, volume) > divergence_reversal.twist_off_pressure(
        pair.feedback
    )


def test_great_aspect_ratio_is_strip_theory():
    """Check that the lattice tends to strip theory in rolling flow, with the wing clamped at the root.

    The downwash is proportional to one over the aspect ratio A.
    """
    torsion, behind = 1.0, 0.10
    over = []
    for ratio in (100, 200, 400):
        wing = EvenWing(0.5 * ratio, 1.0, behind, 1.0, torsion)
        _, pair, air = by_lattice(ratio, behind, torsion)
        over.append(divergence_reversal.roll_reversal_pressure(pair, air.roll_volume) / closed_form(wing)[0])
    assert 1 < over[2] < over[1] < over[0] < 1.05
    # extrapolated in 1/A; tolerance half a per cent for terms in log(A)/A and for 40 strips
    assert 2 * over[2] - over[1] == pytest.approx(1.0, abs=5e-3)
