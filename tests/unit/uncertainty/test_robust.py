"""The robust search: an optimum in closed form, sets of parts that may win, and the Godwit with few inputs."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.stats import norm

from tradestudy.search.branch_and_bound import Ranking
from tradestudy.search.search_space import search_space
from tradestudy.search.search_task import SearchTask
from tradestudy.uncertainty import robust, true_draws
from tradestudy.uncertainty.range_band import Draws
from tradestudy.uncertainty.robust import joint_falls
from tradestudy.uncertainty.variants import given_tables

CHANCE = 0.9
FEW = ("stock.flying_weight",)  # inputs that need no other section table
LOADS = 1 + 0.1 * norm.ppf((np.arange(20000) + 0.5) / 20000)


def draws(margins, own, names=("load",)):
    return Draws(list(names), np.ones(1), np.array(own), np.ones((len(margins), 1)), np.array(margins), [])


class Parts:
    """Sets of parts that maximise ``worth`` times x, where x times a load is at most 1. The load is 1 + doubt u."""

    def __init__(self, monkeypatch, parts):
        self.parts, self.asked = parts, []
        monkeypatch.setattr(robust, "design_spread", self.design_spread)
        monkeypatch.setattr(robust._Search, "_solved", lambda search, choice: self.best(choice, search.falls))
        monkeypatch.setattr(robust, "_judged", self.judged)
        monkeypatch.setattr(robust, "branch_of", lambda name: name)
        monkeypatch.setattr(robust, "spread", lambda inputs, chance: None)

    def best(self, name, falls):
        self.asked.append(name)
        x = 1.0 - robust._MORE * falls.get("load", 0.0)
        return SimpleNamespace(choice=name, x=x, gain=self.parts[name][0] * x, feasible=True, range=1.0)

    def design_spread(self, space, result, chance, tell):
        loads = 1 + self.parts[result.choice][1] * (LOADS - 1)
        both = draws((1 - result.x * loads)[:, None], [1 - result.x])
        return robust.DesignSpread(result, None, both, None, None, None)

    def judged(self, space, made, chance, tell):
        loads = 1 + self.parts[made.result.choice][1] * (LOADS[3::7] - 1)  # other draws than those of the falls
        met = float((made.result.x * loads < 1).mean())
        return robust.JudgedDesign(made, SimpleNamespace(met=met, error=0.005), {})

    def found(self, **more):
        ranked = sorted((self.best(name, {}) for name in self.parts), key=lambda each: -each.gain)
        self.asked.clear()
        return robust.most_robust(None, ranked, {}, CHANCE, lambda words: None, **more)


def test_closed_form(monkeypatch):
    """Check that margin 1 - x (1 + 0.1 u) is met in nine of ten cases at x = 1 / (1 + 0.1 z).

    Here z is the 90th percentile of the normal distribution.
    """
    found = Parts(monkeypatch, {"one": (1.0, 1.0)}).found()
    exact = 1 / (1 + 0.1 * norm.ppf(CHANCE))
    assert found.nominal.drawn.met == pytest.approx(0.5, abs=1e-3)
    assert found.reached and found.robust.drawn.met >= CHANCE
    assert exact * (1 - 0.006) < found.robust.drawn.result.x <= exact  # no more margin than 2 % above the requested one


def test_a_runner_up_that_is_less_in_doubt_wins_and_no_other_can(monkeypatch):
    """Check the winner against all sets of parts by hand, and that sets below the robust gain are not searched."""
    parts = {"best as assumed": (1.0, 1.5), "second": (0.98, 1.2), "third": (0.95, 0.2), "last": (0.9, 0.0)}
    search = Parts(monkeypatch, parts)
    found = search.found()
    by_hand = {name: worth / (1 + 0.1 * doubt * norm.ppf(CHANCE)) for name, (worth, doubt) in parts.items()}
    assert found.robust.drawn.result.choice == max(by_hand, key=by_hand.get) == "third"
    assert found.robust.drawn.gain == pytest.approx(by_hand["third"], rel=6e-3)
    assert "last" not in search.asked and found.looked == found.may_win == 3


def judged(met):
    return SimpleNamespace(met=met, error=0.01)


def test_where_true_draws_refuse_the_best_the_next_is_taken(monkeypatch):
    search = Parts(monkeypatch, {"first": (1.0, 1.0), "second": (0.97, 1.0)})
    met = {"first": 0.8, "second": 0.91}
    monkeypatch.setattr(
        robust,
        "_judged",
        lambda space, made, *rest: robust.JudgedDesign(
            made, SimpleNamespace(met=met[made.result.choice], error=0.01), {}
        ),
    )
    assert search.found().robust.drawn.result.choice == "second"
    met["second"] = 0.85
    told = search.found()
    assert not told.reached and told.robust.drawn.result.choice == "second"


def test_where_sums_promise_too_much_more_is_asked_of_them(monkeypatch):
    """Check that a design is searched again until true draws confirm it: here they find 0.05 less than the sums."""
    search = Parts(monkeypatch, {"one": (1.0, 1.0)})

    def judged(space, made, *rest):
        return robust.JudgedDesign(made, SimpleNamespace(met=made.met - 0.05, error=0.0), {})

    monkeypatch.setattr(robust, "_judged", judged)
    found = search.found()
    assert found.reached and CHANCE + 0.05 <= found.robust.drawn.met < CHANCE + 0.08
    most, least = (1 / (1 + 0.1 * norm.ppf(CHANCE + more)) for more in (0.05, 0.08))
    assert least < found.robust.drawn.gain < most  # no more room is left than a search with sums leaves


def test_parts_less_in_doubt_than_the_best_as_assumed_are_searched_with_their_own_falls(monkeypatch):
    """Check parts that the falls of the best would leave no room for: their own are a tenth."""
    parts = {"best as assumed": (1.0, 9.0), "second": (0.5, 0.9)}
    search = Parts(monkeypatch, parts)
    best = search.best
    monkeypatch.setattr(
        robust._Search,
        "_solved",
        lambda one, name: None if name == "second" and one.falls.get("load", 0.0) > 0.5 else best(name, one.falls),
    )
    assert search.found().robust.drawn.result.choice == "second"


def test_designs_that_trade_gain_for_sureness():
    def look(gain, met, feasible=True):
        result = SimpleNamespace(gain=gain, feasible=feasible)
        both = draws(np.where(np.arange(100)[:, None] < 100 * met, 1.0, -1.0), [0.1])
        return robust.DesignSpread(result, None, both, None, None, None)

    looks = [look(90, 0.6), look(100, 0.1), look(95, 0.11), look(80, 0.5), look(85, 0.9, feasible=False), look(70, 0.8)]
    assert [each.gain for each in robust.gain_over_sureness(looks)] == [100, 90, 70]
    assert robust._surest(looks).gain == 70


def test_falls_hold_together():
    """Check two independent limits at once: each must then hold in the root of nine of ten."""
    random = np.random.default_rng(1).normal(size=(40000, 2))
    falls = joint_falls(draws(-random, [0.0, 0.0], ("one", "two")), CHANCE)
    assert list(falls.values()) == pytest.approx([norm.ppf(np.sqrt(CHANCE))] * 2, abs=0.03)
    wide = joint_falls(draws(np.array([0.0, 9.0]) - random, [0.0, 9.0], ("one", "two")), CHANCE)
    assert wide["one"] == pytest.approx(norm.ppf(CHANCE), abs=0.03)  # the other has margin enough


@pytest.fixture(scope="module")
def space(godwit_study, godwit_anchor):
    """Return the Godwit with its three-row pack, one rod and the stock sweep: one set of parts."""
    lists = godwit_study.choices.model_copy(
        update={"parallel": (3,), "rod_pairs": (2,), "rod_diameter": (0.003,), "propeller": ("10x6",)}
    )
    held = godwit_study.build_tolerance.model_copy(update={"weight": 0.0, "core_chord": 0.0, "sweep": 0.0})
    stretch = godwit_study.stretch.model_copy(update={"sweep": None})  # fewer variables: the searches take the time
    return search_space(replace(godwit_study, choices=lists, build_tolerance=held, stretch=stretch), godwit_anchor)


@pytest.fixture(scope="module")
def found(space):
    ranked = Ranking(space).best(1)
    with pytest.MonkeyPatch.context() as patched:
        every = robust.inputs_of
        patched.setattr(robust, "inputs_of", lambda *asked: [one for one in every(*asked) if one.used.key in FEW])
        patched.setattr(true_draws.true_share, "__defaults__", (4,))
        yield robust.most_robust(space, ranked, {}, CHANCE, lambda words: None)


@pytest.mark.thorough
def test_limits_are_met_as_often_as_requested(found):
    # for assumed values, a limit that stops the wing is met in half of all draws
    assert found.nominal.drawn.met < CHANCE - 0.3 and found.robust.drawn.met >= CHANCE
    assert found.robust.drawn.low < found.nominal.drawn.low  # it costs range
    assert found.robust.drawn.low > 0.75 * found.nominal.drawn.low


@pytest.mark.thorough
def test_what_is_lacking_is_told_in_its_own_unit(found):
    short = found.nominal.short
    assert max(value for value, _ in short.values()) > 0 and short["flying_weight"][1] == "g"
    lacking = {name for name, margin in found.robust.true.short(CHANCE).items() if margin > 0}
    assert {name for name, (value, _) in found.robust.short.items() if value > 0} <= lacking


@pytest.mark.thorough
def test_required_margins_are_left_of_margins(space, found):
    choice = found.nominal.drawn.result.choice
    plain = {limit.name: limit for limit in space.limits(choice)}
    tight = replace(space, required_margins={"tip_deflection": 0.1, "pack_aft": 0.02})
    values = np.linspace(-1, 1, 7)
    for limit in tight.limits(choice):
        own = replace(plain[limit.name], index=None).margin(values)
        kept = tight.required_margins.get(limit.name, 0.0)
        np.testing.assert_allclose(replace(limit, index=None).margin(values), own - kept, atol=1e-12)


@pytest.mark.thorough
def test_record_keeps_searches_with_required_margins_apart(space, found):
    result = found.nominal.drawn.result
    task = SearchTask("solve", result.choice, [result.variables])
    keys = [
        replace(space, required_margins=required_margins).key(task)
        for required_margins in ({}, {"climb": 0.1}, {"climb": 0.2})
    ]
    assert keys[0][: len(task.key)] == task.key and len({str(key) for key in keys}) == 3


@pytest.mark.thorough
def test_true_draws_without_doubt_are_the_wing_itself(space, found):
    """Check that draws of no input and a shop without errors give the margins of the design, to rounding."""
    made = found.nominal.drawn
    alone = made.variants._replace(inputs=[])
    true = true_draws.true_share(space.study, given_tables(space.study), made.design, alone, print, 2)
    own = np.array(list(made.variants.nominal.margins.values()))
    np.testing.assert_allclose(true.margins, np.broadcast_to(own, true.margins.shape), atol=1e-12)


def test_levels_of_true_draws_have_the_variance_of_the_band():
    """Check the share at each end: nine of ten of a normal distribution lie within the band."""
    share = true_draws._AT_AN_END
    assert 2 * share == pytest.approx(1 / norm.ppf(0.95) ** 2)
