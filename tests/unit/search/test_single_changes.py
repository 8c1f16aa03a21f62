"""One change alone: the pack, the propeller and motor, or the span, with everything else as on the stock wing."""

from dataclasses import replace

import pytest

from tradestudy.search import single_changes as changes
from tradestudy.search.search_task import SearchResult


@pytest.fixture
def solved(turnstone_space, monkeypatch):
    """Answer every search at once: the range is 1 km for each inch of pitch; searches are listed."""
    asked = []

    def solve(space, choice, starts, fixed=None):
        asked.append((choice, fixed))
        pitch = float(choice.propeller.partition("x")[2])
        return SearchResult(choice, starts[0] | (fixed or {}), 0.0, 1e3 * pitch, {}, [], choice.parallel < 9)

    monkeypatch.setattr(changes, "solve", solve)
    monkeypatch.setattr(changes, "closest_to_feasible", lambda space, near, fixed: replace(near, gain=-1.0))
    return asked


def ranked(space, *choices):
    return [SearchResult(choice, dict(space.anchor.variables), 0.0, 9e3, {}, [], True) for choice in choices]


def test_the_drive_alone_keeps_span_pack_and_rods(turnstone_space, solved):
    stock = turnstone_space.anchor.choice
    other = next(each for each in turnstone_space.choices if each.propeller != stock.propeller)
    own = replace(stock, rod_pairs=stock.rod_pairs + 1)
    found = dict(changes.single_changes(turnstone_space, ranked(turnstone_space, other, own)))
    assert list(found) == [changes.DRIVE, changes.SPAN]
    assert found[changes.DRIVE].variables["extension"] == 0.0
    assert {choice.propeller for choice, _ in solved} == {each.propeller for each in turnstone_space.choices}
    for choice, fixed in solved:
        assert replace(choice, propeller=stock.propeller, motor=stock.motor, throttle_cap=stock.throttle_cap) == stock
        assert fixed["extension"] == 0.0
    steepest = max(solved, key=lambda each: float(each[0].propeller.partition("x")[2]))
    assert found[changes.DRIVE].choice == steepest[0]
    assert found[changes.SPAN].choice == own


def test_the_pack_alone_keeps_propeller_and_rods(turnstone_space, solved):
    stock = turnstone_space.anchor.choice
    bigger = replace(stock, parallel=stock.parallel + 1, rod_pairs=stock.rod_pairs + 1)
    found = dict(changes.single_changes(turnstone_space, ranked(turnstone_space, bigger)))
    assert list(found) == [changes.PACK]
    assert found[changes.PACK].choice == replace(stock, parallel=stock.parallel + 1)


def test_a_pack_that_breaks_limits_alone_is_shown_where_it_breaks_them_least(turnstone_space, solved):
    huge = replace(turnstone_space.anchor.choice, parallel=9)
    found = dict(changes.single_changes(turnstone_space, ranked(turnstone_space, huge)))
    assert found[changes.PACK].gain == -1.0


def test_a_wing_with_the_stock_parts_has_no_single_change(turnstone_space, solved):
    assert changes.single_changes(turnstone_space, ranked(turnstone_space, turnstone_space.anchor.choice)) == []
    assert solved == []
