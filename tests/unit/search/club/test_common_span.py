"""The common span of a club, with known results: gains that are parabolas in span, limits that end it."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from helpers.wings.turnstone import KnownResults

from tradestudy.search.club import common_span as module
from tradestudy.search.club.common_span import MemberTrade, common_span, gain_at
from tradestudy.search.club.members import ClubMember, common_airframes, common_score
from tradestudy.search.club.remedies import remedies

STOCK = 0.98


def member(space, name, gain, count=1):
    own = replace(space, record=None, engine=None, member=name, choices=space.choices[:2])
    own.engine = KnownResults(own, gain)
    return ClubMember(name, count, own)


def parabola(best, top, curvature=3.0, longest=9.0):
    """Return the gain of a wing: ``top`` at a span of ``best``, and none beyond the span ``longest``."""

    def gain(choice, variables):
        span = STOCK + 2 * variables["extension"]
        return None if span > longest + 1e-9 else top * (1 - curvature * (span - best) ** 2)

    return gain


@pytest.fixture()
def free(monkeypatch):
    """Give the span its best value, which the known results leave as it starts."""

    class Best:
        def __init__(self, space, report_progress):
            self.space = space

        def complete(self):
            found = []
            for choice in self.space.choices:
                low, high = self.space.bounds["extension"]
                start = dict.fromkeys(self.space.bounds, 0.0) | {n: b[0] for n, b in self.space.bounds.items()}
                every = [start | {"extension": float(each)} for each in np.arange(low, high + 1e-9, 0.005)]
                results = [self.space.engine.answer(module.SearchTask("solve", choice, [one], None)) for one in every]
                found.append(max(results, key=module.merit))
            return sorted(found, key=module.merit, reverse=True)

    monkeypatch.setattr(module, "Ranking", Best)


def test_two_members_meet_where_their_shares_are_equal(turnstone_space, free):
    """Check by hand: equal parabolas of shares about 1.05 and 1.25 m meet in the middle, however far each flies."""
    both = [
        member(turnstone_space, "a", parabola(1.05, 40e3)),
        member(turnstone_space, "b", parabola(1.25, 90e3)),
    ]
    found = common_span(both)
    assert found.span == pytest.approx(1.15)
    assert found.shares == pytest.approx([1 - 3 * 0.1**2] * 2, abs=1e-4)
    assert found.bound == pytest.approx(found.shares.min(), abs=1e-6)
    # by the weighted mean of shares, three members of the first kind pull the span to theirs: 1.05 + 0.2 / 4
    weighted = common_span(both, weights=np.array([3.0, 1.0]))
    assert weighted.span == pytest.approx(1.10, abs=0.0101)  # a centimetre costs 0.03 % there


def test_a_member_who_cannot_fly_longer_ends_the_span_for_all(turnstone_space, free):
    both = [
        member(turnstone_space, "a", parabola(1.05, 40e3, longest=1.12)),
        member(turnstone_space, "b", parabola(1.25, 90e3)),
    ]
    found = common_span(both)
    assert found.span == pytest.approx(1.12) and found.worst == 1
    assert all(result.feasible for result in found.results)


def test_one_set_of_parts_that_meets_the_limits_is_enough(turnstone_space, free):
    both = [member(turnstone_space, name, None) for name in "ab"]
    flies = both[0].space.choices[0]
    for each, best in zip(both, (1.05, 1.25), strict=True):
        known = parabola(best, 40e3)
        each.space.engine.gain = lambda choice, at, known=known: known(choice, at) if choice == flies else None
    found = common_span(both)
    assert found.span == pytest.approx(1.15) and {result.choice for result in found.results} == {flies}


def test_no_common_span_is_said(turnstone_space, free):
    def longer(choice, variables):
        return 50e3 if variables["extension"] > 0.15 else None

    both = [member(turnstone_space, "a", parabola(1.0, 40e3, longest=1.1)), member(turnstone_space, "b", longer)]
    assert common_span(both) is None


def test_the_outline_is_the_same_for_all(turnstone_space, free):
    """Check that every search on the common airframe holds sweep, washout, tip chord and span."""
    both = [member(turnstone_space, "a", parabola(1.05, 40e3)), member(turnstone_space, "b", parabola(1.25, 90e3))]
    found = common_span(both)
    for name in ("sweep", "washout", "tip_chord", "extension"):
        assert len({result.variables[name] for result in found.results}) == 1
    fixed = [task.fixed for task in both[0].space.engine.tasks if task.fixed and "sweep" in task.fixed]
    assert fixed and all(set(one) == {"extension", "sweep", "washout", "tip_chord"} for one in fixed)
    assert len({one["extension"] for one in fixed}) == 1  # the first span reaches what it promised: no other is tried


def test_gains_between_two_packs_are_the_smaller(turnstone_space):
    one, other = turnstone_space.choices[0], turnstone_space.choices[1]
    wing = member(turnstone_space, "a", lambda choice, variables: 0.0)
    answer = [
        wing.space.engine.answer(module.SearchTask("solve", choice, [{"extension": at}], None))
        for choice, at in ((one, 0.0), (one, 0.1), (other, 0.2))
    ]
    trade = [replace(result, gain=gain) for result, gain in zip(answer, (10.0, 20.0, 5.0), strict=True)]
    found = gain_at(MemberTrade(wing, trade[1], trade), np.array([0.97, 0.98, 1.08, 1.18, 1.28, 1.38, 1.39]))
    assert found == pytest.approx([np.nan, 10, 15, 20, 5, 5, np.nan], nan_ok=True)


def test_the_score_is_the_worst_share_or_the_weighted_mean():
    gains, best = np.array([[1.0, 2.0, np.nan], [8.0, 6.0, 9.0]]), np.array([2.0, 10.0])
    assert common_score(gains, best) == pytest.approx([0.5, 0.6, np.nan], nan_ok=True)
    assert common_score(gains, best, np.array([1, 3])) == pytest.approx([0.725, 0.7, np.nan], nan_ok=True)


def test_only_rods_that_all_may_build_are_common(turnstone_space):
    wide = member(turnstone_space, "a", None)
    narrow = member(turnstone_space, "b", None)
    wide.space.choices = turnstone_space.choices
    narrow.space.choices = [choice for choice in turnstone_space.choices if choice.rod_pairs == 2]
    found = common_airframes([wide, narrow])
    assert found and all(pairs == 2 for _, pairs, _ in found)


def test_remedies_are_tried_from_the_cheapest(turnstone_space, free):
    """Check that a member whose motor is overloaded gets a lower throttle cap, and that lead is not tried for it."""
    helped = []

    def capped(choice, variables):
        helped.append(choice.throttle_cap)
        return parabola(1.1, 50e3)(choice, variables) if (choice.throttle_cap or 1.0) <= 0.8 else None

    first = member(turnstone_space, "a", parabola(1.1, 40e3))
    second = member(turnstone_space, "b", capped)
    found = common_span([first, second])
    assert found.members[1].remedy == "throttle no higher than 80 %" and not found.members[0].remedy
    assert [one for one in dict.fromkeys(helped)] == [None, 0.9, 0.8]


def test_remedies_stand_in_the_order_of_their_cost(turnstone_study):
    words = [one.words for one in remedies(turnstone_study)]
    kinds = ["ballast" in one and "lead" or "throttle" in one and "cap" or "rods" for one in words]
    assert list(dict.fromkeys(kinds)) == ["lead", "cap", "rods"] and "30 g" in words[0]
    assert remedies(turnstone_study)[-1].for_all
    caps = [float(one.split()[-2]) for one in words if "throttle" in one]
    assert len(caps) > 2 and 100 > caps[0] and caps[-1] > 0 and caps == sorted(caps, reverse=True)


@pytest.mark.parametrize(
    ("ends", "spans"),
    [
        (((1.0, 1.045), (0.98, 1.04)), [1.0, 1.01, 1.02, 1.03, 1.04]),
        (((1.231, 1.4), (1.1, 1.239)), [1.235]),  # no whole centimetre: the middle
        (((1.2, 1.4), (1.1, 1.2)), [1.2]),
        (((1.25, 1.4), (1.1, 1.2)), []),
    ],
)
def test_spans_that_all_trades_hold(ends, spans):
    trades = [SimpleNamespace(member=SimpleNamespace(span_of=float), trade=list(pair)) for pair in ends]
    assert module._candidates(trades) == pytest.approx(spans)
