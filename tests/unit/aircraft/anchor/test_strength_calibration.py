"""Strength by the loads that the stock wing has carried: no wing that flies breaks under them."""

from dataclasses import replace

import numpy as np
import pytest
from helpers.wings.odd_wings import written

from tradestudy.aircraft.anchor.calibration import anchor_of, stretched_data
from tradestudy.aircraft.anchor.strength_calibration import SURELY_CARRIED
from tradestudy.aircraft.model.limit_bounds import PULL_UP
from tradestudy.aircraft.model.model_data import model_data
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.physics.flight.strength import WingChoice, half_wing
from tradestudy.physics.structure.failure_modes import WING_MODES
from tradestudy.physics.weights.unlisted import NOTHING_UNLISTED
from tradestudy.study.reader import read_study

HEAVY = (('flying_weight = "1150 g"', 'flying_weight = "3400 g"'),)  # too heavy for the assumed strength of its foam


@pytest.fixture(scope="module")
def heavy(tmp_path_factory):
    """Return study and anchor of a heavy wing of foam alone."""
    study = read_study(written(tmp_path_factory.mktemp("heavy"), "foam alone", *HEAVY))
    return study, anchor_of(study)


def test_a_wing_that_flies_carries_launch_and_turns(heavy):
    _, anchor = heavy
    assert anchor.reference.failure_load_factor == pytest.approx(SURELY_CARRIED, rel=1e-5)
    row = anchor.calibration[-1]
    assert row.measured == SURELY_CARRIED == pytest.approx(row.after, abs=2e-3)  # tolerance: digits of the result
    assert row.before == pytest.approx(row.measured / anchor.strength_factor, abs=1e-3)
    (flag,) = (each for each in anchor.flags if "every wing that flies" in each)
    assert f"{anchor.strength_factor:.2f} times" in flag


def test_what_a_wing_shall_carry_makes_it_no_stronger(heavy, tmp_path):
    """Check that a harder pull-up in [fly] leaves the strength as it is: nobody knows that the wing carried it."""
    harder = anchor_of(read_study(written(tmp_path, "foam alone", *HEAVY, ("[fly]", "[fly]\npull_up = 6"))))
    assert harder.strength_factor == pytest.approx(heavy[1].strength_factor, rel=0.05)  # a soft wing sheds some load
    assert harder.reference.utilisation[PULL_UP] > 1.5


def test_stretched_wings_carry_the_same_factor(heavy):
    study, anchor = heavy
    data = stretched_data(study, anchor, anchor.choice, anchor.data.flight.slowest_speed)
    assert data.strength.strength_factor == anchor.strength_factor > 1.1
    bare = data.strength._replace(strength_factor=1.0)
    values = {"cruise_speed": 16.0, **anchor.variables}
    weak, strong = (
        SpeedSweep(replace(data, strength=each), anchor.choice, values).cruising_at(16.0).evaluation.structure
        for each in (bare, data.strength)
    )
    # the rounded corner of a utilisation adds 5e-7 at 1
    np.testing.assert_allclose(strong.failure_load_factor, anchor.strength_factor * weak.failure_load_factor, rtol=1e-5)
    np.testing.assert_array_equal(strong.tip_deflection, weak.tip_deflection)


def test_a_strong_wing_keeps_the_assumed_strength(godwit_anchor):
    assert godwit_anchor.strength_factor == 1.0
    assert not any("carried" in row.what for row in godwit_anchor.calibration)


def test_the_film_is_part_of_the_bending(tmp_path):
    """Check that a second layer of film adds as much bending stiffness as the first.

    At the centre only the film that runs past the bay is left: all but 150 mm of 310 mm.
    """
    data = [
        model_data(read_study(written(tmp_path, "foam alone", ("[covering]", table))), NOTHING_UNLISTED)
        for table in ("[covering]", '[covering]\nthickness = "76 um"')
    ]
    stock = data[0].layout.stock
    thin, thick = (half_wing(each.strength, WingChoice(0.0, stock.sweep, 0.0, 0.001, 0)).beam for each in data)
    assert thin.covering_rigidity[0] > 1.0  # N m2
    added = thick.bending_rigidity - thin.bending_rigidity
    np.testing.assert_allclose(added, thin.covering_rigidity, rtol=1e-9)
    assert data[0].strength.remaining_film == pytest.approx(1 - 150 / 310, abs=3e-3)  # 400 points along the chord
    centre = [row.unit_utilisation[WING_MODES.index("foam crushed at the cut centre"), 0] for row in (thin, thick)]
    assert centre[1] < 0.8 * centre[0]
