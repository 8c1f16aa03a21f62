"""Flips that are planted: invented gains of the Turnstone, and a weight limit that the Godwit's pack just meets."""

from dataclasses import replace

import pytest
from helpers.wings.turnstone import answer_of

from tradestudy.aircraft.model.choices import Choice
from tradestudy.search import parallel
from tradestudy.search.engines.progress import no_progress
from tradestudy.search.optimum import solve
from tradestudy.search.search_space import in_stock_bay, search_space
from tradestudy.search.search_task import merit
from tradestudy.uncertainty.flips import find_flips as search
from tradestudy.uncertainty.flips.changed_answer import (
    NOTHING_LEFT,
    FlipTask,
    _counterpart,
    answer_from_record,
    screened,
    settled,
)
from tradestudy.uncertainty.flips.changes import ShiftedLimit

TODAY, RIVAL = Choice(3, 2, 2e-3, 2, "8x6"), Choice(3, 2, 3e-3, 1, "8x5")
GAIN = {TODAY: 48e3, RIVAL: 47e3}  # [m]; all other sets of parts gain 30 km
FLIPS_AT = 0.4  # share of the step at which the rival overtakes
STEP = 0.03  # scaled margin
SPAN = 0.98 + 2 * 0.1  # [m]
FLAT = SPAN - 0.05, SPAN + 0.05


class Planted:
    """Invented results of the Turnstone that depend on what a changed space requires. ``tasks`` are kept."""

    def __init__(self):
        self.tasks, self.fall = [], (GAIN[TODAY] - GAIN[RIVAL]) / FLIPS_AT
        self.longer = 0.0  # m each side at the full step
        self.nothing_at = 9.0  # share of the step from which no wing meets every limit

    def __call__(self, space, task):
        self.tasks.append(task)
        share = space.required_margins.get("climb", 0.0) / STEP
        gain = GAIN.get(task.choice, 30e3) - (self.fall * share if task.choice == TODAY else 0.0)
        extension = 0.1 + self.longer * share
        if task.fixed:
            gain -= 1e5 * abs(extension - task.fixed["extension"])
            extension = task.fixed["extension"]
        at = {"extension": extension, "sweep": 0.4, "washout": 0.04, "tip_chord": 0.19}
        return answer_of(space, task.choice, at, None if share >= self.nothing_at else gain)


@pytest.fixture()
def planted(monkeypatch):
    made = Planted()
    monkeypatch.setattr(parallel, "search_result", made)
    return made


@pytest.fixture()
def ranked(turnstone_space, planted):
    results = [planted(turnstone_space, FlipStart(choice)) for choice in turnstone_space.choices]
    planted.tasks.clear()
    return sorted(results, key=lambda each: -each.gain)


class FlipStart:
    """A search task of a choice, as far as `Planted` reads it."""

    fixed = None

    def __init__(self, choice):
        self.choice = choice


@pytest.fixture()
def task(turnstone_space, ranked):
    """Return a function for the task of one tightened limit: ``task("climb")``."""

    def made(name):
        limit = next(limit for limit in turnstone_space.limits(TODAY) if limit.name == name)
        return FlipTask(ShiftedLimit(limit, STEP), ranked[0], ranked[1:], FLAT)

    return made


def test_the_planted_flip_is_found_at_its_place(turnstone_space, task):
    found = settled(turnstone_space, task("climb"))
    assert found.winner.choice == RIVAL and found.own.choice == TODAY and found.in_full
    assert found.differences == ["1 pair of 3 mm rods", "8x5 propeller"]
    assert found.place == pytest.approx(FLIPS_AT, abs=1e-6)
    # the fall of today's parts at the full step, less what they are ahead today
    lost = (GAIN[TODAY] - GAIN[RIVAL]) * (1 / FLIPS_AT - 1)
    assert found.loss(task("climb").best) == pytest.approx(lost)


def test_a_change_that_cannot_be_divided_flips_where_a_straight_line_does(turnstone_space, task):
    shifted = task("climb")
    whole = ShiftedLimit(shifted.change.limit, STEP, divisible=False)
    found = settled(turnstone_space, replace(shifted, change=whole))
    assert found.place == pytest.approx(FLIPS_AT, abs=1e-6)


def test_a_limit_that_changes_nothing_is_no_flip(turnstone_space, task):
    assert not screened(turnstone_space, task("flying_weight")).flips


def test_a_rival_that_hardly_wins_is_no_flip(turnstone_space, task, planted):
    planted.fall = (GAIN[TODAY] - GAIN[RIVAL]) * 1.1
    assert not screened(turnstone_space, task("climb")).flips


def test_a_rival_far_behind_is_not_searched(turnstone_space, task, planted):
    screened(turnstone_space, task("flying_weight"))
    assert {each.choice for each in planted.tasks} == {TODAY}


@pytest.mark.parametrize("longer, flips", [(0.024, False), (0.05, True), (0.25, True)])
def test_a_span_flips_beyond_the_flat_band_only(longer, flips, turnstone_space, task, planted):
    planted.fall, planted.longer = 0.0, longer
    found = settled(turnstone_space, task("climb"))
    assert found.flips == flips
    if flips:
        assert found.differences == [f"span {1180 + 2e3 * longer:.0f} mm"]
        assert found.place == pytest.approx(0.05 / (2 * longer), abs=1e-6)  # where it leaves the band


