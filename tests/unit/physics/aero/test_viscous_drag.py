"""Friction of a plate against another turbulent law, and sums by hand. Strip drag is in test_hale_1979.py."""

import numpy as np
import pytest

from tradestudy.physics.aero import viscous_drag


@pytest.mark.parametrize("reynolds", [1e5, 3e5, 1e6, 5e6])
def test_power_law_against_schlichting(reynolds):
    # 0.455 / (log10 Re)^2.58, H. Schlichting, Boundary-Layer Theory (from memory); the two laws agree within 10 %
    assert viscous_drag.turbulent_plate_friction(reynolds) == pytest.approx(
        0.455 / np.log10(reynolds) ** 2.58, rel=0.10
    )


def test_fins():
    """Compare two sides and a quarter for each edge: 2.5 cf S, with friction coefficient cf and area S.

    At 15 m/s, 120 mm and 1.46e-5 m2/s, cf is 0.074 / 123288^0.2.
    """
    reynolds = 15 * 0.12 / 1.46e-5
    expected = 2.5 * 0.074 * reynolds**-0.2 * 0.03
    assert viscous_drag.fin_drag_area(0.03, 0.12, 15.0, 1.46e-5) == pytest.approx(expected, rel=1e-12)


def test_profile_drag_counts_both_halves():
    assert viscous_drag.section_drag_area(np.array([0.01, 0.02]), np.array([0.1, 0.05])) == pytest.approx(
        0.004, rel=1e-12
    )
