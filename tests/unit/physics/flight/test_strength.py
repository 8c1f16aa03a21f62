"""Masses of fins as they load a wing, by hand."""

import pytest

from tradestudy.physics.flight import strength


def test_fins_on_a_tip_are_one_mass_at_their_centre():
    fins = [(0.02, 0.02 * 0.60, -1), (0.01, 0.01 * 0.75, -1), (0.05, 0.05 * 0.40, 1)]  # the last stands inboard
    assert strength._tip_mass(fins) == pytest.approx((0.03, 0.65))
    assert strength._tip_mass(fins[2:]) == (0.0, 0.0)