def test_a_span_that_moves_by_less_than_a_builder_decides_is_no_flip(turnstone_space, task, planted):
    planted.fall, planted.longer = 0.0, 0.01  # 20 mm of 1200 mm, outside a band that limits make narrow
    narrow = replace(task("climb"), flat=(SPAN - 0.001, SPAN + 0.001))
    assert not screened(turnstone_space, narrow).flips
    planted.longer = 0.02
    assert screened(turnstone_space, narrow).flips


def test_a_span_at_which_todays_wing_is_as_good_is_no_flip(turnstone_space, task, planted, monkeypatch):
    planted.fall, planted.longer = 0.0, 0.05
    whole = planted.__call__

    def as_good(space, asked):
        found = whole(space, asked)
        return replace(found, gain=GAIN[TODAY]) if asked.fixed else found

    monkeypatch.setattr(parallel, "search_result", as_good)
    assert not screened(turnstone_space, task("climb")).flips


def test_nothing_left_is_a_flip_and_costs_most(turnstone_space, task, planted):
    planted.nothing_at = 0.7
    found = settled(turnstone_space, task("climb"))
    assert found.differences == [NOTHING_LEFT] and found.loss(task("climb").best) == float("inf")
    assert found.place == pytest.approx(0.7, abs=1 / 16)  # three halvings, then the middle of what is left


def test_an_answer_survives_the_record(turnstone_space, task):
    found = settled(turnstone_space, task("climb"))
    again = answer_from_record(found.to_record())
    assert again.to_record() == found.to_record() and again.winner.choice == RIVAL


def test_flips_are_found_among_all_changes_and_kept(turnstone_space, task, ranked, planted, monkeypatch):
    """Check that only the planted limit is reported, and that a second search takes all from the record."""
    from tradestudy.search.engines.record import Record

    names = ("climb", "flying_weight", "fin_volume")
    monkeypatch.setattr(search, "changes_of", lambda *given: [task(name).change for name in names])
    space = replace(turnstone_space, record=Record(None, "planted"))
    found = search.find_flips(space, ranked, FLAT, no_progress)
    assert [each.change.name for each in found.flips] == ["climb"] and found.examined == 3
    searches = len(planted.tasks)
    again = search.find_flips(space, ranked, FLAT, no_progress)
    assert len(planted.tasks) == searches
    assert [each.answer.to_record() for each in again.flips] == [each.answer.to_record() for each in found.flips]


@pytest.fixture(scope="module")
def capped(godwit_study, godwit_anchor):
    """Return the Godwit's search space with two packs, the stock sweep, and a limit on weight above its best wing."""
    bays = tuple(bay.model_copy(update={"cut_to_pack": False}) for bay in godwit_study.bay)
    lists = godwit_study.choices.model_copy(
        update={"parallel": (2, 3), "rod_pairs": (2,), "rod_diameter": (0.003,), "propeller": ("10x6",)}
    )
    limits = godwit_study.limits.model_copy(update={"flying_weight": 2.2})
    shape = godwit_study.stretch.model_copy(update={"sweep": None, "washout": None})
    study = replace(godwit_study, choices=lists, bay=bays, limits=limits, stretch=shape)
    return search_space(study, godwit_anchor)


@pytest.mark.thorough
def test_a_lower_weight_limit_takes_the_large_pack_from_the_godwit(capped):
    """Check a screening with the model itself against searches of a study with the lower limit in it."""
    starts = [capped.anchor.variables | {"static_margin": 0.06}]
    ranked = sorted((solve(capped, choice, starts) for choice in capped.choices), key=merit, reverse=True)
    limit = next(limit for limit in capped.limits(ranked[0].choice) if limit.name == "flying_weight")
    span = ranked[0].traded["span"]
    found = screened(capped, FlipTask(ShiftedLimit(limit, 0.1), ranked[0], ranked[1:], (span - 0.2, span + 0.2)))
    assert ranked[0].choice.parallel == 3 and found.winner.choice.parallel == 2
    assert "pack 4S2P" in found.differences
    lower = capped.study.limits.model_copy(update={"flying_weight": 0.9 * 2.2})
    expected = solve(search_space(replace(capped.study, limits=lower), capped.anchor), found.winner.choice, starts)
    assert found.winner.gain == pytest.approx(expected.gain, rel=1e-4)


def test_a_pack_in_the_stock_wings_bay_stays_possible(godwit_study, godwit_anchor):
    """Check that it is found in a changed study, though no list of choices holds it, unless it does not fit."""
    space = search_space(godwit_study, godwit_anchor)
    held = [found for choice in space.choices if (found := in_stock_bay(space, choice))]
    assert held and not set(held) & set(space.choices)
    assert all(_counterpart(space, choice) == choice for choice in held)
    assert _counterpart(space, replace(held[0], parallel=9)) is None
