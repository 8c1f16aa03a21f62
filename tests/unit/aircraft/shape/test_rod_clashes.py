"""Rods over a bay and rods that cross, on the Godwit with its rods moved."""

from dataclasses import replace

import numpy as np
import pytest

from tradestudy.aircraft.anchor.calibration import anchor_of
from tradestudy.aircraft.shape.rod_clashes import rod_clashes
from tradestudy.physics.flight import layout
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


@pytest.mark.parametrize(
    ("fraction", "where"), [(0.78, ""), (0.818, "at a span of 1300 mm and a sweep of "), (0.84, None)]
)
def test_choices_whose_rods_clash_are_excluded(godwit_study, fraction, where):
    """Check a set behind the bay: a second pair reaches forward over it, farther back where the wing is swept more."""
    rear = godwit_study.rods[0].model_copy(
        update={"chord_fraction": fraction, "tip_chord_fraction": 0.6, "inner_end": 0.0, "pairs": 1}
    )
    choices = godwit_study.choices.model_copy(update={"rod_pairs": (1, 2), "parallel": None, "propeller": None})
    bays = tuple(bay.model_copy(update={"cut_to_pack": False}) for bay in godwit_study.bay)
    study = replace(godwit_study, rods=(rear,), choices=choices, bay=bays)
    space = search_space(study, anchor_of(study))
    excluded = [each for each in space.excluded if "run over bay nose" in each]
    assert bool(excluded) == (where is not None)
    thin = next((each for each in excluded if "2 pairs of 3 mm" in each), "bay nose")
    assert where in thin if where else thin.endswith("bay nose")
