"""Thin-aerofoil theory (H. Glauert, The Elements of Aerofoil and Airscrew Theory, 1926) on the strips.

The closed forms were derived again by integration, and the numbers of plain flaps were recomputed to four digits. The
right-hand sides of the strips (their columns of downwash) give lift and moment exactly, so the tolerance is rounding.
"""

import numpy as np
import pytest
from scipy.integrate import quad

from tradestudy.physics.aero.thin_airfoil import camber_downwash, flap_downwash, flap_slopes, panel_matrix

ROUNDING = 1e-10  # rounding error of a few dozen operations on numbers near one


def lift_and_moment(downwash):
    """Return lift and quarter-chord moment of a single strip of unit chord."""
    count = len(downwash)
    circulation = np.linalg.solve(panel_matrix(count), downwash)
    bound = (np.arange(count) + 0.25) / count
    return 2 * circulation.sum(), -2 * circulation @ (bound - 0.25)


@pytest.mark.parametrize("count", [1, 2, 4, 8])
def test_flat_plate_is_exact_for_any_number_of_panels(count):
    lift, moment = lift_and_moment(np.ones(count))
    assert (lift, moment) == pytest.approx((2 * np.pi, 0.0), abs=ROUNDING)


@pytest.mark.parametrize("count", [2, 4, 8])
def test_parabolic_camber_by_plain_collocation(count):
    # For camber 4 h x (1 - x), N panels give the lift 4 pi h exactly, but the moment -pi h (1 - 1/N^2). This is why
    # camber has its own right-hand side.
    control = (np.arange(count) + 0.75) / count
    lift, moment = lift_and_moment(-4 * (1 - 2 * control))
    assert lift == pytest.approx(4 * np.pi, rel=ROUNDING)
    assert moment == pytest.approx(-np.pi * (1 - 1 / count**2), rel=ROUNDING)


@pytest.mark.parametrize(("hinge", "lift", "moment"), [(0.75, 3.826, -0.6495), (0.80, 3.454, -0.640)])
def test_plain_flap_numbers(hinge, lift, moment):
    found = flap_slopes(hinge)
    assert found[0] == pytest.approx(lift, abs=1e-3)  # tolerance: one unit of the last digit
    assert found[1] == pytest.approx(moment, abs=1e-3)


@pytest.mark.parametrize("hinge", [0.6, 0.75, 0.83, 0.9])
def test_plain_flap_by_integration(hinge):
    """Compare lift and moment of a plain flap with Glauert's coefficients, integrated numerically from its slope.

    Lift is cl = 2 pi a0 + pi a1, with the Fourier coefficients a0 and a1 of the slope.
    """
    start = np.arccos(1 - 2 * hinge)
    a0 = quad(lambda t: 1.0, start, np.pi)[0] / np.pi  # the slope is -1 behind the hinge
    a1, a2 = (2 / np.pi * quad(lambda t, n=n: -np.cos(n * t), start, np.pi)[0] for n in (1, 2))
    lift, moment = flap_slopes(hinge)
    assert lift == pytest.approx(2 * np.pi * a0 + np.pi * a1, rel=ROUNDING)
    assert moment == pytest.approx(np.pi / 4 * (a2 - a1), rel=ROUNDING)


@pytest.mark.parametrize("hinge", [0.55, 0.75, 0.80, 0.838])
@pytest.mark.parametrize("count", [2, 4, 8])
def test_flap_column_gives_lift_and_moment_exactly(hinge, count):
    assert lift_and_moment(flap_downwash(hinge, count)) == pytest.approx(flap_slopes(hinge), rel=ROUNDING)


def test_flap_column_does_not_know_panel_edges():
    # With the hinge on a panel edge, ordinary collocation is 10 % off at four panels. The column must change smoothly
    # as the hinge moves.
    around = flap_downwash(np.array([0.7499, 0.75, 0.7501]))
    assert around[0] + around[2] == pytest.approx(2 * around[1], abs=1e-6)


@pytest.mark.parametrize(("lift", "moment"), [(0.15, -0.01), (-0.05, 0.02), (0.0, -0.08)])
def test_camber_column_gives_lift_and_moment_exactly(lift, moment):
    assert lift_and_moment(camber_downwash(lift, moment)) == pytest.approx((lift, moment), abs=ROUNDING)
