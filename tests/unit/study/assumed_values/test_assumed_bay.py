"""The bay assumed for a study that leaves it open lies inside the skin, or the pack is refused in millimetres."""

import re

import pytest
from helpers.wings.plover import written as plover
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tradestudy.aircraft.shape.stock_fit import refuse_what_does_not_fit, stock_fits
from tradestudy.errors import StudyFileError
from tradestudy.study.assumed_values.bay_room import BayNeeds, CellArrangement, WingMiddle, least_bay
from tradestudy.study.reader import read_study, study_from_tables, toml_tables

SMALL = """
[stock]
span = "{span} mm"
centre_width = "{centre} mm"
root_chord = "{root} mm"
tip_chord = "{tip} mm"
elevon_chord = "{elevon} mm"
tip_set_back = "{set_back} mm"
root_thickness = "{thickness} mm"
balance_from_nose = "{balance} mm"
flying_weight = "{weight} g"

[rods]
diameter = "3 mm"

[power]
motor = "35 mm class, 640 rpm/V"
propeller = "10x6"
pack = "{pack}"

[stretch]
scheme = "scaled"
longest = "1950 mm"
keep = "set_back"
"""


def read(tmp_path, more="", **lengths):
    path = tmp_path / "small.toml"
    text = SMALL.format(**lengths) + more
    return study_from_tables(toml_tables(path, text), path, text)


@st.composite
def believable_wings(draw):
    """Draw a wing as builders of such wings know them: common practice, no source."""
    span = draw(st.integers(1000, 1500))
    root = round(draw(st.floats(0.24, 0.28)) * span)
    elevon = draw(st.integers(36, 48))
    tip = round(draw(st.floats(0.5, 0.65)) * root)
    thickness = round(draw(st.floats(0.145, 0.17)) * root)
    sweep = draw(st.floats(0.40, 0.52))  # tangent of the sweep of the leading edge
    centre = draw(st.sampled_from([0, 0, 60, 90]))
    return {
        "span": span,
        "centre": centre,
        "root": root,
        "tip": tip,
        "elevon": elevon,
        "thickness": thickness,
        "set_back": round(sweep * 0.5 * (span - centre)),
        "balance": round(0.55 * root),
        "weight": 2400,
        "pack": draw(st.sampled_from(["3S1P Li-ion", "4S1P Li-ion", "4S2P Li-ion", "5S2P Li-ion", "6S1P Li-ion"])),
    }


@pytest.mark.thorough
@settings(max_examples=60, deadline=None)
@given(believable_wings())
def test_the_assumed_bay_of_a_believable_wing_lies_inside_the_skin(tmp_path_factory, wing):
    """Check the smooth skin, which the rule does not know, with the pack of the study inside the bay."""
    needed = 26 + 6  # height of a bay for round cells of 21.5 mm, with lid and floor [mm]
    assume(0.75 * wing["thickness"] > needed)
    study = read(tmp_path_factory.getbasetemp(), **wing)
    refuse_what_does_not_fit(study)
    (bay,) = study.bay
    assert all(fit.room >= 0 for fit in stock_fits(study))
    assert bay.depth >= 0.0255 - 1e-9


PRACTICE = {"span": 1300, "centre": 0, "root": 325, "tip": 170, "elevon": 45, "thickness": 50, "set_back": 310}
REST = {"balance": 190, "weight": 1900, "pack": "4S2P Li-ion"}


def test_the_bay_of_a_usual_wing_is_the_usual_bay(tmp_path):
    """Check a bay of 90 to 135 by 170 to 200 mm, 40 to 50 mm behind the nose: common practice, no source."""
    (bay,) = read(tmp_path, "[choices]\nparallel = [2]\n", **PRACTICE, **REST).bay
    assert 0.090 <= bay.width <= 0.135
    assert 0.170 <= bay.length <= 0.200
    assert 0.040 <= bay.from_nose <= 0.050


def test_a_pack_that_does_not_fit_is_refused_in_millimetres(tmp_path):
    study = read(tmp_path, **PRACTICE | {"thickness": 27, "root": 240, "tip": 120}, **REST)
    with pytest.raises(StudyFileError) as raised:
        refuse_what_does_not_fit(study)
    (fault,) = raised.value.faults
    assert fault.key == "power.pack"
    assert fault.line == study.text.splitlines().index('pack = "4S2P Li-ion"') + 1
    assert re.search(r"a 4S2P pack of 80\.5 x 174\.0 x 23\.5 mm does not fit .* [\d.]+ mm too little", fault.message)


MIDDLE = WingMiddle(0.65, 0.0, 0.370, 0.215, 0.310, 0.050, 0.029, 0.325, 0.015)
NARROW, WIDE = CellArrangement(4, 0.151, 0.088, 0.0235), CellArrangement(8, 0.151, 0.174, 0.0235)
NEEDS = BayNeeds(room=0.001, play=0.030, walls=0.006, from_nose=None, length=None, width=None, depth=None)


def test_both_ends_of_the_bay_stand_where_the_section_is_just_high_enough():
    bay = least_bay(MIDDLE, NEEDS._replace(play=0.1), ((NARROW,),))
    height = bay.depth + NEEDS.walls
    for place, beyond in ((bay.from_nose, -0.001), (bay.from_nose + bay.length, 0.001)):
        assert MIDDLE.room(place, 0.5 * bay.width) >= height > MIDDLE.room(place + beyond, 0.5 * bay.width)


def test_a_trial_pack_that_has_no_place_beside_the_stock_pack_is_left_out():
    alone, both = (least_bay(MIDDLE, NEEDS, packs) for packs in (((NARROW,),), ((NARROW,), (WIDE,))))
    assert both == alone
    assert alone.fits
    assert not least_bay(MIDDLE, NEEDS, ((WIDE,),)).fits


def test_lengths_that_the_study_gives_are_kept():
    bay = least_bay(MIDDLE, NEEDS._replace(width=0.1, from_nose=0.060), ((NARROW,),))
    assert (bay.width, bay.from_nose) == (0.1, 0.060)


def test_a_bay_a_little_too_high_is_told_the_lid_that_makes_room(tmp_path):
    """Check the proposed lid: with it the study is accepted, and with one that is 1 mm lower it is not."""

    def with_lid(lid):
        raised = f'raised_lid = "{lid} mm"\n' if lid else ""
        study = plover(tmp_path, ('depth = "26 mm"\ndivider', f'depth = "35 mm"\n{raised}divider'))
        refuse_what_does_not_fit(read_study(study))

    with pytest.raises(StudyFileError) as refused:
        with_lid(0)
    (lid,) = re.findall(r'or let its lid stand above the skin: raised_lid = "(\d+) mm"', str(refused.value))
    with_lid(int(lid))
    with pytest.raises(StudyFileError, match="mm that stand above the skin"):
        with_lid(int(lid) - 1)


def test_a_middle_piece_as_wide_as_the_wing_is_refused_and_no_crash(tmp_path):
    lengths = {"root": 320, "tip": 170, "elevon": 42, "set_back": 280, "thickness": 52, "balance": 185, "weight": 1700}
    with pytest.raises(StudyFileError, match="must be less than stock.span"):
        read(tmp_path, span=900, centre=900, pack="4S2P Li-ion", **lengths)
