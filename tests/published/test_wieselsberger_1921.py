"""Drag of a cylinder across the stream against the standard drag curve and two more of its descriptions.

C. Wieselsberger, Physikalische Zeitschrift 22 (1921), chart values from memory in data/cylinder_drag.csv. The fit in
use is that of Sucker and Brauer, 1975.
"""

import csv
from pathlib import Path

import pytest

from tradestudy.physics.aero.parasite_drag import Stream, cylinder_across, cylinder_drag_coefficient

with open(Path(__file__).parent / "data" / "cylinder_drag.csv", encoding="utf-8") as text:
    CURVE = [
        (float(row["reynolds"]), float(row["drag_coefficient"]))
        for row in csv.DictReader(line for line in text if not line.startswith("#"))
    ]


@pytest.mark.parametrize(("reynolds", "expected"), CURVE)
def test_standard_drag_curve(reynolds, expected):
    # 10 %: reading of a logarithmic chart and the scatter of its points
    assert cylinder_drag_coefficient(reynolds) == pytest.approx(expected, rel=0.10)


@pytest.mark.parametrize("reynolds", [100, 200, 500, 1000, 2000, 5000, 1e4])
def test_another_fit(reynolds):
    """F. M. White, Viscous Fluid Flow, 1991: 1 + 10 Re^(-2/3), from memory. It leaves out the dip near Re 2000, which
    on the chart is 0.07 below the 1.0 of Re 1000, and the rise to 1.2 after it: 18 %."""
    assert cylinder_drag_coefficient(reynolds) == pytest.approx(1 + 10 * reynolds ** (-2 / 3), rel=0.18)


def test_laminar_wake_computed_in_two_dimensions():
    """Re 100: 1.33 to 1.35 in computed plane flow (many authors, from memory); measured: up to a tenth above."""
    assert 1.33 <= cylinder_drag_coefficient(100.0) <= 1.1 * 1.35


def test_the_dip_lies_where_it_is_drawn():
    # the chart's least value lies between Re 1000 and 4000; below and above it rises
    values = {reynolds: cylinder_drag_coefficient(reynolds) for reynolds in (500.0, 2000.0, 8000.0)}
    assert values[2000.0] < values[500.0] and values[2000.0] < values[8000.0]


def test_thin_wire_of_a_slow_wing():
    """1.5 mm at 15 m/s, 1.46e-5 m2/s: Re 1541, on the chart 0.95 (1.00 at 1000, 0.93 at 2000); 10 % as above. 120 mm
    of it: 1.8 cm2 times that."""
    area = cylinder_across(1.0, Stream(15.0, 1.46e-5), 0.120, 1.5e-3, 0.0)
    assert area == pytest.approx(1.8e-4 * 0.95, rel=0.10)
