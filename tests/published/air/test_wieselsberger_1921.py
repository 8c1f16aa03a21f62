"""Drag of a cylinder across the flow against the standard drag curve, another fit and computed flow.

C. Wieselsberger, Physikalische Zeitschrift 22 (1921); chart values from memory are in data/cylinder_drag.csv. The fit
that the project uses is that of Sucker and Brauer, 1975.
"""

import csv
from pathlib import Path

import pytest

from tradestudy.physics.aero.parasite_drag import Stream, cylinder_across, cylinder_drag_coefficient

with open(Path(__file__).parents[1] / "data" / "cylinder_drag.csv", encoding="utf-8") as text:
    CURVE = [
        (float(row["reynolds"]), float(row["drag_coefficient"]))
        for row in csv.DictReader(line for line in text if not line.startswith("#"))
    ]


@pytest.mark.parametrize(("reynolds", "expected"), CURVE)
def test_standard_drag_curve(reynolds, expected):
    # tolerance 10 %: reading of a logarithmic chart, and the scatter of its points
    assert cylinder_drag_coefficient(reynolds) == pytest.approx(expected, rel=0.10)


@pytest.mark.parametrize("reynolds", [100, 200, 500, 1000, 2000, 5000, 1e4])
def test_another_fit(reynolds):
    """Compare with 1 + 10 Re^(-2/3), F. M. White, Viscous Fluid Flow, 1991, from memory, within 18 %.

    On the chart, a dip near Re 2000 is 0.07 below the 1.0 at Re 1000, and a rise to 1.2 follows. This fit has neither.
    """
    assert cylinder_drag_coefficient(reynolds) == pytest.approx(1 + 10 * reynolds ** (-2 / 3), rel=0.18)


def test_laminar_wake_computed_in_two_dimensions():
    """Compare with 1.33 to 1.35 at Re 100, computed for plane flow (many authors, from memory).

    Measured values are up to a tenth higher.
    """
    assert 1.33 <= cylinder_drag_coefficient(100.0) <= 1.1 * 1.35


def test_the_dip_lies_where_it_is_drawn():
    # the smallest value of the chart is between Re 1000 and 4000, and it rises on both sides
    values = {reynolds: cylinder_drag_coefficient(reynolds) for reynolds in (500.0, 2000.0, 8000.0)}
    assert values[2000.0] < values[500.0] and values[2000.0] < values[8000.0]


def test_thin_wire_of_a_slow_wing():
    """Compare the drag area of 120 mm of wire of 1.5 mm at 15 m/s, with viscosity 1.46e-5 m2/s, within 10 % as above.

    Re is 1541, where the chart has 0.95 (1.00 at 1000, 0.93 at 2000). The frontal area is 1.8 cm2.
    """
    area = cylinder_across(1.0, Stream(15.0, 1.46e-5), 0.120, 1.5e-3, 0.0)
    assert area == pytest.approx(1.8e-4 * 0.95, rel=0.10)
