"""One change alone: the pack, the propeller and motor, or the span, with everything else as on the stock wing."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from tradestudy.search import single_changes as changes
from tradestudy.search.search_task import SearchResult, SearchTask


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


def tried(asked):
    """Return propeller, cells in parallel and whether the balance is held, for each search in its order."""
    return [(choice.propeller, choice.parallel, "static_margin" in fixed) for choice, fixed in asked]


def test_the_wing_that_changes_least_is_tried_first(turnstone_space, solved):
    """Check the order where nothing gains enough, and that no such wing is then named."""
    stock = turnstone_space.anchor.choice
    drive = next(each.propeller for each in turnstone_space.choices if each.propeller != stock.propeller)
    (best,) = ranked(turnstone_space, replace(stock, propeller=drive, parallel=1, rod_pairs=stock.rod_pairs + 1))
    assert changes.kept_panels(turnstone_space, best, 1e9) is None
    searches = list(dict.fromkeys(tried(solved)))
    assert searches[:2] == [(stock.propeller, stock.parallel, True), (stock.propeller, stock.parallel, False)]
    assert searches[2:] == [(drive, stock.parallel, False), (stock.propeller, 1, False), (drive, 1, False)]
    for choice, fixed in solved:
        assert (choice.rod_diameter, choice.rod_pairs) == (stock.rod_diameter, stock.rod_pairs)
        assert fixed["extension"] == 0.0 and fixed["tip_chord"] == turnstone_space.anchor.variables["tip_chord"]


def test_the_first_wing_that_gains_enough_is_kept(turnstone_space, solved):
    stock = turnstone_space.anchor.choice
    own, other = sorted({each.propeller for each in turnstone_space.choices}, key=lambda size: size != stock.propeller)
    pitches = [1e3 * float(size.partition("x")[2]) for size in (own, other)]
    (best,) = ranked(turnstone_space, replace(stock, propeller=other))
    assert changes.kept_panels(turnstone_space, best, pitches[0]).choice == stock
    assert len(solved) == 1  # nothing else was searched
    if pitches[1] > pitches[0]:
        assert changes.kept_panels(turnstone_space, best, pitches[1]).choice.propeller == other


def test_a_wing_that_breaks_limits_is_not_kept(turnstone_space, monkeypatch):
    broken = lambda space, choice, starts, fixed=None: SearchResult(choice, starts[0], 0.0, 1e6, {}, [], False)  # noqa: E731
    monkeypatch.setattr(changes, "solve", broken)
    (best,) = ranked(turnstone_space, turnstone_space.anchor.choice)
    assert changes.kept_panels(turnstone_space, best, 0.0) is None


def test_panels_outside_the_bounds_of_the_study_are_not_kept(turnstone_space, solved):
    low, high = turnstone_space.bounds["extension"]
    longer = replace(turnstone_space, bounds=turnstone_space.bounds | {"extension": (low + 0.01, high)})
    (best,) = ranked(turnstone_space, turnstone_space.anchor.choice)
    assert changes.kept_panels(longer, best, 0.0) is None and not solved


@pytest.mark.parametrize(
    ("extension", "words"), [(0.0, "at the stock span"), (1e-5, "at the stock span"), (0.062, "each side 62 mm longer")]
)
def test_a_search_at_one_span_says_which(turnstone_space, extension, words):
    task = SearchTask("solve", turnstone_space.anchor.choice, [], {"extension": extension})
    assert task.words.endswith(f", {words}")


@pytest.mark.parametrize("below, above", [(0.0, 0.0), (0.1, 0.0), (0.0, 0.1)])
def test_a_range_that_ends_at_the_stock_shape_holds_it(turnstone_space, below, above):
    own = turnstone_space.anchor.variables | {"extension": 0.0}
    bounds = {name: (value - below, value + above) for name, value in own.items()}
    space = SimpleNamespace(study=turnstone_space.study, anchor=turnstone_space.anchor, bounds=bounds)
    assert changes.stock_shape(space).items() <= own.items()
    bounds["extension"] = (0.01, 0.2)
    assert changes.stock_shape(space) is None


def test_a_task_that_changes_its_space_has_the_key_of_that_space(turnstone_space):
    """Check that what is kept of a search without a limit is never taken for the search within it."""
    plain = SearchTask("solve", turnstone_space.anchor.choice, [])
    moved = {"washout": (-0.1, 0.0)}
    freed = replace(plain, let_go=("flying_weight",), moved_bounds=tuple(moved.items()))
    changed = replace(turnstone_space, let_go=("flying_weight",), moved_bounds=moved)
    assert turnstone_space.key(freed) == changed.key(plain) != turnstone_space.key(plain)
    assert "flying_weight" not in {limit.name for limit in turnstone_space.for_task(freed).limits(plain.choice)}
    assert turnstone_space.for_task(freed).bounds_of(plain.choice)["washout"] == (-0.1, 0.0)
    assert turnstone_space.for_task(plain) is turnstone_space
