"""A nose-heavy build of an invented wing: what moves its balance, by moments about the nose."""

import pytest
from helpers.wings import plover

from tradestudy.commands.assess import assess

# the pack has a bay with hardly any room to slide, and the stretched wing needs it further back
SHORT_BAY = ('length = "170 mm"\nwidth = "120 mm"', 'length = "158 mm"\nwidth = "120 mm"')


@pytest.fixture(scope="module")
def result(tmp_path_factory):
    return assess(plover.written(tmp_path_factory.mktemp("nose heavy"), SHORT_BAY), span=plover.SPAN)


@pytest.fixture(scope="module")
def wing(result):
    return result.best


@pytest.fixture(scope="module")
def moves(wing):
    return {one.what: one for one in wing.balance.moves}


def test_pack_at_the_back_of_its_bay_leaves_the_balance_ahead_of_the_mark(wing, moves):
    """Check by hand: the weight times what is missing is the pack times what its bay lacks."""
    numbers, masses, pack = wing.numbers, wing.masses_g, moves["pack in the bay main"]
    end = next(one for one in wing.balance.reasons if one.why == "the pack at the back of its bay").behind_nose_mm
    assert wing.balance.missing_mm == pytest.approx(numbers.cg_mm - end, abs=2e-3) and wing.balance.missing_mm > 1
    assert not pack.enough
    missing_pack = wing.balance.missing_mm * numbers.auw_g / masses["pack"]
    assert pack.needed == pytest.approx(missing_pack, rel=1e-3)
    assert "pack_aft" in [state.name for state in wing.limits if not state.met]


def test_ten_millimetres_of_each_thing(wing, moves):
    weight, masses = wing.numbers.auw_g, wing.masses_g
    for what, grams in (("pack in the bay main", masses["pack"]), ("camera", 40.0), ("servos", 50.0)):
        assert moves[what].mark_per_ten_mm == pytest.approx(10 * grams / weight, abs=1e-4)


def test_moves_stand_in_order_of_cost(wing):
    names = [one.what for one in wing.balance.moves]
    assert names == [
        "pack in the bay main",
        "servos",
        "camera",
        "receiver and GPS",
        "a lighter nose, ahead of the bays",
        "ballast at the motor",
    ]


def test_amount_of_each_move_brings_the_balance_to_the_mark(wing, moves):
    """Check each amount by adding up the moments of the changed wing, in grams and millimetres."""
    weight, mark = wing.numbers.auw_g, wing.numbers.cg_mm
    now = weight * (mark - wing.balance.missing_mm)
    camera = moves["camera"]
    assert (now + 40.0 * camera.needed) / weight == pytest.approx(mark, abs=2e-3)
    # the middle of what lies ahead of the bay at 45 mm
    nose = moves["a lighter nose, ahead of the bays"].needed
    assert (now - nose * 22.5) / (weight - nose) == pytest.approx(mark, abs=2e-3)
    lead = moves["ballast at the motor"].needed
    assert (now + lead * 375.0) / (weight + lead) == pytest.approx(mark, abs=2e-3)
    ten = moves["ballast at the motor"].mark_per_ten_mm
    assert ten == pytest.approx((now + 10 * 375.0) / (weight + 10) - now / weight, abs=1e-3)


def test_room_is_that_of_another_bay(moves):
    assert moves["camera"].most == pytest.approx(284 - 28)  # to the back of the rear bay
    assert not moves["servos"].enough and moves["servos"].most == 0  # they are behind every bay


def test_wing_that_balances_needs_no_ballast(result):
    assert result.stock.balance.missing_mm == 0
    assert not [one for one in result.stock.balance.moves if "ballast" in one.what or one.needed is not None]
