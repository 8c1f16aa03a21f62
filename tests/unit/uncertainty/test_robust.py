"""The robust search: an optimum in closed form, and the Godwit with few parts and few inputs."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from few_inputs import keep_few_inputs
from scipy.stats import norm

from tradestudy.search.search_space import search_space
from tradestudy.search.search_task import SearchTask
from tradestudy.uncertainty import robust
from tradestudy.uncertainty.range_band import Percentiles, Spread

CHANCE = 0.9


class Line:
    """A problem that maximises x, where x times a load is at most 1. The load is 1 plus a normal variable u."""

    def __init__(self, required_margins=0.0):
        self.required_margins = {"load": required_margins}

    def best(self):
        """Return the largest x that keeps the requested part of the margin 1 - x."""
        return SimpleNamespace(
            x=1.0 - self.required_margins["load"], feasible=True, range=1e3, gain=1.0 - self.required_margins["load"]
        )


def test_closed_form(monkeypatch):
    """Check that margin 1 - x (1 + 0.1 u) is met in nine of ten cases at x = 1 / (1 + 0.1 z).

    Here z is the 90th percentile of the normal distribution.
    """
    loads = 1 + 0.1 * norm.ppf((np.arange(20000) + 0.5) / 20000)

    def design_spread(space, result, chance, report_progress):
        margins = 1 - result.x * loads
        return robust.DesignSpread(
            result,
            Spread(
                {"range_km": Percentiles(1.0, 1.0, 1.0)},
                {"load": float((margins > 0).mean())},
                [],
                {"load": (1 - result.x) - float(np.quantile(margins, 1 - chance))},
                {},
                len(loads),
                1.0,
            ),
        )

    monkeypatch.setattr(robust, "design_spread", design_spread)
    monkeypatch.setattr(robust, "replace", lambda space, required_margins: Line(required_margins["load"]))
    monkeypatch.setattr(robust, "Ranking", lambda space, tell: SimpleNamespace(best=lambda count: [space.best()]))
    start = Line()
    start.engine = None
    found = robust.most_robust(start, start.best(), CHANCE, print)
    exact = 1 / (1 + 0.1 * norm.ppf(CHANCE))
    assert found.nominal.spread.holds["load"] == pytest.approx(0.5, abs=1e-4)
    assert found.reached and found.robust.least_met[1] >= CHANCE
    assert exact * (1 - 0.004) < found.robust.result.x <= exact  # no more margin than 2 % above the requested one


@pytest.fixture(scope="module")
def space(godwit_study, godwit_anchor):
    """Return the Godwit with its three-row pack and one rod: one set of parts."""
    lists = godwit_study.choices.model_copy(
        update={"parallel": (3,), "rod_pairs": (2,), "rod_diameter": (0.003,), "propeller": ("10x6",)}
    )
    return search_space(replace(godwit_study, choices=lists), godwit_anchor)


@pytest.fixture(scope="module")
def found(space):
    plain = robust.Ranking(space).best(1)[0]
    with pytest.MonkeyPatch.context() as patched:
        keep_few_inputs(patched, robust)
        yield robust.most_robust(space, plain, CHANCE, lambda words: None)


def test_limits_are_met_as_often_as_requested(found):
    # for assumed values, a limit that stops the wing is met in half of all draws
    assert found.nominal.least_met[1] < CHANCE - 0.1
    assert found.reached and found.robust.least_met[1] >= CHANCE
    assert found.robust.low < found.nominal.low  # it costs range
    assert found.robust.low > 0.8 * found.nominal.low


def test_required_margins_are_left_of_margins(space, found):
    plain = {limit.name: limit for limit in space.limits(found.nominal.result.choice)}
    tight = replace(space, required_margins={"tip_deflection": 0.1, "pack_aft": 0.02})
    values = np.linspace(-1, 1, 7)
    for limit in tight.limits(found.nominal.result.choice):
        own = replace(plain[limit.name], index=None).margin(values)
        kept = tight.required_margins.get(limit.name, 0.0)
        np.testing.assert_allclose(replace(limit, index=None).margin(values), own - kept, atol=1e-12)


def test_record_keeps_searches_with_required_margins_apart(space, found):
    task = SearchTask("solve", found.nominal.result.choice, [found.nominal.result.variables])
    keys = [
        replace(space, required_margins=required_margins).key(task)
        for required_margins in ({}, {"climb": 0.1}, {"climb": 0.2})
    ]
    assert keys[0][: len(task.key)] == task.key and len({str(key) for key in keys}) == 3


def test_where_no_round_reaches_the_chance_the_most_robust_is_returned(space, found, monkeypatch):
    """Check that if no round reaches the chance, the design whose limits are met most often is returned."""
    shares = iter((0.5, 0.7, 0.6, 0.65, 0.55))  # the nominal best, then one per round
    monkeypatch.setattr(
        robust,
        "design_spread",
        lambda space, result, chance, report_progress: robust.DesignSpread(
            result, replace(found.nominal.spread, holds={"climb": next(shares)})
        ),
    )
    monkeypatch.setattr(
        robust, "Ranking", lambda space, tell: SimpleNamespace(best=lambda count: [found.robust.result])
    )
    told = robust.most_robust(space, found.nominal.result, CHANCE, print)
    assert not told.reached and told.robust.least_met == ("climb", 0.7) and told.rounds == robust._ROUNDS


def test_a_runner_up_that_reaches_the_chance_is_returned_where_the_best_just_misses(space, found, monkeypatch):
    winner, second = found.robust.result, replace(found.robust.result, gain=0.9 * found.robust.result.gain)
    shares = {id(found.nominal.result): 0.5, id(winner): CHANCE - 0.01, id(second): CHANCE + 0.01}
    monkeypatch.setattr(
        robust,
        "design_spread",
        lambda space, result, chance, report_progress: robust.DesignSpread(
            result, replace(found.nominal.spread, holds={"climb": shares[id(result)]})
        ),
    )
    monkeypatch.setattr(robust, "Ranking", lambda space, tell: SimpleNamespace(best=lambda count: [winner, second]))
    told = robust.most_robust(space, found.nominal.result, CHANCE, print)
    assert told.reached and told.robust.result is second
