"""Fin volume, by hand and in the ranges known from models."""

import numpy as np
import pytest
from wings import answer, tapered

from tradestudy.physics import fin, layout
from tradestudy.physics.mesh import TipFin


def test_fin_volume():
    # two fins of 1.5 dm2 each, 0.25 m behind the balance point, wing 0.3 m2 and 1.5 m: 0.03 x 0.25 / 0.45
    assert fin.fin_volume(0.03, 0.25, 0.3, 1.5) == pytest.approx(0.0166667, rel=1e-5)


def test_demonstration_wing_lies_in_the_usual_range(godwit_anchor):
    # swept tailless foam models some 0.01 to 0.03; common practice, no source
    assert 0.01 < godwit_anchor.reference.fin_volume < 0.03


def test_demonstration_wing_balances_where_such_wings_do(godwit_anchor):
    # 2-5 % for experts and racing, 5-10 % usual, 10-15 % first flights; common practice, no source
    assert 0.02 < godwit_anchor.reference.static_margin < 0.15


@pytest.mark.parametrize("span", [1.0, 1.5])
@pytest.mark.parametrize("aspect_ratio", [5, 8])
def test_arm_of_tip_fins_goes_with_span(span, aspect_ratio):
    """At given sweep and taper (tan sweep) / 2 (1 - 2 y_MAC / b) of the span whatever its size: volume follows area.

    Fins of next to no chord on the wing's quarter-chord line, margin 0 about the quarter chord of the mean chord, where
    a tapered wing's neutral point lies within 2.5 % of that chord: with it 1 % of the span.
    """
    wing = tapered(aspect_ratio, 0.5, 25, span=span)
    found = answer(wing)
    spot = TipFin(*(np.asarray(length) for length in (0.1, 0.0, 0.0, 0.0, 0.25 * wing.chord[-1])))
    place = float(layout.fin_quarter_chord(spot, wing))
    tangent, mean_station = np.tan(np.radians(25)), span / 6 * (1 + 2 * 0.5) / 1.5
    wanted = 0.5 * tangent * (1 - 2 * mean_station / span)
    quarter = found.areas.mean_aerodynamic_chord_leading_edge + 0.25 * found.areas.mean_aerodynamic_chord
    assert (place - quarter) / span == pytest.approx(wanted, rel=1e-9)
    assert (place - found.neutral_point) / span == pytest.approx(wanted, abs=0.01)
    # from the centre line: quarter of the root chord and the sweep of the line
    assert place == pytest.approx(0.25 * wing.chord[0] + 0.5 * span * tangent, rel=1e-12)
