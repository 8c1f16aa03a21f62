"""Fin volume, by hand."""

import pytest

from tradestudy.physics import fin


def test_fin_volume():
    # two fins of 1.5 dm2 each, 0.25 m behind the balance point, wing 0.3 m2 and 1.5 m: 0.03 x 0.25 / 0.45
    assert fin.fin_volume(0.03, 0.25, 0.3, 1.5) == pytest.approx(0.0166667, rel=1e-5)


def test_demonstration_wing_lies_in_the_usual_range(godwit_anchor):
    # swept tailless foam models some 0.01 to 0.03; common practice, no source
    assert 0.01 < godwit_anchor.reference.fin_volume < 0.03
