"""How far elevons reach into the disc of a propeller, by hand for the Plover, and choices that this leaves out."""

import math
from dataclasses import replace

import pytest
from helpers.wings.plover import written

from tradestudy.aircraft.shape.propeller_room import elevon_in_disc
from tradestudy.search.search_space import _propeller_fault
from tradestudy.study.reader import read_study


@pytest.fixture(scope="module")
def plover(tmp_path_factory):
    return read_study(written(tmp_path_factory.mktemp("plover")))


@pytest.mark.parametrize("inches", [8, 10, 14])
def test_reach_by_hand(plover, inches):
    """Check the trailing edge at the rim: 370 mm behind the nose at 40 mm, 110 mm further back at the tip."""
    rim = 12.7 * inches
    edge = 370 + (rim - 40) / (625 - 40) * (280 + 200 - 370)
    # the disc is 5 mm thick, 400 mm behind the nose
    assert 1e3 * elevon_in_disc(plover, 0.0254 * inches) == pytest.approx(edge - 397.5, abs=1e-6)


def test_a_propeller_inside_the_elevons_cuts_nothing(plover):
    assert elevon_in_disc(plover, 2 * plover.elevon.inner_end) == -math.inf


def test_only_a_propeller_worse_than_that_of_the_stock_wing_is_left_out(plover):
    from tradestudy.aircraft.anchor.calibration import stock_choice

    choice = stock_choice(plover)
    near = replace(plover, propeller=plover.propeller.model_copy(update={"from_nose": 0.392}))
    assert _propeller_fault(near, choice) is None
    assert _propeller_fault(near, replace(choice, propeller="14x7")) == (
        "a 14x7 propeller would cut 6 mm into the elevons"
    )
