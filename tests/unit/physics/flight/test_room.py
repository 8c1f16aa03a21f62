"""Room at the tips against a section by hand: feet of fins, ends of rods, pockets."""

import numpy as np
import pytest

from tradestudy.physics.body.removed_foam import CutPocket
from tradestudy.physics.body.skin import section_at
from tradestudy.physics.flight import layout
from tradestudy.physics.flight.room import LEAST_FOAM, room, stock_lack, tip_room_count

EXTENSION, CHORD = 0.1, 0.15


@pytest.fixture(scope="module")
def data(godwit):
    """Return the Godwit with one pocket, 12 mm deep and 30 mm long, and fins that keep their size."""
    laid = godwit("scaled").layout
    pocket = CutPocket(volume=1e-5, from_centre=0.4, behind_leading_edge=0.09, length=0.03, depth=0.012)
    return laid._replace(cuts=laid.cuts._replace(pockets=(pocket,)), fins_rule="keep")


def tip_room(data, chord=CHORD, extension=EXTENSION, diameter=0.003):
    choice = layout.WingChoice(extension, data.stock.sweep, data.stock.washout, diameter, 1.0, chord)
    drawn = layout.StretchedWing(data, choice)
    return drawn.outline, room(drawn, 0.0, 0.0, stock_lack(data)).tip_room


def test_foot_of_a_fin(data):
    """Check that a foot has the chord of the tip, with its elevon of 26 mm in 172 mm of foam, less where it starts."""
    _, found = tip_room(data)
    fin = data.fins[0]
    for index in range(len(data.fins)):
        foot = data.fins[index].behind_leading_edge + data.fins[index].root_chord
        own = 0.172 + 0.026 - foot
        assert found[index] == pytest.approx(CHORD * (1 + 26 / 172) - foot - min(own, 0.0), abs=1e-12)
    longer = data._replace(fins=(fin._replace(root_chord=fin.root_chord + 0.06), *data.fins[1:]))
    own = 0.172 + 0.026 - fin.behind_leading_edge - fin.root_chord - 0.06
    assert own < 0  # a foot that hangs over on the stock wing may hang over by as much
    assert tip_room(longer)[1][0] == pytest.approx((CHORD - 0.172) * (1 + 26 / 172), abs=1e-12)


def test_ends_of_rods_and_a_pocket(data):
    wing, found = tip_room(data)
    outer = layout.outer_skin(data, wing)
    first, count = len(data.fins), len(data.rods)
    for index, rods in enumerate(layout.chosen_rods(data, 0.003, 1.0)):
        line = layout.rod_line(data, wing, rods)
        thick = thickness(outer, float(line.outer_x), float(line.outer_y))
        needed = rods.run.rods_per_place * rods.diameter + LEAST_FOAM
        assert found[first + index] == pytest.approx(thick - needed, abs=1e-5)
    place = layout.pocket_places(data, wing, EXTENSION)[0]
    for index, end in enumerate((-0.015, 0.015)):
        thick = thickness(outer, float(place[1]) + end, float(place[0]))
        assert found[first + count + index] == pytest.approx(thick - 0.012 - LEAST_FOAM, abs=1e-5)
    assert len(found) == tip_room_count(data) == first + count + 2


def test_thicker_rods_and_smaller_tips_leave_less(data):
    first = len(data.fins)
    found = tip_room(data)[1]
    thicker = tip_room(data, diameter=0.004)[1]
    assert thicker[first] == pytest.approx(found[first] - data.rods[0].rods_per_place * 0.001, abs=1e-5)
    assert np.all(tip_room(data, chord=0.14)[1] < found)


def test_other_schemes_have_none(godwit):
    for scheme in ("plug", "tip"):
        data = godwit(scheme).layout
        drawn = layout.StretchedWing(
            data, layout.WingChoice(EXTENSION, data.stock.sweep, data.stock.washout, 0.003, 1.0)
        )
        assert tip_room_count(data) == 0 and room(drawn, 0.0, 0.0, stock_lack(data)).tip_room is None


def thickness(outer, x, y):
    """Return the thickness of the section at a place, from its own points. [m]"""
    here = section_at(outer, np.array([y]))
    return np.interp(x, here.upper_x[0], here.upper_z[0]) - np.interp(x, here.lower_x[0], here.lower_z[0])
