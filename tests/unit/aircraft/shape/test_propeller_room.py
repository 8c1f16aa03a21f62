"""How far elevons reach into the disc of a propeller, by hand for the Plover, and choices that this leaves out."""

import math
from dataclasses import replace

import pytest
from helpers.wings.plover import written

from tradestudy.aircraft.shape.propeller_room import elevon_in_disc, propeller_remark
from tradestudy.aircraft.shape.stock_shape import stock_wing
from tradestudy.commands.room_inside import doubts_about
from tradestudy.physics.geometry.stretch_schemes import stretched_planform
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


def test_a_swept_longer_wing_brings_its_elevons_back(plover):
    """Check by hand: at 30 degrees and 100 mm more on each side the tip's leading edge is 395.5 mm behind the nose."""
    stock = stock_wing(plover)
    wing = stretched_planform(stock, "scaled", "sweep_angle", 0.1, math.radians(30), 0.0)
    edge = 370 + (127 - 40) / (725 - 40) * ((725 - 40) * math.tan(math.radians(30)) + 200 - 370)
    assert 1e3 * elevon_in_disc(plover, 0.254, wing) == pytest.approx(edge - 397.5, abs=1e-6)  # 1.2 mm: just clear
    assert propeller_remark(plover, "10x6", 0.254, wing) == ""
    near = replace(plover, propeller=plover.propeller.model_copy(update={"from_nose": 0.390}))
    assert propeller_remark(near, "10x6", 0.254, wing) == (
        "the 10x6 propeller cuts 11 mm into the elevons there; from 402 mm behind the nose on it clears them"
    )


def test_check_names_a_propeller_that_cuts(tmp_path):
    path = written(tmp_path, ('size = "10x6"\nmass = "18 g"\nfrom_nose = "400 mm"', 'size = "10x6"\nmass = "18 g"\n'
                              'from_nose = "380 mm"'))  # fmt: skip
    (doubt,) = [one for one in doubts_about(read_study(path)) if one.key == "propeller.from_nose"]
    # 370 mm at 40 mm from the middle, 16.4 mm further back at the rim, 127 mm out
    assert doubt.message == (
        "propeller.from_nose is 380 mm: the 10x6 propeller cuts 9 mm into the elevons there; from 389 mm behind the "
        "nose on it clears them. Measure both again."
    )


@pytest.mark.parametrize("size", ["8x5", "10x6", "13x8"])
def test_an_assumed_place_clears_the_elevons(tmp_path, size):
    """Check that a propeller without a place lies at most 7 mm behind the elevons, or 20 mm behind the root."""
    place = 'size = "10x6"\nmass = "18 g"\nfrom_nose = "400 mm"', f'size = "{size}"\nmass = "18 g"'
    study = read_study(written(tmp_path, place))
    room = -1e3 * elevon_in_disc(study, 0.0254 * int(size.partition("x")[0]))
    # a rounded place, 6 mm behind what it has to clear, less half a disc
    assert 2.9 <= room <= 4.1 or study.propeller.from_nose == pytest.approx(0.390)
