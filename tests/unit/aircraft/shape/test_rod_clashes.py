"""Rods over a bay and rods that cross, on the Godwit with its rods moved."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from helpers.wings.fitting_wings import random_designs, random_laid_designs

from tradestudy.aircraft.anchor.calibration import anchor_of
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.shape.rod_clashes import rod_clashes
from tradestudy.physics.flight import layout
from tradestudy.physics.flight.room import room, stock_lack
from tradestudy.physics.geometry.planform import interpolated
from tradestudy.search.search_space import search_space


def clashes(study, data, pairs=2, **front):
    """Return the clashes of the stock wing, with values of the front set changed."""
    rods = (study.rods[0].model_copy(update=front), *study.rods[1:])
    changed = {key: value for key, value in front.items() if key in data.layout.rods[0]._fields}
    laid = data.layout._replace(rods=(data.layout.rods[0]._replace(**changed), *data.layout.rods[1:]))
    wing = layout.wing_outline(laid, 0.0, laid.stock.sweep, laid.stock.washout)
    return rod_clashes(replace(study, rods=rods), laid, wing, 0.003, pairs)


def test_the_rods_of_the_demo_keep_apart(godwit_study, godwit_anchor):
    assert clashes(godwit_study, godwit_anchor.data) == []
    assert clashes(godwit_study, godwit_anchor.data, pairs=3) == []


def test_a_rod_that_starts_on_the_centre_line_runs_over_the_bay(godwit_study, godwit_anchor):
    data = godwit_anchor.data
    bay = godwit_study.bay[0]
    assert clashes(godwit_study, data, inner_end=0.0) == ["rods front run over bay nose"]
    # half the width of the bay and half a rod; 1 mm more is free
    free = 0.5 * bay.width + 0.0015
    assert clashes(godwit_study, data, inner_end=free + 0.001) == []
    assert clashes(godwit_study, data, inner_end=free - 0.001) == ["rods front run over bay nose"]
    assert clashes(godwit_study, data, inner_end=0.0, crosses_bay="free") == []


def test_a_bay_beside_the_centre_line_is_where_it_is(godwit_study, godwit_anchor):
    """Check rods that start inside, in and outside of a bay from 60 to 100 mm, and those that end before it."""
    bay = godwit_study.bay[0].model_copy(update={"from_centre": 0.080, "width": 0.040, "divider": None})
    study = replace(godwit_study, bay=(bay,))
    over = ["rods front run over bay nose"]
    for inner_end, found in ((0.0, over), (0.090, over), (0.103, [])):
        assert clashes(study, godwit_anchor.data, inner_end=inner_end) == found
    assert clashes(study, godwit_anchor.data, inner_end=0.0, outer_end=0.057) == []


def test_a_rod_through_the_divider_behind_a_bay_is_named_with_its_bay(godwit_study, godwit_anchor):
    """Check a straight line across the middle, 2 mm behind the bay: free without a divider of 3 mm."""
    data, bay = godwit_anchor.data, godwit_study.bay[0]
    wing = layout.wing_outline(data.layout, 0.0, data.layout.stock.sweep, data.layout.stock.washout)
    edge, chord = interpolated(wing, (wing.leading_edge, wing.foam_chord), np.array([0.04, 0.3]))
    first, last = ((bay.from_nose + bay.length + 0.0035 - edge) / chord).tolist()
    line = {"chord_fraction": first, "tip_chord_fraction": last, "inner_end": 0.0, "outer_end": 0.3}
    for divider, found in ((0.0, []), (0.003, ["rods front run over bay nose"])):
        study = replace(godwit_study, bay=(bay.model_copy(update={"divider": divider}),))
        assert clashes(study, data, pairs=1, **line) == found


def test_sets_that_cross_are_named(godwit_study, godwit_anchor):
    """Check a front set that starts behind the rear one at the root: on the way to the tip it crosses it."""
    found = clashes(godwit_study, godwit_anchor.data, pairs=1, chord_fraction=0.85, tip_chord_fraction=0.25)
    assert found == ["rods front cross rods rear"]


@pytest.mark.parametrize(("fraction", "excluded"), [(0.78, True), (0.818, False), (0.84, False)])
def test_choices_whose_rods_clash_in_the_stock_wing_are_excluded(godwit_study, fraction, excluded):
    """Check a set behind the bay: a second pair reaches forward over it. A limit stops what only sweep brings there."""
    found = [each for each in _space(godwit_study, fraction).excluded if "2 pairs of 3 mm" in each]
    assert found == ["with 2 pairs of 3 mm, rods front run over bay nose"] * excluded


def _space(godwit_study, fraction, cut=False):
    """Return the search space of the Godwit with one set of rods behind its bay, one pair or two."""
    rear = godwit_study.rods[0].model_copy(
        update={"chord_fraction": fraction, "tip_chord_fraction": 0.6, "inner_end": 0.0, "pairs": 1}
    )
    choices = godwit_study.choices.model_copy(update={"rod_pairs": (1, 2), "parallel": None, "propeller": None})
    bays = tuple(bay.model_copy(update={"cut_to_pack": cut}) for bay in godwit_study.bay)
    study = replace(godwit_study, rods=(rear,), choices=choices, bay=bays)
    return search_space(study, anchor_of(study))


@pytest.mark.parametrize("cut", [False, True])
def test_a_limit_keeps_rods_clear_of_a_bay_that_only_a_swept_wing_brings_them_to(godwit_study, cut):
    """Check the limit against the lines of the rods from above, at all corners of span, sweep, tip chord and margin.

    A bay that is cut to its pack lies farther back with less static margin.
    """
    space = _space(godwit_study, 0.818, cut)
    choice = next(each for each in space.choices if each.rod_pairs == 2 and bool(each.layout) == cut)
    (limit,) = [one for one in space.limits(choice) if one.name == "rods_clear"]
    names, met = ("extension", "sweep", "tip_chord", "static_margin"), []
    for ends in itertools.product(*(space.bounds[name] for name in names)):
        variables = space.anchor.variables | dict(zip(names, ends, strict=True))
        design = EvaluatedDesign(space.study, space.data(choice), choice, variables)
        margin = limit.margin(design.evaluation.by_name()[limit.output]).min()
        laid, wing = design.data.layout, design.solution.wing
        over = rod_clashes(design.study, laid, wing, choice.rod_diameter, choice.rod_pairs)
        assert (margin >= 0) == (over == [])
        met.append(margin >= 0)
    assert any(met) and not all(met)


@pytest.mark.thorough
@pytest.mark.parametrize("laid", [False, True])
def test_the_limit_says_the_same_as_the_lines_for_wings_by_chance(tmp_path, laid):
    """Check bays that stay and bays cut to their packs, after a stretch, where the stock wing's rods are clear."""
    designs, compared = (random_laid_designs if laid else random_designs)(3, 40, tmp_path), 0
    for design in designs:
        data, wing, choice = design.data.layout, design.solution.wing, design.choice
        place = design.evaluation.balance.pack_position
        stock = layout.wing_outline(data, 0.0, data.stock.sweep, data.stock.washout)
        numbers = choice.rod_diameter, choice.rod_pairs
        if any("run over" in each for each in rod_clashes(design.study, data, stock, *numbers)):
            continue
        choice = layout.WingChoice(
            design.variables["extension"], data.stock.sweep, data.stock.washout, *map(np.asarray, numbers)
        )
        drawn = layout.StretchedWing(data, choice)
        left = room(drawn, np.asarray(place), 0.0, stock_lack(data)).rod_room
        over = [each for each in rod_clashes(design.study, data, wing, *numbers) if "run over" in each]
        assert (left is not None and left.min() < 0) == bool(over)
        compared += left is not None
    assert compared > 5
