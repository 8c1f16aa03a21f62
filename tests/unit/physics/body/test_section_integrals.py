"""Integrals of a section, against quadrature of a published thickness and sums round its outline."""

import numpy as np
import pytest

from tradestudy.physics.body.section_integrals import section_integrals
from tradestudy.physics.body.skin import section_points
from tradestudy.physics.sections import airfoil

CHORDS = (0.2, 0.2), (1e-9, 1e-9)  # no elevon


def test_area_and_moments_are_those_of_the_published_thickness():
    # NACA report 460 (1933): thickness of the four-digit sections, here 12 %
    x = np.linspace(0, 1, 200001)
    half = 0.6 * (0.2969 * np.sqrt(x) - 0.1260 * x - 0.3516 * x**2 + 0.2843 * x**3 - 0.1015 * x**4)
    outline = airfoil.coordinates_by_name("naca0012")
    root, change = section_integrals(section_points(outline, outline, *CHORDS, None))
    for value, power in ((root.area, 0), (root.area_moment, 1), (root.area_second, 2)):
        assert value == pytest.approx(np.trapezoid(2 * half * x**power, x), rel=2e-3)
    step = np.hypot(np.diff(x), np.diff(half))
    middle = 0.5 * (x[1:] + x[:-1])
    face = 2 * half[-1]
    assert root.outline == pytest.approx(2 * step.sum() + face, rel=1e-3)
    assert root.outline_moment == pytest.approx(2 * step @ middle + face, rel=2e-3)
    assert root.outline_second == pytest.approx(2 * step @ middle**2 + face, rel=2e-3)
    assert change == pytest.approx([0.0] * 6, abs=1e-12)


def test_foam_ahead_of_the_hinge_and_the_change_to_the_tip():
    """Compare a cambered root and a thicker tip with the shoelace formula and its moments."""
    outlines = [airfoil.coordinates_by_name(name) for name in ("mh60", "naca23015")]
    points = section_points(*outlines, (0.25, 0.15), (0.05, 0.03), None)
    root, change = section_integrals(points)
    foam = slice(points.hinge + 1)
    x = points.foam_share[foam]
    for numbers, share in ((np.array(root), 0.0), (np.array(root) + np.array(change), 1.0)):
        upper, lower = points.upper + share * points.upper_change, points.lower + share * points.lower_change
        ring = np.concatenate([np.column_stack([x, upper[foam]])[::-1], np.column_stack([x, lower[foam]])])
        ahead, behind = ring[:, 0], np.roll(ring[:, 0], -1)
        cross = 0.5 * (ring[:, 0] * np.roll(ring[:, 1], -1) - np.roll(ring[:, 0], -1) * ring[:, 1])
        assert numbers[0] == pytest.approx(cross.sum(), rel=1e-12)
        assert numbers[1] == pytest.approx((cross * (ahead + behind)).sum() / 3, rel=1e-12)
        assert numbers[2] == pytest.approx((cross * (ahead**2 + ahead * behind + behind**2)).sum() / 6, rel=1e-12)
