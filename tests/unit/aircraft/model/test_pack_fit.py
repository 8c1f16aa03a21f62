"""Fit of a pack in its bay: length, width and height separately, for the stock wing's pack and others."""

from dataclasses import replace

import pytest
from helpers.wings.turnstone import written

from tradestudy.aircraft.anchor.calibration import stock_choice
from tradestudy.aircraft.model.pack_fit import pack_fault
from tradestudy.errors import StudyFileError
from tradestudy.search.search_space import search_space
from tradestudy.study.reader import read_study

# six 18650 cells (18.4 x 65.0 mm) in two rows of three: 10 mm of strips, 2 mm of wrap
SIZE = {"length": 140.0, "width": 57.2, "depth": 20.4}
WORD = {"length": "long", "width": "wide", "depth": "high"}
ROOM = 2.0  # 1 mm to each wall [mm]; from the rule of the study, common practice
LONG = (
    "the 3S3P pack is 205 mm long and needs 1 mm of room on each side, the belly bay has 157 mm: 50 mm too little; "
    "laid across: 9 one behind the other it would fit a bay of 169.6 x 77 x 22.4 mm"
)
WIDE = (
    'the 4S2P pack "broad" is 75.6 mm wide and needs 1 mm of room on each side, the belly bay has 61 mm: 16.6 mm too '
    "little; laid across: 8 one behind the other it would fit a bay of 151.2 x 77 x 22.4 mm"
)
# pouches of 1.5 instead of 2.2 Ah, so 0.8801 times as long, wide and thick: 88.01 x 29.04 x 6.42 mm; across: six times
# 29.04 mm and 2 mm along, 88.01 mm and 10 mm across, twice 6.42 mm and 2 mm high, each with room
FLAT = (
    'the 4S3P pack "flat" is 362.1 mm long and needs 1 mm of room on each side, the belly bay has 157 mm: 207.1 mm too '
    "little; laid across: 6 one behind the other in 2 layers it would fit a bay of 178.3 x 100 x 16.9 mm"
)
FILE = {"length": "157 mm", "width": "61 mm", "depth": "23 mm"}


def in_bay(study, **sizes):
    """Return the study whose pack bay has these sizes [mm]."""
    bays = tuple(
        bay.model_copy(update={name: 1e-3 * size for name, size in sizes.items()})
        if bay.name == study.pack.bay
        else bay
        for bay in study.bay
    )
    return replace(study, bay=bays)


@pytest.mark.parametrize("side", SIZE)
def test_a_pack_fits_to_the_tenth_of_a_millimetre_and_no_further(turnstone_study, side):
    choice, just = stock_choice(turnstone_study), {name: size + ROOM for name, size in SIZE.items()}
    assert pack_fault(in_bay(turnstone_study, **just), choice) is None
    short = in_bay(turnstone_study, **just | {side: just[side] - 0.1})
    fault, _, remedy = pack_fault(short, choice).partition("; ")
    assert fault == (
        f"the 3S2P pack is {SIZE[side]:g} mm {WORD[side]} and needs 1 mm of room on each side, "
        f"the belly bay has {just[side] - 0.1:g} mm: 0.1 mm too little"
    )
    other = "under a lid raised by 1 mm (choices.raised_lid)" if side == "depth" else "a bay of 142 x 59.2 x 22.4 mm"
    assert remedy == f"laid in 2 rows of 3 it would fit {other}"


@pytest.mark.parametrize("side", SIZE)
def test_a_study_whose_own_pack_does_not_fit_is_refused(tmp_path, side):
    name = f'{side} = "{FILE[side]}"'
    tight = f'{side} = "{SIZE[side] + ROOM - 1.0:.1f} mm"'
    with pytest.raises(StudyFileError) as raised:
        read_study(written(tmp_path, (name, tight)))
    words = f'{WORD[side]}, and it needs 1 mm of room on each side; the {side} of bay "belly" is'
    assert [words in fault.message for fault in raised.value.faults] == [True]
    just = f'{side} = "{SIZE[side] + ROOM:.1f} mm"'
    # middle of the pack, in a bay that is no longer than the pack and its room
    moved = ('from_nose = "122 mm"', 'from_nose = "117 mm"')
    assert read_study(written(tmp_path, (name, just), *([moved] if side == "length" else [])))


@pytest.mark.parametrize(
    ("chosen", "fault"),
    [
        ({"parallel": 1}, None),
        ({"parallel": 3}, LONG),
        ({"pack": "broad", "series": 4}, WIDE),
        # twelve pouches of 1.5 Ah, three high in four rows of one
        (
            {"pack": "flat", "series": 4, "parallel": 3},
            FLAT,
        ),
    ],
)
def test_the_chosen_pack_counts(turnstone_study, chosen, fault):
    assert pack_fault(turnstone_study, replace(stock_choice(turnstone_study), **chosen)) == fault


def test_a_pack_in_two_layers_that_is_too_high_alone(turnstone_study):
    """Check a pack in two layers of three, half as long and twice as high, that is only too high."""
    listed = tuple(
        one.model_copy(update={"cells_high": 2, "cells_across": 3, "series": 3, "parallel": 2})
        if one.name == "broad"
        else one
        for one in turnstone_study.pack_choice
    )
    choice = replace(stock_choice(turnstone_study), pack="broad")
    assert pack_fault(replace(turnstone_study, pack_choice=listed), choice) == (
        'the 3S2P pack "broad" is 38.8 mm high and needs 1 mm of room on each side, the belly bay has 23 mm: 17.8 mm '
        "too little; laid in 2 rows of 3 it would fit"
    )


def test_packs_that_do_not_fit_are_set_aside_with_the_reason(turnstone_study, turnstone_anchor):
    lists = turnstone_study.choices.model_copy(
        update={"parallel": (2, 3), "pack": ("broad",), "propeller": None, "rod_pairs": None, "rod_diameter": None}
    )
    space = search_space(replace(turnstone_study, choices=lists), turnstone_anchor)
    assert [choice.pack_key for choice in space.choices] == [("", 3, 2)]
    assert space.excluded == [LONG, WIDE]
