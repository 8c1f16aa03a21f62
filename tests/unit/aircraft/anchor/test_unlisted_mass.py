"""The weight not listed of an invented wing: exact in the stock wing, growing in a stretched one, with a band."""

import numpy as np
import pytest
from helpers.references.differences import slopes_that_agree
from helpers.wings import plover

from tradestudy.aircraft.anchor.calibration import anchor_of
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.errors import RunFailed, StudyFileError
from tradestudy.physics.flight import layout
from tradestudy.study.reader import read_study
from tradestudy.uncertainty.inputs_with_bands import inputs_of

KEYS = "stock.not_listed_by_area", "stock.not_listed_by_joints"


@pytest.fixture(scope="module")
def wing(tmp_path_factory):
    study = read_study(plover.written(tmp_path_factory.mktemp("plover")))
    return study, anchor_of(study)


def shape_of(anchor, **changes):
    stock = anchor.choice
    values = {"extension": 0.0, "rod_diameter": stock.rod_diameter, "rod_pairs": float(stock.rod_pairs)} | changes
    laid, variables = anchor.data.layout, anchor.variables
    return layout.design_shape(
        laid,
        values["extension"],
        variables["sweep"],
        variables["washout"],
        values["rod_diameter"],
        values["rod_pairs"],
        stock.series,
        stock.parallel,
        variables["equipment_position"],
    )


def unlisted_in(anchor, shape):
    return shape.mass_items[..., layout.mass_item_names(anchor.data.layout).index("not listed")]


def test_stock_wing_weighs_and_balances_as_stated(wing):
    _, anchor = wing
    evaluation = SpeedSweep(anchor.data, anchor.choice, anchor.variables).evaluation
    assert float(evaluation.shape.all_up_mass) == pytest.approx(1.750, rel=1e-12)
    assert float(evaluation.balance.pack_position) == pytest.approx(0.123, rel=1e-9)  # where the study has the pack


def test_a_third_pair_of_rods_adds_the_glue_of_its_slots(wing):
    """Check by hand: a pair more is two slots in each half, each as long as the others, at the same grams a metre.

    All joints of the stock wing: 4 x 2 slots of the main rods, 4 x 1 of the rear ones with those across, halves of
    370 mm and hinges of 2 x 520 mm.
    """
    _, anchor = wing
    laid = anchor.data.layout
    outline = layout.wing_outline(laid, 0.0, laid.stock.sweep, laid.stock.washout)
    main, rear = layout.chosen_rods(laid, 0.003, 2)
    line = layout.rod_line(laid, outline, rear)
    lengths = float(layout.rod_line(laid, outline, main).length), float(line.length)
    across = float(layout.transverse_line(rear, line).length)
    joints = 8 * lengths[0] + 4 * (lengths[1] + across) + 0.370 + 2 * 0.520
    added = unlisted_in(anchor, shape_of(anchor, rod_pairs=3.0)) - unlisted_in(anchor, shape_of(anchor))
    assert added == pytest.approx(0.2 * anchor.unlisted.in_stock.mass / joints * 4 * lengths[0], rel=1e-9)


def test_slope_over_span_is_exact(wing):
    _, anchor = wing

    def grown(extension):
        return unlisted_in(anchor, shape_of(anchor, extension=extension[..., 0]))[..., None]

    assert slopes_that_agree(grown, np.array([0.1])) == 1


def test_both_shares_have_a_band_that_enters_the_band_of_the_range(wing):
    study, anchor = wing
    inputs = {each.used.key: each for each in inputs_of(study, anchor, anchor.choice) if each.used.key in KEYS}
    assert set(inputs) == set(KEYS)
    for each in inputs.values():
        low, high = (next(iter(side.values())) for side in each.sides)
        assert low < float(each.used.value) < high and each.used.origin == "judgement, no source"


def test_shares_of_more_than_all_are_refused(tmp_path):
    wanted = ("balance_from_nose =", "not_listed_by_area = 0.9\nbalance_from_nose =")
    with pytest.raises(StudyFileError) as fault:
        read_study(plover.written(tmp_path, wanted))
    assert (
        "stock.not_listed_by_area is 0.9, and stock.not_listed_by_joints is 0.2: together they may be 1 at most."
        in str(fault.value)
    )


@pytest.mark.parametrize(("over", "refused"), [(4, False), (40, True)])
def test_parts_that_outweigh_the_scale(wing, tmp_path, over, refused):
    """Check a list some grams over the scale: a little is the scale's error and stays constant, more is refused."""
    _, anchor = wing
    heavier = 40 + 1e3 * anchor.unlisted.in_stock.mass + over  # of the camera
    edit = ('name = "camera"\nmass = "40 g"', f'name = "camera"\nmass = "{heavier:.4f} g"')
    place = ('balance_from_nose = "183 mm"', 'balance_from_nose = "155 mm"')
    study = read_study(plover.written(tmp_path, edit, place))
    if refused:
        with pytest.raises(RunFailed, match="is 1750 g, but .* listed parts come to 1790 g"):
            anchor_of(study)
        return
    heavy = anchor_of(study)
    assert heavy.unlisted.in_stock.mass == pytest.approx(-0.004, abs=1e-6)
    assert unlisted_in(heavy, shape_of(heavy, extension=0.2)) == heavy.unlisted.in_stock.mass
