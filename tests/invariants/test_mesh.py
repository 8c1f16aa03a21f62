"""The mesh in use against one six times finer, and the order of convergence of the lattice."""

import numpy as np
import pytest
from helpers.references.lateral_answers import sideways
from helpers.wings.wings import answer, outline, tapered

from tradestudy.physics.geometry.fins import SheetFin
from tradestudy.physics.geometry.mesh import strip_counts
from tradestudy.physics.geometry.planform import StockWing
from tradestudy.physics.geometry.stretch_schemes import stock_planform

GODWIT_FIN = (0.13, 0.15, 0.09, 0.06, 0.02)


def foam_wing(semi_span, set_back, root, tip, fin=True, dihedral=0.0):
    """Return outline and fins of a foam wing like the Godwit: centre piece, elevons, fins, with lengths [m]."""
    wing = outline(
        [0, 0.04, semi_span],
        [0, 0, set_back],
        [root, root, tip],
        twist=[0, 0, -0.026],
        height=[0, 0, np.tan(dihedral) * (semi_span - 0.04)],
        elevon_chord=[0.045, 0.045, 0.03],
        elevon=(0.07, 0.96 * semi_span),
    )
    return wing, SheetFin(*(np.asarray(length) for length in GODWIT_FIN)) if fin else None


WINGS = {
    "stock, fins": foam_wing(0.62, 0.265, 0.28, 0.18),
    "stretched, fins": foam_wing(0.75, 0.30, 0.28, 0.18),
    "stretched, fins, dihedral": foam_wing(0.65, 0.20, 0.30, 0.15, dihedral=0.05),
    "stock, no fins": foam_wing(0.62, 0.265, 0.28, 0.18, fin=False),
}


def elevon_slopes(found):
    """Return lift and moment about the neutral point, both by elevon deflection."""
    unit = found.unit
    return unit.lift_area[2], unit.moment_volume[2] + found.neutral_point * unit.lift_area[2]


@pytest.mark.parametrize("name", WINGS)
def test_against_six_times_finer(name):
    """Compare with a finer mesh. Differences in a trade study are some 1 %, and tolerances are a fraction of that."""
    used, fine = answer(*WINGS[name]), answer(*WINGS[name], refinement=6, n_panel=8)
    assert used.lift_slope == pytest.approx(fine.lift_slope, rel=0.005)
    drift = (used.neutral_point - fine.neutral_point) / used.areas.mean_aerodynamic_chord
    assert abs(drift) < 0.003
    assert elevon_slopes(used) == pytest.approx(elevon_slopes(fine), rel=0.01)
    assert used.span_efficiency() == pytest.approx(fine.span_efficiency(), rel=0.006)


def test_fins_raise_span_efficiency():
    """Check that upright fins of 12 % of the span raise span efficiency above one. The bound of least drag is 1.26."""
    with_fins, without = answer(*WINGS["stock, fins"]), answer(*WINGS["stock, no fins"])
    assert without.span_efficiency() < 1.0
    assert 1.15 < with_fins.span_efficiency() < 1.26


def test_order_in_strips():
    """Check that twice the strips cut every error at least fourfold: points at mid-angle are of second order."""
    wing = tapered(6, 0.5, 0)
    exact = answer(wing, counts=[96])
    errors = np.array(
        [
            [
                found.lift_slope / exact.lift_slope - 1,
                found.span_efficiency() - exact.span_efficiency(),
                found.neutral_point - exact.neutral_point,
            ]
            for found in (answer(wing, counts=[count]) for count in (12, 24, 48))
        ]
    )
    shrunk = np.abs(errors[:-1] / errors[1:])
    assert np.all(shrunk > 3.9)  # second order gives 4; 3.9 allows for the error of the reference


def test_order_in_strips_when_swept():
    # the kink at the root limits a swept wing to about second order as well
    wing = tapered(6, 0.5, 25)
    exact = answer(wing, counts=[96])
    error = [abs(answer(wing, counts=[count]).lift_slope - exact.lift_slope) for count in (6, 12, 24)]
    assert error[0] / error[1] > 3.9
    assert error[1] / error[2] > 3.9


def test_order_in_chordwise_panels():
    """Check that one chordwise panel is already close, and that the error falls as panels are doubled.

    Panels use quarter and three-quarter points. With fixed strips, the remaining error is between first and second
    order in 1/N (two-dimensional flow is exact).
    """
    wing = tapered(6, 0.5, 25)
    exact = answer(wing, n_panel=64)
    centre = [abs(answer(wing, n_panel=count).neutral_point - exact.neutral_point) for count in (2, 4, 8, 16)]
    assert all(coarse > 1.5 * fine for coarse, fine in zip(centre, centre[1:], strict=False))


@pytest.mark.parametrize("place", [0.15, 0.275, 0.40])
def test_an_inboard_and_a_tip_fin_against_three_times_finer(place):
    """Compare lift within 0.3 %, neutral point within 0.3 % of the mean chord, and yaw stiffness within 2 %.

    Measured are 0.15 %, 0.09 % and 0.46 % (dihedral effect 1.4 %). With 3 to 8 strips on the inboard fin, yaw stiffness
    changes by 0.8 % at most. The first of them is 0.1 to 2.4 of its wing strip.
    """
    stock = StockWing(1.24, 0.08, 0.235, 0.15, 0.265, 0.026, 0.03, 0.045, 0.03, 0.07, 0.60)
    wing = stock_planform(stock, (place,))
    assert sum(strip_counts(wing)) in (15, 16)
    fins = (SheetFin(0.10, 0.12, 0.08, 0.05, 0.08, stands_on=wing.marks[0]), SheetFin(*GODWIT_FIN))
    used, fine = (sideways(wing, 0.5, fins, refinement=n, n_panel=m, centre=0.14) for n, m in ((1, 4), (3, 8)))
    assert used.plain.lift_slope == pytest.approx(fine.plain.lift_slope, rel=0.003)
    drift = (used.plain.neutral_point - fine.plain.neutral_point) / used.plain.areas.mean_aerodynamic_chord
    assert abs(drift) < 0.003
    assert used.derivatives.yaw_sideslip == pytest.approx(fine.derivatives.yaw_sideslip, rel=0.02)
